"""The parts of a rig, one by one: their spaces, ports and valves, and what these are called."""

from packet.hookup.kit import PickedKit, TeePlace
from packet.hookup.parts import Part, PartKind, Port, cylinder_part
from packet.hookup.request import CylinderNeed, Request
from packet.hookup.settle import APPLIANCE_LIQUID, APPLIANCE_VAPOR
from packet.hookup.state import DISCHARGE_SIDE, SUCTION_SIDE
from packet.plan.model import HoseLetter
from packet.words import t


def cylinder_port(cylinder: str, valve: str) -> str:
    """The port id of a cylinder's valve."""
    return f"{cylinder_part(cylinder)}.{valve}"


def appliance_part(request: Request) -> Part:
    """The appliance: a liquid and a vapor side that are always open to one another inside."""
    ports = []
    for side, space in (("vapor", APPLIANCE_VAPOR), ("liquid", APPLIANCE_LIQUID)):
        if side in request.ports:
            held = side in request.hose_end_ports
            name, valve = port_words(request, side)
            ports.append(Port(f"appliance.{side}", space, not held, name, "" if held else valve, closes_itself=held))
    if request.isolated == "receiver":
        ports.append(Port("appliance.from-receiver", APPLIANCE_LIQUID, False, t("liquid line")))
        ports.append(Port("appliance.to-receiver", APPLIANCE_VAPOR, False, t("condenser")))
    return Part(
        "appliance",
        "appliance",
        t("appliance"),
        (APPLIANCE_LIQUID, APPLIANCE_VAPOR),
        tuple(ports),
        ((APPLIANCE_LIQUID, APPLIANCE_VAPOR),),
    )


def port_words(request: Request, side: str) -> tuple[str, str]:
    """(port, what isolates it) as printed, by the port's kind; the second is '' where a hose's shut-off does."""
    liquid = side == "liquid"
    kind = request.port_kinds["liquid" if liquid else "vapor"]
    port = t("liquid port") if liquid else t("suction port")
    if kind == "service-valve":
        words = t("liquid service valve") if liquid else t("suction service valve")
        return words, words
    if kind == "king-valve":
        words = t("king valve") if liquid else t("king valve, vapor side")
        return words, words
    if kind == "piercing":
        words = t("piercing valve, liquid side") if liquid else t("piercing valve, suction side")
        return words, words
    if kind == "access-valve":
        return port, t("access valve at the liquid port") if liquid else t("access valve at the suction port")
    if kind == "schrader" and side in request.core_tool_ports:
        return port, t("core tool at the liquid port") if liquid else t("core tool at the suction port")
    return port, ""


def receiver_part() -> Part:
    """The receiver of an isolated appliance, behind its own two valves."""
    return Part(
        "receiver",
        "receiver",
        t("receiver"),
        ("receiver.bottom", "receiver.top"),
        (
            Port("receiver.king", "receiver.bottom", True, t("receiver outlet"), t("receiver outlet valve")),
            Port("receiver.inlet", "receiver.top", True, t("receiver inlet"), t("receiver inlet valve")),
        ),
        (("receiver.bottom", "receiver.top"),),
    )


def manifold_part(kit: PickedKit) -> Part:
    """A manifold of two valves (low, high) or four (utility and vacuum too); gauges sit on the hoses' side."""
    four = kit.manifold.valves == 4
    ports = [
        Port("manifold.low", "manifold", True, t("manifold low side"), t("manifold low")),
        Port("manifold.high", "manifold", True, t("manifold high side"), t("manifold high")),
        Port("manifold.utility", "manifold", four, t("manifold utility port"), t("manifold utility")),
    ]
    if four:
        ports.append(Port("manifold.vacuum", "manifold", True, t("manifold vacuum port"), t("manifold vacuum port")))
    return Part("manifold", "manifold", t("manifold"), ("manifold",), tuple(ports))


def machine_part() -> Part:
    """The recovery machine, its inlet and its discharge."""
    return Part(
        "machine",
        "machine",
        t("recovery machine"),
        (SUCTION_SIDE, DISCHARGE_SIDE),
        (
            Port("machine.suction", SUCTION_SIDE, True, t("machine suction"), t("machine inlet")),
            Port("machine.discharge", DISCHARGE_SIDE, True, t("machine discharge"), t("machine discharge")),
        ),
    )


