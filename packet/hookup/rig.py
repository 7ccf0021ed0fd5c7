"""The rig of one job: which parts are on the floor, how they are called, and what joins what.

Hose letters keep their meaning through a job: A to the appliance's liquid side, B to its vapor side, C to the machine's
suction, D from the machine's discharge to the cylinder, P to the vacuum pump. In push-pull A runs to the cylinder, B
comes from the machine and C from the top of the cylinder; when the job is re-hosed for vapor only one end of each moves.
"""

from dataclasses import dataclass

from packet.hookup.kit import PickedKit, pick
from packet.hookup.parts import Bench, Part, Port, bench
from packet.hookup.request import CylinderNeed, Request
from packet.hookup.rig_parts import (
    appliance_part,
    cylinder_port,
    cylinder_with_valves,
    hose_part,
    machine_part,
    manifold_part,
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
    def letters(self) -> tuple[HoseLetter, ...]:
        """The hoses that recover, without the pump's."""
        return tuple(letter for letter in self.kit.hoses if letter != "P")

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
    # Translators: the end of a list in a sentence; names: all but the last, with commas between
    return t("{names} and {last}", names=t(", ").join(names[:-1]), last=names[-1])


def build_rig(request: Request) -> Rig:
    """The parts of a job, with the kit they are taken from."""
    tees = _tees(request)
    kit = pick(request, len(tees))
    parts = [appliance_part(request), manifold_part(kit), machine_part()]
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
    parts += [cylinder_with_valves(cylinder) for cylinder in request.cylinders]
    parts += [hose_part(letter, kit, request) for letter in kit.hoses]
    parts += [tee_part(tee) for tee in tees]
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
        parts.append(receiver_part())
        fixed = (("appliance.from-receiver", "receiver.king"), ("appliance.to-receiver", "receiver.inlet"))
    return Rig(request, bench(tuple(parts), fixed), kit)


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
