"""The rig of one job: which parts are on the floor, how they are called, and what joins what.

Hose letters keep their meaning through a job: A to the appliance's liquid side, B to its vapor side, C to the machine's
suction, D from the machine's discharge to the cylinder, P to the vacuum pump. In push-pull A runs to the cylinder, B
comes from the machine and C from the top of the cylinder; when the job is re-hosed for vapor only one end of each moves.
"""

from dataclasses import dataclass

from packet.hookup.kit import Kit, pick
from packet.hookup.parts import Bench, Part, Port, bench, cylinder_part
from packet.hookup.request import CylinderNeed, Request
from packet.hookup.settle import APPLIANCE_LIQUID, APPLIANCE_VAPOR
from packet.hookup.state import DISCHARGE_SIDE, SUCTION_SIDE
from packet.words import t


@dataclass(frozen=True, slots=True)
class Rig:
    """A request with its bench and kit."""

    request: Request
    bench: Bench
    kit: Kit

    def receive(self, cylinder: CylinderNeed) -> str:
        """The cylinder port that the discharge hose goes to: as the shop's policy says, or the only one there is."""
        wanted = self.request.discharge_into
        return cylinder_port(cylinder.id, wanted if wanted in cylinder.valves else cylinder.valves[0])

    @property
    def has_liquid(self) -> bool:
        """There is a liquid port, with hose A on it."""
        return "liquid" in self.request.ports

    @property
    def has_vapor(self) -> bool:
        """There is a vapor port, with hose B on it."""
        return "vapor" in self.request.ports

    @property
    def suction_port(self) -> str:
        """Where hose C ends: the drier ahead of the machine, or the machine itself (it has a screen of its own)."""
        return "drier.in" if "drier" in self.bench.parts else "machine.suction"

    @property
    def utility_valves(self) -> tuple[str, ...]:
        """The valve between a four-valve manifold's middle and its utility hose; a two-valve manifold has none."""
        return ("manifold.utility",) if self.bench.ports["manifold.utility"].valved else ()

    @property
    def sides(self) -> tuple[str, ...]:
        """The manifold valves that are used, vapor side first."""
        return tuple(
            side for side, used in (("manifold.low", self.has_vapor), ("manifold.high", self.has_liquid)) if used
        )

    @property
    def appliance_valves(self) -> tuple[str, ...]:
        """The appliance's valves, vapor side first."""
        return tuple(f"appliance.{port}" for port in ("vapor", "liquid") if port in self.request.ports)

    @property
    def letters(self) -> tuple[str, ...]:
        """The hoses that recover, without the pump's."""
        return tuple(letter for letter in "ABCD" if f"hose:{letter}" in self.bench.parts)

    def shut_offs(self, *letters: str) -> tuple[str, ...]:
        """The shut-offs of these hoses, end by end."""
        return tuple(port.id for letter in letters for port in self.bench.parts[f"hose:{letter}"].ports if port.valved)

    def names(self, valves: tuple[str, ...]) -> str:
        """Valves in one phrase, as printed."""
        return listed([self.bench.valve_name(valve) for valve in valves])

    def ends(self, *letters: str) -> str:
        """The shut-offs of these hoses in one phrase: hose and end."""
        names = []
        for letter in letters:
            offs = self.shut_offs(letter)
            both = len(offs) == 2
            names += [t("{letter} (both ends)", letter=letter)] if both else [self.bench.port_name(off) for off in offs]
        return listed(names)

    def valve(self, valve: str) -> str:
        """A valve as printed."""
        return self.bench.valve_name(valve)


def listed(names: list[str]) -> str:
    """Names in one phrase: 'a, b and c'."""
    if len(names) < 2:
        return "".join(names)
    return t("{names} and {last}", names=t(", ").join(names[:-1]), last=names[-1])


def cylinder_port(cylinder: str, valve: str) -> str:
    """The port id of a cylinder's valve."""
    return f"{cylinder_part(cylinder)}.{valve}"


