"""The cylinders of a job as planned: each with its numbers, what is planned into it, and what speaks against it."""

from dataclasses import dataclass, replace
from functools import partial

from packet.findings import Finding, finding
from packet.plan import fit
from packet.plan.case import Case
from packet.plan.cylinder import (
    Weights,
    level_curve,
    mean_density,
    net_of,
    table,
    weights,
)
from packet.plan.filling import Spread, expected_max_lb, shortage, spread
from packet.plan.gauge import site_gauge
from packet.plan.method import Cylinders
from packet.plan.model import CylinderPlan
from packet.plan.setting import FillSetting, Ways
from packet.rules import fill, fitness, quick
from packet.rules.spec import read_spec
from packet.statements import NONE_IN_REGISTER, Amount, Statement, statement
from packet.words import N_
from packet.worked import Worked, given

NAMED_AT_MOST = 6


@dataclass(frozen=True, slots=True)
class Filled:
    """All cylinders planned. changes: how often a full one is swapped for the next. needs: what to fetch."""

    cylinders: tuple[CylinderPlan, ...] = ()
    expected_max_lb: Worked | None = None
    changes: int = 0
    findings: tuple[Finding, ...] = ()
    needs: tuple[Statement, ...] = ()


def fill_cylinders(setting: FillSetting, ways: Ways) -> Filled:
    """Fitness, limits and filling of the assigned cylinders in order, with what would do where they do not.

    ways: the setting that holds if other cylinders are taken (push-pull may become possible with them, or be ruled out).
    """
    case = setting.case
    policy, assigned, to_recover_lb = case.policy, case.named.cylinders, case.charge_lb
    own = [weights(cylinder, state, setting) for cylinder, state in assigned]
    refused = [fit.refusals(cylinder, state, setting) for cylinder, state in assigned]
    usable = [not fit.stops(against) for against in refused]
    allowance = given(policy.overcharge_allowance_percent, "%", policy.where("overcharge_allowance_percent"), places=1)
    expected_max = expected_max_lb(to_recover_lb, allowance)
    spreading = spread(to_recover_lb, expected_max, tuple(zip(own, usable, strict=True)))
    full = [item.free_lb.value <= 0.0 for item in own]
    # what stays when those that are refused or full are exchanged
    kept = tuple(pair for pair, fits, is_full in zip(assigned, usable, full, strict=True) if fits and not is_full)
    offers: tuple[fit.Spare, ...] = ()
    if any(refused) or any(full) or not spreading.suffices:
        offers = fit.would_do(case, ways, kept, expected_max.value)
    findings: list[Finding] = []
    for item, against, is_full in zip(own, refused, full, strict=True):
        findings.extend(_against(item, against, is_full, setting, offers))
    needs: tuple[Statement, ...] = ()
    if not spreading.suffices:
        needs = _needs(case, ways, kept, expected_max, offers)
        findings.append(_shortage(setting, spreading, expected_max, needs))
    used = sum(1 for planned in spreading.planned_lb if planned.value > 0.0)
    plans = tuple(
        _cylinder(number, item, fits and not is_full, spreading, setting)
        for number, (item, fits, is_full) in enumerate(zip(own, usable, full, strict=True))
    )
    return Filled(plans, expected_max, max(0, used - 1), tuple(findings), needs)


