"""The fill sheet: limits by temperature, one table for all cylinders of a size; levels; the day's pressures."""

from collections.abc import Callable
from dataclasses import dataclass
from itertools import groupby

from packet import figures
from packet.plan.model import CylinderPlan, FillRow, Plan, PressureRow
from packet.sheets.model import Entry, Fill, FillSize, Plot, Strip, Table
from packet.sheets.show import VALVES, Show, month_of, refrigerant_name
from packet.units import celsius_from_fahrenheit, plain
from packet.words import pt, t

# what fits the width of the page beside the temperatures
CYLINDERS_A_TABLE = 4


def fill(plan: Plan, way: Show) -> Fill:
    """The sheet of all cylinders of a plan."""
    return Fill(
        name=t("Fill"),
        title=t("Fill: limits and pressures of {refrigerant}", refrigerant=refrigerant_name(plan)),
        sizes=tuple(_size(plan, group, way) for group in _groups(plan.cylinders)),
        strip=_strip(plan, way),
    )


def _groups(cylinders: tuple[CylinderPlan, ...]) -> list[tuple[CylinderPlan, ...]]:
    """Cylinders of one size together, in the order they are filled, no more than fit a table."""
    found = []
    ordered = sorted(cylinders, key=lambda item: (item.cylinder.water_capacity_lb, item.cylinder.spec, item.order))
    for _, same in groupby(ordered, key=lambda item: (item.cylinder.water_capacity_lb, item.cylinder.spec)):
        items = tuple(same)
        found += [items[at : at + CYLINDERS_A_TABLE] for at in range(0, len(items), CYLINDERS_A_TABLE)]
    return sorted(found, key=lambda group: group[0].order)


def _size(plan: Plan, group: tuple[CylinderPlan, ...], way: Show) -> FillSize:
    table, columns = _table(group, way, _reads(plan, way))
    return FillSize(
        title=", ".join(item.cylinder.id for item in group),
        identity=_identity(group, way),
        table=table,
        groups=columns,
        plot=_plot(plan, group, way),
        words=_words(group, way),
        cautions=tuple(
            dict.fromkeys(
                t("Do not use the quick rule on {cylinder}: it allows too much.", cylinder=item.cylinder.id)
                for item in group
                if item.quick_rule_is_unsafe
            )
        ),
    )


def _identity(group: tuple[CylinderPlan, ...], way: Show) -> tuple[Entry, ...]:
    return tuple(
        Entry(
            item.cylinder.id if not item.cylinder.owner else f"{item.cylinder.id} ({item.cylinder.owner})",
            t(
                "{stamp} · water capacity {water} · tare (TW) {tare} · test good through {test} · {valves} · room to stop {room}, planned in {planned} · level {level} % at {hot}, liquid-full at {full}",
                stamp=_stamp(item, way),
                water=way.weight(item.cylinder.water_capacity_lb),
                tare=way.weight(item.cylinder.tare_lb),
                test=month_of(item.requalify_by) if item.requalify_by else t("not known"),
                valves=_valves(item),
                room=way.weight(item.free_lb.value),
                planned=way.weight(item.planned_lb.value),
                level=plain(item.level_percent_at_131F.value, 1),
                hot=way.temperature(131),
                full=_liquid_full(item, way),
            ),
        )
        for item in group
    )


def _stamp(item: CylinderPlan, way: Show) -> str:
    limit = item.cylinder.max_gross_lb
    if limit is None:
        return item.cylinder.spec
    return t("{spec}, max {weight}", spec=item.cylinder.spec, weight=way.weight(limit))


def _valves(item: CylinderPlan) -> str:
    valves = " + ".join(t(VALVES[valve]) for valve in item.cylinder.valves)
    if item.cylinder.float_switch:
        return t("{valves}; float switch, a second line only", valves=valves)
    return t("{valves}; no float", valves=valves)


def _liquid_full(item: CylinderPlan, way: Show) -> str:
    """The temperature, or that it lies above the end of the range in which it can be estimated."""
    at = way.temperature(item.liquid_full_at_F.value)
    return t("above {temperature}", temperature=at) if item.liquid_full_is_beyond else at


def _words(group: tuple[CylinderPlan, ...], way: Show) -> tuple[str, ...]:
    """What sets the limits and what the quick rule would give, each said once for all it holds for."""
    limits: dict[str, list[str]] = {}
    for item in group:
        (rule,) = way.said((item.governing,))
        limits.setdefault(rule.rstrip("."), []).append(item.cylinder.id)
    words = [
        t("What sets the limit of {cylinders}: {rule}.", cylinders=", ".join(ids), rule=rule)
        for rule, ids in limits.items()
    ]
    quick: dict[str, list[str]] = {}
    for item in group:
        (rule,) = way.said((item.quick_rule,))
        weight = way.weight(item.quick_rule_gross_lb.value)
        quick.setdefault(rule, []).append(t("{cylinder} {weight}", cylinder=item.cylinder.id, weight=weight))
    words += [
        t("Quick rule (80 % × WC + TW), gross: {weights}. {words}", weights=", ".join(weights), words=rule)
        for rule, weights in quick.items()
    ]
    return tuple(words)


