"""The rig of one job: which parts are on the floor, how they are called, and what connects what.

Hose letters keep their meaning through a job: A to the appliance's liquid side, B to its vapor side, C to the machine's
suction, D from the machine's discharge to the cylinder, P to the vacuum pump, N from the nitrogen. In push-pull A runs
to the cylinder, B comes from the machine and C from the top of the cylinder; when hoses are connected again for vapor
only one end of each moves.
"""

from dataclasses import dataclass

from packet.hookup.kit import PickedKit, pick, tees_of
from packet.hookup.parts import Bench, Part, Port, bench
from packet.hookup.request import CylinderNeed, Request
from packet.hookup.rig_parts import (
    appliance_part,
    cylinder_port,
    cylinder_with_valves,
    header_part,
    hose_part,
    in_line,
    machine_part,
    manifold_part,
    nitrogen_part,
    receiver_part,
    tee_part,
)
from packet.plan.model import HoseLetter
from packet.words import t


@dataclass(frozen=True, slots=True)
class Rig:
    """A request with its bench and kit."""

    request: Request
    bench: Bench
    kit: PickedKit

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
    def absolute_on(self) -> str:
        """The hose whose far end the absolute gauge sits on; '' where the job has none."""
        if "absolute" not in self.bench.parts:
            return ""
        return "B" if self.has_vapor else "A"

    def far_end(self, letter: str, to: str) -> tuple[tuple[str, str], ...]:
        """The joints from the far end of hose A or B to this port, through the absolute gauge where that sits on it."""
        if self.absolute_on == letter:
            return ((f"{letter}2", "absolute.in"), ("absolute.out", to))
        return ((f"{letter}2", to),)

    def takes_off(self, letter: str) -> str:
        """The port at which the far end of hose A or B comes off what it is on."""
        return "absolute.out" if self.absolute_on == letter else f"{letter}2"

    @property
    def pump_port(self) -> str:
        """Where hose P and the nitrogen go on the manifold: its vacuum port, or the tee's branch at its middle."""
        return "manifold.vacuum" if "manifold.vacuum" in self.bench.ports else "tee-manifold.branch"

    @property
    def utility_valves(self) -> tuple[str, ...]:
        """The valve between a four-valve manifold's middle and its utility hose; a two-valve manifold has none."""
        port = self.bench.ports.get("manifold.utility")
        return ("manifold.utility",) if port is not None and port.valved else ()

    @property
    def sides(self) -> tuple[str, ...]:
        """The manifold valves that are used, vapor side first."""
        return tuple(
            side for side, used in (("manifold.low", self.has_vapor), ("manifold.high", self.has_liquid)) if used
        )

    def isolator(self, port: str) -> str:
        """The valve that closes a port; see Request.isolator."""
        return self.request.isolator(port)

    @property
    def isolators(self) -> tuple[str, ...]:
        """What closes the appliance's ports, vapor side first."""
        return tuple(self.isolator(port) for port in ("vapor", "liquid") if port in self.request.ports)

    @property
    def letters(self) -> tuple[HoseLetter, ...]:
        """The hoses that recover, without the pump's."""
        return tuple(letter for letter in self.kit.hoses if letter != "P" and f"hose:{letter}" in self.bench.parts)

    def shut_offs(self, *letters: str) -> tuple[str, ...]:
        """The shut-offs of these hoses, end by end, without those that isolate a port."""
        return tuple(
            port.id
            for letter in letters
            for port in self.bench.parts[f"hose:{letter}"].ports
            if port.valved and port.id not in self.isolators
        )

    def names(self, valves: tuple[str, ...]) -> str:
        """Valves in one phrase, as printed; a pair of one part is said together."""
        pairs = {
            ("manifold.low", "manifold.high"): t("manifold low and high"),
            ("machine.suction", "machine.discharge"): t("machine inlet and discharge"),
        }
        names: list[str] = []
        said: set[str] = set()
        for valve in valves:
            pair = next((item for item in pairs if valve in item and set(item) <= set(valves)), None)
            if valve not in said:
                names.append(pairs[pair] if pair else self.bench.valve_name(valve))
                said |= set(pair or (valve,))
        if len(names) > 1 and any(set(pair) <= set(valves) for pair in pairs):
            return t(", ").join(names)
        return listed(names)

    def ends(self, *letters: str) -> str:
        """The shut-offs of these hoses in one phrase: hose and end."""
        names = []
        for letter in letters:
            offs = self.shut_offs(letter)
            both = len(offs) == 2
            names += [t("{letter} (both ends)", letter=letter)] if both else [self.bench.port_name(off) for off in offs]
        return listed(names)

    @property
    def every_shut_off(self) -> str:
        """All hose shut-offs in one phrase, without those that isolate a port."""
        return t("hose shut-offs (not at the appliance)") if self.request.hose_end_ports else t("hose shut-offs")

    def valve(self, valve: str) -> str:
        """A valve as printed."""
        return self.bench.valve_name(valve)


def listed(names: list[str]) -> str:
    """Names in one phrase: 'a, b and c'."""
    if len(names) < 2:
        return "".join(names)
    # Translators: the end of a list in a sentence; names: all but the last, with commas between
    return t("{names} and {last}", names=t(", ").join(names[:-1]), last=names[-1])


def build_rig(request: Request) -> Rig:
    """The parts of a job, with the kit they are taken from."""
    kit = pick(request)
    # push-pull alone fills no cylinder through hose D
    letters = [letter for letter in kit.hoses if not (request.liquid_alone and letter == "D")]
    parts = [appliance_part(request), machine_part()]
    if not request.liquid_alone:
        parts.insert(1, manifold_part(kit))
    if kit.drier is not None:
        parts.append(in_line("drier", "drier", t("filter-drier")))
    parts += [cylinder_with_valves(cylinder) for cylinder in request.cylinders]
    parts += [hose_part(letter, kit, request) for letter in letters]
    parts += [tee_part(tee) for tee in tees_of(request, kit.manifold.valves)]
    if request.push_pull:
        parts.append(in_line("glass", "sight-glass", t("sight glass")))
    if request.low_pressure:
        parts.append(in_line("absolute", "gauge", t("absolute gauge")))
    if request.vacuum_purge:
        parts.append(in_line("micron", "gauge", t("micron gauge")))
        parts.append(
            Part("pump", "pump", t("vacuum pump"), ("pump",), (Port("pump.in", "pump", False, t("vacuum pump inlet")),))
        )
        if kit.header is not None:
            parts.append(header_part())
    if request.breaks_vacuum:
        parts.append(nitrogen_part())
    fixed: tuple[tuple[str, str], ...] = ()
    if request.isolated == "receiver":
        parts.append(receiver_part())
        fixed = (("appliance.from-receiver", "receiver.king"), ("appliance.to-receiver", "receiver.inlet"))
    return Rig(request, bench(tuple(parts), fixed), kit)
