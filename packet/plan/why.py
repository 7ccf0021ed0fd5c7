"""Why each number of a plan is what it is: rule, source, inputs and arithmetic, line by line.

A number's path is its path in the plan's document (`plan --json`): `cylinders[0].stop_gross_lb`. In a list, the name of
what stands there does as well: `cylinders.C-118.fill_table.90.free_lb`, `times.vapor.minutes`; `hottest` is the row of
the job's own hottest temperature. What the document keeps no working for is worked out when it is asked for.
"""

import difflib
import re
from collections.abc import Callable, Iterator, Mapping

from pydantic import BaseModel

from packet.document import Data
from packet.findings import Finding
from packet.plan.carrying import homeward_gross, planned_gross
from packet.plan.case import Case, look_up
from packet.plan.cylinder import RowWorked, Weights, row, weights
from packet.plan.cylinder_plans import planned_net_lb
from packet.plan.document import Inputs, own_registers, plan_document, workings_of
from packet.plan.duties import why_duty
from packet.plan.evacuation import small_target_lb
from packet.plan.gas import Gas
from packet.plan.job import gas_of
from packet.plan.method import SHORT_NAMES
from packet.plan.model import CylinderPlan, Lift, Plan
from packet.plan.pressure import pressure_at, pressure_margin
from packet.plan.setting import FillSetting, fill_setting
from packet.rules import drawdown
from packet.rules.duties import SOURCES as DUTY_SOURCES
from packet.statements import sentences
from packet.words import N_, said, t
from packet.worked import Worked, given, lines

Number = Callable[[], Worked]
NAMED_NEAR = 8
# Numbers of the document that are about the document, or stand elsewhere in it as a number of their own.
NOT_NUMBERS = frozenset({"format", "workings", "typed_at", "params"})
# By what an item of a list is called.
ITEM_NAMES = ("id", "cylinder", "stage", "temperature_F", "ambient_F", "code")
# The unit of a number by the end of its name, longest first.
UNITS = {
    "_lb_per_min": "lb/min",
    "_lb_per_1000ft3": "lb/1000 ft³",
    "_inHg_vacuum": "inHg",
    "_mmHg": "mmHg",
    "_psia": "psi",
    "_psig": "psig",
    "_percent": "%",
    "_minutes": "min",
    "_seconds": "s",
    "_ft3": "ft³",
    "_psi": "psi",
    "_lb": "lb",
    "_ft": "ft",
    "_in": "in",
    "_F": "°F",
}


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
    wanted = canonical(plan_document(plan), path)
    known = numbers(plan)
    if wanted in known:
        return list(lines(known[wanted](), wanted))
    reasons = decisions(plan)
    if wanted in reasons:
        return list(reasons[wanted])
    every = [*known, *reasons]
    below = tuple(item for item in every if item.startswith((f"{wanted}.", f"{wanted}[")))
    having = tuple(item for item in every if wanted and wanted in item)[:NAMED_NEAR]
    near = below or having or tuple(difflib.get_close_matches(wanted, every, n=NAMED_NEAR, cutoff=0.5))
    raise UnknownNumberError(path, near)


def listed(plan: Plan) -> list[str]:
    """A line for every number and every decision that can be asked for: its path, and the number as it stands."""
    values = dict(_leaves(plan_document(plan), ""))
    asked = [f"{path} = {value:g}" for path, value in values.items()]
    return [*asked, *(path for path in decisions(plan) if path not in values)]


def canonical(document: Data, path: str) -> str:
    """A path as the document has it, from one with names or dots in the place of numbers in brackets.

    What cannot be followed stays as it was typed.
    """
    found, here, rest = "", document, re.sub(r"\.?\[(\d+)\]", r".[\1]", path.strip()).lstrip(".")
    while rest:
        step = _step(here, rest)
        if step is None:
            return f"{found}.{rest}" if found else rest
        name, shown, here = step
        rest = rest[len(name) :].removeprefix(".")
        found = f"{found}{shown}" if shown.startswith("[") or not found else f"{found}.{shown}"
    return found


def _step(here: Data, rest: str) -> tuple[str, str, Data] | None:
    """What the path's next name is as typed and in the document, and what stands there; the longest name that fits."""
    names: list[tuple[str, str, Data]] = []
    if isinstance(here, dict):
        names = [(key, key, value) for key, value in here.items()]
    elif isinstance(here, list):
        for order, item in enumerate(here):
            names += [(name, f"[{order}]", item) for name in (f"[{order}]", *_item_names(item), str(order))]
    fitting = [item for item in names if rest == item[0] or rest.startswith(f"{item[0]}.")]
    # without brackets an item's own name goes before its number: row '5' is the one of 5 °F
    own = [item for item in fitting if item[0] != item[1].strip("[]")]
    return max(own or fitting, key=lambda item: len(item[0]), default=None)


