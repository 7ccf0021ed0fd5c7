"""What all cylinders of one job share: the gas, temperatures, densities, the scale's step and the clearing."""

from dataclasses import dataclass
from datetime import date

from packet.plan.gas import Gas
from packet.rules import barometer, clearing, fill
from packet.rules.printed import PrintedWeight, printed_weight
from packet.shop.records import Hose, Job, Machine, Registers, Scale
from packet.units import UnitSystem
from packet.words import N_
from packet.worked import Worked, given

# Where the kit names no hose: one of 5 ft and 3/8 in, the larger of the usual bores.
USUAL_HOSE_FT = 5.0
USUAL_BORE_IN = 0.375
# Where a maker states no push-pull rate: the upper end of what is usual, lb/min.
USUAL_PUSH_PULL_LB_PER_MIN = 20.0


@dataclass(frozen=True, slots=True)
class FillSetting:
    """One job's common inputs to every cylinder's numbers."""

    job: Job
    registers: Registers
    gas: Gas
    machine: Machine | None
    scale: Scale
    barometer_psia: Worked
    printed: PrintedWeight
    ceiling_percent: Worked
    hot_ceiling_percent: Worked
    fill_F: Worked
    hot_F: Worked
    scale_capacity_lb: Worked
    rows_F: tuple[Worked, ...]
    push_pull: bool
    clearing_lb: Worked

    @property
    def units(self) -> UnitSystem:
        """The units the shop prints."""
        return self.registers.shop.units

    @property
    def day(self) -> date:
        """The job's date: 'today' for every check."""
        return self.job.date


def fill_setting(
    job: Job,
    registers: Registers,
    gas: Gas,
    machine: Machine | None,
    scale: Scale,
    barometer_psia: Worked,
    push_pull: bool,
) -> FillSetting:
    """The setting of one job. push_pull: whether the chosen method has that stage, which needs more to be kept free."""
    policy = registers.shop.policy
    printed = printed_weight(scale.resolution_lb, registers.shop.units)
    conditions = job.conditions
    hottest = given(conditions.hottest_F, "°F", conditions.where("hottest_F"), places=1)
    return FillSetting(
        job=job,
        registers=registers,
        gas=gas,
        machine=machine,
        scale=scale,
        barometer_psia=barometer_psia,
        printed=printed,
        ceiling_percent=given(policy.fill_ceiling_percent, "%", policy.where("fill_ceiling_percent"), places=1),
        hot_ceiling_percent=given(
            policy.hot_level_ceiling_percent, "%", policy.where("hot_level_ceiling_percent"), places=1
        ),
        fill_F=fill.fill_temperature_F(hottest),
        hot_F=given(fill.HOT_F, "°F", "49 CFR 173.304", places=1),
        scale_capacity_lb=given(scale.capacity_lb, "lb", scale.where("capacity_lb"), places=2),
        rows_F=_rows(policy.table_from_F, policy.table_to_F, policy.table_step_F, hottest, gas),
        push_pull=push_pull,
        clearing_lb=_clearing(job, registers, gas, machine, printed, push_pull),
    )


def _rows(start_F: float, end_F: float, step_F: float, hottest: Worked, gas: Gas) -> tuple[Worked, ...]:
    """The table's temperatures, °F: the policy's steps and the job's hottest, within what can be computed."""
    count = int((end_F - start_F) / step_F + 1e-9) + 1
    values = {round(start_F + number * step_F, 6) for number in range(count)}
    rows = [given(value, "°F", N_("a row of the table"), places=1) for value in values if value != hottest.value]
    fluid = gas.fluid
    inside = [row for row in [*rows, hottest] if fluid.lowest_F <= row.value <= fluid.highest_F]
    return tuple(sorted(inside, key=lambda row: row.value))


def _clearing(
    job: Job, registers: Registers, gas: Gas, machine: Machine | None, printed: PrintedWeight, push_pull: bool
) -> Worked:
    if machine is None:
        hold_up = given(1.0, "lb", N_("default of the register"), places=2)
    else:
        hold_up = given(machine.hold_up_lb, "lb", machine.where("hold_up_lb"), places=2)
    hose_ft3 = _largest_hose(registers.equipment.kit.hoses)
    # the colder the liquid, the denser: the air while filling, but no warmer than 77 °F
    air = job.conditions.ambient_F
    coldest = given(
        min(max(air, gas.fluid.lowest_F), fill.COLDEST_FILL_F), "°F", job.conditions.where("ambient_F"), places=1
    )
    hose = clearing.hose_liquid_lb(hose_ft3, gas.liquid(coldest), 2 if push_pull else 1)
    step = given(printed.step_lb, "lb", N_("the scale's resolution"), places=max(4, printed.places))
    flow = _flow(registers, machine) if push_pull else None
    return clearing.clearing_lb(hold_up, hose, step, flow)


def _largest_hose(hoses: tuple[Hose, ...]) -> Worked:
    """The volume of the largest hose of the kit: whichever is taken, it holds no more."""
    if not hoses:
        usual = N_("the kit names no hose: common practice, no source")
        return clearing.hose_volume_ft3(
            given(USUAL_HOSE_FT, "ft", usual, places=1), given(USUAL_BORE_IN, "in", usual, places=3)
        )
    largest = max(hoses, key=lambda hose: hose.length_ft * hose.bore_in**2)
    return clearing.hose_volume_ft3(
        given(largest.length_ft, "ft", largest.where("length_ft")),
        given(largest.bore_in, "in", largest.where("bore_in")),
    )


def _flow(registers: Registers, machine: Machine | None) -> Worked:
    policy = registers.shop.policy
    stated = machine.rates_lb_per_min.push_pull if machine else None
    if stated is None or machine is None:
        where = N_("no rate is stated: the upper end of what is usual, common practice, no source")
        rate = given(USUAL_PUSH_PULL_LB_PER_MIN, "lb/min", where, places=1)
    else:
        rate = given(stated, "lb/min", machine.rates_lb_per_min.where("push_pull"), places=2)
    seconds = given(policy.reaction_seconds, "s", policy.where("reaction_seconds"), places=1)
    return clearing.reaction_flow_lb(rate, seconds)


def site_barometer(job: Job) -> Worked:
    """The site's barometer, psia, from its elevation."""
    return barometer.barometer_psia(given(job.site.elevation_ft, "ft", job.site.where("elevation_ft"), places=0))
