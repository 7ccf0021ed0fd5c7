"""Parts that stand the same way in every layout: appliance, cylinders, machine, scale, cable."""

from packet.hookup.drawing.pen import Pen, name_lines
from packet.hookup.drawing.shapes import LARGE, NAME, SMALL, Outline, Rect, text_width
from packet.hookup.parts import cylinder_part
from packet.hookup.request import CylinderNeed
from packet.hookup.rig_parts import cylinder_port
from packet.hookup.stages.say import weight, word_liquid, word_vapor
from packet.words import N_, pt, t

APPLIANCE_RIGHT = 40.0
VAPOR_Y = 14.0
LIQUID_Y = 34.0
PORT_X = 52.0  # where the appliance's hoses begin
MACHINE_X, MACHINE_W = 138.0, 34.0
MACHINE_MIDDLE = 154.0
CYLINDER_TOP, CYLINDER_BOTTOM = 76.0, 100.0
SERVICE_Y = 110.0
LEGEND_Y = 123.0
HEIGHT = 125.0

# what a job file says where no designation holds
_UNNAMED = {"unknown": N_("unidentified gas"), "mixed": N_("mixed gas")}
_OUTLINES: dict[str, Outline] = {
    "chiller": "chiller",
    "small-appliance": "cabinet",
    "reach-in": "cabinet",
    "ice-machine": "cabinet",
    "rack": "rack",
    "walk-in": "rack",
}


def appliance(pen: Pen) -> None:
    """The appliance at the top left with its valves on its right side."""
    request = pen.rig.request
    pen.shape(_OUTLINES.get(request.kind, "unit"), "appliance", Rect(4, 6, APPLIANCE_RIGHT - 4, 38))
    pen.say("appliance", (22, 11), (t("appliance"),), anchor="middle", size=NAME, bold=True)
    gas = t(_UNNAMED.get(request.refrigerant, request.refrigerant))
    pen.say("appliance", (22, 15), name_lines(gas, 33, 1, SMALL), anchor="middle", size=SMALL)
    for port, y in (("vapor", VAPOR_Y), ("liquid", LIQUID_Y)):
        if port not in request.ports:
            continue
        if port in request.hose_end_ports:
            pen.line("appliance", (APPLIANCE_RIGHT, y), (PORT_X, y))
            words = t("liquid port") if port == "liquid" else t("suction port")
            pen.say("appliance", (43, y - 4.4), (words,))
            continue
        pen.line("appliance", (APPLIANCE_RIGHT, y), (43, y))
        pen.line("appliance", (49, y), (PORT_X, y))
        pen.valve(f"appliance.{port}", (46, y), port_name(pen, port), anchor="start", stem=has_stem(pen, port))
    if request.isolated == "receiver":
        _receiver(pen)


def has_stem(pen: Pen, port: str) -> bool:
    """A service or king valve: its gauge port is open in mid-position and closed when it is back-seated."""
    request = pen.rig.request
    kind = request.port_kinds["liquid" if port == "liquid" else "vapor"]
    return kind in {"service-valve", "king-valve"} and not (port == "liquid" and request.pumps_down)


def port_name(pen: Pen, port: str) -> str:
    """What closes a port, short."""
    kind = pen.rig.request.port_kinds["liquid" if port == "liquid" else "vapor"]
    if kind == "king-valve":
        return t("king valve")
    if kind == "service-valve":
        return pt("drawing", "liquid service valve") if port == "liquid" else pt("drawing", "suction service valve")
    if kind == "schrader":
        return t("core tool")
    return t("piercing valve") if kind == "piercing" else t("access valve")


def _receiver(pen: Pen) -> None:
    pen.shape("receiver", "receiver", Rect(4, 56, 44, 8))
    pen.say("receiver", (26, 61.2), (t("receiver"),), anchor="middle", size=NAME, bold=True)
    for valve, x, name in (("receiver.king", 9.0, t("outlet")), ("receiver.inlet", 28.0, t("inlet"))):
        pen.line("receiver", (x, 44), (x, 47))
        pen.line("receiver", (x, 53), (x, 56))
        pen.valve(valve, (x, 50), name, level=False)


