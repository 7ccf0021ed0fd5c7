"""Recovering through the manifold: the start, the watch on the scale, the stop; and liquid recovery."""

from collections.abc import Iterator

from packet.hookup.acts import Act, Effect, cracks, did, mode, opens, shuts
from packet.hookup.request import CylinderNeed
from packet.hookup.rig import Rig, listed
from packet.hookup.stages.say import ask, hold, shell_caution, stop_and_cool, weight, word_liquid, word_off, word_vapor
from packet.words import t


def start(rig: Rig, cylinder: CylinderNeed, to: str, *, first: bool) -> Iterator[Act]:
    """Cylinder, discharge, machine on with its inlet shut. to: 'vapor' or 'liquid'. first: the job's first start."""
    request = rig.request
    receive = rig.receive(cylinder)
    yield Act(
        t("Open the {valve}, slowly, then fully.", valve=rig.valve(receive)),
        opens(receive),
        cautions=(t("Stay out of the line of its relief device."),),
    )
    yield Act(t("Open the {valve} fully.", valve=rig.valve("machine.discharge")), opens("machine.discharge"))
    yield before_start(rig, cylinder)
    word = word_vapor(request) if to == "vapor" else word_liquid(request)
    yield Act(
        t("See that the machine inlet is shut, then set the machine to “{word}” and start it.", word=word),
        mode(to),
        cautions=(t("Never run it against a shut discharge."),),
        blanks=(ask(request, "times.start", t("Machine started"), "time"),) if first else (),
    )


def before_start(rig: Rig, cylinder: CylinderNeed) -> Act:
    """The hold before the machine runs: it never runs against a shut discharge."""
    return hold(
        f"start:{cylinder.id}",
        t(
            "Hold. Hand on each: {valve} open, machine discharge open, machine inlet shut.",
            valve=rig.valve(rig.receive(cylinder)),
        ),
    )


def liquid(rig: Rig, changes_from: int) -> tuple[Act, ...]:
    """Liquid recovery from the liquid side, inlet cracked; ends with the liquid gone and the machine running."""
    request = rig.request
    cylinder = request.cylinders[0]
    acts = [
        *start(rig, cylinder, "liquid", first=True),
        Act(t("Open the {valve}.", valve=rig.valve("appliance.liquid")), opens("appliance.liquid")),
        Act(t("Open the {valve}.", valve=rig.valve("manifold.high")), opens("manifold.high")),
        Act(
            t("Crack the machine inlet until the machine just does not knock."),
            cracks("machine.suction"),
            cautions=(t("Knocking is liquid in the compressor: ease the inlet back at once."),),
            running=True,
        ),
        hold(
            "liquid-runs",
            t("Hold. The scale climbs, no knocking, no leak at any fitting."),
            *stop_and_cool(request, cylinder),
            *shell_caution(request),
        ),
        *log_and_stop(rig, cylinder, "liquid", changes_from),
        Act(
            t("Wait until the sight glass or hose A runs clear, or the scale climbs half as fast as before."),
            (*_last_fill(rig), Effect("dry")),
            "wait",
        ),
    ]
    if request.raise_to_atmosphere:
        return (
            *acts,
            *cut_off(rig),
            hold("liquid-stopped", t("Hold. Liquid is out down to the opening; machine off.")),
        )
    return (
        *acts,
        hold("liquid-out", t("Hold. Liquid is out; the machine runs on. Go straight on to vapor, no stop between.")),
    )


def _last_fill(rig: Rig) -> tuple[Effect, ...]:
    """Where no vapor stage follows, the liquid is all that goes into the last cylinder."""
    last = rig.request.cylinders[-1]
    return (Effect("fill", last.id, amount=last.planned_gross_lb),) if rig.request.raise_to_atmosphere else ()


def log_and_stop(rig: Rig, cylinder: CylinderNeed, stage: str, changes_from: int) -> Iterator[Act]:
    """The watch on scale and pressure. changes_from: the number of the first change-over stage, 0 when none follows."""
    request = rig.request
    yield Act(
        t("Every 5 minutes write time, weight and pressure on the Log sheet."),
        did(f"log:{stage}"),
        "read",
        cautions=(_never_past(rig, cylinder),),
    )
    if not changes_from:
        return
    turns = t("; ").join(
        t(
            "{cylinder} at {change}: stage {stage}",
            cylinder=item.id,
            change=weight(request, at),
            stage=changes_from + index,
        )
        for index, item in enumerate(request.cylinders[:-1])
        if (at := item.change_at_gross_lb or item.stop_gross_lb)
    )
    yield Act(
        t("Watch the scale and change over, then come back here. {turns}.", turns=turns),
        did(f"watch:{stage}"),
        "wait",
        calls=True,
    )


def _never_past(rig: Rig, cylinder: CylinderNeed) -> str:
    request = rig.request
    if len(request.cylinders) == 1 or request.push_pull:
        return t(
            "At {stop} on {cylinder} shut the machine inlet, finished or not.",
            stop=weight(request, cylinder.stop_gross_lb),
            cylinder=cylinder.id,
        )
    stops = listed(
        [
            t("{cylinder} {weight}", cylinder=item.id, weight=weight(request, item.stop_gross_lb))
            for item in request.cylinders
        ]
    )
    return t("At its stop weight shut the machine inlet, finished or not: {stops}.", stops=stops)


def cut_off(rig: Rig) -> Iterator[Act]:
    """The appliance is cut off from the machine on the manifold, so that the gauges still read it."""
    request = rig.request
    if request.pierced and request.compressor_runs:
        yield Act(t("Switch the appliance off and pull its plug."), (Effect("compressor", to="off"),))
    sides = rig.sides if not request.raise_to_atmosphere else ("manifold.high",)
    yield Act(
        t("Shut the {valves}: the gauges still read the appliance.", valves=rig.names(sides)),
        shuts(*sides),
        names=frozenset({"draws-nothing"}),
    )
    yield Act(t("Shut the machine inlet."), shuts("machine.suction"))
    yield Act(
        t("Set the machine to “{word}”.", word=word_off(request)),
        mode("off"),
        cautions=(t("The discharge and the cylinder stay open until the machine is cleared."),),
    )
