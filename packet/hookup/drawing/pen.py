"""The pen: collects what a layout places. A layout says where parts stand; the pen knows what goes along a hose."""

from collections.abc import Iterable
from dataclasses import dataclass, field

from packet.hookup.drawing.run import Point, Spot, middle, rounded, string, string_back
from packet.hookup.drawing.shapes import (
    LEADING,
    NAME,
    SMALL,
    Anchor,
    Arrow,
    HosePath,
    InLine,
    Label,
    Legend,
    LetterTag,
    Line,
    Outline,
    Rect,
    Shape,
    Sketch,
    Valve,
    wrap,
)
from packet.hookup.hose_list import carries
from packet.hookup.parts import FITTINGS
from packet.hookup.rig import Rig
from packet.hookup.state import State, ValveState
from packet.words import N_, P_, pt, t

WIDTH = 186.0
LEGEND_ROW, LEAST_GAP, ROW_GAP = 5.4, 2.0, 7.0
# how far on the words begin behind a line's piece, and behind a valve
LINE_MARK, VALVE_MARK = 10.0, 7.2
STATE_WORDS: dict[ValveState, str] = {"open": N_("open"), "closed": N_("closed"), "cracked": N_("throttled")}
STEM_WORDS: dict[ValveState, str] = {
    "open": P_("drawing", "mid-position"),
    "closed": P_("drawing", "back-seated"),
    "cracked": P_("drawing", "off its seat"),
}
LENGTHS = {"tag": 5.4, "shut-off": 4.4, "glass": 7.2, "gauge": 6.0, "tee": 4.8}


IN_LINE = {"sight-glass": "glass", "gauge": "gauge"}


