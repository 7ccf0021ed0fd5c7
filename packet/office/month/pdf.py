"""The month as a report: its tables as strings ready to set, the PDF, and the short form for a terminal."""

from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace
from decimal import Decimal
from importlib.resources import files

from markupsafe import Markup

from packet.collector import without_collecting
from packet.figures import gas_named, show_rule_weight, weight_unit
from packet.ledger import mass
from packet.office.cylinders import OTHER, PURPOSES
from packet.office.month.report import DISPOSAL_ABOVE_LB, DISPOSAL_BELOW_LB, GasSum, Month, Row, by_type
from packet.press.assets import environment, face_rules, fetcher, font_configuration, weasyprint
from packet.press.marks import PAPER_MM
from packet.press.pdf import VARIANT
from packet.press.sure import setting
from packet.units import plain
from packet.words import N_, pt, t, tn

HEADING = N_("Refrigerant report for {month}")
# More lines of a table nobody reads on paper; setting them takes seconds. Common practice, no source.
MOST_ROWS = 300
# the mark of what 40 CFR 82.156(a)(3) asks a record of
DISPOSAL_MARK = "D"


@dataclass(frozen=True, slots=True)
class Column:
    """A column: its heading, its share of the width in percent, whether it holds numbers."""

    heading: str
    percent: int
    number: bool = False


@dataclass(frozen=True, slots=True)
class Table:
    """A table of the report. sums: rows set apart at the end; when there are no rows, `empty` is said instead."""

    title: str
    note: str
    columns: tuple[Column, ...]
    rows: tuple[tuple[str, ...], ...]
    sums: tuple[tuple[str, ...], ...]
    empty: str


def month_tables(month: Month) -> tuple[Table, ...]:
    """All tables of the report, in order. Amounts in the shop's unit to two decimals; sums are summed unrounded."""
    amount = _amounts(month)
    return (
        *_notices(month),
        _by_gas(month, amount),
        _recovered(month, amount),
        _disposal(month, amount),
        _sent(month, amount),
        _held(month, amount),
        _other(month, amount),
        _not_filed(month),
        _corrections(month),
    )


def in_print(table: Table, csv: str) -> Table:
    """A table as it is printed: a large branch's thousands of lines stand in the CSV alone, here what they add up to."""
    count = len(table.rows)
    if count <= MOST_ROWS:
        return table
    if table.sums:
        words = t(
            "{count} lines, all of them in {file}, kept with this report; here what they add up to.",
            count=count,
            file=csv,
        )
        return replace(table, note=f"{words} {table.note}".strip(), rows=table.sums, sums=())
    words = t(
        "The first {shown} of {count} lines; all of them are in {file}, kept with this report.",
        shown=MOST_ROWS,
        count=count,
        file=csv,
    )
    return replace(table, note=f"{words} {table.note}".strip(), rows=table.rows[:MOST_ROWS])


def _notices(month: Month) -> tuple[Table, ...]:
    if not month.notices:
        return ()
    rows = tuple((notice,) for notice in month.notices)
    return (Table(t("Before you rely on this report"), "", (Column("", 100),), rows, (), ""),)


def month_html(month: Month) -> str:
    """The report as one HTML text that stands alone."""
    shop, (name, digest) = month.registers.shop, month.newest
    width, height = PAPER_MM[shop.paper]
    basis = t("It rests on all records up to {record}, digest {digest}.", record=name, digest=digest[:16])
    return environment().get_template("office.html").render(
        style=Markup(face_rules() + files("packet.templates").joinpath("office.css").read_text("utf-8")),
        language=shop.language,
        width=width,
        height=height,
        title=t(HEADING, month=month.name),
        company=shop.company,
        address=shop.address,
        phone=shop.phone,
        printed=t("Printed {date}.", date=month.printed.isoformat()),
        basis=basis if name else t("No record is filed yet."),
        keep=t("Keep three years (40 CFR 82.156(a)(3))."),
        tables=tuple(in_print(table, f"month-{month.name}.csv") for table in month_tables(month)),
    )  # fmt: skip


