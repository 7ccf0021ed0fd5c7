"""From geometry to inline SVG: the template is compiled once a process."""

from functools import cache
from importlib.resources import files

from jinja2 import Environment, StrictUndefined, Template

from packet.hookup.drawing.alternative import alternative_text
from packet.hookup.drawing.layout import lay_out
from packet.hookup.drawing.shapes import SMALL, Sketch
from packet.hookup.model import Drawing, HoseLine
from packet.hookup.request import CylinderNeed
from packet.hookup.rig import Rig
from packet.hookup.state import State


def draw(rig: Rig, state: State, stage: str, cylinder: CylinderNeed, service: tuple[HoseLine, ...]) -> Drawing:
    """The drawing of a running hookup; the stage keeps the ids of several drawings in one document apart."""
    sketch = lay_out(rig, state, stage, cylinder, service)
    words = alternative_text(rig, state, stage, cylinder, service)
    return Drawing(ink(sketch, f"hookup-{stage}", words), sketch.width, sketch.height, words)


def ink(sketch: Sketch, prefix: str, words: str) -> str:
    """SVG of a sketch; every id begins with `prefix`."""
    outlines = tuple(dict.fromkeys(shape.outline for shape in sketch.shapes))
    return _template().render(s=sketch, id=prefix, outlines=outlines, small=SMALL, alternative_text=words)


@cache
def _template() -> Template:
    text = (files("packet.templates") / "hookup.svg").read_text(encoding="utf-8")
    # names and ids come from the shop's files: they are text, never markup
    return Environment(autoescape=True, undefined=StrictUndefined).from_string(text)