def cylinder_with_valves(cylinder: CylinderNeed) -> Part:
    """A cylinder with one valve or two: the liquid valve reaches down a dip tube, the vapor valve to the top."""
    part = cylinder_part(cylinder.id)
    spaces = {"liquid": f"{part}.dip-tube", "vapor": f"{part}.top"}
    names = {
        "liquid": t("{cylinder} liquid valve", cylinder=cylinder.id),
        "vapor": t("{cylinder} vapor valve", cylinder=cylinder.id),
    }
    return Part(
        part,
        "cylinder",
        cylinder.id,
        tuple(spaces.values()),
        tuple(
            Port(cylinder_port(cylinder.id, valve), spaces[valve], True, names[valve], names[valve])
            for valve in ("vapor", "liquid")
            if valve in cylinder.valves
        ),
        ((spaces["liquid"], spaces["vapor"]),),
        evacuated=cylinder.empty,
    )


def hose_part(letter: HoseLetter, kit: PickedKit, request: Request) -> Part:
    """End 1 is the one named first in the module's text: at the appliance (A, B), away from the machine (C), at the
    machine (D), at the vacuum gauge (P).

    A hose with one shut-off has it where it will be opened while gas stands on its other side: at the cylinder or
    machine, and on hoses that stay on the appliance at the end that moves.
    """
    hose = kit.hoses[letter]
    one_end = {"A": "A2", "B": "B2", "C": "C1", "D": "D2"} if request.push_pull else _ENDS_WITH_SHUT_OFF
    valved = {
        "none": (),
        "one-end": (one_end.get(letter, ""),),
        "both-ends": (f"{letter}1", f"{letter}2"),
    }[hose.shut_off]
    name = t("hose {letter}", letter=letter)
    where = _end_names(letter, moves=request.push_pull)
    ports = tuple(
        Port(
            f"{letter}{end}",
            f"hose:{letter}",
            f"{letter}{end}" in valved,
            t("{letter} ({where})", letter=letter, where=where[end - 1]),
            t("shut-off {letter} ({where})", letter=letter, where=where[end - 1]),
        )
        for end in (1, 2)
    )
    return Part(f"hose:{letter}", "pump-hose" if letter == "P" else "hose", name, (f"hose:{letter}",), ports)


_ENDS_WITH_SHUT_OFF = {"A": "A1", "B": "B1", "C": "C2", "D": "D2"}


def _end_names(letter: str, *, moves: bool) -> tuple[str, str]:
    """Where a hose's two ends belong; moves: one end of A, B and C moves to the manifold after push-pull."""
    manifold = t("manifold end")
    at_cylinder = t("cylinder/manifold end") if moves else manifold
    at_machine = t("machine/manifold end") if moves else manifold
    return {
        "A": (t("appliance end"), at_cylinder),
        "B": (t("appliance end"), at_machine),
        "C": (at_cylinder, t("machine end")),
        "D": (t("machine end"), t("cylinder end")),
        "P": (t("gauge end"), t("pump end")),
    }[letter]


def tee_part(where: TeePlace) -> Part:
    """A tee with a valved branch for vacuum pump and nitrogen."""
    part = f"tee-{where}"
    name = {
        "manifold": t("tee at the manifold"),
        "cylinder": t("tee at the cylinder"),
        "top": t("tee at the cylinder vapor valve"),
    }[where]
    branch = {
        "manifold": t("branch of the tee at the manifold"),
        "cylinder": t("branch of the tee at the cylinder"),
        "top": t("branch of the tee at the cylinder vapor valve"),
    }[where]
    return Part(
        part,
        "tee",
        name,
        (part,),
        (
            Port(f"{part}.in", part, False, t("{tee}, hose side", tee=name)),
            Port(f"{part}.out", part, False, t("{tee}, far side", tee=name)),
            Port(f"{part}.branch", part, True, t("{tee}, branch", tee=name), branch),
        ),
    )


def in_line(part: str, kind: PartKind, name: str) -> Part:
    """Something with an inlet and an outlet and no valve: drier, sight glass, a gauge on a tee."""
    return Part(
        part,
        kind,
        name,
        (part,),
        (
            Port(f"{part}.in", part, False, t("{part} inlet", part=name)),
            Port(f"{part}.out", part, False, t("{part} outlet", part=name)),
        ),
    )


def header_part() -> Part:
    """A two-way header: the vacuum pump draws on two tees at once."""
    name = t("two-way header")
    return Part(
        "header",
        "header",
        name,
        ("header",),
        (
            Port("header.in", "header", False, t("{part}, pump side", part=name)),
            Port("header.one", "header", False, t("{part}, first leg", part=name)),
            Port("header.two", "header", False, t("{part}, second leg", part=name)),
        ),
    )


def nitrogen_part() -> Part:
    """The nitrogen bottle with regulator, relief valve and its own hose."""
    return Part(
        "nitrogen",
        "nitrogen",
        t("nitrogen"),
        ("nitrogen",),
        (Port("nitrogen.out", "nitrogen", True, t("nitrogen regulator's hose"), t("nitrogen regulator")),),
    )
