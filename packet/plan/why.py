"""Why each number of a plan is what it is: rule, source, inputs and arithmetic, line by line.

Every number of `plan_as_json` has a path: `cylinders.C-118.stop_gross_lb`, `cylinders.C-118.fill_table.90.free_lb` (a row
by its temperature, or `hottest`), `pressure_table.70.bubble_psig`, `times.vapor.minutes`. Brackets count from 0:
`cylinders[0].stop_gross_lb`. The working is put together only when it is asked for.
"""

import difflib
import re
from collections.abc import Callable, Iterator

from packet.findings import Finding
from packet.plan.carrying import homeward_gross, planned_gross
from packet.plan.case import Case, look_up
from packet.plan.cylinder import RowWorked, Weights, row, weights
from packet.plan.cylinder_plans import planned_net_lb
from packet.plan.evacuation import small_target_lb
from packet.plan.job import gas_of
from packet.plan.method import SHORT_NAMES
from packet.plan.model import CylinderPlan, Lift, Plan
from packet.plan.pressure import pressure_at, pressure_margin
from packet.plan.setting import FillSetting, fill_setting
from packet.rules import drawdown
from packet.statements import governing, sentences
from packet.words import N_, t
from packet.worked import Worked, given, lines

Number = Callable[[], Worked]
NAMED_NEAR = 8


class UnknownNumberError(LookupError):
    """No number of the plan has this path. near: paths that come closest, or all below it."""

    def __init__(self, path: str, near: tuple[str, ...]) -> None:
        self.path = path
        self.near = near
        super().__init__(str(self))

    def __str__(self) -> str:
        if not self.near:
            return t("The plan has no number '{path}'.", path=self.path)
        return t("The plan has no number '{path}'; there are: {near}", path=self.path, near=", ".join(self.near))


def why(plan: Plan, path: str) -> list[str]:
    """The working of one number of the plan, or the reasons of one decision, as lines of text.

    Raises UnknownNumberError for a path that the plan does not have.
    """
    wanted = _without_brackets(plan, path.strip())
    known = numbers(plan)
    if wanted in known:
        return list(lines(known[wanted](), wanted))
    reasons = decisions(plan)
    if wanted in reasons:
        return list(reasons[wanted])
    every = [*known, *reasons]
    below = tuple(item for item in every if item.startswith(f"{wanted}."))
    having = tuple(item for item in every if wanted and wanted in item)[:NAMED_NEAR]
    near = below or having or tuple(difflib.get_close_matches(wanted, every, n=NAMED_NEAR, cutoff=0.5))
    raise UnknownNumberError(path, near)


def numbers(plan: Plan) -> dict[str, Number]:
    """Every number of the plan by its path; call one to get its working."""
    found: dict[str, Number] = {}
    for path, number in _single(plan):
        found[path] = _just(number)
    case = case_of(plan)
    for item in plan.cylinders:
        found.update(_cylinder(plan, item, case))
    found.update(_pressures(plan, case))
    found.update(_evacuation(plan, case))
    for order, estimate in enumerate(plan.estimates):
        if estimate.percent is not None:
            found[f"estimates.{order}.percent"] = _just(
                given(estimate.percent, "%", estimate.how.sentence(plan.registers.shop.units), places=2)
            )
    return found


def decisions(plan: Plan) -> dict[str, tuple[str, ...]]:
    """The reasons of every decision that is not a number, by its path."""
    found: dict[str, tuple[str, ...]] = {}
    method, units = plan.method, plan.registers.shop.units
    if method is not None:
        against = tuple(
            t("not {method}: {reason}", method=t(SHORT_NAMES[item.method]), reason=reason.sentence(units))
            for item in method.rejected
            for reason in item.reasons
        )
        found["method"] = found["method.chosen"] = (method.chosen, *sentences(method.reasons, units), *against)
    if plan.evacuation is not None:
        found["evacuation"] = (*sentences(plan.evacuation.reasons, units), plan.evacuation.source)
    for item in plan.cylinders:
        name = f"cylinders.{item.cylinder.id}"
        about = ("cylinder", item.cylinder.id)
        against = tuple(entry.message for entry in plan.findings if about in entry.params and entry.severity == "stop")
        found[f"{name}.fit"] = against or (t("Nothing speaks against this cylinder."),)
        found[f"{name}.governing_limit"] = (
            governing(item.governing_limit).sentence(units),
            *(f"{t(limit.rule)}: {limit.text()} ({t(limit.source)})" for limit in item.limits),
        )
        found[f"{name}.quick_rule_is_unsafe"] = (item.quick_rule.sentence(units),)
    return found