def _against(
    own: Weights, against: tuple[fit.Refusal, ...], full: bool, setting: FillSetting, offers: tuple[fit.Spare, ...]
) -> list[Finding]:
    where = own.cylinder.where()
    found = list(fit.as_findings(against, where, names(offers), setting.units))
    units = setting.units
    if own.bare_gross_lb.value > setting.scale.capacity_lb:
        found.append(
            finding(
                "over-scale-capacity",
                units,
                source=N_("the scale's maker"),
                where=where,
                cylinder=own.cylinder.id,
                stop=Amount(own.bare_gross_lb.value, "weight"),
                scale=setting.scale.id,
                capacity=Amount(setting.scale.capacity_lb, "weight"),
            )
        )
    elif full:
        found.append(
            finding(
                "cylinder-full",
                units,
                source=own.limits.net_lb.source,
                where=where,
                cylinder=own.cylinder.id,
                contents=Amount(own.contents_lb.value, "weight"),
                limit=Amount(max(0.0, own.stop_gross_lb.value - own.tare_lb.value), "weight"),
                candidates=names(offers),
            )
        )
    found += [item for item in (fit.discrepancy(own, setting), fit.stands_high(own, setting)) if item is not None]
    if quick_rule_over_lb(own) > 0.0:
        found.append(
            finding(
                "quick-rule-unsafe",
                units,
                source=own.limits.net_lb.source,
                where=where,
                cylinder=own.cylinder.id,
                refrigerant=setting.gas.called,
                over=Amount(_over_as_printed_lb(own, setting), "weight"),
            )
        )
    return found


def names(offers: tuple[fit.Spare, ...]) -> str | Statement:
    """The ids of the first cylinders that would do, how many more there are, or that there is none."""
    if not offers:
        return NONE_IN_REGISTER
    first = ", ".join(own.cylinder.id for own in offers[:NAMED_AT_MOST])
    more = len(offers) - NAMED_AT_MOST
    if more <= 0:
        return first
    return statement("and-more", ids=first, count=more)


def _needs(
    case: Case, ways: Ways, kept: Cylinders, expected_max: Worked, offers: tuple[fit.Spare, ...]
) -> tuple[Statement, ...]:
    # without the refused ones the job may turn to push-pull, and those that stay then take less
    setting = ways.setting(kept)
    free = sum(weights(cylinder, state, setting).free_lb.value for cylinder, state in kept)
    return (shortage(max(0.0, expected_max.value - free), offers, partial(fit.largest_empty_lb, case, ways, kept)),)


def _shortage(setting: FillSetting, spreading: Spread, expected_max: Worked, needs: tuple[Statement, ...]) -> Finding:
    return finding(
        "cylinders-do-not-suffice",
        setting.units,
        source=expected_max.source,
        where=setting.job.where("cylinders"),
        free=Amount(spreading.free_lb, "weight"),
        needed=Amount(expected_max.value, "weight"),
        left=Amount(spreading.left_over_lb, "weight"),
        candidates=needs,
    )


def quick_rule_over_lb(own: Weights) -> float:
    """How far the quick rule's net passes the real limit, lb; negative when it stays below."""
    return quick.quick_rule_net_lb(own.water_capacity_lb).value - own.limits.net_lb.value


def _over_as_printed_lb(own: Weights, setting: FillSetting) -> float:
    """How much too much the quick rule allows, lb: between the two weights as they are printed, and never nothing."""
    gross = quick.quick_rule_gross_lb(own.water_capacity_lb, own.tare_lb, setting.printed)
    return max(gross.value - own.limit_gross_lb.value, setting.printed.step_lb)


def planned_net_lb(own: Weights, planned: Worked) -> Worked:
    """What a cylinder holds when the job has gone as planned, net lb."""
    return Worked(
        own.contents_lb.value + planned.value,
        "lb",
        N_("contents before the job and what is planned in"),
        N_("mass balance"),
        "{contents} + {planned}",
        (("contents", own.contents_lb), ("planned", planned)),
    )


