"""One job's figures as its reader sees them: the shop's units, weights with the decimals its scale shows."""

import re
from dataclasses import dataclass
from datetime import date

from packet import figures
from packet.plan.model import Evacuation, Plan
from packet.rules.printed import printed_weight
from packet.statements import Statement, sentences
from packet.units import UnitSystem, plain
from packet.words import N_, said, t

WEEKDAYS = (N_("Monday"), N_("Tuesday"), N_("Wednesday"), N_("Thursday"), N_("Friday"), N_("Saturday"), N_("Sunday"))
MONTHS = (
    N_("Jan"),
    N_("Feb"),
    N_("Mar"),
    N_("Apr"),
    N_("May"),
    N_("Jun"),
    N_("Jul"),
    N_("Aug"),
    N_("Sep"),
    N_("Oct"),
    N_("Nov"),
    N_("Dec"),
)
METHODS = {
    "vapor": N_("Vapor"),
    "liquid": N_("Liquid, then vapor"),
    "push-pull": N_("Push-pull, then vapor"),
}
STAGES = {
    "vapor": N_("Vapor"),
    "liquid": N_("Liquid"),
    "push-pull": N_("Push-pull"),
}
REJECTED = {
    "vapor": N_("Not vapor alone"),
    "liquid": N_("Not liquid first"),
    "push-pull": N_("Not push-pull"),
}
CLASSES = {
    "low": N_("low pressure"),
    "medium": N_("medium pressure"),
    "high": N_("high pressure"),
    "very-high": N_("very high pressure"),
}
SPACES = {
    "basement": N_("basement"),
    "machinery-room": N_("machinery room"),
    "indoors": N_("indoors"),
    "rooftop": N_("rooftop"),
    "outdoors": N_("outdoors"),
}
KINDS = {
    "split": N_("split system"),
    "heat-pump": N_("heat pump"),
    "packaged": N_("packaged unit"),
    "walk-in": N_("walk-in cooler"),
    "rack": N_("rack"),
    "chiller": N_("chiller"),
    "small-appliance": N_("small appliance"),
    "ice-machine": N_("ice machine"),
    "reach-in": N_("reach-in"),
    "other": N_("other"),
}
REASONS = {
    "repair": N_("repair"),
    "disposal": N_("disposal"),
    "retrofit": N_("retrofit"),
    "leak": N_("leak"),
}
VALVES = {"liquid": N_("liquid"), "vapor": N_("vapor")}


@dataclass(frozen=True, slots=True)
class Show:
    """Figures in `units`; weights with `places` decimals, as the job's scale shows them."""

    units: UnitSystem
    places: int

    def weight(self, lb: float) -> str:
        """'61.4 lb'."""
        return figures.show_weight(lb, self.units, self.places)

    def weight_value(self, lb: float) -> str:
        """'61.4'."""
        return figures.weight_value(lb, self.units, self.places)

    def most_value(self, lb: float) -> str:
        """A weight that is a limit, never rounded up: '37.05'."""
        return figures.most_weight_value(lb, self.units, self.places)

    def ambient_value(self, temperature_F: float) -> str:
        """A row of the table of limits: whole, or one decimal cut off, so that nobody reads a warmer row than it is."""
        return figures.ambient_value(temperature_F, self.units)

    def charge(self, lb: float) -> str:
        """An appliance's charge, alike on every sheet: '39.2 lb', '0.50 lb', '9.98 kg'."""
        return figures.show_charge(lb, self.units, self.places)

    def sum_weight(self, lb: float) -> str:
        """What a truck carries: '125.2 lb'."""
        return figures.show_sum_weight(lb, self.units)

    def law_weight(self, lb: float) -> str:
        """A weight of the law, which says it in whole pounds and whole kilograms: '220 lb' or '100 kg'."""
        return figures.show_weight(lb, self.units, 0)

    def pressure(self, psig: float) -> str:
        """'245 psig'."""
        return figures.show_pressure(psig, self.units)

    def pressure_limit(self, psig: float) -> str:
        """'245 psig', rounded down: what may not be exceeded."""
        return figures.show_pressure_limit(psig, self.units)

    def pressure_value(self, psig: float) -> str:
        """'245'."""
        return figures.pressure_value(psig, self.units)

    def temperature(self, temperature_F: float, places: int = 0) -> str:
        """'110 °F'."""
        return figures.show_temperature(temperature_F, self.units, places)

    def temperature_value(self, temperature_F: float, places: int = 0) -> str:
        """'110'."""
        return figures.temperature_value(temperature_F, self.units, places)

    def fine_pressure_value(self, psig: float) -> str:
        """'244.6', or '16.87' in bar: as fine as a good gauge is read."""
        return figures.pressure_value(psig, self.units, 1 if self.units == "US" else 2)

    def absolute_value(self, psia: float) -> str:
        """'514', or '68.5' in kPa."""
        return figures.absolute_value(psia, self.units)

    @property
    def absolute_unit(self) -> str:
        """'mmHg abs.' or 'kPa abs.', as short as it fits a table's head."""
        return t("mmHg abs.") if self.units == "US" else t("kPa abs.")

    def length(self, ft: float) -> str:
        """'640 ft'."""
        return figures.show_length(ft, self.units)

    def barometer(self, psia: float) -> str:
        """'14.36 psia' or '99.0 kPa absolute'."""
        if self.units == "US":
            return t("{value} psia", value=plain(psia, 2))
        return figures.show_absolute(psia, self.units)

    def said(self, statements: tuple[Statement, ...]) -> tuple[str, ...]:
        """The plan's statements as sentences in the current language, quantities in the shop's units."""
        return sentences(statements, self.units, self.places)

    @property
    def weight_unit(self) -> str:
        """'lb' or 'kg'."""
        return figures.weight_unit(self.units)

    @property
    def pressure_unit(self) -> str:
        """'psig' or 'barg'."""
        return figures.pressure_unit(self.units)

    @property
    def temperature_unit(self) -> str:
        """'°F' or '°C'."""
        return figures.temperature_unit(self.units)


