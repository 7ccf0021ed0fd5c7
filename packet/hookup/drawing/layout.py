"""Two layouts: recovering through the manifold, and push-pull. Where each part stands, and how the hoses run.

Ports face one another, so that hoses run straight or turn once or twice and none crosses another.
"""

from packet.hookup.drawing.pen import Pen
from packet.hookup.drawing.run import rounded
from packet.hookup.drawing.shapes import NAME, SMALL, HosePath, InLine, LetterTag, Rect, Sketch, wrap
from packet.hookup.drawing.stand import (
    HEIGHT,
    LEGEND_Y,
    LIQUID_Y,
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

MANIFOLD_X, MANIFOLD_W = 96.0, 26.0
MIDDLE_Y = 24.0
RECEIVE_Y = 68.0  # the liquid valve's outlet and the machine's discharge
TOP_Y = 56.0  # the vapor valve's outlet
CYLINDER_X = 60.0
PUSH_PULL_CYLINDER_X = 94.0
PUSH_PULL_VALVES_Y = 68.0


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
    return pen.sketch(HEIGHT, LEGEND_Y)


def _recover(pen: Pen, cylinder: CylinderNeed) -> None:
    rig = pen.rig
    _manifold(pen)
    for letter, used, y in (("B", rig.has_vapor, VAPOR_Y), ("A", rig.has_liquid, LIQUID_Y)):
        if used:
            pen.hose(letter, ((PORT_X, y), (MANIFOLD_X - 10, y)))
    top = 62.0
    machine(pen, top)
    inlet_y = _suction(pen, top, up=True)
    utility_x = MANIFOLD_X + MANIFOLD_W + (12 if rig.utility_valves else 3)
    pen.hose("C", ((utility_x, MIDDLE_Y), (MACHINE_MIDDLE, MIDDLE_Y), (MACHINE_MIDDLE, inlet_y)))
    _discharge(pen, RECEIVE_Y)
    cylinder_body(pen, cylinder, CYLINDER_X)
    # the valve that the hose comes to stands lower, level with the machine's discharge: the hose runs straight
    lower, upper = (CYLINDER_X + 17, RECEIVE_Y, 1), (CYLINDER_X + 7, TOP_Y, 1)
    into_liquid = rig.receive(cylinder) == cylinder_port(cylinder.id, "liquid") or len(cylinder.valves) == 1
    cylinder_valves(pen, cylinder, *((lower, upper) if into_liquid else (upper, lower)))
    pen.hose("D", ((MACHINE_X - 11, RECEIVE_Y), (CYLINDER_X + 29, RECEIVE_Y)))
    cable(pen, cylinder, CYLINDER_X + 24, top + 26, 162.0)


def _manifold(pen: Pen) -> None:
    rig, x = pen.rig, MANIFOLD_X
    right = x + MANIFOLD_W
    pen.shape("manifold", "manifold", Rect(x, 8, MANIFOLD_W, 32))
    pen.say("manifold", (x + MANIFOLD_W / 2, 5.6), (t("manifold"),), anchor="middle", size=NAME, bold=True)
    for side, y, name in (("low", VAPOR_Y, t("low")), ("high", LIQUID_Y, t("high"))):
        pen.line("manifold", (x - 10, y), (x - 7, y))
        pen.line("manifold", (x - 1, y), (x, y))
        pen.valve(f"manifold.{side}", (x - 4, y), name, anchor="end")
    if rig.utility_valves:
        pen.line("manifold", (right, MIDDLE_Y), (right + 3, MIDDLE_Y))
        pen.line("manifold", (right + 9, MIDDLE_Y), (right + 12, MIDDLE_Y))
        pen.valve("manifold.utility", (right + 6, MIDDLE_Y), pt("drawing", "utility"))
        middle = x + MANIFOLD_W / 2
        pen.line("manifold", (middle, 40), (middle, 42))
        pen.line("manifold", (middle, 48), (middle, 50))
        pen.valve("manifold.vacuum", (middle, 45), t("vacuum"), level=False)
    else:
        pen.line("manifold", (right, MIDDLE_Y), (right + 3, MIDDLE_Y))


def _suction(pen: Pen, edge: float, *, up: bool) -> float:
    """Inlet valve and drier on the machine's suction, upwards or downwards from its edge; where the hose ends."""
    way = -1 if up else 1
    x = MACHINE_MIDDLE
    pen.line("machine", (x, edge - 3 * way), (x, edge + 2 * way))
    pen.valve("machine.suction", (x, edge + 5 * way), t("inlet"), level=False)
    pen.line("machine", (x, edge + 8 * way), (x, edge + 10 * way))
    if "drier" not in pen.rig.bench.parts:
        return edge + 10 * way
    top = edge + 20 * way if up else edge + 10
    pen.shape("drier", "drier", Rect(x - 4, top, 8, 10))
    # beside it on the side where no cable runs
    if up:
        pen.say("drier", (x + 6, top + 6), (pt("drawing", "filter-drier"),))
    else:
        pen.say("drier", (x - 6, top + 6), (pt("drawing", "filter-drier"),), anchor="end")
    return edge + 20 * way


def _discharge(pen: Pen, y: float) -> None:
    pen.line("machine", (MACHINE_X, y), (MACHINE_X - 2, y))
    pen.line("machine", (MACHINE_X - 8, y), (MACHINE_X - 11, y))
    pen.valve("machine.discharge", (MACHINE_X - 5, y), t("discharge"), anchor="end")


def _push_pull(pen: Pen, cylinder: CylinderNeed) -> None:
    top = 6.0
    machine(pen, top)
    _discharge(pen, VAPOR_Y)
    pen.hose("B", ((MACHINE_X - 11, VAPOR_Y), (PORT_X, VAPOR_Y)))
    inlet_y = _suction(pen, top + 26, up=False)
    x, y = PUSH_PULL_CYLINDER_X, PUSH_PULL_VALVES_Y
    cylinder_body(pen, cylinder, x)
    cylinder_valves(pen, cylinder, (x + 6, y, -1), (x + 18, y, 1))
    pen.hose("A", ((PORT_X, LIQUID_Y), (62, LIQUID_Y), (62, y), (x - 6, y)))
    pen.hose("C", ((x + 30, y), (MACHINE_MIDDLE, y), (MACHINE_MIDDLE, inlet_y)))
    cable(pen, cylinder, x + 24, top + 26, 170.0)


def _service(pen: Pen, lines: tuple[HoseLine, ...]) -> None:
    """Hose P with its gauge, and the nitrogen: not on while it runs, so they stand in a row of their own below."""
    x, y = 4.0, SERVICE_Y
    for letter in ("P", "N"):
        line = next((item for item in lines if item.letter == letter), None)
        if line is None:
            continue
        box_w = 22.0 if letter == "P" else 17.0
        pen.shape("bottle", "pump" if letter == "P" else "nitrogen", Rect(x, y - 3.6, box_w, 7.2))
        about = "pump" if letter == "P" else "nitrogen"
        pen.say(
            about,
            (x + box_w / 2, y + 1.0),
            (pt("drawing", "vacuum pump") if letter == "P" else t("nitrogen"),),
            anchor="middle",
        )
        start = x + box_w
        finish = start + (28.0 if letter == "P" else 17.0)
        points = ((start, y), (finish, y))
        pen.hoses.append(HosePath(letter, "utility", points, rounded(points), flows=False))
        pen.tags += [LetterTag(letter, start + 3.4, y), LetterTag(letter, finish - (13.0 if letter == "P" else 3.4), y)]
        words = [t("before the start:"), *wrap(_service_to(pen, line), 36.0, SMALL, 1)]
        if letter == "P":
            pen.inline.append(InLine("gauge", "micron", finish - 5.0, y, level=True))
            pen.say("micron", (finish - 9.4, y + 6.6), (t("micron gauge"),))
        else:
            words = [t("at the end:"), *wrap(_service_to(pen, line), 36.0, SMALL, 1)]
        pen.say(f"to:{letter}", (finish + 1.4, y - 0.8), words)
        x = finish + 40.0


def _service_to(pen: Pen, line: HoseLine) -> str:
    """Where it goes, short."""
    if pen.rig.kit.header is not None and line.letter == "P" and pen.stage == "push-pull":
        return t("header, both tees")
    if pen.stage == "push-pull" and line.letter == "P":
        return t("each tee in turn")
    return t("manifold vacuum port") if "manifold.vacuum" in pen.rig.bench.ports else t("tee at the manifold")
