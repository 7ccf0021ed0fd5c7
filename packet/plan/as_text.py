"""The plan as plain text for a terminal: decisions and numbers, at most 100 columns wide."""

import textwrap
from collections.abc import Iterable, Iterator

from packet.figures import (
    gas_named,
    show_absolute,
    show_bore,
    show_charge,
    show_length,
    show_pressure,
    show_pressure_limit,
    show_room,
    show_temperature,
    show_vacuum,
    show_weight,
)
from packet.findings import SEVERITIES, Finding, Severity
from packet.plan.evacuation import PRESSURE_CLASS_NAMES
from packet.plan.method import NAMES, SHORT_NAMES
from packet.plan.model import CylinderPlan, PickedHose, Plan
from packet.rules.fill import HOT_F
from packet.rules.printed import printed_weight
from packet.statements import sentences
from packet.units import UnitSystem, plain
from packet.words import N_, pt, said, t

WIDTH = 100
LABEL_WIDTH = 20
SEVERITY_NAMES: dict[Severity, str] = {"stop": N_("STOP"), "caution": N_("caution"), "note": N_("note")}


def as_text(plan: Plan, hookup_findings: Iterable[Finding] = ()) -> str:
    """The decisions and numbers of a plan in the shop's units. hookup_findings: what the hookup found on top."""
    findings = (*plan.findings, *hookup_findings)
    lines = [*_head(plan, findings), *_deciding(plan), *_cylinders(plan), *_rest(plan), *_findings(findings)]
    return "\n".join(lines) + "\n"


def _line(label: str, text: str) -> Iterator[str]:
    """A labeled line, wrapped under its own text."""
    lead = f"{label:<{LABEL_WIDTH}}"
    wrapped = textwrap.wrap(
        text, WIDTH - LABEL_WIDTH, break_long_words=True, break_on_hyphens=False, replace_whitespace=True
    ) or [""]
    for part in wrapped:
        yield f"{lead}{part}".rstrip()
        lead = " " * LABEL_WIDTH


def _head(plan: Plan, findings: tuple[Finding, ...]) -> Iterator[str]:
    job = plan.job
    go = all(item.severity != "stop" for item in findings)
    yield from textwrap.wrap(f"{job.job}  {job.date.isoformat()}  {job.appliance.description}", WIDTH)
    yield t("MAY GO OUT") if go else t("DO NOT DISPATCH")
    yield ""
    yield from _line(pt("heading", "site"), job.site.name)
    refrigerant = plan.refrigerant
    if refrigerant is None:
        yield from _line(pt("heading", "refrigerant"), gas_named(job.appliance.refrigerant))
    else:
        yield from _line(pt("heading", "refrigerant"), f"{refrigerant.name} ({refrigerant.safety_group})")
    yield from _line(pt("heading", "charge"), show_charge(job.appliance.charge_lb, plan.registers.shop.units))
    if plan.technician is not None:
        yield from _line(pt("heading", "technician"), plan.technician.name)
    yield from _line(
        pt("heading", "machine"),
        t("{machine}, scale {scale}, truck {truck}", machine=job.machine, scale=job.scale, truck=job.truck),
    )


def _deciding(plan: Plan) -> Iterator[str]:
    method, units = plan.method, plan.registers.shop.units
    if method is not None:
        yield from _line(pt("heading", "method"), t(NAMES[method.chosen]))
        for reason in sentences(method.reasons, units):
            yield from _line("", reason)
        for rejected in method.rejected:
            yield from _line(
                "",
                t(
                    "not {method}: {reason}",
                    method=t(SHORT_NAMES[rejected.method]),
                    reason=" ".join(sentences(rejected.reasons, units)),
                ),
            )
    if plan.hoses is not None:
        yield from _line(pt("heading", "hoses"), t(", ").join(_hose(item, units) for item in plan.hoses.picked))
    yield from _evacuation(plan)
    space = plan.occupied_space
    if space is not None:
        units = plan.registers.shop.units
        yield from _line(
            pt("heading", "room"),
            t(
                "{room}: {charge} against a limit of {limit}",
                room=show_room(plan.job.site.room_ft3 or 0.0, units),
                charge=show_weight(space.charge_lb.value, units),
                limit=show_weight(space.limit_lb.value, units),
            ),
        )


def _hose(item: PickedHose, units: UnitSystem) -> str:
    """'A H-R60 5 ft × 1/4 in'."""
    if item.missing:
        return t("{letter} missing", letter=item.letter)
    hose = item.hose
    return f"{item.letter} {hose.id} {show_length(hose.length_ft, units)} × {show_bore(hose.bore_in, units)}"


def _evacuation(plan: Plan) -> Iterator[str]:
    evacuation, units = plan.evacuation, plan.registers.shop.units
    if evacuation is None or evacuation.gauge_at_site_inHg_vacuum is None:
        return
    gauge = show_vacuum(evacuation.gauge_at_site_inHg_vacuum.value, units)
    by_weight = evacuation.small_criterion == "percent-or-vacuum"
    if by_weight and evacuation.target_percent_of_charge is not None and evacuation.target_lb is not None:
        target = t(
            "{percent} % of the charge ({weight}), or {gauge} on the gauge",
            percent=plain(evacuation.target_percent_of_charge, 0),
            weight=show_weight(evacuation.target_lb, units, 2),
            gauge=gauge,
        )
    elif evacuation.absolute_mmHg is not None and evacuation.target_psia is not None:
        absolute = show_absolute(evacuation.target_psia.value, units)
        target = t(
            "{absolute} ({microns} microns): {gauge} on the gauge at this site",
            absolute=absolute,
            microns=f"{evacuation.absolute_mmHg * 1000.0:,.0f}",
            gauge=gauge,
        )
    else:
        target = t("{gauge} on the gauge at this site", gauge=gauge)
    yield from _line(pt("heading", "required vacuum"), target)
    if evacuation.pressure_class is not None:
        yield from _line("", t(PRESSURE_CLASS_NAMES[evacuation.pressure_class]))
    for reason in sentences(evacuation.reasons, units):
        yield from _line("", reason)
    if evacuation.rise_check_minutes:
        yield from _line(pt("heading", "then watch for"), t("{minutes} min", minutes=evacuation.rise_check_minutes))


