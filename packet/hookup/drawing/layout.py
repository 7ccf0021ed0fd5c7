"""Two layouts: recovering through the manifold, and push-pull. Where each part stands, and how the hoses run.

Ports face one another, so that hoses run straight or turn once or twice and none crosses another.
"""

from packet.hookup.drawing.pen import Pen
from packet.hookup.drawing.run import rounded
from packet.hookup.drawing.shapes import NAME, SMALL, Anchor, HosePath, InLine, LetterTag, Rect, Sketch, wrap
from packet.hookup.drawing.stand import (
    CYLINDER_W,
    HEIGHT,
    LIQUID_Y,
    MACHINE_H,
    MACHINE_MIDDLE,
    MACHINE_X,
    PORT_X,
    SERVICE_Y,
    VAPOR_Y,
    appliance,
    cable,
    cylinder_body,
    cylinder_valves,
    machine,
    waiting,
)
from packet.hookup.model import HoseLine
from packet.hookup.request import CylinderNeed
from packet.hookup.rig import Rig
from packet.hookup.rig_parts import cylinder_port
from packet.hookup.state import State
from packet.words import pt, t

MANIFOLD_X, MANIFOLD_W, MANIFOLD_Y, MANIFOLD_H = 94.0, 26.0, 11.0, 32.0
MIDDLE_Y = MANIFOLD_Y + MANIFOLD_H / 2
RECEIVE_Y = 66.0  # the liquid valve's outlet and the machine's discharge
TOP_Y = 54.0  # the vapor valve's outlet
CYLINDER_X = 67.0
# a cylinder's two risers, from its left
RISERS = (9.0, 24.0)
PUSH_PULL_CYLINDER_X = 93.0
PUSH_PULL_VALVES_Y = 66.0
# the legend has the free ground left of the cylinder, or above it where there is no manifold
LEGEND_LEFT, LEGEND_ABOVE = (1.0, 51.4), (71.0, 30.0)
# where a receiver stands there it goes below everything
LEGEND_BELOW_Y = 123.0


def lay_out(rig: Rig, state: State, stage: str, cylinder: CylinderNeed, service: tuple[HoseLine, ...] = ()) -> Sketch:
    """The geometry of a running stage with this cylinder on; service: what is connected before and after it runs."""
    pen = Pen(rig, state, stage)
    appliance(pen)
    if stage == "push-pull":
        _push_pull(pen, cylinder)
    else:
        _recover(pen, cylinder)
    waiting(pen, cylinder)
    _service(pen, service)
    if rig.request.isolated == "receiver":
        return pen.sketch(HEIGHT, (2.0, LEGEND_BELOW_Y), in_rows=True)
    return pen.sketch(HEIGHT, LEGEND_ABOVE if stage == "push-pull" else LEGEND_LEFT)


def _recover(pen: Pen, cylinder: CylinderNeed) -> None:
    rig = pen.rig
    _manifold(pen)
    for letter, used, y in (("B", rig.has_vapor, VAPOR_Y), ("A", rig.has_liquid, LIQUID_Y)):
        if used:
            pen.hose(letter, ((PORT_X, y), (MANIFOLD_X - 10, y)))
    top = RECEIVE_Y - 8.0
    machine(pen, top)
    inlet_y = _suction(pen, top, up=True)
    utility_x = MANIFOLD_X + MANIFOLD_W + (12 if rig.utility_valves else 3)
    pen.hose("C", ((utility_x, MIDDLE_Y), (MACHINE_MIDDLE, MIDDLE_Y), (MACHINE_MIDDLE, inlet_y)))
    _discharge(pen, RECEIVE_Y)
    cylinder_body(pen, cylinder, CYLINDER_X)
    # the valve that the hose comes to stands lower, level with the machine's discharge: the hose runs straight
    lower, upper = (CYLINDER_X + RISERS[1], RECEIVE_Y, 1), (CYLINDER_X + RISERS[0], TOP_Y, 1)
    into_liquid = rig.receive(cylinder) == cylinder_port(cylinder.id, "liquid") or len(cylinder.valves) == 1
    cylinder_valves(pen, cylinder, *((lower, upper) if into_liquid else (upper, lower)))
    pen.hose("D", ((MACHINE_X - 11, RECEIVE_Y), (CYLINDER_X + RISERS[1] + 12, RECEIVE_Y)))
    cable(pen, cylinder, CYLINDER_X + CYLINDER_W, top + MACHINE_H, 174.0)


def _manifold(pen: Pen) -> None:
    rig, x = pen.rig, MANIFOLD_X
    right = x + MANIFOLD_W
    pen.shape("manifold", "manifold", Rect(x, MANIFOLD_Y, MANIFOLD_W, MANIFOLD_H))
    pen.say("manifold", (x + MANIFOLD_W / 2, MANIFOLD_Y - 2.4), (t("manifold"),), anchor="middle", size=NAME, bold=True)
    for side, y, name in (("low", VAPOR_Y, t("low")), ("high", LIQUID_Y, t("high"))):
        pen.line("manifold", (x - 10, y), (x - 7, y))
        pen.line("manifold", (x - 1, y), (x, y))
        pen.valve(f"manifold.{side}", (x - 4, y), name, anchor="end")
    if rig.utility_valves:
        pen.line("manifold", (right, MIDDLE_Y), (right + 3, MIDDLE_Y))
        pen.line("manifold", (right + 9, MIDDLE_Y), (right + 12, MIDDLE_Y))
        pen.valve("manifold.utility", (right + 6, MIDDLE_Y), pt("drawing", "utility"), anchor="start")
        middle = x + MANIFOLD_W / 2
        bottom = MANIFOLD_Y + MANIFOLD_H
        pen.line("manifold", (middle, bottom), (middle, bottom + 2))
        pen.line("manifold", (middle, bottom + 8), (middle, bottom + 10))
        pen.valve("manifold.vacuum", (middle, bottom + 5), t("vacuum"), level=False)
    else:
        pen.line("manifold", (right, MIDDLE_Y), (right + 3, MIDDLE_Y))


