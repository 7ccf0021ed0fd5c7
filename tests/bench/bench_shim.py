"""What each short cut round WeasyPrint saves of a packet's setting: the processor's time without it over that with it.

    python tests/bench/bench_shim.py [--rounds 5]

Turn about in one run, the least of each; a part that saves less than a tenth is not worth its lines. What is kept saves more by
the second packet than by the first: a worker's packets say much the same, though never all the same as here.
"""

import argparse
import time
import zlib
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from importlib.resources import files
from pathlib import Path
from typing import Any

from packet.hookup.build import build_hookup
from packet.ledger.state import opening
from packet.plan.day import plan_day
from packet.press import layout, lettering, lines, pdf, styles
from packet.press.assets import fetcher, weasyprint
from packet.press.job import Prepared, prepare
from packet.sheets.packet import compose
from packet.shop.load import load_day, load_registers

DEMO = Path(__file__).parents[2] / "jobs"


@contextmanager
def swapped(owner: Any, name: str, value: Any) -> Iterator[None]:
    """`owner.name` is `value` meanwhile."""
    kept = getattr(owner, name)
    setattr(owner, name, value)
    try:
        yield
    finally:
        setattr(owner, name, kept)


@contextmanager
def letter_by_letter() -> Iterator[None]:
    """Words in drawings as WeasyPrint sets them."""
    from weasyprint import svg
    from weasyprint.svg.text import text

    lettering.use()
    with swapped(lettering, "use", lambda: None):
        kept = svg.TAGS["text"]
        svg.TAGS["text"] = text
        try:
            yield
        finally:
            svg.TAGS["text"] = kept


def forgiving(html: str, **options: Any) -> Any:
    """A packet read by the parser that forgives, with the sheet for all of HTML; nothing is shared."""
    from weasyprint.text.fonts import FontConfiguration

    return weasyprint().HTML(string=html, url_fetcher=fetcher()).render(font_config=FontConfiguration(), **options)


def all_of_html() -> Any:
    """The sheet for all of HTML, and what of ours the rest cannot do without."""
    from weasyprint import CSS

    words = files("weasyprint").joinpath("css/html5_ua.css").read_text("utf-8")
    return CSS(string=f"{words}\nsvg > * {{ display: none }}")


def without() -> dict[str, Callable[[], Any]]:
    """Each part's name, and what leaves it out."""
    import pydyf
    from weasyprint import draw
    from weasyprint.draw.border import draw_border

    own = all_of_html()
    return {
        "all of layout.py": lambda: swapped(pdf, "laid_out", forgiving),
        "elements.css": lambda: swapped(layout, "_elements", lambda: own),
        "the shared styles": lambda: swapped(layout, "_style_sheet", layout._style_sheet.__wrapped__),
        "lettering.py": letter_by_letter,
        "lines.py": lambda: swapped(lines, "font_configuration", lambda: None),
        "styles.py": lambda: swapped(styles, "font_configuration", lambda: None),
        "rules.py": lambda: swapped(draw, "draw_border", draw_border),
        "packing.py": lambda: swapped(pydyf, "zlib", zlib),
    }


def packets() -> list[Prepared]:
    """The demo day, ready to be set."""
    registers = load_registers(DEMO).value
    assert registers is not None
    jobs = load_day(DEMO / "2026-11-26", registers).value or ()
    plans = plan_day(jobs, registers, opening(registers)).plans
    return [prepare(compose(plan, build_hookup(plan)), None) for plan in plans]


def seconds(packet: Prepared) -> float:
    """The processor's time of one setting."""
    started = time.process_time()
    pdf.render(packet.html, packet.stamp)
    return time.process_time() - started


def main() -> None:
    """Measure and print."""
    parser = argparse.ArgumentParser()
    parser.add_argument("--rounds", type=int, default=5)
    parser.add_argument("--packets", type=int, default=9)
    asked = parser.parse_args()
    chosen, parts = packets()[: asked.packets], without()
    seconds(chosen[0])
    plain = dict.fromkeys(range(len(chosen)), float("inf"))
    least = {(name, at): float("inf") for name in parts for at in plain}
    for _ in range(asked.rounds):
        for at, packet in enumerate(chosen):
            plain[at] = min(plain[at], seconds(packet))
            for name, left_out in parts.items():
                with left_out():
                    least[name, at] = min(least[name, at], seconds(packet))
    total = sum(plain.values())
    print(f"{len(chosen)} packets, {total:.2f} s")
    for name in parts:
        print(f"without {name:18} {sum(least[name, at] for at in plain) / total:.3f}")


if __name__ == "__main__":
    main()