def _cylinders(plan: Plan) -> Iterator[str]:
    for item in plan.cylinders:
        yield ""
        yield from _cylinder(item, plan)


def _cylinder(item: CylinderPlan, plan: Plan) -> Iterator[str]:
    units = plan.registers.shop.units
    # as many decimals as the scale shows: a stop weight of 60.65 must not read 60.7
    places = printed_weight(plan.scale.resolution_lb, units).places if plan.scale else None

    def weight(lb: float) -> str:
        return show_weight(lb, units, places)

    title = t("{order}. {cylinder} ({spec})", order=item.order, cylinder=item.cylinder.id, spec=item.cylinder.spec)
    yield title if item.fit else t("{title}: NOT FIT", title=title)
    yield from _line("  " + pt("heading", "stop at"), weight(item.stop_gross_lb.value))
    yield from _line(
        "  " + pt("heading", "never above"),
        f"{weight(item.limit_gross_lb.value)} ({item.governing.sentence(units)})",
    )
    yield from _line("  " + pt("heading", "before"), weight(item.expected_bare_gross_lb.value))
    yield from _line(
        "  " + pt("heading", "planned"),
        t("{planned} in, room for {free}", planned=weight(item.planned_lb.value), free=weight(item.free_lb.value)),
    )
    hot = t(
        "{level} % full at {temperature} at the stop weight",
        level=plain(item.level_percent_at_131F.value, 1),
        temperature=show_temperature(HOT_F, units),
    )
    full_at = show_temperature(item.liquid_full_at_F.value, units)
    full = (
        t("not liquid-full up to {temperature}", temperature=full_at)
        if item.liquid_full_is_beyond
        else t("liquid-full at {temperature}", temperature=full_at)
    )
    yield from _line("  " + pt("heading", "hot"), f"{hot}; {full}")
    yield from _line(
        "  " + pt("heading", "stop and cool at"), show_pressure_limit(item.stop_and_cool_psig.value, units)
    )
    yield from _line(
        "  " + pt("heading", "quick rule"),
        f"{weight(item.quick_rule_gross_lb.value)}. {item.quick_rule.sentence(units)}",
    )
    yield from _table(item, units, places)


def _table(item: CylinderPlan, units: UnitSystem, places: int | None) -> Iterator[str]:
    heads = (
        pt("table head", "at"),
        pt("table head", "net limit"),
        pt("table head", "stop at"),
        pt("table head", "free"),
        pt("table head", "pressure"),
        pt("table head", "level"),
    )
    yield "  " + "".join(f"{head:>12}" for head in heads)
    for made in item.fill_table:
        cells = (
            show_temperature(made.ambient_F, units),
            show_weight(made.net_limit_lb, units),
            show_weight(made.stop_gross_lb, units, places),
            show_weight(made.free_lb, units, places),
            show_pressure(made.pressure_psig, units),
            f"{plain(made.level_percent, 0)} %",
        )
        mark = "  " + pt("heading", "hottest of this job") if made.hottest else ""
        yield "  " + "".join(f"{cell:>12}" for cell in cells) + mark


def _rest(plan: Plan) -> Iterator[str]:
    yield ""
    units = plan.registers.shop.units
    if plan.times:
        names = {
            "set-up": t("set-up"),
            "change-over": t("change-over"),
            "clear": t("rise check and clearing"),
            "vapor": t("vapor"),
            "liquid": t("liquid"),
            "push-pull": t("push-pull"),
        }
        parts = ", ".join(f"{names[item.stage]} {plain(item.minutes.value, 0)}" for item in plan.times)
        total = plain(sum(item.minutes.value for item in plan.times), 0)
        yield from _line(t("time (estimate)"), t("{total} min: {parts}", total=total, parts=parts))
    if plan.carrying is not None:
        load = plan.carrying
        name = f"{load.un_number} {said(load.proper_shipping_name)}".strip()
        total = show_weight(load.total_lb.value, units)
        limit = show_weight(load.truck_limit_lb.value, units, 0)
        yield from _line(
            pt("heading", "carrying"), t("{total} of {limit}; {name}", total=total, limit=limit, name=name)
        )
    if plan.t_co2e is not None:
        yield from _line(
            pt("heading", "warming"), f"{plain(plan.t_co2e.value, 1 if plan.t_co2e.value >= 1.0 else 3)} t CO₂e"
        )
    for estimate in plan.estimates:
        percent = "" if estimate.percent is None else f" ± {plain(estimate.percent, 1)} %"
        yield from _line(
            pt("heading", "estimate"), f"{estimate.what.sentence(units)}{percent}: {estimate.how.sentence(units)}"
        )
    for need in sentences(plan.needs, units):
        yield from _line(pt("heading", "fetch"), need)


def _findings(findings: tuple[Finding, ...]) -> Iterator[str]:
    for severity in SEVERITIES:
        for item in findings:
            if item.severity == severity:
                where = f" [{said(item.where)}]" if item.where else ""
                yield from _line(t(SEVERITY_NAMES[severity]), f"{item.message} {item.remedy}".rstrip() + where)