def month_pdf(month: Month) -> bytes:
    """The report as PDF. Raises MissingLibrary where the machine lacks what sets type."""
    with without_collecting(), setting():
        document = weasyprint().HTML(string=month_html(month), url_fetcher=fetcher())
        pdf: bytes = document.write_pdf(font_config=font_configuration(), pdf_variant=VARIANT)
    return pdf


def month_as_text(month: Month) -> str:
    """Amounts by refrigerant, and how many jobs, turn-ins and open ends there are, for a terminal."""
    table = _by_gas(month, _amounts(month))
    titles = [column.heading for column in table.columns]
    widths = [max(len(row[at]) for row in (titles, *table.rows)) for at in range(len(titles))]
    lines = [t(HEADING, month=month.name), ""]
    for row in (titles, *table.rows):
        cells = zip(row, widths, table.columns, strict=True)
        lines.append(
            "  ".join(f"{cell:>{w}}" if column.number else f"{cell:<{w}}" for cell, w, column in cells).rstrip()
        )
    lines += [
        "",
        tn(
            "Recovered in {count} job; {tonnes} t CO₂e.",
            "Recovered in {count} jobs; {tonnes} t CO₂e.",
            len(_jobs(month.recovered)),
            tonnes=plain(month.t_co2e, 1),
        ),
    ]
    lines += ["", *month.notices] if month.notices else []
    if month.not_filed:
        names = ", ".join(f"{job.job} ({job.words})" for job in month.not_filed)
        lines.append(t("Not yet filed: {jobs}.", jobs=names))
    return "\n".join(lines) + "\n"


Amount = Callable[[Decimal], str]


def _amounts(month: Month) -> Amount:
    units = month.registers.shop.units

    def amount(kg: Decimal) -> str:
        return plain(mass.lb_from_kg(kg) if units == "US" else kg, 2)

    return amount


def _unit(month: Month) -> str:
    return weight_unit(month.registers.shop.units)


def _sum(rows: Iterable[Row]) -> Decimal:
    return sum((row.kg for row in rows), Decimal(0))


def _gas_name(gas: str) -> str:
    return gas_named(gas or "unknown")


def _tonnes(value: float | None) -> str:
    return "–" if value is None else plain(value, 2)


def _by_gas(month: Month, amount: Amount) -> Table:
    mixed = any(gas.renamed_kg for gas in month.gases)
    columns = [Column(pt("table head", "refrigerant"), 13)]
    figures: list[tuple[str, Callable[[GasSum], Decimal]]] = [
        (pt("table head", "held before"), lambda gas: gas.opening_kg),
        (pt("table head", "recovered"), lambda gas: gas.recovered_kg),
        (pt("table head", "bought in"), lambda gas: gas.bought_kg),
        (pt("table head", "to reclaim"), lambda gas: -gas.reclaim_kg),
        (pt("table head", "to destruction"), lambda gas: -gas.destruction_kg),
        (pt("table head", "to the owner"), lambda gas: -gas.returned_kg),
        (pt("table head", "adjusted"), lambda gas: gas.adjusted_kg),
    ]
    if mixed:
        figures.append((pt("table head", "became mixed"), lambda gas: gas.renamed_kg))
    figures.append((pt("table head", "still held"), lambda gas: gas.held_kg))
    columns += [Column(name, 9, number=True) for name, _ in figures] + [
        Column(pt("table head", "t CO₂e recovered"), 10, number=True)
    ]
    rows = tuple(
        (_gas_name(gas.gas), *(amount(value(gas)) for _, value in figures), _tonnes(gas.t_co2e)) for gas in month.gases
    )
    all_of_it = (
        pt("table row", "all"),
        *(amount(sum((value(gas) for gas in month.gases), Decimal(0))) for _, value in figures),
        plain(month.t_co2e, 2),
    )
    note = t("In {unit}. Held before + recovered + bought in − sent on ± adjusted = still held.", unit=_unit(month))
    sums = (all_of_it,) if len(rows) > 1 else ()
    return Table(t("Amounts by refrigerant"), note, tuple(columns), rows, sums, t("Nothing came, went or is held."))


