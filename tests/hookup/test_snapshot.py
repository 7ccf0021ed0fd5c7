"""The geometry of each variant's drawings, kept as text: a change shows as a diff to be looked at, rendered.

To accept a change after looking at every picture: python -m tests.hookup.test_snapshot
"""

from pathlib import Path

import pytest

from packet.hookup.drawing.shapes import Rect, Sketch
from tests.hookup.drawn import sketches
from tests.hookup.variants import VARIANTS

FOLDER = Path(__file__).parent / "snapshots"


def as_text(sketch: Sketch) -> str:
    """One line a thing, in the order drawn; mm to a tenth."""
    lines = [f"size {sketch.width:g} x {sketch.height:g}"]
    lines += [f"shape {it.outline} {it.part} {_box(it.box)}" for it in sketch.shapes]
    lines += [f"line {it.part} {_points(it.points)}" for it in sketch.lines]
    lines += [
        f"hose {it.letter} {it.carries} {'flows' if it.flows else 'still'} {_points(it.points)}" for it in sketch.hoses
    ]
    lines += [f"valve {it.id} {it.state} {it.x:.1f},{it.y:.1f}{' small' if it.small else ''}" for it in sketch.valves]
    lines += [f"{it.kind} {it.part} {it.x:.1f},{it.y:.1f}" for it in sketch.inline]
    lines += [f"tag {it.letter} {it.x:.1f},{it.y:.1f}" for it in sketch.tags]
    lines += [f"arrow {it.way} {it.x:.1f},{it.y:.1f}" for it in sketch.arrows]
    lines += [f"label {it.x:.1f},{it.y:.1f} {it.anchor} {it.size:g} {' | '.join(it.lines)}" for it in sketch.labels]
    lines += [f"key {it.kind} {it.x:.1f}" for it in sketch.legend]
    return "\n".join(lines) + "\n"


def _box(box: Rect) -> str:
    return f"{box.x:.1f},{box.y:.1f} {box.w:.1f}x{box.h:.1f}"


def _points(points: tuple[tuple[float, float], ...]) -> str:
    return " ".join(f"{x:.1f},{y:.1f}" for x, y in points)


def text_of(name: str) -> str:
    """All drawings of a variant."""
    return "".join(f"# {stage}\n{as_text(sketch)}" for stage, sketch in sketches(VARIANTS[name]).items())


@pytest.mark.parametrize("name", VARIANTS)
def test_geometry_is_as_looked_at(name: str) -> None:
    assert text_of(name) == (FOLDER / f"{name}.txt").read_text(encoding="utf-8")


def test_no_snapshot_is_left_over() -> None:
    assert {path.stem for path in FOLDER.glob("*.txt")} == set(VARIANTS)


if __name__ == "__main__":
    FOLDER.mkdir(exist_ok=True)
    for variant in VARIANTS:
        (FOLDER / f"{variant}.txt").write_text(text_of(variant), encoding="utf-8")