def _just(number: Worked) -> Number:
    return lambda: number


def _single(plan: Plan) -> Iterator[tuple[str, Worked]]:
    named = {
        "barometer_psia": plan.barometer_psia,
        "to_recover_lb": plan.to_recover_lb,
        "expected_max_lb": plan.expected_max_lb,
        "t_co2e": plan.t_co2e,
    }
    if plan.occupied_space is not None:
        named["occupied_space.limit_lb"] = plan.occupied_space.limit_lb
        named["occupied_space.charge_lb"] = plan.occupied_space.charge_lb
    load = plan.carrying
    if load is not None:
        named["carrying.per_cylinder_limit_lb"] = load.per_cylinder_limit_lb
        named["carrying.truck_limit_lb"] = load.truck_limit_lb
        named["carrying.total_lb"] = load.total_lb
        named["carrying.stays_lb"] = given(load.stays_lb, "lb", plan.job.work.where("disposition"), places=2)
        named["carrying.standing_lb"] = dict(load.total_lb.inputs)["standing_load"]
        homeward = {item.cylinder.id: homeward_gross(item, plan.job) for item in plan.cylinders}
        for aboard in load.items:
            named[f"carrying.items.{aboard.cylinder}.gross_lb"] = homeward[aboard.cylinder]
    for lift in plan.lifting:
        named[f"lifting.{lift.id}.weight_lb"] = _lift(plan, lift)
    for item in plan.times:
        named[f"times.{item.stage}.minutes"] = item.minutes
    return ((path, number) for path, number in named.items() if number is not None)


def _lift(plan: Plan, lift: Lift) -> Worked:
    if lift.what == "machine" and plan.machine is not None:
        return given(lift.weight_lb, "lb", plan.machine.where("weight_lb"), places=1)
    return next(planned_gross(item) for item in plan.cylinders if item.cylinder.id == lift.id)


def case_of(plan: Plan) -> Case | None:
    """The case that the plan was made from, with the cylinders as they stood."""
    gas = gas_of(plan.job)
    if isinstance(gas, Finding):
        return None
    states = {item.cylinder.id: item.start for item in plan.cylinders}
    named = look_up(plan.job, plan.registers, states)
    return Case(plan.job, plan.registers, states, frozenset(), named, gas, plan.barometer_psia)


def _evacuation(plan: Plan, case: Case | None) -> dict[str, Number]:
    evacuation = plan.evacuation
    if evacuation is None or case is None:
        return {}
    named = {
        "saturation_psia_at_104F": evacuation.saturation_psia_at_104F,
        "target_inHg_vacuum": evacuation.target_inHg_vacuum,
        "target_psia": evacuation.target_psia,
        "gauge_at_site_inHg_vacuum": evacuation.gauge_at_site_inHg_vacuum,
        "remaining_vapor_lb": evacuation.remaining_vapor_lb,
        "rise_check_minutes": given(
            evacuation.rise_check_minutes, "min", N_("5 up to 15 lb, 10 to 200 lb, 30 above and for chillers"), places=0
        ),
    }
    if evacuation.absolute_mmHg is not None:
        named["absolute_mmHg"] = given(evacuation.absolute_mmHg, "mmHg", drawdown.SOURCE_TABLE, places=0)
    percent = evacuation.target_percent_of_charge
    if percent is not None:
        named["target_percent_of_charge"] = given(percent, "%", drawdown.SOURCE_SMALL, places=0)
        named["target_lb"] = small_target_lb(case, percent)
    return {f"evacuation.{name}": _just(number) for name, number in named.items() if number is not None}


