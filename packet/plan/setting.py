"""What all cylinders of one job share: the gas, temperatures, densities, the scale's step and the clearing."""

import math
from dataclasses import dataclass, replace
from datetime import date

from packet.ledger.state import CylinderState
from packet.plan.case import Case
from packet.plan.gas import Gas
from packet.plan.hoses import plan_hoses, volume_inputs
from packet.plan.method import Cylinders, bars_push_pull, choose_method
from packet.plan.mixed import gas_in
from packet.plan.model import Hoses, OccupiedSpace, StageName
from packet.rules import clearing, fill
from packet.rules.printed import PrintedWeight, printed_weight
from packet.rules.stop import Terms
from packet.shop.records import Job, Machine, Policy, PressureClass, Registers, Scale
from packet.units import UnitSystem, celsius_from_fahrenheit, fahrenheit_from_celsius
from packet.words import N_
from packet.worked import Worked, given

# Where a maker states no push-pull rate: the upper end of what is usual, lb/min.
USUAL_PUSH_PULL_LB_PER_MIN = 20.0


@dataclass(frozen=True, slots=True)
class FillSetting:
    """One job's common inputs to every cylinder's numbers."""

    case: Case
    scale: Scale
    printed: PrintedWeight
    stages: tuple[StageName, ...]
    fill_F: Worked
    hot_F: Worked
    rows_F: tuple[Worked, ...]
    clearing_lb: Worked

    def terms(self, at_F: Worked) -> Terms:
        """What a fill at a temperature is held to."""
        scale = given(self.scale.capacity_lb, "lb", self.scale.where("capacity_lb"), places=2)
        return terms_of(self.gas, self.case.policy, at_F, scale)

    def of(self, state: CylinderState) -> "FillSetting":
        """The setting for a cylinder that holds this already: a mixed one's limits are those of what is then in it."""
        case = self.case
        named = case.gas.refrigerant
        if named is None or not named.own or state.contents_lb <= 0.0:
            return self  # as `gas_in` has it, without working out what comes: asked of every kind of a register
        gas = gas_in(case.gas, state, case.charge_lb.value)
        return self if gas is case.gas else replace(self, case=replace(case, gas=gas))

    @property
    def gas(self) -> Gas:
        """The gas."""
        return self.case.gas

    @property
    def job(self) -> Job:
        """The job."""
        return self.case.job

    @property
    def registers(self) -> Registers:
        """The shop's registers."""
        return self.case.registers

    @property
    def barometer_psia(self) -> Worked:
        """The site's barometer."""
        return self.case.barometer_psia

    @property
    def units(self) -> UnitSystem:
        """The units the shop prints."""
        return self.case.units

    @property
    def day(self) -> date:
        """The job's date: 'today' for every check."""
        return self.case.job.date


def fill_setting(case: Case, scale: Scale, hoses: Hoses, stages: tuple[StageName, ...]) -> FillSetting:
    """The setting of one job with these stages: push-pull needs more to be kept free."""
    policy, gas = case.policy, case.gas
    printed = printed_weight(scale.resolution_lb, case.units)
    hottest = case.hottest_F()
    return FillSetting(
        case=case,
        scale=scale,
        printed=printed,
        stages=stages,
        fill_F=fill.fill_temperature_F(hottest),
        hot_F=given(fill.HOT_F, "°F", "49 CFR 173.304", places=1),
        rows_F=_rows(policy, hottest, gas, case.units),
        clearing_lb=_clearing(case, printed, hoses, "push-pull" in stages),
    )


def terms_of(gas: Gas, policy: Policy, at_F: Worked, scale_capacity_lb: Worked | None = None) -> Terms:
    """What a fill with this gas at this temperature is held to; no scale: where none is chosen yet."""
    hot = given(fill.HOT_F, "°F", "49 CFR 173.304", places=1)
    return Terms(
        refrigerant=gas.refrigerant.name if gas.refrigerant else None,
        ceiling_percent=given(policy.fill_ceiling_percent, "%", policy.where("fill_ceiling_percent"), places=1),
        hot_ceiling_percent=given(
            policy.hot_level_ceiling_percent, "%", policy.where("hot_level_ceiling_percent"), places=1
        ),
        liquid_lb_per_ft3=gas.liquid(at_F),
        hot_liquid_lb_per_ft3=gas.liquid(hot),
        scale_capacity_lb=scale_capacity_lb,
    )