def _suction(pen: Pen, edge: float, *, up: bool) -> float:
    """Inlet valve and drier on the machine's suction, upwards or downwards from its edge; where the hose ends."""
    way = -1 if up else 1
    x = MACHINE_MIDDLE
    pen.line("machine", (x, edge - 3 * way), (x, edge + 2 * way))
    # on the side where no cable runs
    side: Anchor = "start" if up else "end"
    pen.valve("machine.suction", (x, edge + 5 * way), t("inlet"), level=False, anchor=side)
    pen.line("machine", (x, edge + 8 * way), (x, edge + 10 * way))
    if "drier" not in pen.rig.bench.parts:
        return edge + 10 * way
    top = edge + 20 * way if up else edge + 10
    pen.shape("drier", "drier", Rect(x - 4, top, 8, 10))
    words = wrap(pt("drawing", "filter-drier"), 19.0, SMALL, 2)
    pen.say("drier", (x + 6 if up else x - 6, top + 4.2), words, anchor=side)
    return edge + 20 * way


def _discharge(pen: Pen, y: float) -> None:
    pen.line("machine", (MACHINE_X, y), (MACHINE_X - 2, y))
    pen.line("machine", (MACHINE_X - 8, y), (MACHINE_X - 11, y))
    pen.valve("machine.discharge", (MACHINE_X - 5, y), t("discharge"), anchor="end")


def _push_pull(pen: Pen, cylinder: CylinderNeed) -> None:
    top = VAPOR_Y - 10.0
    machine(pen, top)
    _discharge(pen, VAPOR_Y)
    pen.hose("B", ((MACHINE_X - 11, VAPOR_Y), (PORT_X, VAPOR_Y)))
    inlet_y = _suction(pen, top + MACHINE_H, up=False)
    x, y = PUSH_PULL_CYLINDER_X, PUSH_PULL_VALVES_Y
    cylinder_body(pen, cylinder, x)
    cylinder_valves(pen, cylinder, (x + RISERS[0], y, -1), (x + RISERS[1], y, 1))
    pen.hose("A", ((PORT_X, LIQUID_Y), (62, LIQUID_Y), (62, y), (x + RISERS[0] - 12, y)))
    pen.hose("C", ((x + RISERS[1] + 12, y), (MACHINE_MIDDLE, y), (MACHINE_MIDDLE, inlet_y)))
    cable(pen, cylinder, x + CYLINDER_W, top + MACHINE_H, 174.0)


def _service(pen: Pen, lines: tuple[HoseLine, ...]) -> None:
    """Hose P with its gauge, and the nitrogen: not on while it runs, so they stand in a row of their own below."""
    x, y = 2.0, SERVICE_Y
    for letter in ("P", "N"):
        line = next((item for item in lines if item.letter == letter), None)
        if line is None:
            continue
        box_w = 30.0 if letter == "P" else 24.0
        pen.shape("bottle", "pump" if letter == "P" else "nitrogen", Rect(x, y - 3.6, box_w, 7.2))
        about = "pump" if letter == "P" else "nitrogen"
        pen.say(
            about,
            (x + box_w / 2, y + 1.4),
            (pt("drawing", "vacuum pump") if letter == "P" else t("nitrogen"),),
            anchor="middle",
        )
        start = x + box_w
        finish = start + (26.0 if letter == "P" else 17.0)
        points = ((start, y), (finish, y))
        pen.hoses.append(HosePath(letter, "utility", points, rounded(points), flows=False))
        pen.tags += [LetterTag(letter, start + 3.6, y), LetterTag(letter, finish - (10.0 if letter == "P" else 3.6), y)]
        when = t("before the start:") if letter == "P" else t("at the end:")
        if letter == "P":
            pen.inline.append(InLine("gauge", "micron", finish - 3.2, y, level=True))
            pen.say("micron", (finish - 6.0, y + 7.0), (t("micron gauge"),), anchor="end")
        pen.say(f"to:{letter}", (finish + 1.4, y - 3.2), (when, *wrap(_service_to(pen, line), 40.0, SMALL, 2)))
        x = finish + 42.0


def _service_to(pen: Pen, line: HoseLine) -> str:
    """Where it goes, short."""
    if pen.rig.kit.header is not None and line.letter == "P" and pen.stage == "push-pull":
        return t("header, both tees")
    if pen.stage == "push-pull" and line.letter == "P":
        return t("each tee in turn")
    return t("manifold vacuum port") if "manifold.vacuum" in pen.rig.bench.ports else t("tee at the manifold")