def _pressures(plan: Plan, case: Case | None) -> dict[str, Number]:
    found: dict[str, Number] = {}
    if case is None or plan.evacuation is None:
        return found
    low = plan.evacuation.pressure_class == "low"
    for item in plan.pressure_table:
        at = item.temperature_F
        path = f"pressure_table.{at:g}"
        found[f"{path}.temperature_F"] = _just(given(at, "°F", N_("a row of the table"), places=0))
        for name in ("bubble_psig", "dew_psig", "suspect_air_psig"):
            found[f"{path}.{name}"] = _pressure_number(case, at, low, name)
    return found


def _pressure_number(case: Case, at: float, low: bool, name: str) -> Number:
    def made() -> Worked:
        number: Worked = getattr(pressure_at(case, at, low, pressure_margin(case)), name)
        return number

    return made


def _cylinder(plan: Plan, item: CylinderPlan, case: Case | None) -> dict[str, Number]:
    path = f"cylinders.{item.cylinder.id}"
    named = {
        "order": given(item.order, "", plan.job.where("cylinders"), places=0),
        "volume_ft3": item.volume_ft3,
        "expected_bare_gross_lb": item.expected_bare_gross_lb,
        "contents_lb": dict(item.expected_bare_gross_lb.inputs)["contents"],
        "free_lb": item.free_lb,
        "limit_net_lb": item.limit_net_lb,
        "limit_gross_lb": item.limit_gross_lb,
        "stop_gross_lb": item.stop_gross_lb,
        "change_at_gross_lb": item.change_at_gross_lb,
        "clearing_lb": item.clearing_lb,
        "quick_rule_gross_lb": item.quick_rule_gross_lb,
        "level_percent_at_131F": item.level_percent_at_131F,
        "liquid_full_at_F": item.liquid_full_at_F,
        "stop_and_cool_psig": item.stop_and_cool_psig,
        "planned_lb": item.planned_lb,
        "planned_gross_lb": planned_gross(item),
    }
    found = {f"{path}.{name}": _just(number) for name, number in named.items() if number is not None}
    if case is None or plan.scale is None or plan.method is None or plan.hoses is None:
        return found
    setting = fill_setting(case, plan.scale, plan.hoses, push_pull="push-pull" in plan.method.stages)
    own = weights(item.cylinder, item.start, setting)
    for made in item.fill_table:
        for key in (f"{made.ambient_F:g}", *(["hottest"] if made.hottest else [])):
            found.update(_row(f"{path}.fill_table.{key}", made.ambient_F, item, own, setting))
    return found


def _row(path: str, at: float, item: CylinderPlan, own: Weights, setting: FillSetting) -> dict[str, Number]:
    ambient = next(entry for entry in setting.rows_F if entry.value == at)

    def worked(name: str) -> Number:
        def made() -> Worked:
            whole: RowWorked = row(own, ambient, planned_net_lb(own, item.planned_lb), setting)
            number: Worked = getattr(whole, name)
            return number

        return made

    names = ("net_limit_lb", "stop_gross_lb", "free_lb", "pressure_psig", "level_percent")
    return {f"{path}.ambient_F": _just(ambient)} | {f"{path}.{name}": worked(name) for name in names}


def _without_brackets(plan: Plan, path: str) -> str:
    """The path with `cylinders[0]` and the like turned into names."""
    return re.sub(
        r"(cylinders|items|lifting|fill_table|pressure_table|times|estimates)\[(\d+)\]",
        lambda match: f"{match[1]}.{_name_at(plan, match[1], int(match[2]))}",
        path,
    )


def _name_at(plan: Plan, what: str, index: int) -> str:
    names: list[str] = []
    if what == "cylinders":
        names = [item.cylinder.id for item in plan.cylinders]
    elif what == "items" and plan.carrying is not None:
        names = [item.cylinder for item in plan.carrying.items]
    elif what == "lifting":
        names = [item.id for item in plan.lifting]
    elif what == "pressure_table":
        names = [f"{item.temperature_F:g}" for item in plan.pressure_table]
    elif what == "times":
        names = [item.stage for item in plan.times]
    elif what == "estimates":
        names = [str(order) for order in range(len(plan.estimates))]
    elif plan.cylinders:
        names = [f"{item.ambient_F:g}" for item in plan.cylinders[0].fill_table]
    return names[index] if index < len(names) else str(index)
