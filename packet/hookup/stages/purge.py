"""Getting the air out of the hoses: a short push of vapor past a loosened fitting, or a vacuum pump on a tee."""

from collections.abc import Iterator

from packet.hookup.acts import Act, Effect, cracks, joins, opens, parts_at, shuts
from packet.hookup.rig import Rig
from packet.words import t

MICRON = "1,000"


def by_vapor(rig: Rig, *, again: bool = False) -> Iterator[Act]:
    """Vapor from the appliance's vapor port through hose B, manifold, A, C, machine and D; everything shut again.

    again: the job was re-hosed and A kept its gas behind its shut-off.
    """
    cylinder_end = t("hose D at the cylinder")
    yield Act(
        t("Open the {valves}.", valves=rig.names((*rig.sides, *rig.utility_valves))),
        opens(*rig.sides, *rig.utility_valves),
    )
    yield Act(t("Crack the {valve}.", valve=rig.valve("appliance.vapor")), cracks("appliance.vapor"))
    if rig.has_liquid and not again:
        yield Act(
            t("Loosen {where} until gas has pushed the air out (2 s), tighten.", where=t("hose A at the appliance")),
            (Effect("purge", "A1"),),
            cautions=(t("Face away, gloves on: what comes out is cold."),),
        )
    yield Act(
        t("Open the machine inlet and the machine discharge; the machine stays off."),
        opens("machine.suction", "machine.discharge"),
    )
    yield Act(
        t("Loosen {where} until gas has pushed the air out (2 s), tighten.", where=cylinder_end),
        (Effect("purge", "D2"),),
        cautions=(t("Only a moment: what blows off here is lost and is breathed."),),
    )
    yield Act(t("Shut the machine inlet and the machine discharge."), shuts("machine.suction", "machine.discharge"))
    yield Act(
        t("Shut the {valves}.", valves=rig.names(("appliance.vapor", *rig.sides))), shuts("appliance.vapor", *rig.sides)
    )


def pump_out(rig: Rig, tee: str, what: str) -> Iterator[Act]:
    """Hose P on this tee: draw what it is open to down to 1,000 micron, shut the branch, then stop the pump."""
    part = f"tee-{tee}"
    name = rig.bench.parts[part].name
    outdoors = t("Its exhaust goes outdoors, away from any flame.") if rig.request.flammable else ""
    yield Act(t("Join hose P: vacuum pump to the {tee}.", tee=name), joins(("P1", f"{part}.branch")))
    yield Act(t("Start the vacuum pump."), (Effect("pump", to="on"),), cautions=(outdoors,) if outdoors else ())
    yield Act(t("Open the {valve}.", valve=rig.valve(f"{part}.branch")), opens(f"{part}.branch"))
    yield Act(
        t("Wait until the micron gauge reads {micron} or less: {what}.", micron=MICRON, what=what),
        (Effect("evacuated"),),
        kind="wait",
    )
    yield Act(t("Shut the {valve}.", valve=rig.valve(f"{part}.branch")), shuts(f"{part}.branch"))
    yield Act(t("Stop the vacuum pump."), (Effect("pump", to="off"),))
    yield Act(t("Take hose P off the {tee} and cap it.", tee=name), parts_at(["P1"]))


def by_vacuum(rig: Rig) -> Iterator[Act]:
    """Everything between the appliance's valves and the cylinder's, drawn the way the machine passes gas."""
    valves = (*rig.sides, *rig.utility_valves)
    yield Act(t("Open the {valves}.", valves=rig.names(valves)), opens(*valves))
    yield Act(
        t("Open the machine inlet and the machine discharge; the machine stays off."),
        opens("machine.suction", "machine.discharge"),
    )
    yield from pump_out(rig, "cylinder", t("hoses, manifold and machine"))
    yield Act(t("Shut the machine inlet and the machine discharge."), shuts("machine.suction", "machine.discharge"))
    yield Act(t("Shut the {valves}.", valves=rig.names(rig.sides)), shuts(*rig.sides))