def _jobs(rows: Iterable[Row]) -> list[list[Row]]:
    """Rows of one record and gas together: an appliance's gas goes into several cylinders."""
    found: dict[tuple[str, str, str], list[Row]] = {}
    for row in rows:
        found.setdefault((row.gas, row.date, row.record), []).append(row)
    return [found[key] for key in sorted(found)]


def _recovered(month: Month, amount: Amount) -> Table:
    columns = (
        Column(pt("table head", "refrigerant"), 11), Column(pt("table head", "date"), 13), Column(pt("table head", "job"), 9), Column(pt("table head", "where"), 17),
        Column(pt("table head", "appliance"), 16), Column(pt("table head", "technician, card, in charge"), 15),
        Column(pt("table head", "full charge"), 8, number=True), Column(_unit(month), 8, number=True), Column("", 3),
    )  # fmt: skip
    rows = tuple(
        (
            _gas_name(first.gas), first.date, first.subject, _joined(first, "site", "address"),
            _joined(first, "appliance", "serial", "owner"), _joined(first, "technician", "card", "supervisor"),
            _charge(first, amount), amount(_sum(group)), DISPOSAL_MARK if first.disposal else "",
        )
        for group in _jobs(month.recovered)
        for first in group[:1]
    )  # fmt: skip
    note = t(
        "{mark}: from an appliance of more than {above} and less than {below}, opened for disposal (40 CFR 82.156(a)(3)).",
        mark=DISPOSAL_MARK,
        **_disposal_charges(month),
    )
    sums = tuple((_gas_name(gas), "", "", "", "", "", "", total, "") for gas, total in _totals(month.recovered, amount))
    return Table(t("Recovered, by appliance"), note, columns, rows, sums, t("Nothing was recovered."))


def _charge(row: Row, amount: Amount) -> str:
    charge = row.facts.get("charge_lb", "")
    # computed from a plate in kilograms it has more decimals than anybody types
    return amount(Decimal(charge) * mass.KG_IN_ONE_LB) if charge else ""


def _joined(row: Row, *facts: str) -> str:
    return ", ".join(row.facts[key] for key in facts if row.facts.get(key))


def _totals(rows: Iterable[Row], amount: Amount) -> list[tuple[str, str]]:
    kept = list(rows)
    return [(gas, amount(_sum(row for row in kept if row.gas == gas))) for gas in sorted({row.gas for row in kept})]


def _disposal_charges(month: Month) -> dict[str, str]:
    """The charges between which a disposal is counted by type: '5' and '50 lb', or '2.3' and '22.7 kg'."""
    above, below = (
        show_rule_weight(float(lb), month.registers.shop.units) for lb in (DISPOSAL_ABOVE_LB, DISPOSAL_BELOW_LB)
    )
    return {"above": above.split()[0], "below": below}


def _disposal(month: Month, amount: Amount) -> Table:
    columns = (
        Column(pt("table head", "refrigerant"), 30),
        Column(pt("table head", "appliances"), 20, number=True),
        Column(_unit(month), 20, number=True),
    )
    disposed = [part for row in month.recovered if row.disposal for part in by_type(row)]
    rows = tuple(
        (_gas_name(gas), str(len(_jobs(row for row in disposed if row.gas == gas))), total)
        for gas, total in _totals(disposed, amount)
    )
    title = t("Opened for disposal, more than {above} and less than {below}", **_disposal_charges(month))
    return Table(title, t("Total by type in the month, 40 CFR 82.156(a)(3)."), columns, rows, (), t("None."))


