"""The load sheet: what is loaded before leaving, how it is lifted, and why the work is done this way."""

from packet.hookup.model import Hookup
from packet.plan.model import CarryItem, CarryLoad, Plan
from packet.sheets.hazards import aboard
from packet.sheets.model import Group, Load, Reasons, Tick
from packet.sheets.room import TICK_MM, rows
from packet.sheets.show import METHODS, REJECTED, Show, refrigerant_name
from packet.words import t

# what changes with the truck's other jobs; it stands on the load sheet, outside the revision
TRUCK_CODES = frozenset({"carry-truck-over", "carry-placards"})
# notes that are acted on where things are lifted and carried
CARRY_NOTES = frozenset({"lift-alone", "lift-machine", "carry-un-question", "carry-stays"})


def load(plan: Plan, hookup: Hookup, way: Show) -> Load:
    """The load sheet of a job."""
    found = plan.findings + hookup.findings
    kit = [
        t("{count} × {what}", count=count, what=what.sentence(way.units, way.places)) for what, count in hookup.kit_list
    ]
    groups = (
        _group("", "load", [*kit, *aboard(plan)]),
        _group(t("Fetch before leaving"), "fetch", list(way.said(plan.needs))),
    )
    return Load(
        name=t("Load"),
        title=t("Load, before the truck leaves the shop"),
        groups=tuple(group for group in groups if group.ticks),
        carrying=(_carried(plan, way), *(item.said(way.places) for item in found if item.code in CARRY_NOTES)),
        method=_method(plan, way),
    )


def truck(plan: Plan, hookup: Hookup, way: Show) -> tuple[str, ...]:
    """What the truck carries with all its jobs of the day: for the load sheet, no part of the revision."""
    carrying = plan.carrying
    if carrying is None:
        return ()
    standing = plan.truck.standing_load if plan.truck and plan.truck.standing_load else ""
    words = [
        t(
            "Truck {truck}: {total} of {limit} allowed as materials of trade (49 CFR 173.6), {standing} of it always on the truck{what}.",
            truck=plan.job.truck,
            total=way.sum_weight(carrying.total_lb.value),
            limit=way.law_weight(carrying.truck_limit_lb.value),
            standing=way.sum_weight(carrying.standing_lb),
            what=f" ({standing})" if standing else "",
        )
    ]
    words += [item.said(way.places) for item in plan.findings + hookup.findings if item.code in TRUCK_CODES]
    words.append(
        t(
            "Upright, secured, valves closed and capped, each cylinder marked and labeled, cab ventilated, driver told what is aboard."
        )
    )
    return tuple(words)


def _group(title: str, key: str, items: list[str]) -> Group:
    """The ticks of a heading; what takes two rows comes last, as three stand side by side."""
    items = sorted(items, key=lambda item: rows(item, TICK_MM) > 1)
    return Group(title, tuple(Tick(f"truck.{key}.{number}", "check", item) for number, item in enumerate(items, 1)))


def _carried(plan: Plan, way: Show) -> str:
    carrying = plan.carrying
    home = {item.cylinder: item for item in carrying.items} if carrying else {}
    parts = [
        t(
            "{cylinder} out {out}, home {home} ({limit})",
            cylinder=item.cylinder.id,
            out=way.weight(item.expected_bare_gross_lb.value),
            home=way.weight(home[item.cylinder.id].gross_lb if item.cylinder.id in home else item.planned_gross_lb),
            limit=_limit(home[item.cylinder.id], carrying, way)
            if carrying and item.cylinder.id in home
            else t("no limit computed"),
        )
        for item in plan.cylinders
    ]
    return t(
        "Cylinders of {refrigerant}, gross: {cylinders}.",
        refrigerant=refrigerant_name(plan),
        cylinders="; ".join(parts),
    )


def _limit(item: CarryItem, carrying: CarryLoad, way: Show) -> str:
    """The limit of one cylinder, or why it has none."""
    if item.counts == "weight":
        return t("weight only")
    if item.counts == "not-trade":
        return t("no material of trade")
    return t("limit of one {limit}", limit=way.law_weight(carrying.per_cylinder_limit_lb.value))


def _method(plan: Plan, way: Show) -> Reasons:
    """The method and why, and why not the others, a line each."""
    if plan.method is None:
        return Reasons(t("No method chosen"), ())
    lines = [" ".join(way.said(plan.method.reasons))]
    lines += [
        t("{not_this}: {reasons}", not_this=t(REJECTED[item.method]), reasons=" ".join(way.said(item.reasons)))
        for item in plan.method.rejected
    ]
    return Reasons(t("{method}: why", method=t(METHODS[plan.method.chosen])), tuple(lines))
