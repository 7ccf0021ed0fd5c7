"""Change-over to the next cylinder in liquid or vapor recovery: the same words in both, done when the scale says so."""

from collections.abc import Iterator
from typing import Literal

from packet.hookup.acts import Act, Effect, Named, cracks, mode, opens, parts_at, shuts
from packet.hookup.request import CylinderNeed
from packet.hookup.rig import Rig
from packet.hookup.stages.purge import pump_out
from packet.hookup.stages.push_pull import cleared_words, leak_check_and_cap
from packet.hookup.stages.recover import before_start
from packet.hookup.stages.say import hold, stop_and_cool, weight, word_clear, word_liquid, word_off, word_vapor
from packet.hookup.stages.weigh import float_switch, left_hand, read_back, weigh_after, weigh_before
from packet.words import t

During = Literal["liquid", "vapor"]
DRAWS_NOTHING: frozenset[Named] = frozenset({"draws-nothing"})


def change_over(rig: Rig, index: int, during: During) -> tuple[Act, ...]:
    """From cylinder `index` to the next. The words do not depend on `during`; what the last steps set again does."""
    request = rig.request
    old, new = request.cylinders[index], request.cylinders[index + 1]
    at = old.change_at_gross_lb or old.stop_gross_lb
    receive, off = rig.receive(old), rig.shut_offs("D")[-1:]
    swap_at = "tee-cylinder.out" if request.vacuum_purge else "D2"
    return (
        Act(
            t("{cylinder} reads {change}: begin.", cylinder=old.id, change=weight(request, at)),
            (Effect("fill", old.id, amount=at),),
            "wait",
        ),
        Act(
            t("Shut the manifold valves that are open: {valves}.", valves=rig.names(rig.sides)),
            _ensure(rig.sides, "shut"),
            names=DRAWS_NOTHING,
        ),
        Act(
            t("Wait until the suction gauge falls: hose C is empty."), (Effect("emptied"),), "wait", names=DRAWS_NOTHING
        ),
        Act(t("Shut the machine inlet; the discharge stays open."), shuts("machine.suction")),
        Act(t("Set the machine to “{word}”.", word=word_clear(request)), mode("clear")),
        Act(cleared_words(rig), (Effect("cleared"),), "wait"),
        Act(t("Set the machine to “{word}”.", word=word_off(request)), mode("off")),
        Act(
            t("Shut the {valve}, then the machine discharge.", valve=rig.valve(receive)),
            shuts(receive, "machine.discharge"),
        ),
        hold(f"full:{old.id}", t("Hold. {cylinder} shut, machine off and cleared.", cylinder=old.id)),
        Act(
            t(
                "Shut the {valves}, then take hose D off {cylinder}. Loosen slowly.",
                valves=rig.names(off),
                cylinder=old.id,
            ),
            (*shuts(*off), *parts_at([swap_at])),
        ),
        weigh_after(rig, old),
        leak_check_and_cap(old),
        weigh_before(rig, new),
        _join(rig, new, swap_at),
        *float_switch(new),
        read_back(rig, new),
        *(_by_vacuum(rig, new, off) if request.vacuum_purge else _by_vapor(rig, off)),
        *_restart(rig, new, during),
    )


def _ensure(valves: tuple[str, ...], to: str) -> tuple[Effect, ...]:
    return tuple(Effect("ensure", valve, to) for valve in valves)


def _join(rig: Rig, new: CylinderNeed, swap_at: str) -> Act:
    receive = rig.receive(new)
    return Act(
        t("Join hose D to {valve}.", valve=rig.valve(receive)),
        (Effect("join", swap_at, receive),),
        cautions=left_hand(rig),
    )


def _by_vapor(rig: Rig, off: tuple[str, ...]) -> Iterator[Act]:
    yield Act(t("Open the {valves}.", valves=rig.names(off)), opens(*off))
    yield Act(
        t("Open the appliance vapor valve, if it is not open, and the manifold low valve."),
        (*_ensure(("appliance.vapor",), "open"), *opens("manifold.low")),
    )
    yield Act(
        t("Open the machine discharge and crack the machine inlet; the machine stays off."),
        (*opens("machine.discharge"), *cracks("machine.suction")),
    )
    yield Act(
        t("Loosen {where} until gas has pushed the air out (2 s), tighten.", where=t("hose D at the cylinder")),
        (Effect("purge", "D2"),),
        cautions=(t("Face away, gloves on: what comes out is cold."),),
    )
    yield Act(t("Shut the machine inlet, then the manifold low valve."), shuts("machine.suction", "manifold.low"))


def _by_vacuum(rig: Rig, new: CylinderNeed, off: tuple[str, ...]) -> Iterator[Act]:
    # hose D kept its gas behind its shut-off: only the tee was opened, and only the tee is pumped
    yield from pump_out(rig, "cylinder", t("the tee"))
    yield hold(f"pumped:{new.id}", t("Hold. Hose P is capped, the branch is shut."))
    yield Act(t("Open the {valves}.", valves=rig.names(off)), opens(*off), names=frozenset({"charging"}))


def _restart(rig: Rig, new: CylinderNeed, during: During) -> Iterator[Act]:
    request = rig.request
    receive = rig.receive(new)
    yield Act(t("Open the {valve}, slowly, then fully.", valve=rig.valve(receive)), opens(receive))
    if request.vacuum_purge:
        yield Act(t("Open the {valve} fully.", valve=rig.valve("machine.discharge")), opens("machine.discharge"))
    yield before_start(rig, new)
    yield Act(
        t(
            "Inlet shut: set the machine as the stage has it, “{liquid}” or “{vapor}”, and start it.",
            liquid=word_liquid(request),
            vapor=word_vapor(request),
        )
        if during_varies(rig) and word_liquid(request) != word_vapor(request)
        else t("Inlet shut: set the machine to “{word}” and start it.", word=word_vapor(request)),
        mode(during),
        cautions=stop_and_cool(request, new),
    )
    yield Act(_manifold_words(rig), _manifold_again(rig, during))
    yield Act(
        t("Machine inlet as the stage has it: cracked for liquid, slowly to full for vapor.")
        if during_varies(rig)
        else t("Open the machine inlet slowly, to full."),
        cracks("machine.suction") if during == "liquid" else opens("machine.suction"),
        running=True,
    )
    yield hold(
        f"changed:{new.id}",
        t("Hold. The scale climbs with {cylinder} on it. Go back to the step you came from.", cylinder=new.id),
    )


def during_varies(rig: Rig) -> bool:
    """Whether a change-over may come in the liquid stage as well as in the vapor stage."""
    return "liquid" in rig.request.stages


def _manifold_words(rig: Rig) -> str:
    if not during_varies(rig):
        return t("Open the manifold valves again: {valves}.", valves=rig.names(rig.sides))
    if not rig.has_vapor:
        return t("Open the manifold high valve again.")
    return t("Manifold as the stage has it: liquid: high open, appliance vapor valve shut; vapor: low and high open.")


def _manifold_again(rig: Rig, during: During) -> tuple[Effect, ...]:
    if during == "liquid":
        vapor_shut = _ensure(("appliance.vapor",), "shut") if rig.has_vapor else ()
        return (*vapor_shut, *opens("manifold.high"))
    return opens(*rig.sides)