class Ways:
    """The settings a job may have, by the cylinders it is given: they can rule push-pull out, and with it what has to be
    kept free."""

    def __init__(
        self, case: Case, scale: Scale, classes: tuple[PressureClass, ...], space: OccupiedSpace | None, low: bool
    ) -> None:
        """low: the job is low pressure. space: its room check."""
        self._case, self._scale, self._classes, self._space, self._low = case, scale, classes, space, low
        self._known: dict[bool, FillSetting] = {}

    def setting(self, cylinders: Cylinders) -> FillSetting:
        """The setting of the job with these cylinders, by the method that it then has."""
        barred = any(bars_push_pull(cylinder, state) for cylinder, state in cylinders)
        if barred not in self._known:
            case = self._case
            named = replace(case.named, cylinders=cylinders)
            stages = choose_method(replace(case, named=named), self._classes)[0].stages
            hoses = plan_hoses(case, stages, self._space, self._low)
            self._known[barred] = fill_setting(case, self._scale, hoses, stages)
        return self._known[barred]


# a row this near to the job's own hottest temperature would say the same twice
_SAME_F = 0.1
# steps of a table that reads in °C, where the shop's own are not whole: of 10 °F, 5.56 °C
_ROUND_C = (1, 2, 5, 10, 20, 50, 100)


def table_temperatures_F(policy: Policy, units: UnitSystem) -> tuple[float, ...]:
    """The table's temperatures, °F, round in the unit that is printed and at least as warm as the policy's last: who
    stands between two rows takes the warmer one."""
    start, end, step = policy.table_from_F, policy.table_to_F, policy.table_step_F
    count = int((end - start) / step + 1e-9) + 1
    if units == "US":
        return tuple(round(start + number * step, 6) for number in range(count))
    first_C, step_C, last_C = celsius_from_fahrenheit(start), step / 1.8, celsius_from_fahrenheit(end)
    if any(abs(value - round(value)) > 1e-6 for value in (first_C, step_C)):
        step_C = next(neat for neat in _ROUND_C if math.ceil(last_C / neat) - math.ceil(first_C / neat) <= count)
        first_C = math.ceil(first_C / step_C) * step_C
        count = math.ceil(last_C / step_C) - round(first_C / step_C) + 1
    return tuple(round(fahrenheit_from_celsius(round(first_C + number * step_C)), 6) for number in range(count))


def _rows(policy: Policy, hottest: Worked, gas: Gas, units: UnitSystem) -> tuple[Worked, ...]:
    """The table's temperatures, °F: the policy's steps and the job's hottest, within what can be computed."""
    values = [value for value in table_temperatures_F(policy, units) if abs(value - hottest.value) > _SAME_F]
    rows = [given(value, "°F", N_("a row of the table"), places=1) for value in values]
    fluid = gas.fluid
    inside = [row for row in [*rows, hottest] if fluid.lowest_F <= row.value <= fluid.highest_F]
    return tuple(sorted(inside, key=lambda row: row.value))


def _clearing(case: Case, printed: PrintedWeight, hoses: Hoses, push_pull: bool) -> Worked:
    machine = case.named.machine
    if machine is None:
        hold_up = given(1.0, "lb", N_("default of the register"), places=2)
    else:
        hold_up = given(machine.hold_up_lb, "lb", machine.where("hold_up_lb"), places=4)
    step = given(printed.step_lb, "lb", N_("the scale's resolution"), places=max(4, printed.places))
    return clearing.clearing_lb(
        hold_up, _hose_liquid(case, hoses, push_pull), step, _flow(case, machine) if push_pull else None
    )


def _hose_liquid(case: Case, hoses: Hoses, push_pull: bool) -> Worked:
    """Liquid in hose D; in push-pull also in hose A, which carries it from the appliance to the cylinder.

    D counts as full whichever valve of the cylinder it goes to: a machine that condenses sends liquid through it in
    every method, and clearing blows that into the cylinder.
    """
    gas = case.gas
    # the colder the liquid, the denser: the air while filling, but no warmer than 77 °F
    air = case.ambient_F
    coldest = air if air.value <= fill.COLDEST_FILL_F else given(fill.COLDEST_FILL_F, "°F", fill.SOURCE_K, places=1)
    density = gas.liquid_high(coldest)
    volume = clearing.hose_volume_ft3(*volume_inputs(hoses, "D"))
    if not push_pull:
        return clearing.hose_liquid_lb(volume, density)
    other = clearing.hose_volume_ft3(*volume_inputs(hoses, "A"))
    return clearing.line_liquid_lb(volume, other, density)


def _flow(case: Case, machine: Machine | None) -> Worked:
    policy = case.policy
    stated = machine.rates_lb_per_min.push_pull if machine else None
    if stated is None or machine is None:
        where = N_("no rate is stated: the upper end of what is usual, common practice, no source")
        rate = given(USUAL_PUSH_PULL_LB_PER_MIN, "lb/min", where, places=1)
    else:
        rate = given(stated, "lb/min", machine.rates_lb_per_min.where("push_pull"), places=4)
    seconds = given(policy.reaction_seconds, "s", policy.where("reaction_seconds"), places=1)
    return clearing.reaction_flow_lb(rate, seconds)
