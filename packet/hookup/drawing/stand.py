"""Parts that stand the same way in every layout: appliance, cylinders, machine, scale, cable."""

from packet.hookup.drawing.pen import Pen, name_lines
from packet.hookup.drawing.shapes import LARGE, LEADING, NAME, SMALL, Outline, Rect, text_width, wrap
from packet.hookup.parts import cylinder_part
from packet.hookup.request import CylinderNeed
from packet.hookup.rig_parts import cylinder_port
from packet.hookup.stages.say import weight, word_liquid, word_vapor
from packet.words import P_, pt, t

APPLIANCE_X, APPLIANCE_RIGHT = 2.0, 38.0
VAPOR_Y = 18.0
LIQUID_Y = 37.0
PORT_X = 50.0  # where the appliance's hoses begin
MACHINE_X, MACHINE_W, MACHINE_H = 147.0, 38.0, 28.0
MACHINE_MIDDLE = 160.0  # where its suction is
CYLINDER_W, CYLINDER_TOP, CYLINDER_BOTTOM = 33.0, 72.0, 99.0
SERVICE_Y = 109.0
HEIGHT = 117.0
WAITING_W = 19.0
# what names a port has room beside the manifold's low and high
PORT_NAME_MM = 28.0

# what a job file says where no designation holds
_UNNAMED = {"unknown": P_("drawing", "unidentified"), "mixed": P_("drawing", "mixed gas")}
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
    pen.shape(_OUTLINES.get(request.kind, "unit"), "appliance", Rect(APPLIANCE_X, 6, APPLIANCE_RIGHT - APPLIANCE_X, 38))
    middle = (APPLIANCE_X + APPLIANCE_RIGHT) / 2
    pen.say("appliance", (middle, 11.2), (t("appliance"),), anchor="middle", size=NAME, bold=True)
    unnamed = _UNNAMED.get(request.refrigerant)
    gas = t(unnamed) if unnamed else request.refrigerant
    pen.say("appliance", (middle, 16), name_lines(gas, 35, 1, SMALL), anchor="middle", size=SMALL)
    for port, y in (("vapor", VAPOR_Y), ("liquid", LIQUID_Y)):
        if port not in request.ports:
            continue
        if port in request.hose_end_ports:
            pen.line("appliance", (APPLIANCE_RIGHT, y), (PORT_X, y))
            words = t("liquid port") if port == "liquid" else t("suction port")
            lines = wrap(words, PORT_NAME_MM, SMALL, 2)
            pen.say("appliance", (APPLIANCE_RIGHT + 1, y + 0.6 - len(lines) * LEADING * SMALL), lines)
            continue
        pen.line("appliance", (APPLIANCE_RIGHT, y), (41, y))
        pen.line("appliance", (47, y), (PORT_X, y))
        name = wrap(port_name(pen, port), PORT_NAME_MM, SMALL, 2)
        pen.valve(f"appliance.{port}", (44, y), *name, anchor="start", stem=has_stem(pen, port))
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
    pen.say("receiver", (26, 61.6), (t("receiver"),), anchor="middle", size=NAME, bold=True)
    for valve, x, name in (("receiver.king", 9.0, t("outlet")), ("receiver.inlet", 32.0, t("inlet"))):
        pen.line("receiver", (x, 44), (x, 47))
        pen.line("receiver", (x, 53), (x, 56))
        pen.valve(valve, (x, 50), name, level=False)


def cylinder_body(pen: Pen, cylinder: CylinderNeed, x: float) -> None:
    """The cylinder that is filled, on the scale, with its weights inside, from x."""
    request = pen.rig.request
    part = cylinder_part(cylinder.id)
    middle = x + CYLINDER_W / 2
    pen.shape("cylinder", part, Rect(x, CYLINDER_TOP - 4, CYLINDER_W, CYLINDER_BOTTOM - CYLINDER_TOP + 4))
    lines = name_lines(cylinder.id, CYLINDER_W - 4, 2)
    pen.say(part, (middle, 78.8), lines, anchor="middle", size=NAME, bold=True)
    stop = weight(request, cylinder.stop_gross_lb)
    if cylinder.change_at_gross_lb is None:
        pen.say(part, (middle, 89.6), (t("stop at"),), anchor="middle")
        pen.say(part, (middle, 95.8), (stop,), anchor="middle", size=_fitting(stop), bold=True)
    else:
        pen.say(part, (middle, 88.2), (t("swap at"),), anchor="middle")
        change = weight(request, cylinder.change_at_gross_lb)
        pen.say(part, (middle, 92.9), (change,), anchor="middle", size=NAME, bold=True)
        if change != stop:
            pen.say(part, (middle, 97.3), (t("stop {weight}", weight=stop),), anchor="middle")
    pen.shape("scale", "scale", Rect(x - 3, CYLINDER_BOTTOM, CYLINDER_W + 6, 2.6))
    pen.say("scale", (x + CYLINDER_W + 5, 101.4), name_lines(t("scale {id}", id=request.scale), 46, 1, SMALL))


def _fitting(figure: str) -> float:
    """The largest size at which a weight fits into the cylinder."""
    return LARGE if text_width(figure, LARGE, bold=True) <= CYLINDER_W - 3 else NAME


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
    pen.say("waiting", (2, 73.2), (t("next, in this order:"),))
    for index, cylinder in enumerate(after[:3]):
        x = 2.0 + (WAITING_W + 2.0) * index
        part = cylinder_part(cylinder.id)
        pen.shape("waiting", part, Rect(x, 75.4, WAITING_W, 26))
        lines = name_lines(cylinder.id, WAITING_W - 2.0, 3, SMALL)
        pen.say(part, (x + WAITING_W / 2, 87), lines, anchor="middle", bold=True)


def machine(pen: Pen, y: float) -> None:
    """The recovery machine with its name and its switch as it is set while recovering, from y down."""
    request = pen.rig.request
    pen.shape("machine", "machine", Rect(MACHINE_X, y, MACHINE_W, MACHINE_H))
    middle = MACHINE_X + MACHINE_W / 2
    pen.say("machine", (middle, y + 6.6), (pt("drawing", "recovery machine"),), anchor="middle")
    pen.say(
        "machine",
        (middle, y + 11.6),
        name_lines(request.machine, MACHINE_W - 3, 1),
        anchor="middle",
        size=NAME,
        bold=True,
    )
    word = word_liquid(request) if pen.stage == "liquid" else word_vapor(request)
    lines = name_lines(t("switch: {word}", word=word), MACHINE_W - 2, 2, SMALL)
    pen.say("machine", (middle, y + 17.4), lines, anchor="middle", bold=True)


def cable(pen: Pen, cylinder: CylinderNeed, cylinder_right: float, up_to: float, x: float) -> None:
    """The float switch's cable from the cylinder's body to the machine."""
    if not cylinder.float_switch:
        return
    y = 95.0
    pen.line("cable", (cylinder_right, y), (x, y), (x, up_to))
    pen.say("cable", (cylinder_right + 6, y - 1.4), (pt("drawing", "float-switch cable"),))