def build_rig(request: Request) -> Rig:
    """The parts of a job, with the kit they are taken from."""
    letters = _letters(request)
    tees = _tees(request)
    kit = pick(request, letters, len(tees))
    parts = [_appliance(request), _manifold(kit), _machine()]
    if kit.drier is not None:
        parts.append(
            Part(
                "drier",
                "drier",
                t("filter-drier"),
                ("drier",),
                (
                    Port("drier.in", "drier", False, t("filter-drier inlet")),
                    Port("drier.out", "drier", False, t("filter-drier outlet")),
                ),
            )
        )
    parts += [_cylinder(cylinder) for cylinder in request.cylinders]
    parts += [_hose(letter, kit, request) for letter in letters]
    parts += [_tee(tee) for tee in tees]
    if request.push_pull:
        parts.append(
            Part(
                "glass",
                "sight-glass",
                t("sight glass"),
                ("glass",),
                (
                    Port("glass.in", "glass", False, t("sight glass inlet")),
                    Port("glass.out", "glass", False, t("sight glass outlet")),
                ),
            )
        )
    if request.vacuum_purge:
        parts.append(
            Part("pump", "pump", t("vacuum pump"), ("pump",), (Port("pump.in", "pump", False, t("vacuum pump inlet")),))
        )
    fixed: tuple[tuple[str, str], ...] = ()
    if request.isolated:
        parts.append(_receiver())
        fixed = (("appliance.from-receiver", "receiver.king"), ("appliance.to-receiver", "receiver.inlet"))
    return Rig(request, bench(tuple(parts), fixed), kit)


def _letters(request: Request) -> tuple[str, ...]:
    letters = ["A"] if "liquid" in request.ports else []
    letters += ["B"] if "vapor" in request.ports else []
    letters += ["C", "D"]
    return (*letters, "P") if request.vacuum_purge else tuple(letters)


def _tees(request: Request) -> tuple[str, ...]:
    """Tees, by where they stand. The vacuum pump draws on them.

    'cylinder': between the filling hose and the cylinder. In push-pull also 'appliance': between hose B and the
    appliance, so that the pump draws hose C, the machine and hose B in the direction the machine passes gas; and
    'top': between the cylinder's vapor valve and hose C, once cylinders are changed.
    """
    if not request.vacuum_purge:
        return ()
    if not request.push_pull:
        return ("cylinder",)
    return ("cylinder", "appliance", "top") if len(request.cylinders) > 1 else ("cylinder", "appliance")


def _appliance(request: Request) -> Part:
    liquid = t("piercing valve, liquid side") if request.pierced else t("appliance liquid valve")
    vapor = t("piercing valve, vapor side") if request.pierced else t("appliance vapor valve")
    ports = []
    if "vapor" in request.ports:
        ports.append(Port("appliance.vapor", APPLIANCE_VAPOR, True, t("appliance vapor port"), vapor))
    if "liquid" in request.ports:
        ports.append(Port("appliance.liquid", APPLIANCE_LIQUID, True, t("appliance liquid port"), liquid))
    if request.isolated:
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


def _receiver() -> Part:
    return Part(
        "receiver",
        "receiver",
        t("receiver"),
        ("receiver",),
        (
            Port("receiver.king", "receiver", True, t("receiver outlet"), t("king valve (receiver outlet)")),
            Port("receiver.inlet", "receiver", True, t("receiver inlet"), t("receiver inlet valve")),
        ),
    )


def _manifold(kit: Kit) -> Part:
    four = kit.manifold.valves == 4
    ports = [
        Port("manifold.low", "manifold", True, t("manifold low side"), t("manifold low valve")),
        Port("manifold.high", "manifold", True, t("manifold high side"), t("manifold high valve")),
        Port("manifold.utility", "manifold", four, t("manifold utility port"), t("manifold utility valve")),
    ]
    if four:
        ports.append(Port("manifold.vacuum", "manifold", True, t("manifold vacuum port"), t("manifold vacuum valve")))
    return Part("manifold", "manifold", t("manifold"), ("manifold",), tuple(ports))


def _machine() -> Part:
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


def _cylinder(cylinder: CylinderNeed) -> Part:
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
    )


def _hose(letter: str, kit: Kit, request: Request) -> Part:
    """End 1 is the one named first in the module's text: at the appliance (A, B), away from the machine (C), at the
    machine (D), at the tee (P).

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
    at_cylinder = t("cylinder or manifold end") if moves else manifold
    at_machine = t("machine or manifold end") if moves else manifold
    return {
        "A": (t("appliance end"), at_cylinder),
        "B": (t("appliance end"), at_machine),
        "C": (at_cylinder, t("machine end")),
        "D": (t("machine end"), t("cylinder end")),
        "P": (t("tee end"), t("pump end")),
    }[letter]


def _tee(where: str) -> Part:
    part = f"tee-{where}"
    name = {
        "cylinder": t("tee at the cylinder"),
        "appliance": t("tee at the appliance"),
        "top": t("tee at the cylinder vapor valve"),
    }[where]
    branch = {
        "cylinder": t("branch of the tee at the cylinder"),
        "appliance": t("branch of the tee at the appliance"),
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
