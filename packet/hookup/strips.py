"""The two strips at the foot of each steps sheet; the second is proven line by line, machine running and dead.

A machine that stops leaves hoses full of liquid. Strip 2 switches it off first, then closes what would let gas move, and
leaves each hose open to a vessel at one end. Common practice, no source.
"""

from collections.abc import Iterator

from packet.hookup.acts import Act, Effect, ensures
from packet.hookup.checks import CHECKS, Scene
from packet.hookup.effects.table import apply
from packet.hookup.model import Strip
from packet.hookup.parts import Bench
from packet.hookup.rig import Rig
from packet.hookup.rules import Rules
from packet.hookup.settle import settle
from packet.hookup.stages.say import word_off
from packet.hookup.state import State, join_up
from packet.words import t

INLET, OUTLET = "machine.suction", "machine.discharge"
# while the strip is carried out, gas may equalize through a machine that has stopped; when it is done, no longer
_WHILE = frozenset({"equalize", "into-appliance"})


def strip_acts(rig: Rig, *, push_pull: bool) -> tuple[Act, ...]:
    """Strip 2, valve by valve. 'The cylinder on the scale' is meant, whichever that is."""
    request = rig.request
    off = Effect("mode", to="off")
    word = word_off(request)
    if push_pull:
        tops = tuple(valve for valve, _ in rig.bench.cylinder_valves if valve.endswith(".vapor"))
        return (
            Act(
                t(
                    "Close {valve} FIRST.",
                    valve=rig.valve(rig.isolator("liquid")),
                ),
                ensures(rig.isolator("liquid")),
            ),
            Act(t("Machine “{word}”.", word=word), (off,)),
            Act(t("Close {valve},", valve=rig.valve(rig.isolator("vapor"))), ensures(rig.isolator("vapor"))),
            Act(t("vapor valve of the cylinder on the scale,"), ensures(*tops)),
            Act(t("discharge. Its liquid valve stays open."), ensures(OUTLET)),
        )
    return (
        Act(t("Machine “{word}” FIRST.", word=word), (off,)),
        Act(t("Inlet closed,"), ensures(INLET)),
        Act(t("then discharge. The cylinder on the scale stays open."), ensures(OUTLET)),
    )


def strips(rig: Rig, *, push_pull: bool) -> tuple[Strip, ...]:
    """(1) out; (2) the machine stops. Two lines each."""
    request = rig.request
    call = (
        t("Someone hurt: emergency services, then {phone}.", phone=request.emergency_phone)
        if request.emergency_phone
        else t("Call the emergency services.")
    )
    flame = t(" Touch no switch.") if request.burns else ""
    back = t("last initialed hold, valves as its column says.")
    water = t(" Keep the water moving.") if request.chiller else ""
    return (
        Strip(
            t("1. Alarm, smell, fire, somebody down: OUT"),
            (
                t(
                    "Leave valves.{flame} Cut power from outside if you can; leave doors open.",
                    flame=flame,
                ),
                t("{call} Nobody back in until the detector is clear.", call=call),
            ),
        ),
        Strip(
            t("2. Machine trips or power fails, and no gas in the air"),
            (
                " ".join(act.text for act in strip_acts(rig, push_pull=push_pull)),
                t("To go on: {back}{water}", back=back, water=water),
            ),
        ),
    )


def prove_strip(rig: Rig, state: State, rules: Rules, *, push_pull: bool) -> Iterator[str]:
    """What strip 2 would leave wrong after any of its acts, begun in this state with the machine running and dead.

    Nothing is switched off beforehand: the state is taken as it is, and where the machine runs, once more with the machine
    stopped by itself.
    """
    acts = strip_acts(rig, push_pull=push_pull)
    for dead in (False, True) if state.running else (True,):
        after = state.copy()
        after.vented = ""
        if dead:
            after.mode, after.joined = "off", None
            settle(rig.bench, after, join_up(rig.bench, after))
        for number, act in enumerate(acts):
            for effect in act.effects:
                if effect.op == "mode":
                    after.mode = effect.to
                    after.joined = None
                else:
                    apply(rig.bench, after, effect, rules)
            settle(rig.bench, after, join_up(rig.bench, after))
            last = number == len(acts) - 1
            for why in looked_at(rig.bench, after, rules, done=last):
                yield t("after “{act}” of strip 2: {why}", act=act.text, why=why)


def looked_at(bench: Bench, state: State, rules: Rules, *, done: bool) -> Iterator[str]:
    """What every check finds in a state."""
    scene = Scene(bench, state, join_up(bench, state), Act("", names=frozenset() if done else _WHILE), rules)  # type: ignore[arg-type]
    for check in CHECKS:
        yield from check(scene)


def after_strip(rig: Rig, state: State, rules: Rules, *, push_pull: bool) -> State:
    """The valves as strip 2 leaves them, begun in this state."""
    after = state.copy()
    after.mode, after.joined = "off", None
    for act in strip_acts(rig, push_pull=push_pull):
        for effect in act.effects:
            if effect.op != "mode":
                apply(rig.bench, after, effect, rules)
    return after