def _cylinder(number: int, own: Weights, usable: bool, spreading: Spread, setting: FillSetting) -> CylinderPlan:
    gas, cylinder = setting.of(own.state).gas, own.cylinder
    planned = spreading.planned_lb[number]
    after = planned_net_lb(own, planned)
    at_stop = net_of(own.stop_gross_lb, own.tare_lb)
    hot_liquid, hot_vapor = gas.liquid(setting.hot_F), gas.vapor(setting.hot_F)
    full_at, beyond = gas.liquid_full(mean_density(at_stop, own.volume_ft3))
    return CylinderPlan(
        cylinder=cylinder,
        order=number + 1,
        start=own.state,
        volume_ft3=own.volume_ft3,
        contents_lb=own.contents_lb.value,
        expected_bare_gross_lb=own.bare_gross_lb,
        limit_net_lb=own.limits.net_lb,
        limit_gross_lb=own.limit_gross_lb,
        clearing_lb=setting.clearing_lb,
        stop_gross_lb=own.stop_gross_lb,
        change_at_gross_lb=_change_at(own) if number + 1 < len(spreading.planned_lb) else None,
        free_lb=own.free_lb,
        governing_limit=own.limits.governing,
        limits=tuple(limit for _, limit in own.limits.all),
        quick_rule_gross_lb=quick.quick_rule_gross_lb(own.water_capacity_lb, own.tare_lb, setting.printed),
        quick_rule_is_unsafe=quick_rule_over_lb(own) > 0.0,
        quick_rule=quick_rule(own, setting),
        level_percent_at_131F=fill.level_worked(at_stop, own.volume_ft3, hot_liquid, hot_vapor),
        liquid_full_at_F=full_at,
        stop_and_cool_psig=_stop_and_cool(own, setting),
        planned_lb=planned,
        planned_gross_lb=_planned_gross_lb(own, planned),
        requalify_by=fit.requalify_by(cylinder),
        fit=usable,
        fill_table=table(own, after, setting),
        level_curve=level_curve(own, after.value, setting),
        liquid_full_is_beyond=beyond,
    )


def _planned_gross_lb(own: Weights, planned: Worked) -> float:
    """Weight after the job as planned; what fills a cylinder up to its stop ends at the stop, without binary dust."""
    gross = round(own.bare_gross_lb.value + planned.value, 9)
    return min(gross, own.stop_gross_lb.value) if planned.value > 0.0 else gross


def _change_at(own: Weights) -> Worked:
    """The weight at which to begin the change-over: the stop weight, which already leaves room for clearing."""
    return replace(
        own.stop_gross_lb,
        rule=N_("change over at the stop weight: what clearing pushes in is already taken off"),
        source=N_("common practice, no source"),
        formula="{stop}",
        inputs=(("stop", own.stop_gross_lb),),
    )


def _stop_and_cool(own: Weights, setting: FillSetting) -> Worked:
    case = setting.case
    policy = case.policy
    expected = site_gauge(setting.of(own.state).gas.bubble(case.hottest_F()), case.barometer_psia)
    margin = given(policy.stop_and_cool_margin_psi, "psi", policy.where("stop_and_cool_margin_psi"), places=0)
    spec = read_spec(own.cylinder.spec)
    service = spec.service_psig if spec and spec.service_psig is not None else expected.value + margin.value
    return fitness.stop_and_cool_psig(fitness.typed_service_psig(service, own.cylinder.spec), expected, margin)


def quick_rule(own: Weights, setting: FillSetting) -> Statement:
    """How far off the quick rule is for this refrigerant and cylinder."""
    gas = setting.of(own.state).gas
    net = quick.quick_rule_net_lb(own.water_capacity_lb)
    off = quick_rule_over_lb(own)
    if off <= 0.0:
        return statement("quick-rule-safe", refrigerant=gas.called)
    over = Amount(_over_as_printed_lb(own, setting), "weight")
    hot_liquid, hot_vapor = gas.liquid(setting.hot_F), gas.vapor(setting.hot_F)
    hot = Amount(fill.HOT_F, "temperature")
    level = fill.level_percent(net.value, own.volume_ft3.value, hot_liquid.value, hot_vapor.value)
    if level >= 100.0:
        return statement("quick-rule-bursts", over=over, refrigerant=gas.called, hot=hot)
    return statement("quick-rule-over", over=over, refrigerant=gas.called, hot=hot, level=f"{level:.0f}")