def _table(group: tuple[CylinderPlan, ...], way: Show, reads: "_Reads") -> tuple[Table, tuple[tuple[str, int], ...]]:
    """Temperature and pressure once, then each cylinder's limit, stop, room and level."""
    weight, rows = way.weight_unit, group[0].fill_table
    each = (t("Net limit"), t("Stop"), t("Room"), t("Level %"))
    if len(group) == 1:
        each = (
            t("Net {unit}", unit=weight),
            t("Stop at {unit}", unit=weight),
            t("Room {unit}", unit=weight),
            t("Level %"),
        )
    heads = (way.temperature_unit, reads.unit, *(each * len(group)))
    cells = tuple(
        (
            way.ambient_value(row.ambient_F),
            reads.value(row.pressure_psig),
            *(cell for item in group for cell in _cells(item, item.fill_table[number], way)),
        )
        for number, row in enumerate(rows)
    )
    strong = next((number for number, row in enumerate(rows) if row.hottest), None)
    caption = t(
        "By ambient temperature: pressure to expect, then limits and the level of the planned fill, in {unit}",
        unit=weight,
    )
    columns = tuple((item.cylinder.id, len(each)) for item in group) if len(group) > 1 else ()
    return Table(caption, heads, cells, strong), columns


def _cells(item: CylinderPlan, row: FillRow, way: Show) -> tuple[str, ...]:
    # cooler than the job's hottest the weight never to be above holds all the same, so no net above it stands here
    net_lb = min(row.net_limit_lb, item.limit_gross_lb.value - item.cylinder.tare_lb)
    return (
        way.most_value(net_lb),
        way.weight_value(row.stop_gross_lb),
        way.weight_value(row.free_lb),
        plain(row.level_percent, 0) if row.level_percent < 100 else t("full"),
    )


def _plot(plan: Plan, group: tuple[CylinderPlan, ...], way: Show) -> Plot:
    in_celsius = way.units == "SI"

    def shown(temperature_F: float) -> float:
        return celsius_from_fahrenheit(temperature_F) if in_celsius else temperature_F

    curves = tuple(tuple((shown(at), percent) for at, percent in item.level_curve) for item in group)
    low, high = curves[0][0][0], curves[0][-1][0]
    step = 10 if in_celsius else 20
    first = int(-(-low // step) * step)
    ticks = tuple((float(at), str(at)) for at in range(first, int(high) + 1, step))
    hottest = min(max(shown(plan.job.conditions.hottest_F), low), high)
    words = [
        t(
            "{cylinder}: level of the planned fill {low} % at {cold}, {high} % at {hot}; liquid-full at {full}.",
            cylinder=item.cylinder.id,
            low=plain(curve[0][1], 0),
            cold=f"{plain(low, 0)} {way.temperature_unit}",
            high=plain(curve[-1][1], 0),
            hot=f"{plain(high, 0)} {way.temperature_unit}",
            full=_liquid_full(item, way),
        )
        for item, curve in zip(group, curves, strict=True)
    ]
    return Plot(
        alternative_text=" ".join(words),
        temperature_unit=way.temperature_unit,
        curves=curves,
        labels=tuple(item.cylinder.id for item in group) if len(group) > 1 else (),
        temperature_ticks=ticks,
        level_ticks=tuple((float(at), str(at)) for at in (0, 20, 40, 60, 80, 100)),
        ceiling_label=t("liquid-full"),
        hottest=(hottest, t("hottest")),
    )


def _strip(plan: Plan, way: Show) -> Strip | None:
    """The pressures of the day; None for a gas that is not known, of which none can be expected."""
    rows = plan.pressure_strip
    if not rows:
        return None
    reads = _reads(plan, way)
    same = all(reads.fine(row.bubble_psig) == reads.fine(row.dew_psig) for row in rows)
    kinds = (t("Saturated"),) if same else (pt("table head", "Liquid"), t("Vapor"))
    cells = tuple(
        (
            way.temperature_value(row.temperature_F),
            reads.fine(row.bubble_psig),
            *(() if same else (reads.fine(row.dew_psig),)),
            reads.fine(row.suspect_air_psig),
        )
        for row in rows
    )
    heads = (way.temperature_unit, *kinds, t("Air above"))
    words = [
        t(
            "After standing closed, out of the sun, until cylinder surface and air are equally warm: above the last column it holds non-condensables or another gas. Do not vent; tag it ‘check for air’ and call."
        )
    ]
    if plan.refrigerant is not None and plan.refrigerant.is_blend:
        words.insert(
            0,
            t(
                "A blend: a cylinder with liquid in it stands at the liquid column; vapor alone is nearer the vapor column."
            ),
        )
    return Strip(t("Today, {unit}", unit=reads.unit), Table("", heads, cells), (_strip_title(plan, rows, way), *words))


def _strip_title(plan: Plan, rows: tuple[PressureRow, ...], way: Show) -> str:
    reads = _reads(plan, way)
    return t(
        "Pressures of {refrigerant} today in {unit}, {low} to {high}, at {elevation} (barometer {barometer} on a standard day).",
        refrigerant=refrigerant_name(plan),
        unit=reads.unit,
        low=way.temperature(rows[0].temperature_F),
        high=way.temperature(rows[-1].temperature_F),
        elevation=way.length(plan.job.site.elevation_ft),
        barometer=reads.barometer,
    )


@dataclass(frozen=True, slots=True)
class _Reads:
    """How the job's gauge shows a pressure: unit, functions from psig at the site to its figure, coarse and fine, and the
    air's own pressure."""

    unit: str
    value: Callable[[float], str]
    fine: Callable[[float], str]
    barometer: str


def _reads(plan: Plan, way: Show) -> _Reads:
    """A low-pressure machine is read on an absolute gauge, and its steps say what that shows: so do its tables."""
    air_psia = plan.barometer_psia.value
    if plan.evacuation is None or not plan.evacuation.is_read_absolute:
        return _Reads(way.pressure_unit, way.pressure_value, way.fine_pressure_value, way.barometer(air_psia))

    def absolute(psig: float) -> str:
        return way.absolute_value(max(psig + air_psia, 0.0))

    return _Reads(way.absolute_unit, absolute, absolute, figures.show_absolute(air_psia, way.units))
