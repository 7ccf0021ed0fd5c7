"""Nothing in a drawing lies on anything else: every variant, one to four cylinders, long names. By geometry."""

from itertools import combinations

import pytest
from shapely.geometry import LineString, box
from shapely.geometry.base import BaseGeometry

from packet.hookup.drawing.shapes import Label, Legend, Rect, Sketch
from packet.press.html import TEXT_WIDTH_MM
from packet.words import languages, speaking
from tests.hookup.drawn import sketches, with_cylinders
from tests.hookup.variants import VARIANTS

# 11.3 pt at full size: 9.5 pt where the page makes a drawing 0.84 of it
LETTERS_MM = 4.0
HOSE_WIDTH_MM = 2.4
CASES = [
    pytest.param(name, count, long_names, id=f"{name}-{count}-{'long' if long_names else 'short'}")
    for name in VARIANTS
    for count in (1, 2, 3, 4)
    for long_names in (False, True)
    if count in {1, 4} or not long_names
]


def _area(found: Rect) -> BaseGeometry:
    return box(found.x, found.y, found.right, found.bottom)


def _overlap(one: BaseGeometry, other: BaseGeometry) -> bool:
    return bool(one.intersection(other).area > 0.01)


def _things(sketch: Sketch) -> list[tuple[str, BaseGeometry]]:
    """Labels and everything that stands on a line."""
    return [
        *((f"label {label.lines}", _area(label.box)) for label in sketch.labels),
        *((f"key {key.text}", _area(key.box)) for key in sketch.legend),
        *((f"tag {tag.letter} at {tag.x},{tag.y}", _area(tag.box)) for tag in sketch.tags),
        *((f"valve {valve.id}", _area(valve.box)) for valve in sketch.valves if not valve.id.endswith(".branch")),
        *((f"{item.kind} {item.part}", _area(item.box)) for item in sketch.inline),
        *((f"arrow at {arrow.x},{arrow.y}", _area(Rect(arrow.x - 2, arrow.y - 2, 4, 4))) for arrow in sketch.arrows),
    ]


def breaches_of(sketch: Sketch) -> list[str]:
    """What lies on what."""
    found = []
    things = _things(sketch)
    words: tuple[Label | Legend, ...] = (*sketch.labels, *sketch.legend)
    found += [f"{a} on {b}" for (a, one), (b, other) in combinations(things, 2) if _overlap(one, other)]
    shapes = [(shape, _area(shape.box)) for shape in sketch.shapes]
    for one, other in combinations(shapes, 2):
        # a cylinder stands on the scale
        if _overlap(one[1], other[1]):
            found.append(f"{one[0].part} on {other[0].part}")
    for key in sketch.legend:
        found += [f"key {key.text} on {shape.part}" for shape, area in shapes if _overlap(_area(key.box), area)]
    for label in sketch.labels:
        for shape, area in shapes:
            if not _overlap(_area(label.box), area):
                continue
            inside = area.contains(_area(label.box))
            if not (inside and label.about == shape.part):
                found.append(f"label {label.lines} on {shape.part}")
    for hose in sketch.hoses:
        line = LineString(hose.points)
        ink = line.buffer(HOSE_WIDTH_MM / 2, cap_style="flat")
        found += [f"hose {hose.letter} through {shape.part}" for shape, area in shapes if _overlap(ink, area)]
        found += [f"hose {hose.letter} under {it}" for it in words if _overlap(ink, _area(it.box))]
        for rigid in sketch.lines:
            other_line = LineString(rigid.points)
            if line.crosses(other_line):
                found.append(f"hose {hose.letter} across a line of {rigid.part}")
    for one_hose, other_hose in combinations(sketch.hoses, 2):
        if LineString(one_hose.points).distance(LineString(other_hose.points)) < HOSE_WIDTH_MM:
            found.append(f"hoses {one_hose.letter} and {other_hose.letter} touch")
    for said in words:
        for rigid in sketch.lines:
            if _area(said.box).intersects(LineString(rigid.points)):
                found.append(f"{said} on a line of {rigid.part}")
    canvas = box(0, 0, sketch.width, sketch.height)
    found += [f"{name} outside" for name, area in things if not canvas.contains(area)]
    return found


@pytest.mark.parametrize("language", languages())
@pytest.mark.parametrize(("name", "count", "long_names"), CASES)
def test_nothing_lies_on_anything(name: str, count: int, long_names: bool, language: str) -> None:
    request = with_cylinders(VARIANTS[name], count, long_names=long_names)
    with speaking(language):
        drawings = sketches(request)
    assert drawings
    for stage, sketch in drawings.items():
        assert breaches_of(sketch) == [], stage


@pytest.mark.parametrize("name", VARIANTS)
def test_a_drawing_is_complete(name: str) -> None:
    """Each hose has its letter at both ends; what flows has an arrow; every valve on a line is in it; it fits a page."""
    request = VARIANTS[name]
    for stage, sketch in sketches(request).items():
        letters = [tag.letter for tag in sketch.tags]
        assert sorted(set(letters)) == [hose.letter for hose in sorted(sketch.hoses, key=lambda hose: hose.letter)]
        assert all(letters.count(letter) == 2 for letter in letters)
        assert len(sketch.arrows) == sum(hose.flows for hose in sketch.hoses)
        expected = 3 if stage == "push-pull" else 2 + len(request.ports)
        running = [hose for hose in sketch.hoses if hose.letter not in {"P", "N"}]
        assert len(running) == expected
        assert ("P" in letters) == request.vacuum_purge
        assert sum(hose.flows for hose in sketch.hoses) >= min(expected, 3)
        assert sketch.width <= TEXT_WIDTH_MM
        assert sketch.height <= (131 if request.isolated == "receiver" else 117)
        assert all(label.size >= LETTERS_MM for label in sketch.labels)


@pytest.mark.parametrize("name", VARIANTS)
def test_few_bends_and_no_crossings(name: str) -> None:
    for sketch in sketches(VARIANTS[name]).values():
        assert all(len(hose.points) <= 4 for hose in sketch.hoses)
        assert sum(len(hose.points) - 2 for hose in sketch.hoses) <= 3
        for one, other in combinations(sketch.hoses, 2):
            assert not LineString(one.points).crosses(LineString(other.points))


@pytest.mark.parametrize("language", languages())
def test_no_word_of_a_drawing_is_cut_short(language: str) -> None:
    """A switch that reads 'recover, …' says neither liquid nor vapor; only a long name that somebody typed is."""
    with speaking(language):
        cut = {
            line
            for name in VARIANTS
            for sketch in sketches(with_cylinders(VARIANTS[name], 1, long_names=False)).values()
            for label in sketch.labels
            for line in label.lines
            if "…" in line
        }
    assert cut == set()