def cylinder_body(pen: Pen, cylinder: CylinderNeed, x: float) -> None:
    """The cylinder that is filled, on the scale, with its weights inside; 24 mm wide from x."""
    request = pen.rig.request
    part = cylinder_part(cylinder.id)
    pen.shape("cylinder", part, Rect(x, CYLINDER_TOP - 4, 24, CYLINDER_BOTTOM - CYLINDER_TOP + 4))
    lines = name_lines(cylinder.id, 20, 2)
    pen.say(part, (x + 12, 82.4), lines, anchor="middle", size=NAME, bold=True)
    stop = weight(request, cylinder.stop_gross_lb)
    if cylinder.change_at_gross_lb is None:
        pen.say(part, (x + 12, 91.6), (t("stop at"),), anchor="middle")
        pen.say(part, (x + 12, 96.2), (stop,), anchor="middle", size=_fitting(stop), bold=True)
    else:
        pen.say(part, (x + 12, 90.0), (t("change at"),), anchor="middle")
        change = weight(request, cylinder.change_at_gross_lb)
        pen.say(part, (x + 12, 94.2), (change,), anchor="middle", size=NAME, bold=True)
        if change != stop:
            pen.say(part, (x + 12, 98.2), (t("stop {weight}", weight=stop),), anchor="middle")
    pen.shape("scale", "scale", Rect(x - 3, CYLINDER_BOTTOM, 30, 2.6))
    pen.say("scale", (x + 29, 102), name_lines(t("scale {id}", id=request.scale), 34, 1, SMALL))


def _fitting(figure: str) -> float:
    """The largest size at which a weight fits into the cylinder."""
    return LARGE if text_width(figure, LARGE, bold=True) <= 22 else NAME


def cylinder_valves(
    pen: Pen, cylinder: CylinderNeed, liquid: tuple[float, float, int], vapor: tuple[float, float, int]
) -> None:
    """Risers, stubs and valves. liquid, vapor: the riser's x, the outlet's y, and its way (-1 left, 1 right).

    A cylinder with one valve has it where the liquid valve would stand: that is where the hose comes.
    """
    part = cylinder_part(cylinder.id)
    names = {"liquid": t("liquid"), "vapor": t("vapor")}
    places = {"liquid": liquid, "vapor": vapor}
    for valve in ("liquid", "vapor"):
        if valve not in cylinder.valves:
            continue
        x, y, way = places[valve] if len(cylinder.valves) > 1 else liquid
        pen.line(part, (x, CYLINDER_TOP + 3), (x, y), (x + 3 * way, y))
        pen.line(part, (x + 9 * way, y), (x + 12 * way, y))
        pen.valve(cylinder_port(cylinder.id, valve), (x + 6 * way, y), names[valve])


def waiting(pen: Pen, on: CylinderNeed) -> None:
    """The cylinders that follow, in their order; those already full are not drawn."""
    cylinders = pen.rig.request.cylinders
    after = cylinders[cylinders.index(on) + 1 :]
    if not after:
        return
    pen.say("waiting", (4, 71.5), (t("next, in this order:"),))
    for index, cylinder in enumerate(after[:3]):
        x = 4.0 + 17.0 * index
        part = cylinder_part(cylinder.id)
        pen.shape("waiting", part, Rect(x, 74, 14, 26))
        lines = name_lines(cylinder.id, 11.6, 5, SMALL)
        pen.say(part, (x + 7, 83), lines, anchor="middle", bold=True)


def machine(pen: Pen, y: float) -> None:
    """The recovery machine with its name and its switch as it is set while recovering; 26 mm high from y."""
    request = pen.rig.request
    pen.shape("machine", "machine", Rect(MACHINE_X, y, MACHINE_W, 26))
    middle = MACHINE_X + MACHINE_W / 2
    pen.say("machine", (middle, y + 6), (pt("drawing", "recovery machine"),), anchor="middle")
    pen.say("machine", (middle, y + 10.4), name_lines(request.machine, 31, 1), anchor="middle", size=NAME, bold=True)
    word = word_liquid(request) if pen.stage == "liquid" else word_vapor(request)
    lines = name_lines(t("switch: {word}", word=word), 31, 2, SMALL)
    pen.say("machine", (middle, y + 15.4), lines, anchor="middle", bold=True)


def cable(pen: Pen, cylinder: CylinderNeed, cylinder_right: float, up_to: float, x: float) -> None:
    """The float switch's cable from the cylinder's body to the machine."""
    if not cylinder.float_switch:
        return
    y = 96.0
    pen.line("cable", (cylinder_right, y), (x, y), (x, up_to))
    pen.say("cable", (cylinder_right + 6, y - 1.4), (pt("drawing", "float-switch cable"),))
