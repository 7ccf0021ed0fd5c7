"""Joining for recovery through the manifold: weigh, everything shut, hoses on, air out, the stop weight read back."""

from collections.abc import Iterator

from packet.hookup.acts import Act, did, joins, opens
from packet.hookup.request import CylinderNeed
from packet.hookup.rig import Rig
from packet.hookup.stages.purge import by_vacuum, by_vapor
from packet.hookup.stages.say import hold, in_groups
from packet.hookup.stages.weigh import confirm_shut, float_switch, left_hand, read_back, weigh_before
from packet.words import t


def join_for_recovery(rig: Rig) -> tuple[Act, ...]:
    """Hoses for vapor and liquid recovery onto the first cylinder."""
    cylinder = rig.request.cylinders[0]
    acts = [
        weigh_before(rig, cylinder),
        confirm_shut(rig),
        *drier(rig),
        *_appliance_hoses(rig),
        _join_utility(rig),
        join_discharge(rig, cylinder),
        *float_switch(cylinder),
        hold("joined", t("Hold. Read every hose back by its letter, both ends, against the drawing.")),
        pump_on_hose(rig),
        Act(t("Open the hose shut-offs: {ends}.", ends=rig.ends(*rig.letters)), opens(*rig.shut_offs(*rig.letters))),
        *(by_vacuum(rig) if rig.request.vacuum_purge else by_vapor(rig)),
    ]
    return in_groups([act for act in acts if act is not None], read_back(rig, cylinder))


def pump_on_hose(rig: Rig) -> Act | None:
    """Hose P on the vacuum pump, where the hoses are purged by vacuum."""
    if not rig.request.vacuum_purge:
        return None
    words = (
        t("Join hose P to the vacuum pump and open its shut-offs.")
        if rig.shut_offs("P")
        else t("Join hose P to the vacuum pump.")
    )
    return Act(words, (*joins(("P2", "pump.in")), *opens(*rig.shut_offs("P"))))


def drier(rig: Rig) -> Iterator[Act]:
    """A filter-drier ahead of the machine, or a look at its own screen."""
    if "drier" not in rig.bench.parts:
        yield Act(t("Check that the machine's own screen is in and clean."), did("screen"), "check")
        return
    words = (
        t("Screw a new high-acid filter-drier on the machine inlet.")
        if rig.request.burnout
        else t("Screw a clean filter-drier on the machine inlet.")
    )
    yield Act(words, joins(("drier.out", "machine.suction")))


def _appliance_hoses(rig: Rig) -> Iterator[Act]:
    pierced = rig.request.pierced
    if rig.has_liquid:
        yield Act(
            t("Clamp a piercing valve on the liquid line and join hose A: valve to manifold high side.")
            if pierced
            else t("Join hose A: appliance liquid port to manifold high side."),
            joins(("A1", "appliance.liquid"), ("A2", "manifold.high")),
        )
    if rig.has_vapor:
        yield Act(
            t("Clamp a piercing valve on the suction line and join hose B: valve to manifold low side.")
            if pierced
            else t("Join hose B: appliance vapor port to manifold low side."),
            joins(("B1", "appliance.vapor"), ("B2", "manifold.low")),
            cautions=(t("Clamp it square and tight before it pierces; once pierced it stays on."),) if pierced else (),
        )


def _join_utility(rig: Rig) -> Act:
    to = t("filter-drier") if "drier" in rig.bench.parts else t("machine inlet")
    return Act(
        t("Join hose C: manifold utility port to the {part}.", part=to),
        joins(("C1", "manifold.utility"), ("C2", rig.suction_port)),
    )


def join_discharge(rig: Rig, cylinder: CylinderNeed) -> Act:
    """Hose D from the machine to this cylinder, with the tee for the vacuum pump where there is one."""
    receive = rig.receive(cylinder)
    cautions = left_hand(rig)
    if "tee-cylinder" in rig.bench.parts:
        return Act(
            t("Join hose D: machine discharge, tee, {valve}.", valve=rig.valve(receive)),
            joins(("D1", "machine.discharge"), ("D2", "tee-cylinder.in"), ("tee-cylinder.out", receive)),
            cautions=cautions,
        )
    return Act(
        t("Join hose D: machine discharge to {valve}.", valve=rig.valve(receive)),
        joins(("D1", "machine.discharge"), ("D2", receive)),
        cautions=cautions,
    )