def _item_names(item: Data) -> Iterator[str]:
    if isinstance(item, dict):
        for key in ITEM_NAMES:
            if key in item:
                yield f"{item[key]:g}" if isinstance(item[key], float) else str(item[key])
        if item.get("hottest") is True:
            yield "hottest"


def _leaves(data: Data, path: str) -> Iterator[tuple[str, float]]:
    """Every number of the document that can be asked for, by its path."""
    if isinstance(data, dict):
        for key, value in data.items():
            if key not in NOT_NUMBERS:
                yield from _leaves(value, f"{path}.{key}" if path else key)
    elif isinstance(data, list):
        for order, value in enumerate(data):
            yield from _leaves(value, f"{path}[{order}]")
    elif isinstance(data, int | float) and not isinstance(data, bool):
        yield path, data


def numbers(plan: Plan) -> dict[str, Number]:
    """Every number of the plan's document by its path; call one to get its working."""
    document = plan_document(plan)
    found = {path: _plain(path, value) for path, value in _leaves(document, "")}
    found |= _inputs(plan)
    found |= _worked_out(plan)
    found |= {path: _just(number) for path, number in workings_of(document).items()}
    return found


def _just(number: Worked) -> Number:
    return lambda: number


def _plain(path: str, value: float) -> Number:
    """A number that was counted or decided, with no arithmetic behind it."""
    name = path.rpartition(".")[2]
    unit = next((unit for end, unit in UNITS.items() if name.endswith(end)), "")
    return lambda: Worked(value, unit, N_("counted or decided, no arithmetic"), N_("the plan"), places=6)


def _inputs(plan: Plan) -> dict[str, Number]:
    """What the plan was made from, each with the file, line and field where it was typed."""
    inputs = Inputs(plan.job, own_registers(plan), plan.refrigerant)
    found = dict(_typed(inputs.job, "inputs.job"))
    return found | dict(_typed(inputs.registers, "inputs.registers"))


def _typed(record: BaseModel, path: str) -> Iterator[tuple[str, Number]]:
    for name in type(record).model_fields:
        value, here = getattr(record, name), f"{path}.{name}"
        if isinstance(value, BaseModel):
            yield from _typed(value, here)
        elif isinstance(value, tuple):
            for order, item in enumerate(value):
                if isinstance(item, BaseModel):
                    yield from _typed(item, f"{here}[{order}]")
        elif isinstance(value, int | float) and not isinstance(value, bool):
            unit = next((unit for end, unit in UNITS.items() if here.endswith(end)), "")
            where: Callable[[str], str] | None = getattr(record, "where", None)
            yield here, _just(given(value, unit, where(name) if where else here, places=6))


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
        found["evacuation"] = (*sentences(plan.evacuation.reasons, units), said(plan.evacuation.source))
    gas = gas_of(plan.job)
    if not isinstance(gas, Finding):
        found.update(_duties(plan, gas))
    for order, item in enumerate(plan.cylinders):
        name = f"cylinders[{order}]"
        about = ("cylinder", item.cylinder.id)
        stops = tuple(entry.message for entry in plan.findings if about in entry.params and entry.severity == "stop")
        found[f"{name}.fit"] = stops or (t("Nothing speaks against this cylinder."),)
        found[f"{name}.governing_limit"] = (
            item.governing.sentence(units),
            *(f"{said(limit.rule)}: {limit.text()} ({said(limit.source)})" for limit in item.limits),
        )
        found[f"{name}.quick_rule_is_unsafe"] = (item.quick_rule.sentence(units),)
    return found


def _duties(plan: Plan, gas: Gas) -> Iterator[tuple[str, tuple[str, ...]]]:
    """Each duty with its section and every condition, whether it is owed or not."""
    units = plan.registers.shop.units
    order = {item.code: number for number, item in enumerate(plan.duties)}
    for code, source in DUTY_SOURCES.items():
        conditions = why_duty(plan.job, gas, code)
        verdict = (
            t("owed ({source})", source=source)
            if all(met for _, met in conditions)
            else t("not owed ({source})", source=source)
        )
        asked = (
            t("yes: {condition}", condition=item.sentence(units))
            if met
            else t("no: {condition}", condition=item.sentence(units))
            for item, met in conditions
        )
        # one that is owed stands in the document's list, one that is not goes by its name alone
        yield f"duties[{order[code]}]" if code in order else f"duties.{code}", (verdict, *asked)


def case_of(plan: Plan) -> Case | None:
    """The case that the plan was made from, with the cylinders as they stood."""
    gas = gas_of(plan.job)
    if isinstance(gas, Finding):
        return None
    states = {item.cylinder.id: item.start for item in plan.cylinders}
    named = look_up(plan.job, plan.registers, states)
    return Case(plan.job, plan.registers, states, frozenset(), named, gas, plan.barometer_psia)


