"""The sheets that readings are taken from and written on while it runs: pressures, and the log."""

from packet import figures
from packet.hookup.model import Blank
from packet.plan.model import Plan, PressureRow
from packet.sheets.model import Grid, Log, Pressure, Reasons, Table
from packet.sheets.show import Show, refrigerant_name, target
from packet.units import plain
from packet.words import t


def pressure(plan: Plan, way: Show) -> Pressure:
    """Temperature to pressure for this refrigerant at this elevation, and the check for air."""
    blend = plan.refrigerant is not None and plan.refrigerant.is_blend
    return Pressure(
        name=t("Pressure"),
        title=t("Pressure of {refrigerant}", refrigerant=refrigerant_name(plan)),
        at=t(
            "Gauge pressure in {unit} at {elevation}, where the barometer reads {barometer} on a standard day.",
            unit=way.pressure_unit,
            elevation=figures.show_length(plan.job.site.elevation_ft, way.units),
            barometer=_barometer(plan.barometer_psia.value, way),
        ),
        table=_table(plan.pressure_table, way),
        check=_check(plan, blend=blend),
        readings=tuple(
            (
                t("{cylinder}, after standing", cylinder=item.cylinder.id),
                (
                    Blank(f"air.{item.cylinder.id}.wall", t("Wall"), way.temperature_unit),
                    Blank(f"air.{item.cylinder.id}.pressure", t("gauge"), way.pressure_unit),
                ),
            )
            for item in plan.cylinders
        ),
        deferral=t(
            "A pressure table tells what pure refrigerant does; it does not tell what is in the cylinder. A reading that does not fit is a reason to stop: the safety data sheet, local codes and the licensed technician's judgment decide what follows."
        ),
    )


def _table(rows: tuple[PressureRow, ...], way: Show) -> Table:
    heads = (way.temperature_unit, t("Bubble"), t("Dew"), t("Air above"))
    places = 1 if way.units == "SI" else 0
    cells = tuple(
        (
            way.temperature_value(row.temperature_F, places),
            _gauge(row.bubble_psig, way),
            _gauge(row.dew_psig, way),
            _gauge(row.suspect_air_psig, way),
        )
        for row in rows
    )
    return Table(t("Pressure by temperature"), heads, cells)


def _barometer(psia: float, way: Show) -> str:
    return t("{value} psia", value=plain(psia, 2)) if way.units == "US" else figures.show_absolute(psia, way.units)


def _gauge(psig: float, way: Show) -> str:
    return figures.pressure_value(psig, way.units, 1 if way.units == "US" else 2)


def _check(plan: Plan, *, blend: bool) -> Reasons:
    sentences = [
        t("Let the cylinder stand, shut, out of the sun, until wall and air are equally warm."),
        t("Read its wall temperature and its pressure; find the temperature in the table."),
        t("Above the last column: air or another gas is in it. Do not vent; tag it 'check for air' and call."),
    ]
    if blend:
        sentences.append(
            t(
                "A blend: a cylinder with liquid in it stands at the bubble pressure; vapor alone is nearer the dew pressure."
            )
        )
    if plan.evacuation is not None and plan.evacuation.pressure_class == "low":
        sentences.append(t("Below 0 the gauge reads vacuum: this gas boils above or near room temperature."))
    return Reasons(t("Is there air in it?"), tuple(sentences))


def log(plan: Plan, way: Show) -> Log:
    """Weight and pressure while it runs, change-overs, and the final vacuum."""
    weight, gauge = way.weight_unit, way.pressure_unit
    several = len(plan.cylinders) > 1
    changes_lines = max(2, len(plan.cylinders) - 1)
    running = Grid(
        "log.running",
        t("Every 5 minutes while it runs, every minute near the stop weight"),
        (
            (t("Time"), 2.0),
            (t("Cylinder"), 2.4),
            (t("Gross\n{unit}", unit=weight), 2.6),
            (t("Suction\n{unit}", unit=gauge), 2.2),
            (t("Discharge\n{unit}", unit=gauge), 2.4),
            (t("Cylinder\n{unit}", unit=gauge), 2.4),
            (t("What was seen or done"), 5.2),
        ),
        # what is left of the page
        max(5, 12 - changes_lines - len(plan.cylinders)) if several else 15,
    )
    changes = Grid(
        "log.changes",
        t("Change-overs"),
        (
            (t("Time"), 2.0),
            (t("From"), 2.4),
            (t("Gross at\nchange {unit}", unit=weight), 2.8),
            (t("Bare\nafter {unit}", unit=weight), 2.8),
            (t("To"), 2.4),
            (t("Bare\nbefore {unit}", unit=weight), 2.8),
            (t("Initials"), 2.0),
        ),
        changes_lines,
    )
    final = Grid(
        "log.final",
        t("Final vacuum, machine cut off: how long it holds"),
        ((t("Time"), 2.0), (t("Minutes"), 2.0), (t("Gauge on the appliance"), 4.0), (t("What was seen or done"), 6.0)),
        4,
    )
    return Log(
        name=t("Log"),
        title=t("Log"),
        reminder=_reminder(plan, way),
        grids=(running, changes, final) if several else (running, final),
        final=(),
    )


def _reminder(plan: Plan, way: Show) -> tuple[str, ...]:
    stops = tuple(
        t("{cylinder}: stop at {weight} gross, stop and cool at {pressure}.",
          cylinder=item.cylinder.id,
          weight=way.weight(item.stop_gross_lb.value),
          pressure=way.pressure(item.stop_and_cool_psig.value))
        for item in plan.cylinders
    )  # fmt: skip
    if plan.evacuation is None:
        return stops
    minutes = plan.evacuation.rise_check_minutes
    hold = (
        t("Draw down to {target}; watch {minutes} minutes.", target=target(plan.evacuation, way), minutes=minutes)
        if minutes
        else t("Draw down to {target}.", target=target(plan.evacuation, way))
    )
    return (*stops, hold)
