"""Recovering vapor: down to the target, then the rise check."""

from collections.abc import Iterator

from packet.figures import show_pressure
from packet.hookup.acts import Act, Effect, did, mode, opens
from packet.hookup.request import CylinderNeed, Request
from packet.hookup.rig import Rig
from packet.hookup.stages.recover import cut_off, log_and_stop, start
from packet.hookup.stages.say import ask, hold, stop_and_cool, target, word_liquid, word_vapor
from packet.words import t

PAST_THE_TARGET_MINUTES = 2


def vapor(rig: Rig, changes_from: int, *, runs_already: bool) -> tuple[Act, ...]:
    """Vapor recovery down to the target, then the rise check. runs_already: the liquid stage went before."""
    request = rig.request
    cylinder = request.cylinders[-1] if request.push_pull else request.cylinders[0]
    acts = [*_change_to_vapor(rig)] if runs_already else [*_start_vapor(rig, cylinder)]
    acts += [
        hold(
            "vapor-runs",
            t("Hold. The machine draws on every side used, no leak at any fitting."),
            *stop_and_cool(request, cylinder),
        ),
        *log_and_stop(rig, cylinder, "vapor", changes_from),
        *_to_the_target(rig),
        *cut_off(rig),
    ]
    if request.target_is_percent:
        acts.append(hold("target-reached", t("Hold. Target reached, inlet shut, machine off.")))
    else:
        acts += _rise(rig)
    return tuple(acts)


def _start_vapor(rig: Rig, cylinder: CylinderNeed) -> Iterator[Act]:
    request = rig.request
    yield from start(rig, cylinder, "vapor", first=not request.push_pull)
    if request.pierced and request.compressor_runs:
        yield Act(
            t("Switch the appliance on: its compressor pushes the charge out."),
            (Effect("compressor", to="on"),),
            cautions=(t("Off at once if it labors or its shell gets hot."),),
        )
    elif request.pierced:
        yield Act(
            t("Warm the compressor shell with a heat blanket and tap it with a rubber mallet: oil lets go of gas."),
            did("warmed"),
            cautions=(t("No flame, no heat gun."),),
        )
    yield Act(t("Open the {valve}.", valve=rig.valve("appliance.vapor")), opens("appliance.vapor"))
    yield Act(t("Open the {valve}.", valve=rig.valve("manifold.low")), opens("manifold.low"))
    yield Act(
        t("Open the machine inlet slowly, to full. Knocking: ease it back."),
        opens("machine.suction"),
        running=not rig.has_liquid,
    )
    if rig.has_liquid:
        dry = rig.request.push_pull
        if not dry:
            yield Act(
                t("Wait until the low gauge falls and hose B shows no liquid or frost."), (Effect("dry"),), "wait"
            )
        yield Act(
            t(
                "Open the {valve}, then the {other}.",
                valve=rig.valve("appliance.liquid"),
                other=rig.valve("manifold.high"),
            ),
            opens("appliance.liquid", "manifold.high"),
            running=True,
        )


def _change_to_vapor(rig: Rig) -> Iterator[Act]:
    """The machine runs on liquid and the liquid is gone: vapor side open, inlet to full, no stop between."""
    word = word_vapor(rig.request)
    words = (
        t("Leave the machine running on “{word}”.", word=word)
        if word == word_liquid(rig.request)
        else t("With the machine running, set it to “{word}”.", word=word)
    )
    yield Act(words, mode("vapor"))
    if rig.has_vapor:
        yield Act(t("Open the {valve}.", valve=rig.valve("appliance.vapor")), opens("appliance.vapor"))
        yield Act(t("Open the {valve}.", valve=rig.valve("manifold.low")), opens("manifold.low"))
    yield Act(
        t("Open the machine inlet slowly, to full. Knocking: ease it back."), opens("machine.suction"), running=True
    )


def _to_the_target(rig: Rig) -> Iterator[Act]:
    request = rig.request
    cylinder = request.cylinders[-1]
    cautions: tuple[str, ...]
    if request.chiller:
        cautions = (t("Water moving on both bundles? Look now and at every reading."),)
    elif request.leaking:
        cautions = (
            t("The leaking part: stop at {zero}, or air is drawn in.", zero=show_pressure(0.0, request.units)),
            *((t("Air and {gas} can explode in the machine.", gas=request.refrigerant),) if request.flammable else ()),
        )
    else:
        cautions = ()
    if request.leaking:
        yield Act(
            t("Shut off the leaking part from the rest, as far as its valves allow."),
            did("leak-isolated"),
        )
    if request.target_is_percent:
        yield Act(
            t("Draw until the scale has gained {target}.", target=target(request)),
            (Effect("fill", cylinder.id, amount=cylinder.planned_gross_lb), Effect("drawn")),
            "read",
            cautions=cautions,
            blanks=(ask(request, "final.gauge", t("Final gauge reading"), "vacuum"),),
        )
        return
    words = (
        t("Draw what is sound until the gauge reads {target}; no deeper.", target=target(request))
        if request.leaking
        else t(
            "Draw until the gauge reads {target}, and {minutes} minutes past it.",
            target=target(request),
            minutes=PAST_THE_TARGET_MINUTES,
        )
    )
    quantity = "absolute" if request.low_pressure else "vacuum"
    yield Act(
        words,
        (Effect("fill", cylinder.id, amount=cylinder.planned_gross_lb), Effect("drawn")),
        "read",
        cautions=cautions,
        blanks=(
            ask(request, "final.gauge", t("Final gauge reading"), "absolute" if quantity == "absolute" else "vacuum"),
        ),
    )


def _rise_allowed(request: Request) -> str:
    """1 inHg in five minutes, in the unit that the gauge shows; common practice, no source."""
    if request.units == "SI":
        return "3.4 kPa"
    return "25 mmHg" if request.low_pressure else "1 inHg"


def _rise(rig: Rig) -> Iterator[Act]:
    """Reaching the level is not enough: stop, wait, look again (TM 5-3810-307-24 waits five minutes)."""
    request = rig.request
    quantity = "absolute" if request.low_pressure else "vacuum"
    yield Act(
        t("Rise check: wait {minutes} minutes and watch the gauge.", minutes=request.rise_check_minutes),
        (Effect("rise"),),
        "wait",
        blanks=(
            ask(request, "rise.waited", t("Minutes waited"), "minutes"),
            ask(request, "rise.gauge", t("Gauge at the end"), "absolute" if quantity == "absolute" else "vacuum"),
        ),
    )
    yield hold(
        "rise",
        t(
            "Hold. It passes at {target} or lower, with no more than {rise} of rise in the last 5 minutes.",
            target=target(request),
            rise=_rise_allowed(request),
        ),
        t("It rises and levels: liquid or oil gives gas off. Warm it, start again, draw again."),
        t(
            "It climbs without end: a leak. Stop at {zero} at most and use the leak exception on the Record sheet.",
            zero=show_pressure(0.0, request.units),
        ),
    )
