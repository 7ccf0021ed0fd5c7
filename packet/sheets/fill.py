"""The fill sheet of one cylinder: where to stop, why, and what to expect at each temperature."""

from packet.hookup.model import Blank
from packet.plan.model import CylinderPlan, Plan
from packet.sheets.model import Entry, Fill, Plot, Table
from packet.sheets.show import VALVES, Show, month_of, refrigerant_name
from packet.units import celsius_from_fahrenheit, plain
from packet.words import t


def fill(plan: Plan, item: CylinderPlan, way: Show) -> Fill:
    """The sheet of one cylinder of a plan."""
    cylinder, following = item.cylinder, _following(plan, item)
    return Fill(
        name=t("Fill {cylinder}", cylinder=cylinder.id),
        title=t("Fill {cylinder}", cylinder=cylinder.id),
        stop_label=t("Stop at, gross"),
        stop=way.weight_value(item.stop_gross_lb.value),
        stop_unit=way.weight_unit,
        stop_words=t(
            "As the scale reads with the cylinder on it. Never zero the scale with a cylinder on it. What clearing still pushes in ({weight}) is already taken off.",
            weight=way.weight(item.clearing_lb.value),
        ),
        beside=_beside(item, way),
        identity=_identity(item, way),
        weigh_in=(
            Blank(f"cylinders.{cylinder.id}.bare_before_gross", t("Bare, before joining"), way.weight_unit),
            Blank(f"cylinders.{cylinder.id}.first_pressure", t("Pressure before"), way.pressure_unit),
        ),
        facts=_facts(item, way),
        governing=t("What sets the limit: {rule}.", rule=item.governing.sentence(way.units)),
        quick_rule=_quick_rule(item, way),
        quick_rule_warns=item.quick_rule_is_unsafe,
        cautions=_cautions(item),
        next_cylinder=_next(item, following, way),
        table=_table(item, way),
        plot=_plot(plan, item, way),
        deferral=t(
            "These weights hold for {refrigerant} in this cylinder only. The stamps on the cylinder, its maker, the safety data sheet, local codes and the licensed technician's judgment come first: when in doubt, stop lower.",
            refrigerant=refrigerant_name(plan),
        ),
    )


def _following(plan: Plan, item: CylinderPlan) -> CylinderPlan | None:
    return next((other for other in plan.cylinders if other.order == item.order + 1), None)


def _beside(item: CylinderPlan, way: Show) -> tuple[Entry, ...]:
    entries = [Entry(t("Never above, gross"), way.weight(item.limit_gross_lb.value))]
    if item.change_at_gross_lb is not None:
        entries.append(Entry(t("Change over at, gross"), way.weight(item.change_at_gross_lb.value)))
    entries.append(Entry(t("Stop and cool at"), way.pressure(item.stop_and_cool_psig.value)))
    return tuple(entries)


def _identity(item: CylinderPlan, way: Show) -> tuple[Entry, ...]:
    cylinder = item.cylinder
    given = (
        (t("Stamp"), cylinder.spec),
        (t("Water capacity"), way.weight(cylinder.water_capacity_lb)),
        (t("Tare (TW)"), way.weight(cylinder.tare_lb)),
        (t("Stamped limit"), way.weight(cylinder.max_gross_lb) if cylinder.max_gross_lb is not None else ""),
        (t("Test good through"), month_of(item.requalify_by) if item.requalify_by else ""),
        (t("Valves"), " + ".join(t(VALVES[valve]) for valve in cylinder.valves)),
        (t("Float switch"), t("yes, a second line only") if cylinder.float_switch else t("none")),
        (t("Owner"), cylinder.owner),
    )
    return tuple(Entry(label, value) for label, value in given if value)


def _facts(item: CylinderPlan, way: Show) -> tuple[Entry, ...]:
    holds = t("nothing, evacuated")
    if item.start.refrigerant is not None:
        holds = t("{refrigerant}, {weight}", refrigerant=item.start.refrigerant, weight=way.weight(item.contents_lb))
    given = (
        (t("Holds now"), holds),
        (t("Known from"), _source(item)),
        (t("Bare, it reads"), way.weight(item.expected_bare_gross_lb.value)),
        (t("Room up to stop"), way.weight(item.free_lb.value)),
        (t("Planned in"), way.weight(item.planned_lb.value)),
        (
            t("Level at {temperature}", temperature=way.temperature(131)),
            f"{plain(item.level_percent_at_131F.value, 1)} %",
        ),
        (t("Liquid-full at"), _liquid_full(item, way)),
    )
    return tuple(Entry(label, value) for label, value in given if value)


