"""The plan as plain data for other programs: the keys of 3-data, always in US units.

Keys once published keep their meaning.
"""

import json
from collections.abc import Iterable
from dataclasses import asdict
from typing import Any

from packet.findings import Finding
from packet.plan.model import CylinderPlan, Estimate, Evacuation, Plan
from packet.statements import Statement
from packet.words import t
from packet.worked import Worked


def plan_as_json(plan: Plan, hookup_findings: Iterable[Finding] = ()) -> dict[str, Any]:
    """The plan as a dictionary ready for `json.dumps`. hookup_findings: what the hookup station found on top."""
    job = plan.job
    return {
        "job": job.job,
        "date": job.date.isoformat(),
        "refrigerant": plan.refrigerant.name if plan.refrigerant else job.appliance.refrigerant,
        "mixed_or_unknown": plan.mixed_or_unknown,
        "may_go_out": plan.may_go_out and all(item.severity != "stop" for item in hookup_findings),
        "method": _method(plan),
        "evacuation": _evacuation(plan.evacuation),
        "occupied_space": _space(plan),
        "barometer_psia": plan.barometer_psia.value,
        "to_recover_lb": _value(plan.to_recover_lb),
        "expected_max_lb": _value(plan.expected_max_lb),
        "cylinders": [_cylinder(item) for item in plan.cylinders],
        "pressure_table": [
            {
                "temperature_F": row.temperature_F,
                "bubble_psig": row.bubble_psig,
                "dew_psig": row.dew_psig,
                "suspect_air_psig": row.suspect_air_psig,
            }
            for row in plan.pressure_table
        ],
        "carrying": _carrying(plan),
        "times": [{"stage": item.stage, "minutes": item.minutes.value} for item in plan.times],
        "t_co2e": _value(plan.t_co2e),
        "duties": _said(plan.duties),
        "needs": _said(plan.needs),
        "second": _second(plan),
        "lifting": [
            {"what": item.what, "id": item.id, "weight_lb": item.weight_lb, "how": item.how} for item in plan.lifting
        ],
        "findings": [_finding(item) for item in (*plan.findings, *hookup_findings)],
        "estimates": [_one(item) for item in plan.estimates],
    }


def _said(items: tuple[Statement, ...]) -> list[dict[str, Any]]:
    return [_one(item) for item in items]


def _one(item: Statement | Estimate) -> dict[str, Any]:
    plain: dict[str, Any] = json.loads(json.dumps(asdict(item)))
    return plain


def _value(number: Worked | None) -> float | None:
    return None if number is None else number.value


def _method(plan: Plan) -> dict[str, Any] | None:
    method = plan.method
    if method is None:
        return None
    return {
        "chosen": method.chosen,
        "stages": list(method.stages),
        "forced": method.forced,
        "reasons": _said(method.reasons),
        "rejected": [{"method": item.method, "reasons": _said(item.reasons)} for item in method.rejected],
    }


def _evacuation(evacuation: Evacuation | None) -> dict[str, Any] | None:
    if evacuation is None:
        return None
    return {
        "pressure_class": evacuation.pressure_class,
        "saturation_psia_at_104F": _value(evacuation.saturation_psia_at_104F),
        "target_inHg_vacuum": _value(evacuation.target_inHg_vacuum),
        "target_psia": _value(evacuation.target_psia),
        "gauge_at_site_inHg_vacuum": _value(evacuation.gauge_at_site_inHg_vacuum),
        "absolute_mmHg": evacuation.absolute_mmHg,
        "target_percent_of_charge": evacuation.target_percent_of_charge,
        "target_lb": evacuation.target_lb,
        "raise_to_atmosphere": evacuation.raise_to_atmosphere,
        "by_policy": evacuation.by_policy,
        "reasons": _said(evacuation.reasons),
        "remaining_vapor_lb": _value(evacuation.remaining_vapor_lb),
        "rise_check_minutes": evacuation.rise_check_minutes,
        "source": evacuation.source,
    }


def _space(plan: Plan) -> dict[str, Any] | None:
    space = plan.occupied_space
    if space is None:
        return None
    return {
        "limit_lb": space.limit_lb.value,
        "charge_lb": space.charge_lb.value,
        "exceeds": space.exceeds,
        "source": space.source,
    }


def _cylinder(item: CylinderPlan) -> dict[str, Any]:
    return {
        "id": item.cylinder.id,
        "order": item.order,
        "volume_ft3": item.volume_ft3.value,
        "contents_lb": item.contents_lb,
        "expected_bare_gross_lb": item.expected_bare_gross_lb.value,
        "free_lb": item.free_lb.value,
        "limit_net_lb": item.limit_net_lb.value,
        "limit_gross_lb": item.limit_gross_lb.value,
        "stop_gross_lb": item.stop_gross_lb.value,
        "change_at_gross_lb": _value(item.change_at_gross_lb),
        "clearing_lb": item.clearing_lb.value,
        "governing_limit": item.governing_limit,
        "quick_rule_gross_lb": item.quick_rule_gross_lb.value,
        "quick_rule_is_unsafe": item.quick_rule_is_unsafe,
        "quick_rule": _one(item.quick_rule),
        "level_percent_at_131F": item.level_percent_at_131F.value,
        "liquid_full_at_F": item.liquid_full_at_F.value,
        "liquid_full_is_beyond": item.liquid_full_is_beyond,
        "stop_and_cool_psig": item.stop_and_cool_psig.value,
        "requalify_by": item.requalify_by.isoformat() if item.requalify_by else None,
        "fit": item.fit,
        "planned_lb": item.planned_lb.value,
        "planned_gross_lb": item.planned_gross_lb,
        "fill_table": [
            {
                "ambient_F": row.ambient_F,
                "net_limit_lb": row.net_limit_lb,
                "stop_gross_lb": row.stop_gross_lb,
                "free_lb": row.free_lb,
                "pressure_psig": row.pressure_psig,
                "level_percent": row.level_percent,
                "hottest": row.hottest,
            }
            for row in item.fill_table
        ],
    }


def _carrying(plan: Plan) -> dict[str, Any] | None:
    load = plan.carrying
    if load is None:
        return None
    return {
        "per_cylinder_limit_lb": load.per_cylinder_limit_lb.value,
        "truck_limit_lb": load.truck_limit_lb.value,
        "standing_lb": load.standing_lb,
        "total_lb": load.total_lb.value,
        "un_number": load.un_number,
        "proper_shipping_name": load.proper_shipping_name,
        "hazard_class": load.hazard_class,
        "stays_lb": load.stays_lb,
        "items": [{"cylinder": item.cylinder, "gross_lb": item.gross_lb, "counts": item.counts} for item in load.items],
    }


def _second(plan: Plan) -> dict[str, Any] | None:
    second = plan.second
    if second is None:
        return None
    return {
        "needed_for": list(second.needed_for),
        "name": second.name,
        "on_site": second.on_site,
        "missing": second.missing,
    }


def _finding(item: Finding) -> dict[str, Any]:
    return {
        "severity": item.severity,
        "code": item.code,
        "message": item.message,
        "remedy": item.remedy,
        "source": t(item.source) if item.source else "",
        "where": item.where,
    }