def _worked_out(plan: Plan) -> dict[str, Number]:
    """Workings that no document keeps: those of table rows, and of figures that follow from another one."""
    case = case_of(plan)
    found: dict[str, Number] = {}
    for order, estimate in enumerate(plan.estimates):
        if estimate.percent is not None:
            how = estimate.how.sentence(plan.registers.shop.units)
            found[f"estimates[{order}].percent"] = _just(given(estimate.percent, "%", how, places=2))
    load = plan.carrying
    if load is not None:
        found["carrying.standing_lb"] = _just(dict(load.total_lb.inputs)["always_on_the_truck"])
        found["carrying.stays_lb"] = _just(given(load.stays_lb, "lb", plan.job.work.where("disposition"), places=2))
        homeward = {item.cylinder.id: homeward_gross(item, plan.job) for item in plan.cylinders}
        for order, aboard in enumerate(load.items):
            found[f"carrying.items[{order}].gross_lb"] = _just(homeward[aboard.cylinder])
    for order, lift in enumerate(plan.lifting):
        found[f"lifting[{order}].weight_lb"] = _just(_lift(plan, lift))
    for order, item in enumerate(plan.cylinders):
        found |= _cylinder(plan, item, f"cylinders[{order}]", case)
    if case is not None:
        found |= _pressures(plan, case)
        found |= _evacuation(plan, case)
    return found


def _lift(plan: Plan, lift: Lift) -> Worked:
    if lift.what == "machine" and plan.machine is not None:
        return given(lift.weight_lb, "lb", plan.machine.where("weight_lb"), places=1)
    return next(planned_gross(item) for item in plan.cylinders if item.cylinder.id == lift.id)


def _evacuation(plan: Plan, case: Case) -> dict[str, Number]:
    evacuation = plan.evacuation
    if evacuation is None:
        return {}
    minutes = N_("5 up to 15 lb, 10 to 200 lb, 30 above and for chillers")
    named: dict[str, Worked] = {"rise_check_minutes": given(evacuation.rise_check_minutes, "min", minutes, places=0)}
    if evacuation.absolute_mmHg is not None:
        named["absolute_mmHg"] = given(evacuation.absolute_mmHg, "mmHg", drawdown.SOURCE_TABLE, places=0)
    percent = evacuation.target_percent_of_charge
    if percent is not None:
        named["target_percent_of_charge"] = given(percent, "%", drawdown.SOURCE_SMALL, places=0)
        named["target_lb"] = small_target_lb(case, percent)
    return {f"evacuation.{name}": _just(number) for name, number in named.items()}


def _pressures(plan: Plan, case: Case) -> dict[str, Number]:
    found: dict[str, Number] = {}
    low = plan.evacuation is not None and plan.evacuation.is_read_absolute
    for order, item in enumerate(plan.pressure_table):
        at, path = item.temperature_F, f"pressure_table[{order}]"
        found[f"{path}.temperature_F"] = _just(given(at, "°F", N_("a row of the table"), places=0))
        for name in ("bubble_psig", "dew_psig", "suspect_air_psig"):
            found[f"{path}.{name}"] = _pressure_number(case, at, low, name)
    return found


def _pressure_number(case: Case, at: float, low: bool, name: str) -> Number:
    def made() -> Worked:
        number: Worked = getattr(pressure_at(case, at, low, pressure_margin(case)), name)
        return number

    return made


def _cylinder(plan: Plan, item: CylinderPlan, path: str, case: Case | None) -> dict[str, Number]:
    contents = dict(item.expected_bare_gross_lb.inputs)["contents"]
    found = {
        f"{path}.order": _just(given(item.order, "", plan.job.where("cylinders"), places=0)),
        f"{path}.contents_lb": _just(contents),
        f"{path}.start.contents_lb": _just(contents),
        f"{path}.planned_gross_lb": _just(planned_gross(item)),
    }
    if case is None or plan.scale is None or plan.method is None or plan.hoses is None:
        return found
    setting = fill_setting(case, plan.scale, plan.hoses, plan.method.stages)
    own = weights(item.cylinder, item.start, setting)
    for order, made in enumerate(item.fill_table):
        found |= _row(f"{path}.fill_table[{order}]", made.ambient_F, item, own, setting)
    return found


def _row(path: str, at: float, item: CylinderPlan, own: Weights, setting: FillSetting) -> Mapping[str, Number]:
    ambient = next(entry for entry in setting.rows_F if entry.value == at)

    def worked(name: str) -> Number:
        def made() -> Worked:
            whole: RowWorked = row(own, ambient, planned_net_lb(own, item.planned_lb), setting)
            number: Worked = getattr(whole, name)
            return number

        return made

    names = ("net_limit_lb", "stop_gross_lb", "free_lb", "pressure_psig", "level_percent")
    return {f"{path}.ambient_F": _just(ambient)} | {f"{path}.{name}": worked(name) for name in names}