def _liquid_full(item: CylinderPlan, way: Show) -> str:
    """The temperature, or that it lies above the end of the range in which it can be estimated."""
    at = way.temperature(item.liquid_full_at_F.value)
    return t("above {temperature}", temperature=at) if item.liquid_full_is_beyond else at


def _source(item: CylinderPlan) -> str:
    if not item.start.came_from:
        return t("register")
    if item.start.planned:
        return t("the plan of {job}, not yet filed", job=item.start.came_from)
    return t("{job}, filed", job=item.start.came_from)


def _quick_rule(item: CylinderPlan, way: Show) -> str:
    weight = way.weight(item.quick_rule_gross_lb.value)
    return t(
        "Quick rule (80 % × WC + TW): {weight} gross. {words}", weight=weight, words=item.quick_rule.sentence(way.units)
    )


def _cautions(item: CylinderPlan) -> tuple[str, ...]:
    lines = []
    if item.start.planned:
        lines.append(
            t("It comes from another job of today: weigh it bare; off by more than the scale explains, stop and call.")
        )
    return tuple(lines)


def _next(item: CylinderPlan, following: CylinderPlan | None, way: Show) -> str:
    if following is None:
        return t("Last cylinder: at the stop weight nothing more goes in. Shut down as the steps say and call.")
    change = item.change_at_gross_lb
    return t(
        "At {weight} change over to {cylinder} as the steps say.",
        weight=way.weight(change.value if change else item.stop_gross_lb.value),
        cylinder=following.cylinder.id,
    )


def _table(item: CylinderPlan, way: Show) -> Table:
    weight, rows = way.weight_unit, item.fill_table
    heads = (
        t("Ambient {unit}", unit=way.temperature_unit),
        t("Net limit {unit}", unit=weight),
        t("Stop at, gross {unit}", unit=weight),
        t("Room left {unit}", unit=weight),
        t("Pressure {unit}", unit=way.pressure_unit),
        t("Level %"),
    )
    cells = tuple(
        (
            way.temperature_value(row.ambient_F),
            way.weight_value(row.net_limit_lb),
            way.weight_value(row.stop_gross_lb),
            way.weight_value(row.free_lb),
            way.pressure_value(row.pressure_psig),
            plain(row.level_percent, 0) if row.level_percent < 100 else t("full"),
        )
        for row in rows
    )
    strong = next((number for number, row in enumerate(rows) if row.hottest), None)
    return Table(t("By temperature: limits, pressure to expect, level of the planned fill"), heads, cells, strong)


def _plot(plan: Plan, item: CylinderPlan, way: Show) -> Plot:
    in_celsius = way.units == "SI"

    def shown(temperature_F: float) -> float:
        return celsius_from_fahrenheit(temperature_F) if in_celsius else temperature_F

    curve = tuple((shown(temperature), percent) for temperature, percent in item.level_curve)
    low, high = curve[0][0], curve[-1][0]
    step = 10 if in_celsius else 20
    first = int(-(-low // step) * step)
    ticks = tuple((float(at), str(at)) for at in range(first, int(high) + 1, step))
    hottest = min(max(shown(plan.job.conditions.hottest_F), low), high)
    return Plot(
        alternative_text=t(
            "Level of the planned fill against temperature: {low} % at {cold}, {high} % at {hot}; liquid-full at {full}.",
            low=plain(curve[0][1], 0),
            cold=f"{plain(low, 0)} {way.temperature_unit}",
            high=plain(curve[-1][1], 0),
            hot=f"{plain(high, 0)} {way.temperature_unit}",
            full=_liquid_full(item, way),
        ),
        temperature_unit=way.temperature_unit,
        curve=curve,
        temperature_ticks=ticks,
        level_ticks=tuple((float(at), str(at)) for at in (0, 20, 40, 60, 80, 100)),
        ceiling_label=t("liquid-full"),
        hottest=(hottest, t("hottest")),
    )
