"""The pen: collects what a layout places. A layout says where parts stand; the pen knows what goes along a hose."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field

from packet.hookup.drawing.run import Point, Spot, middle, rounded, string, string_back
from packet.hookup.drawing.shapes import (
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
    text_width,
    wrap,
)
from packet.hookup.hose_list import carries
from packet.hookup.parts import FITTINGS
from packet.hookup.rig import Rig
from packet.hookup.state import State, ValveState
from packet.words import N_, P_, t

WIDTH = 180.0
LEGEND_MARGIN, LEGEND_ROW, LEAST_GAP = 4.0, 4.6, 2.0
STATE_WORDS: dict[ValveState, str] = {"open": N_("open"), "closed": N_("closed"), "cracked": N_("throttled")}
STEM_WORDS: dict[ValveState, str] = {
    "open": P_("drawing", "mid-position"),
    "closed": P_("drawing", "back-seated"),
    "cracked": P_("drawing", "off its seat"),
}
LENGTHS = {"tag": 5.0, "shut-off": 4.4, "glass": 7.2, "gauge": 6.0, "tee": 4.8}


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
        self, valve: str, at: Point, name: str, *, level: bool = True, anchor: Anchor = "middle", stem: bool = False
    ) -> None:
        """A part's valve with its short name and how it stands; beside it when its line is upright, else above."""
        x, y = at
        state = self.state.valves[valve]
        self.valves.append(Valve(valve, x, y, level, state))
        word = t(STEM_WORDS[state] if stem else STATE_WORDS[state])
        if level:
            beside = {"middle": x, "start": x - 3.0, "end": x + 3.0}[anchor]
            self.say(valve, (beside, y - 7.3), (name, word), anchor=anchor)
        else:
            self.say(valve, (x + 3.6, y - 0.5), (name, word))

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
            if kind in {"glass", "gauge"}:
                self.say(
                    name, (item.box.right, item.box.bottom + 2.8), (self.rig.bench.parts[name].name,), anchor="end"
                )
            else:
                self.say(name, (spot.x, item.box.bottom + 2.8), (t("tee"),), anchor="middle")
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

    def sketch(self, height: float, legend_y: float) -> Sketch:
        """Everything collected, with the legend of what is in it."""
        legend = self._legend(legend_y)
        return Sketch(
            WIDTH,
            height + legend[-1].y - legend_y,
            tuple(self.shapes),
            tuple(self.lines),
            tuple(self.valves),
            tuple(self.hoses),
            tuple(self.inline),
            tuple(self.tags),
            tuple(self.arrows),
            tuple(self.labels),
            legend,
            legend_y,
        )

    def _legend(self, y: float) -> tuple[Legend, ...]:
        styles = [
            style for style in ("liquid", "vapor", "utility") if any(hose.carries == style for hose in self.hoses)
        ]
        words = {
            "liquid": t("liquid side"),
            "vapor": t("vapor side"),
            "utility": t("machine hoses"),
            "open": t("open"),
            "closed": t("closed"),
            "cracked": t("throttled"),
            "shut-off": t("shut-off"),
        }
        states = [name for name in ("open", "closed", "cracked") if any(valve.state == name for valve in self.valves)]
        kinds = [*styles, *states]
        if any(valve.small for valve in self.valves):
            kinds.append("shut-off")
        marks = {"liquid": 11.0, "vapor": 11.0, "utility": 11.0}
        widths = {kind: marks.get(kind, 7.0) + 1.2 + text_width(words[kind], SMALL) for kind in kinds}
        # where the words are long, what the lines are stands above how the valves do
        rows = [kinds] if _gap(kinds, widths) >= LEAST_GAP else [styles, [kind for kind in kinds if kind not in styles]]
        keys = []
        for row, kinds_in_it in enumerate(rows):
            x = LEGEND_MARGIN
            for kind in kinds_in_it:
                keys.append(Legend(kind, round(x, 2), words[kind], round(y + row * LEGEND_ROW, 2)))
                x += widths[kind] + min(8.0, _gap(kinds_in_it, widths))
        return tuple(keys)


def _gap(kinds: Sequence[str], widths: Mapping[str, float]) -> float:
    """What is left between the entries of a row."""
    left = WIDTH - 2 * LEGEND_MARGIN - sum(widths[kind] for kind in kinds)
    return left / max(len(kinds) - 1, 1)


def name_lines(text: str, width: float, most: int, size: float = NAME) -> tuple[str, ...]:
    """A name that fits a width, in bold."""
    return wrap(text, width, size, most, bold=True)