@dataclass(slots=True)
class Pen:
    """Collects the geometry of one drawing. stage: what is being recovered, for line styles and flow."""

    rig: Rig
    state: State
    stage: str
    shapes: list[Shape] = field(default_factory=list)
    lines: list[Line] = field(default_factory=list)
    valves: list[Valve] = field(default_factory=list)
    hoses: list[HosePath] = field(default_factory=list)
    inline: list[InLine] = field(default_factory=list)
    tags: list[LetterTag] = field(default_factory=list)
    arrows: list[Arrow] = field(default_factory=list)
    labels: list[Label] = field(default_factory=list)

    def shape(self, outline: Outline, part: str, box: Rect) -> None:
        """A part's outline."""
        self.shapes.append(Shape(outline, part, box))

    def line(self, part: str, *points: Point) -> None:
        """A rigid line of a part."""
        self.lines.append(Line(part, points))

    def say(
        self,
        about: str,
        at: Point,
        lines: Iterable[str],
        *,
        anchor: Anchor = "start",
        size: float = SMALL,
        bold: bool = False,
    ) -> None:
        """A label with its first baseline at this point."""
        self.labels.append(Label(about, *at, anchor, tuple(lines), size, bold=bold))

    def valve(
        self, valve: str, at: Point, *name: str, level: bool = True, anchor: Anchor | None = None, stem: bool = False
    ) -> None:
        """A part's valve with its short name and how it stands; beside it when its line is upright, else above.

        anchor: where its words begin or end; they are in its middle, or begin on its right.
        """
        x, y = at
        state = self.state.valves[valve]
        self.valves.append(Valve(valve, x, y, level, state))
        word = t(STEM_WORDS[state] if stem else STATE_WORDS[state])
        if level:
            anchor = anchor or "middle"
            beside = {"middle": x, "start": x - 3.0, "end": x + 3.0}[anchor]
            self.say(valve, (beside, y - 4.0 - len(name) * LEADING * SMALL), (*name, word), anchor=anchor)
        else:
            anchor = anchor or "start"
            self.say(valve, (x + 3.6 if anchor == "start" else x - 3.6, y - 0.9), (*name, word), anchor=anchor)

    def hose(self, letter: str, points: tuple[Point, ...]) -> None:
        """A hose along these points, from the end that gas comes from, with everything that stands on it."""
        start, finish = self._ends(letter)
        first = self._along(start)
        last = self._along(finish)
        front = [*string(points, tuple(LENGTHS[kind] for kind, _ in first))]
        back = [*string_back(points, tuple(LENGTHS[kind] for kind, _ in last))]
        for (kind, name), spot in [*zip(first, front, strict=True), *zip(last, back, strict=True)]:
            self._place(letter, kind, name, spot)
        flows = self._flows(letter)
        self.hoses.append(HosePath(letter, carries(letter, self.stage), points, rounded(points), flows=flows))
        if flows:
            spot = middle(points, [*front, *back], 3.2)
            self.arrows.append(Arrow(spot.x, spot.y, spot.way))

    def _ends(self, letter: str) -> tuple[str, str]:
        """The hose's ends: where gas comes from, where it goes."""
        if letter == "B" and self.stage == "push-pull":
            return "B2", "B1"
        return f"{letter}1", f"{letter}2"

    def _along(self, end: str) -> list[tuple[str, str]]:
        """What stands on the run at this end, seen from the part: fittings in line, shut-off, letter."""
        bench, state = self.rig.bench, self.state
        fittings: list[tuple[str, str]] = []
        port = state.mates.get(end)
        while port is not None and bench.part_of(port).kind in FITTINGS - {"drier"}:
            part = bench.part_of(port)
            fittings.append((IN_LINE.get(part.kind, "tee"), part.id))
            through = next(item.id for item in part.ports if item.id != port and not item.valved)
            port = state.mates.get(through)
        fittings.reverse()
        if bench.ports[end].valved:
            fittings.append(("shut-off", end))
        return [*fittings, ("tag", "")]

    def _place(self, letter: str, kind: str, name: str, spot: Spot) -> None:
        if kind == "tag":
            self.tags.append(LetterTag(letter, spot.x, spot.y))
        elif kind == "shut-off":
            self.valves.append(Valve(name, spot.x, spot.y, spot.level, self.state.valves[name], small=True))
        else:
            item = InLine(
                "glass" if kind == "glass" else "gauge" if kind == "gauge" else "tee", name, spot.x, spot.y, spot.level
            )
            self.inline.append(item)
            if kind == "glass":
                words = self.rig.bench.parts[name].name
                self.say(name, (item.box.right, item.box.bottom + 3.3), (words,), anchor="end")
            elif kind == "gauge":
                words = pt("drawing", "abs. gauge")
                self.say(name, (spot.x, item.box.bottom + 3.3), (words,), anchor="middle")
            else:
                below = (spot.x - 3.2, item.box.bottom + 3.3)
                self.say(name, below if self.stage == "push-pull" else (spot.x + 2.4, spot.y + 6.6), (t("tee"),))
                branch = f"{name}.branch"
                self.valves.append(
                    Valve(branch, spot.x, spot.y + 4.6, level=False, state=self.state.valves[branch], small=True)
                )

    def _flows(self, letter: str) -> bool:
        """Open from the part at one end to the part at the other."""
        bench, state = self.rig.bench, self.state
        for end in (f"{letter}1", f"{letter}2"):
            port: str | None = end
            while port is not None:
                if bench.ports[port].valved and state.valves[port] == "closed":
                    return False
                mate = state.mates.get(port)
                if mate is None:
                    return False
                if bench.ports[mate].valved and state.valves[mate] == "closed":
                    return False
                part = bench.part_of(mate)
                if part.kind not in FITTINGS:
                    break
                port = next(item.id for item in part.ports if item.id != mate and not item.valved)
        return True

    def sketch(self, height: float, legend_at: Point, *, in_rows: bool = False) -> Sketch:
        """Everything collected, with the legend of what is in it: two columns from this first baseline, or two rows."""
        legend = self._legend(*legend_at, in_rows=in_rows)
        return Sketch(
            WIDTH,
            max(height, legend[-1].y + 2.0),
            tuple(self.shapes),
            tuple(self.lines),
            tuple(self.valves),
            tuple(self.hoses),
            tuple(self.inline),
            tuple(self.tags),
            tuple(self.arrows),
            tuple(self.labels),
            legend,
        )

    def _legend(self, x: float, y: float, *, in_rows: bool) -> tuple[Legend, ...]:
        """What the lines are, and how the valves stand."""
        styles = [
            style for style in ("liquid", "vapor", "utility") if any(hose.carries == style for hose in self.hoses)
        ]
        states = [name for name in ("open", "closed", "cracked") if any(valve.state == name for valve in self.valves)]
        if any(valve.small for valve in self.valves):
            states.append("shut-off")
        words = {
            "liquid": t("liquid side"),
            "vapor": t("vapor side"),
            "utility": pt("drawing", "machine hoses"),
            "open": t("open"),
            "closed": t("closed"),
            "cracked": t("throttled"),
            "shut-off": t("shut-off"),
        }
        keys: list[Legend] = []
        for number, (kinds, after) in enumerate(((styles, LINE_MARK), (states, VALVE_MARK))):
            left = x if in_rows or not keys else max(key.box.right for key in keys) + LEAST_GAP
            for row, kind in enumerate(kinds):
                at = y + LEGEND_ROW * (number if in_rows else row)
                keys.append(Legend(kind, round(left, 2), words[kind], round(at, 2), after))
                left = keys[-1].box.right + ROW_GAP if in_rows else left
        return tuple(keys)


def name_lines(text: str, width: float, most: int, size: float = NAME) -> tuple[str, ...]:
    """A name that fits a width, in bold."""
    return wrap(text, width, size, most, bold=True)