def show(plan: Plan) -> Show:
    """The job's way of showing figures. Without a scale, one decimal of a pound or two of a kilogram."""
    units = plan.registers.shop.units
    if plan.scale is None:
        return Show(units, 1 if units == "US" else 2)
    return Show(units, printed_weight(plan.scale.resolution_lb, units).places)


def day(on: date) -> str:
    """'Thursday, Nov 26, 2026'."""
    return t(
        "{weekday}, {month} {day}, {year}",
        weekday=t(WEEKDAYS[on.weekday()]),
        month=t(MONTHS[on.month - 1]),
        day=on.day,
        year=on.year,
    )


def us_date(on: date) -> str:
    """'Nov 26, 2026'."""
    return t("{month} {day}, {year}", month=t(MONTHS[on.month - 1]), day=on.day, year=on.year)


def month_of(on: date) -> str:
    """'Apr 2028'."""
    return t("{month} {year}", month=t(MONTHS[on.month - 1]), year=on.year)


def refrigerant_name(plan: Plan) -> str:
    """'R-404A', or in words what it is where no designation holds."""
    if plan.mixed_or_unknown:
        return t("mixed gas") if plan.job.appliance.refrigerant == "mixed" else t("unidentified gas")
    return plan.refrigerant.name if plan.refrigerant else plan.job.appliance.refrigerant


def cited(source: str) -> str:
    """A source as signed paper names it: whose memory it rests on is the business of the code and of `--why`."""
    memory = re.escape(t("from memory"))
    return re.sub(rf"\s*\([^()]*{memory}[^()]*\)|[,;]?\s*{memory}", "", said(source))


def short_day(on: date) -> str:
    """'Nov 26, 2026'."""
    return t("{month} {day}, {year}", month=t(MONTHS[on.month - 1]), day=on.day, year=on.year)


def person(plan: Plan) -> str:
    """The technician's name, or the id where the register lacks one."""
    return plan.technician.name if plan.technician else plan.job.technician


def second_person(plan: Plan) -> str:
    """The second person's name; empty where nobody is named."""
    if plan.second is None:
        return ""
    return t("a person of the site") if plan.second.on_site else plan.second.name


def target(evacuation: Evacuation | None, way: Show) -> str:
    """The required vacuum, as the gauge on site will show it."""
    if evacuation is None:
        return t("not computed")
    if evacuation.raise_to_atmosphere:
        return t("raise to {pressure} at most", pressure=f"0 {way.pressure_unit}")
    if evacuation.target_percent_of_charge is not None:
        percent = plain(evacuation.target_percent_of_charge, 0)
        if evacuation.target_lb is None:
            return t("{percent} % of the charge", percent=percent)
        vacuum = evacuation.gauge_at_site_inHg_vacuum
        return t(
            "at least {weight} ({percent} %) or {vacuum}",
            weight=way.weight(evacuation.target_lb),
            percent=percent,
            vacuum=figures.show_vacuum(vacuum.value if vacuum else 0.0, way.units),
        )
    if evacuation.is_read_absolute and evacuation.target_psia is not None:
        return figures.show_absolute(evacuation.target_psia.value, way.units)
    gauge = evacuation.gauge_at_site_inHg_vacuum
    return t("not computed") if gauge is None else figures.show_vacuum(gauge.value, way.units)
