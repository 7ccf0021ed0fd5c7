"""How long each stage takes: estimates of ± 50 % for planning the day, from the machine's rates and the gas."""

from packet.plan.case import Case
from packet.plan.evacuation import low_shells, lowest_psia, system_volume
from packet.plan.model import Evacuation, Method, StageTime
from packet.rules import duration
from packet.shop.records import Machine
from packet.words import N_
from packet.worked import Worked, given

# As cold as a chiller's tubes may get while liquid boils beside them. Common practice, no source.
WATER_SAFE_F = 36.0
# Where the register states no rate: the lower end of what is usual, lb/min. Common practice, no source.
USUAL_LIQUID_LB_PER_MIN = 1.5
USUAL_VAPOR_LB_PER_MIN = 0.2
USUAL_PUSH_PULL_LB_PER_MIN = 6.0


def plan_times(case: Case, method: Method, evacuation: Evacuation, changes: int) -> tuple[StageTime, ...]:
    """Set-up, each stage, the cylinder change-overs and clearing, in order; empty for an unknown gas.

    changes: how many times a full cylinder is swapped. Vapor: what liquid boils off, then the pump-down of what is
    left, the rate falling with its density.
    """
    gas, machine = case.gas, case.named.machine
    if gas.refrigerant is None:
        return ()
    vapor, system = gas.vapor(case.ambient_F), system_volume(case)
    liquid = duration.liquid_lb(case.charge_lb, system, vapor)
    times = [StageTime("set-up", _handling(duration.SET_UP_MIN, 1))]
    if method.chosen == "push-pull":
        flow = duration.at_rate_minutes(liquid, _rate(machine, "push_pull", USUAL_PUSH_PULL_LB_PER_MIN))
        rehose = _handling(duration.REHOSE_MIN, 1)
        rule = N_("push-pull, and reconnecting for vapor")
        times.append(StageTime("push-pull", duration.sum_minutes((("flow", flow), ("rehosing", rehose)), rule)))
    elif method.chosen == "liquid":
        times.append(
            StageTime("liquid", duration.at_rate_minutes(liquid, _rate(machine, "liquid", USUAL_LIQUID_LB_PER_MIN)))
        )
    times.append(StageTime("vapor", _vapor(case, method, evacuation, (vapor, system, liquid))))
    if changes:
        times.append(StageTime("change-over", _handling(duration.CHANGE_OVER_MIN, changes)))
    times.append(StageTime("clear", _handling(duration.CLEAR_MIN + evacuation.rise_check_minutes, 1)))
    return tuple(times)


def _vapor(case: Case, method: Method, evacuation: Evacuation, state: tuple[Worked, Worked, Worked]) -> Worked:
    gas, machine = case.gas, case.named.machine
    vapor, system, liquid = state
    rated = given(70.0, "°F", N_("the temperature the maker states the vapor rate at"), places=0)
    displacement = duration.displacement_ft3_per_min(_rate(machine, "vapor", USUAL_VAPOR_LB_PER_MIN), gas.vapor(rated))
    end = gas.thin_vapor(case.ambient_F, lowest_psia(case, evacuation.target_psia))
    pump_down = duration.pump_down_minutes(system, displacement, vapor, end)
    if method.chosen != "vapor" and low_shells(case):
        # what is left boils no colder than the water in the tubes allows while liquid remains
        cold = gas.vapor(given(WATER_SAFE_F, "°F", duration.SOURCE, places=0))
        left = duration.boil_off_minutes(duration.left_in_shells_lb(liquid), displacement, cold)
        rule = N_("vapor: the liquid that stayed in the shells boiling off, then the pump-down")
        return duration.sum_minutes((("boil_off", left), ("pump_down", pump_down)), rule)
    if method.chosen != "vapor":
        return duration.sum_minutes((("pump_down", pump_down),), N_("vapor: pump-down of what the liquid stage leaves"))
    boil_off = duration.boil_off_minutes(liquid, displacement, vapor)
    rule = N_("vapor: liquid boiling off, then the pump-down")
    return duration.sum_minutes((("boil_off", boil_off), ("pump_down", pump_down)), rule)


def _rate(machine: Machine | None, name: str, usual: float) -> Worked:
    stated = getattr(machine.rates_lb_per_min, name) if machine else None
    if machine is None or stated is None:
        return given(
            usual, "lb/min", N_("no rate is stated: the lower end of what is usual, common practice"), places=2
        )
    return given(stated, "lb/min", machine.rates_lb_per_min.where(name), places=2)


def _handling(minutes: float, times: int) -> Worked:
    each = given(minutes, "min", duration.SOURCE, places=0)
    return duration.handling_minutes(each, given(times, "", N_("how often"), places=0))