def _sent(month: Month, amount: Amount) -> Table:
    typed = [
        part for row in month.sent for part in by_type(row)
    ]  # the sums are by type of refrigerant, as the law has it
    columns = (
        Column(pt("table head", "refrigerant"), 12), Column(pt("table head", "date"), 13), Column(pt("table head", "to whom"), 25), Column(pt("table head", "for"), 14),
        Column(pt("table head", "cylinder"), 12), Column(pt("table head", "receipt"), 14), Column(_unit(month), 10, number=True),
    )  # fmt: skip
    rows = tuple(
        (
            _gas_name(row.gas), row.date, row.facts.get("to", ""), t(PURPOSES[row.how]), row.cylinder,
            row.facts.get("reference", ""), amount(-row.kg),
        )
        for row in sorted(month.sent, key=lambda row: (row.gas, row.date, row.record))
    )  # fmt: skip
    sums = tuple(
        (
            _gas_name(gas),
            "",
            "",
            t(PURPOSES[how]),
            "",
            "",
            amount(-_sum(r for r in typed if (r.gas, r.how) == (gas, how))),
        )
        for gas, how in sorted({(row.gas, row.how) for row in typed})
    )
    return Table(t("Sent on"), "", columns, rows, sums, t("Nothing was sent on."))


def _held(month: Month, amount: Amount) -> Table:
    columns = (
        Column(pt("table head", "refrigerant"), 18), Column(pt("table head", "cylinder"), 18), Column(pt("table head", "whose it is"), 30),
        Column(_unit(month), 14, number=True), Column(pt("table head", "more on the scale"), 20, number=True),
    )  # fmt: skip
    rows = tuple(
        (
            _gas_name(item.gas), item.cylinder, item.owner, amount(item.kg),
            "" if item.discrepancy_lb is None else amount(item.discrepancy_lb * mass.KG_IN_ONE_LB),
        )
        for item in sorted(month.held, key=lambda item: (item.gas, item.cylinder))
    )  # fmt: skip
    sums = tuple((_gas_name(gas.gas), "", "", amount(gas.held_kg), "") for gas in month.gases if gas.held_kg)
    note = t("More on the scale: a discrepancy that nobody has explained yet; negative where the scale found less.")
    opened = any(item.discrepancy_lb is not None for item in month.held)
    return Table(
        t("Still held at the end of the month"), note if opened else "", columns, rows, sums, t("Nothing is held.")
    )


def _other(month: Month, amount: Amount) -> Table:
    columns = (
        Column(pt("table head", "refrigerant"), 12), Column(pt("table head", "date"), 13), Column(pt("table head", "what"), 11), Column(pt("table head", "cylinder"), 11),
        Column(pt("table head", "record"), 24), Column(pt("table head", "reason"), 19), Column(_unit(month), 10, number=True),
    )  # fmt: skip
    rows = tuple(
        (
            _gas_name(row.gas),
            row.date,
            t(OTHER[row.how]),
            row.cylinder,
            row.record,
            row.facts.get("reason", ""),
            amount(row.kg),
        )
        for row in month.other
    )
    return Table(t("Bought, moved and adjusted"), "", columns, rows, (), t("None."))


def _not_filed(month: Month) -> Table:
    columns = (
        Column(pt("table head", "job"), 30),
        Column(pt("table head", "date"), 30),
        Column(pt("table head", "state"), 40),
    )
    rows = tuple((job.job, job.day, job.words) for job in month.not_filed)
    return Table(t("Jobs not yet filed"), "", columns, rows, (), t("All jobs of the month are filed."))


def _corrections(month: Month) -> Table:
    columns = (
        Column(pt("table head", "record"), 30),
        Column(pt("table head", "corrects"), 30),
        Column(pt("table head", "reason"), 40),
    )
    rows = tuple((item.record, item.corrects, item.reason) for item in month.corrections)
    return Table(t("Corrections filed in the month"), "", columns, rows, (), t("None."))
