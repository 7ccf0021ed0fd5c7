"""What a hold point claims, and whether it is so: nobody initials a sentence that the steps have not made true."""

from collections.abc import Callable, Iterator

from packet.hookup.parts import Bench, cylinder_part
from packet.hookup.rules import Rules
from packet.hookup.settle import APPLIANCE_LIQUID, APPLIANCE_VAPOR
from packet.hookup.state import SUCTION_SIDE, State, join_up
from packet.words import t

INLET = "machine.suction"
OUTLET = "machine.discharge"


def claims(bench: Bench, state: State, rules: Rules, name: str) -> Iterator[str]:
    """Breaches of what the hold `name` says; a name is 'kind' or 'kind:cylinder'."""
    kind, _, cylinder = name.partition(":")
    claim = _CLAIMS.get(kind)
    if claim is not None:
        yield from claim(bench, state, rules, cylinder)


def _before(_bench: Bench, state: State, rules: Rules, _cylinder: str) -> Iterator[str]:
    yield from _left_out(rules.before_join - {"hold:before"}, state)


def _end(_bench: Bench, state: State, rules: Rules, _cylinder: str) -> Iterator[str]:
    yield from _left_out(frozenset(duty for duty in rules.before_end if not duty.startswith("hold:")), state)


def _left_out(duties: frozenset[str], state: State) -> Iterator[str]:
    missing = sorted(duties - state.done)
    if missing:
        yield t("initialled before it was done: {duty}", duty=", ".join(missing))


def _joined(bench: Bench, state: State, _rules: Rules, _cylinder: str) -> Iterator[str]:
    for part in bench.parts.values():
        if part.kind == "hose" and 0 < sum(port.id in state.mates for port in part.ports) < 2:
            yield t("{part} is to be read back and is joined at one end only", part=part.name)
    if "D1" not in state.mates and "C1" not in state.mates:
        yield t("the hoses are to be read back and are not joined")


def _target(bench: Bench, state: State, rules: Rules, cylinder: str) -> Iterator[str]:
    if not any(port.id in state.mates for port in bench.parts[cylinder_part(cylinder)].ports):
        yield t("the stop weight of {cylinder} is read back before it is joined", cylinder=cylinder)
    yield from _left_out(frozenset({f"float-switch:{cylinder}"}) & rules.before_end, state)
    for valve in _open(bench, state, {"appliance", "cylinder", "machine", "manifold"}):
        # a change-over leaves the appliance's own valves as they stand, a four-valve manifold its middle
        changing = any(duty.startswith("filled:") for duty in state.done) and "glass.out" not in state.mates
        if not (valve.startswith("appliance.") and changing) and valve != "manifold.utility":
            yield t("the stop weight is read back with {valve} open", valve=bench.valve_name(valve))


def _start(bench: Bench, state: State, _rules: Rules, cylinder: str) -> Iterator[str]:
    opened = [v for v in _open(bench, state, {"cylinder"}) if v.startswith(cylinder_part(cylinder) + ".")]
    if not opened or state.valves[OUTLET] != "open" or state.valves[INLET] != "shut" or state.running:
        yield t("before the start {cylinder} and the discharge stand open, the inlet shut", cylinder=cylinder)
    if "glass.out" in state.mates:
        both = [port.id for port in bench.parts[cylinder_part(cylinder)].ports]
        for valve in (*both, "appliance.vapor"):
            if state.valves[valve] != "open":
                yield t("before the start {valve} stands open", valve=bench.valve_name(valve))


def _runs(_bench: Bench, state: State, _rules: Rules, _cylinder: str) -> Iterator[str]:
    if not state.running or state.valves[INLET] == "shut":
        yield t("it is said to run and does not draw")


def _vapor_runs(bench: Bench, state: State, rules: Rules, _cylinder: str) -> Iterator[str]:
    joined = join_up(bench, state)
    if state.mode != "vapor" or state.valves[INLET] != "open":
        yield t("it is said to draw vapor at full and does not")
    for port in rules.ports_used:
        mate = state.mates.get(port)
        if (
            mate is None
            or state.valves[port] == "shut"
            or not joined.open_directly(bench.ports[mate].space, SUCTION_SIDE)
        ):
            yield t("every side used is said to be drawn and {port} is not", port=bench.port_name(port))


def _stopped(bench: Bench, state: State, _rules: Rules, cylinder: str) -> Iterator[str]:
    if state.running or [v for v in _open(bench, state, {"cylinder"}) if v.startswith(cylinder_part(cylinder) + ".")]:
        yield t("{cylinder} is said to be shut with the machine off, and is not", cylinder=cylinder)


def _full(bench: Bench, state: State, rules: Rules, cylinder: str) -> Iterator[str]:
    yield from _stopped(bench, state, rules, cylinder)
    if not state.machine_cleared or state.valves[OUTLET] != "shut" or state.valves[INLET] != "shut":
        yield t("the machine is said to be cleared and shut, and is not")
    if "glass.in" in state.mates and state.holds["hose:C"] != "drawn":
        yield t("hose C is said to be empty, and is not")


def _pumped(bench: Bench, state: State, _rules: Rules, _cylinder: str) -> Iterator[str]:
    if "P1" in state.mates or state.pump_on:
        yield t("the vacuum pump is said to be off and away, and is not")
    for valve in _open(bench, state, {"tee"}):
        yield t("{valve} is said to be shut, and is not", valve=bench.valve_name(valve))


def _cut_off(bench: Bench, state: State, _rules: Rules, _cylinder: str) -> Iterator[str]:
    joined = join_up(bench, state)
    if state.running or state.valves[INLET] != "shut":
        yield t("the machine is said to be off with its inlet shut, and is not")
    if joined.open_through(APPLIANCE_VAPOR, SUCTION_SIDE) or joined.open_through(APPLIANCE_LIQUID, SUCTION_SIDE):
        yield t("the appliance is said to be cut off, and is not")


def _all_shut(bench: Bench, state: State, _rules: Rules, _cylinder: str) -> Iterator[str]:
    if state.running or not state.machine_cleared:
        yield t("the machine is said to be off and cleared, and is not")
    for valve in _open(bench, state, {"appliance", "cylinder", "machine", "manifold", "hose"}):
        yield t("everything is said to be shut and {valve} is open", valve=bench.valve_name(valve))


def _weighed(_bench: Bench, state: State, rules: Rules, _cylinder: str) -> Iterator[str]:
    needed = [f"weigh-after:{cylinder}" for cylinder in rules.stop_gross_lb]
    yield from _left_out(frozenset((*needed, "capped", "tagged")), state)


def _open(bench: Bench, state: State, kinds: set[str]) -> Iterator[str]:
    for valve, position in state.valves.items():
        if position != "shut" and bench.part_of(valve).kind in kinds:
            yield valve


_Claim = Callable[[Bench, State, Rules, str], Iterator[str]]
_CLAIMS: dict[str, _Claim] = {
    "before": _before,
    "joined": _joined,
    "re-hosed": _joined,
    "target": _target,
    "start": _start,
    "liquid-runs": _runs,
    "push-pull-runs": _runs,
    "runs": _runs,
    "changed": _runs,
    "vapor-runs": _vapor_runs,
    "stopped": _stopped,
    "cleared": _full,
    "full": _full,
    "pumped": _pumped,
    "target-reached": _cut_off,
    "liquid-stopped": _cut_off,
    "rise": _cut_off,
    "shut": _all_shut,
    "weighed": _weighed,
    "end": _end,
}
