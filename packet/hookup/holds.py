"""What a hold point claims, and whether it is so: nobody initials a sentence that the steps have not made true."""

from collections.abc import Callable, Iterator

from packet.hookup.parts import HOSES, Bench, cylinder_part
from packet.hookup.rules import Rules
from packet.hookup.settle import APPLIANCE_LIQUID, APPLIANCE_VAPOR
from packet.hookup.state import DISCHARGE_SIDE, SUCTION_SIDE, State, join_up
from packet.words import t

INLET = "machine.suction"
OUTLET = "machine.discharge"


def claims(bench: Bench, state: State, rules: Rules, name: str) -> Iterator[str]:
    """Breaches of what the hold `name` says; a name is 'kind' or 'kind:cylinder'. Raises KeyError for another."""
    kind, _, cylinder = name.partition(":")
    yield from _CLAIMS[kind](bench, state, rules, cylinder)


def _before(bench: Bench, state: State, rules: Rules, _cylinder: str) -> Iterator[str]:
    yield from _left_out(rules.before_connect - {"hold:before"}, state)
    if not state.gross_lb:
        yield t("initialled before a cylinder was weighed")
    fixed = {port for pair in bench.fixed for port in pair}
    if set(state.mates) - fixed:
        yield t("a hose is on before people, place and cylinders were looked at")


def _left_out(duties: frozenset[str], state: State) -> Iterator[str]:
    missing = sorted(duties - state.done)
    if missing:
        yield t("initialled before it was done: {duty}", duty=", ".join(missing))


def _verified(bench: Bench, state: State, _rules: Rules, _cylinder: str) -> Iterator[str]:
    """The hookup is read back, without air, and the refrigerant's pressure was read."""
    yield from _read_back(bench, state)
    yield from _left_out(frozenset({"standing"}), state)
    for valve in _open(bench, state, {"cylinder", "machine"}):
        yield t("initialled with {valve} open", valve=bench.valve_name(valve))


def _read_back(bench: Bench, state: State) -> Iterator[str]:
    hoses = [part for part in bench.parts.values() if part.kind == "hose"]
    for part in hoses:
        on = sum(port.id in state.mates for port in part.ports)
        if on == 1 or (on == 0 and part.id == "hose:C"):
            yield t("{part} is to be read back and is not connected at both ends", part=part.name)
        if on == 2 and state.holds[part.spaces[0]] == "air":
            yield t("{part} is read back and still holds air", part=part.name)


def _start(bench: Bench, state: State, rules: Rules, cylinder: str) -> Iterator[str]:
    """The stop weight is said; a hand on each valve: cylinder and discharge open, inlet closed, machine off."""
    part = bench.parts[cylinder_part(cylinder)]
    opened = [v for v in _open(bench, state, {"cylinder"}) if v.startswith(f"{part.id}.")]
    if not opened or state.valves[OUTLET] != "open" or state.valves[INLET] != "closed" or state.running:
        yield t("valves are to be checked before the start and do not stand as the hold says")
    if any(state.valves[valve] == "cracked" for valve in opened):
        yield t("{cylinder} is said to be open and is cracked", cylinder=cylinder)
    yield from _left_out(frozenset({f"float-switch:{cylinder}"}) & rules.before_end, state)
    if cylinder in rules.empties and f"vacuum-seen:{cylinder}" not in state.done:
        yield t("{cylinder} is empty and its vacuum was not looked at", cylinder=cylinder)
    joined = join_up(bench, state)
    reaches = any(joined.open_directly(DISCHARGE_SIDE, space) for space in part.spaces)
    into_appliance = joined.open_directly(DISCHARGE_SIDE, APPLIANCE_VAPOR)
    if not reaches and not into_appliance:
        yield t("the discharge is said to be open and leads nowhere")
    if into_appliance and state.valves[rules.liquid_valve] != "closed":
        yield t("the start is initialled and liquid flows already")
    if into_appliance and len(opened) < 2:
        yield t("in push-pull both valves of the cylinder are open before the start")


def _stopped(bench: Bench, state: State, rules: Rules, _cylinder: str) -> Iterator[str]:
    if state.running or state.valves[rules.liquid_valve] != "closed":
        yield t("push-pull is said to be stopped, and is not")
    for valve in _open(bench, state, {"cylinder"}):
        yield t("{valve} is said to be closed, and is open", valve=bench.valve_name(valve))
    if not state.machine_cleared:
        yield t("the machine is said to be cleared, and is not")


def _cut_off(bench: Bench, state: State, rules: Rules, _cylinder: str) -> Iterator[str]:
    joined = join_up(bench, state)
    open_to = [s for s in (APPLIANCE_VAPOR, APPLIANCE_LIQUID) if joined.open_through(s, SUCTION_SIDE)]
    if state.running or state.valves[INLET] != "closed" or open_to:
        yield t("the appliance is said to be cut off, and is not")
    if not rules.by_percent and "rise" not in state.done:
        yield t("the vacuum is said to hold and was not watched")


def _recovered(bench: Bench, state: State, rules: Rules, cylinder: str) -> Iterator[str]:
    """A percent of the charge is judged after clearing."""
    yield from _cut_off(bench, state, rules, cylinder)
    if not state.machine_cleared:
        yield t("the percent is judged before the machine was cleared")
    if not state.drawn:
        yield t("the percent is judged before the target was reached")


def _weighed(bench: Bench, state: State, rules: Rules, _cylinder: str) -> Iterator[str]:
    if state.running or not state.machine_cleared:
        yield t("the machine is said to be off and cleared, and is not")
    for valve in _open(bench, state, {"appliance", "cylinder", "machine", "manifold", "tee", "nitrogen"}):
        yield t("everything is said to be closed and {valve} is open", valve=bench.valve_name(valve))
    needed = [f"weigh-after:{cylinder}" for cylinder in rules.stop_gross_lb]
    yield from _left_out(frozenset((*needed, "capped", "tagged")), state)
    for part in bench.parts.values():
        if part.kind in HOSES and any(
            state.mates.get(port.id, "").startswith(("appliance.", "cylinder:")) for port in part.ports
        ):
            yield t("{part} is still on", part=part.name)


def _open(bench: Bench, state: State, kinds: set[str]) -> Iterator[str]:
    for valve, position in state.valves.items():
        if position != "closed" and bench.part_of(valve).kind in kinds:
            yield valve


_Claim = Callable[[Bench, State, Rules, str], Iterator[str]]
_CLAIMS: dict[str, _Claim] = {
    "before": _before,
    "verified": _verified,
    "start": _start,
    "stopped": _stopped,
    "rise": _cut_off,
    "recovered": _recovered,
    "weighed": _weighed,
}
