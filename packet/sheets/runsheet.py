"""The run sheet: one morning on paper. A day board for dispatch, then a page a truck that also lies on its stack.

Every job file of the day is on it: one that cannot be read stands there as NOT READ, with a sheet of its own.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from packet.figures import most_weight_value, show_weight, weight_unit
from packet.findings import Finding
from packet.hookup.model import Hookup
from packet.plan.day_checks import clock
from packet.plan.day_model import Day, Ride, Span, TruckLoad
from packet.plan.lifting import HOW_WORDS
from packet.plan.model import Plan
from packet.plan.reading import reading_of
from packet.rules.lifting import how_to_lift
from packet.sheets.board_words import board_word
from packet.sheets.card import named_card
from packet.sheets.model import Entry, Table
from packet.sheets.runsheet_kit import truck_kit
from packet.sheets.show import METHODS, refrigerant_name, us_date
from packet.shop.records import Shop
from packet.shop.unread import UnreadJob
from packet.statements import Statement
from packet.units import UnitSystem
from packet.words import speaking, t, tn

# what only the whole day shows
ACROSS = frozenset(
    {
        "cylinder-two-trucks",
        "cylinder-two-refrigerants",
        "cylinder-two-places",
        "cylinder-used-again",
        "technician-two-places",
        "truck-two-places",
        "travel-short",
        "machine-two-places",
        "scale-two-places",
        "machine-changes-refrigerant",
        "handed-over",
        "handed-on",
        "kit-short-today",
        "carry-truck-over",
        "carry-placards",
    }
)
# the board's row says "clear machine", and the truck's page has the sentence
OF_ONE_TRUCK = frozenset({"machine-changes-refrigerant", "handed-on"})
# told of a truck with each of its jobs, of which the last has the most aboard
TOTALS = frozenset({"carry-truck-over", "carry-placards"})
Tone = Literal["go", "caution", "stop", "filed"]


@dataclass(frozen=True, slots=True)
class BoardRow:
    """A job on the day board. reach: phone, contact and access, a line each. words: its cautions, short."""

    truck: str
    time: str
    job: str
    site: tuple[str, ...]
    reach: tuple[str, ...]
    work: tuple[str, ...]
    crew: tuple[str, ...]
    verdict: str
    words: str
    tone: Tone


@dataclass(frozen=True, slots=True)
class DayBoard:
    """Page 1. across: what only the whole day shows, each sentence once with the jobs it is about."""

    language: str
    paper: str
    title: str
    company: str
    foot: str
    counts: str
    heads: tuple[str, ...]
    rows: tuple[BoardRow, ...]
    across_title: str
    across: tuple[Entry, ...]
    deferral: str
    kind: Literal["board"] = "board"


@dataclass(frozen=True, slots=True)
class TruckPage:
    """One truck's morning; the same page lies on top of its stack."""

    language: str
    paper: str
    title: str
    company: str
    foot: str
    truck: str
    jobs: Table
    load_title: str
    aboard: tuple[Entry, ...]
    ticks: tuple[str, ...]
    cylinders: Table
    kit_title: str
    kit: tuple[str, ...]
    weights: str
    across: tuple[Entry, ...]
    missing_title: str
    missing: tuple[Entry, ...]
    deferral: str
    kind: Literal["truck"] = "truck"


@dataclass(frozen=True, slots=True)
class UnreadSheet:
    """The sheet in the place of a packet whose job file cannot be read. reasons: file, line, field and what is wrong."""

    language: str
    paper: str
    title: str
    company: str
    foot: str
    job: str
    truck: str
    shout: str
    opening: str
    entries: tuple[Entry, ...]
    reasons_title: str
    reasons: tuple[str, ...]
    deferral: str
    kind: Literal["unread"] = "unread"


@dataclass(frozen=True, slots=True)
class RunSheet:
    """A day on paper. trucks: in the order of their ids; unread: sheets for job files that cannot be read."""

    board: DayBoard
    trucks: tuple[TruckPage, ...]
    unread: tuple[UnreadSheet, ...]

    @property
    def parts(self) -> tuple[DayBoard | TruckPage | UnreadSheet, ...]:
        """Every sheet, the board first."""
        return (self.board, *self.trucks, *self.unread)


def run_sheet(day: Day, hookups: Mapping[str, Hookup], shop: Shop, unread: tuple[UnreadJob, ...] = ()) -> RunSheet:
    """Everything the run sheet says, in the current language and the shop's units. hookups: of every job of the day."""
    findings = {plan.job.job: plan.findings + hookups[plan.job.job].findings for plan in day.plans}
    kit = truck_kit(day, hookups)
    return RunSheet(
        board=_board(day, shop, findings, unread),
        trucks=tuple(_truck(day, load, shop, findings, kit[load.truck_id], unread) for load in day.loads),
        unread=tuple(_unread(item, shop, day) for item in unread),
    )


def _foot(shop: Shop) -> str:
    return t("{company} · emergency {phone}", company=shop.company, phone=shop.emergency_phone)


def _deferral() -> str:
    return t(
        "Weights are as planned; the scale decides. The maker's instructions, the safety data sheet, local codes and the licensed technician's judgment come first."
    )


def _board(
    day: Day, shop: Shop, findings: Mapping[str, tuple[Finding, ...]], unread: tuple[UnreadJob, ...]
) -> DayBoard:
    spans = {span.job: span for span in day.spans}
    stopped = [name for name, items in findings.items() if _stopped(items)]
    rows = [_row(plan, spans[plan.job.job], day, findings[plan.job.job]) for plan in day.plans]
    rows += [_unread_row(item) for item in unread]
    return DayBoard(
        language=shop.language,
        paper=shop.paper,
        title=t("Run sheet, {date}", date=us_date(day.date)),
        company=shop.company,
        foot=_foot(shop),
        counts=_counts(len(day.plans), len(stopped), len(unread), len(day.loads)),
        heads=(
            t("Truck"),
            t("Time"),
            t("Job"),
            t("Site"),
            t("Phone, access"),
            t("Refrigerant, method"),
            t("Crew"),
            t("Go?"),
        ),
        rows=tuple(sorted(rows, key=lambda row: (row.truck == "", row.truck, row.time, row.job))),
        across_title=t("Across the day"),
        across=_once(_last_totals(day, findings), ACROSS - OF_ONE_TRUCK),
        deferral=_deferral(),
    )


def _counts(jobs: int, stopped: int, unread: int, trucks: int) -> str:
    goes = tn("{count} job may go out", "{count} jobs may go out", jobs - stopped)
    stays = tn("{count} may not", "{count} may not", stopped)
    aboard = tn("{count} truck", "{count} trucks", trucks)
    if unread:
        missing = tn("{count} NOT READ", "{count} NOT READ", unread)
        return t("{goes}, {stays}, {unread}; {trucks}.", goes=goes, stays=stays, unread=missing, trucks=aboard)
    return t("{goes}, {stays}; {trucks}.", goes=goes, stays=stays, trucks=aboard)


def _stopped(findings: tuple[Finding, ...]) -> bool:
    return any(item.severity == "stop" for item in findings)


def _row(plan: Plan, span: Span, day: Day, findings: tuple[Finding, ...]) -> BoardRow:
    job = plan.job
    verdict, tone = _verdict(job.job, day, findings)
    return BoardRow(
        truck=job.truck,
        time=_when(plan, span),
        job=job.job,
        site=_filled(job.site.name, job.site.address),
        reach=_filled(" · ".join(_filled(job.site.phone, job.site.contact)), job.site.access),
        work=(refrigerant_name(plan), _method(plan)),
        crew=_crew(plan),
        verdict=verdict,
        words=_words(findings, plan.registers.shop.units),
        tone=tone,
    )


def _unread_row(item: UnreadJob) -> BoardRow:
    first = item.problems[0] if item.problems else None
    return BoardRow(
        truck=item.truck,
        time=item.start,
        job=item.job,
        site=_filled(item.site),
        reach=(),
        work=(),
        crew=_filled(item.technician),
        verdict=t("NOT READ"),
        words=f"{first.field}: {first.message}".removeprefix(": ") if first else "",
        tone="stop",
    )


def _filled(*parts: str) -> tuple[str, ...]:
    return tuple(part for part in parts if part)


def _once(findings: Mapping[str, tuple[Finding, ...]], codes: frozenset[str]) -> tuple[Entry, ...]:
    """Each sentence once, beside the jobs it is told to."""
    jobs: dict[str, list[str]] = {}
    for name, items in findings.items():
        for item in items:
            if item.code in codes and name not in jobs.setdefault(item.message, []):
                jobs[item.message].append(name)
    return tuple(Entry(", ".join(names), message) for message, names in jobs.items())


def _last_totals(day: Day, findings: Mapping[str, tuple[Finding, ...]]) -> dict[str, tuple[Finding, ...]]:
    """The findings, a truck's total only with its last job."""
    last = {load.jobs[-1] for load in day.loads}
    return {
        name: tuple(item for item in items if item.code not in TOTALS or name in last)
        for name, items in findings.items()
    }


def _when(plan: Plan, span: Span) -> str:
    start = f"{plan.job.start:%H:%M}"
    return f"{start}–{clock(span.end_min)}" if span.end_min > span.start_min else start


def _method(plan: Plan) -> str:
    return t(METHODS[plan.method.chosen]) if plan.method else t("not chosen")


def _crew(plan: Plan) -> tuple[str, ...]:
    name = plan.technician.name if plan.technician else plan.job.technician
    lead = t("{name} under {supervisor}", name=name, supervisor=plan.supervisor.name) if plan.supervisor else name
    second = plan.second
    if second is not None and second.missing:
        return (lead, t("second: NOBODY NAMED"))
    name = "" if second is None else t("on site") if second.on_site else second.name
    return _filled(lead, t("second: {name}", name=name) if name else "")


def _verdict(job: str, day: Day, findings: tuple[Finding, ...]) -> tuple[str, Tone]:
    if job in day.filed:
        return t("Filed"), "filed"
    if _stopped(findings):
        return t("DO NOT DISPATCH"), "stop"
    cautions = sum(item.severity == "caution" for item in findings)
    if cautions:
        return tn("Yes, {count} caution", "Yes, {count} cautions", cautions), "caution"
    return t("Yes"), "go"


def _words(findings: tuple[Finding, ...], units: UnitSystem) -> str:
    """The cautions of a job in a few words each; of a job that may not go out, its stops."""
    wanted = "stop" if _stopped(findings) else "caution"
    return ", ".join(dict.fromkeys(board_word(item.code, units) for item in findings if item.severity == wanted))


def _truck(  # noqa: PLR0917 - all that stands on a truck's page
    day: Day,
    load: TruckLoad,
    shop: Shop,
    findings: Mapping[str, tuple[Finding, ...]],
    kit: tuple[tuple[Statement, int], ...],
    unread: tuple[UnreadJob, ...],
) -> TruckPage:
    plans = [day.plan_of(name) for name in load.jobs]
    spans = {span.job: span for span in day.spans}
    rows = [
        (
            _when(plan, spans[plan.job.job]),
            plan.job.job,
            ", ".join(_filled(plan.job.site.name, plan.job.site.address)),
            f"{refrigerant_name(plan)}: {_method(plan)}",
            ", ".join(_crew(plan)),
            ": ".join(
                _filled(
                    _verdict(plan.job.job, day, findings[plan.job.job])[0], _words(findings[plan.job.job], shop.units)
                )
            ),
        )
        for plan in plans
    ]
    rows += [
        (item.start, item.job, item.site, "", item.technician, t("NOT READ"))
        for item in unread
        if item.truck == load.truck_id
    ]
    ours = {name: findings[name] for name in load.jobs}
    return TruckPage(
        language=shop.language,
        paper=shop.paper,
        title=t("Truck {truck}, {date}", truck=load.truck_id, date=us_date(day.date)),
        company=shop.company,
        foot=_foot(shop),
        truck=load.truck_id,
        jobs=Table(
            caption=t("Jobs in running order; the end is an estimate"),
            heads=(t("Time"), t("Job"), t("Site"), t("Refrigerant, method"), t("Crew"), t("Go?")),
            rows=tuple(sorted(rows)),
        ),
        load_title=t("To load: tick each"),
        aboard=_aboard(load),
        ticks=_ticks(load, plans, shop),
        cylinders=_cylinders(load, shop),
        kit_title=t("Kit"),
        kit=tuple(t("{count} × {what}", count=count, what=what.sentence(shop.units)) for what, count in kit),
        weights=_weights(load, shop.units),
        across=_once(ours, ACROSS - TOTALS),
        missing_title=t("Still missing, or to be put right"),
        missing=_missing(plans, findings, shop.units),
        deferral=_deferral(),
    )


def _aboard(load: TruckLoad) -> tuple[Entry, ...]:
    entries = (
        Entry(t("Technicians"), ", ".join(item.name for item in load.technicians)),
        Entry(t("Always on the truck"), load.truck.standing_load if load.truck else ""),
    )
    return tuple(entry for entry in entries if entry.value)


def _ticks(load: TruckLoad, plans: list[Plan], shop: Shop) -> tuple[str, ...]:
    """Machines with their weight and how they are lifted, scales, and the cards that the packets name."""
    machines = []
    for item in load.machines:
        weight = show_weight(item.weight_lb, shop.units, 0) if item.weight_lb else ""
        lift = _lift(item.weight_lb, shop) if item.weight_lb else ""
        told = ", ".join(_filled(item.description, weight, lift))
        machines.append(t("Machine {id}: {told}", id=item.id, told=told) if told else t("Machine {id}", id=item.id))
    return (
        *machines,
        *(t("Scale {id}", id=item.id) for item in load.scales),
        *(
            t("Field card, revision {revision}, in the cab; no older one", revision=card)
            for card in _cards(plans, shop)
        ),
    )


def _cards(plans: list[Plan], shop: Shop) -> tuple[str, ...]:
    """The field card in each language that the truck's packets are read in, by its revision."""
    found: dict[str, None] = {}
    for plan in plans:
        reading = reading_of(plan)
        for language in filter(None, (reading.language, reading.also)):
            with speaking(language):
                found[named_card(shop)] = None
    return tuple(filter(None, found))


def _lift(weight_lb: float, shop: Shop) -> str:
    return t(HOW_WORDS[how_to_lift(weight_lb, shop.policy.lift_alone_lb)])


def _cylinders(load: TruckLoad, shop: Shop) -> Table:
    units = shop.units
    return Table(
        caption=t("Cylinders, each once; gross weights and room as planned"),
        heads=(
            t("Cylinder"),
            t("In it this morning"),
            t("Goes in"),
            t("Lift"),
            t("Out, gross"),
            t("Back, gross"),
            t("Room left"),
        ),
        rows=tuple(
            (
                t(
                    "{id}: {spec}, WC {weight}",
                    id=ride.cylinder.id,
                    spec=ride.cylinder.spec,
                    weight=show_weight(ride.cylinder.water_capacity_lb, units),
                ),
                _held(ride, units),
                "; ".join(f"{visit.job} {_weight(visit.put_in_lb, units)}" for visit in ride.visits),
                _carry(ride, load, shop),
                _weight(ride.out_gross_lb, units),
                _weight(ride.back_gross_lb, units),
                _weight(ride.visits[-1].left_lb, units),
            )
            for ride in load.rides
        ),
    )


def _weight(lb: float, units: UnitSystem) -> str:
    """A weight of the truck's table: in kilograms as fine as the scales show them, never '0.000'."""
    return show_weight(lb, units, 2 if units == "SI" else None)


def _held(ride: Ride, units: UnitSystem) -> str:
    if ride.out_lb <= 0:
        return t("empty")
    return t("{weight} {refrigerant}", weight=_weight(ride.out_lb, units), refrigerant=ride.gas or "")


def _carry(ride: Ride, load: TruckLoad, shop: Shop) -> str:
    """How it is lifted at its heaviest; with the limit for materials of trade where it exceeds that."""
    heaviest_lb = max(ride.out_gross_lb, ride.back_gross_lb)
    limit = load.per_cylinder_limit_lb
    if "not-trade" in {ride.out_counts, ride.back_counts}:
        return t("{lift}; no material of trade", lift=_lift(heaviest_lb, shop))
    if "trade" in {ride.out_counts, ride.back_counts} and limit is not None and heaviest_lb > limit.value:
        return t(
            "{lift}; EXCEEDS {limit}", lift=_lift(heaviest_lb, shop), limit=show_weight(limit.value, shop.units, 0)
        )
    return _lift(heaviest_lb, shop)


def _weights(load: TruckLoad, units: UnitSystem) -> str:
    totals = t(
        "Materials of trade aboard: {out} out, {back} back.",
        out=show_weight(load.out_total_lb.value, units),
        back=show_weight(load.back_total_lb.value, units),
    )
    limit = load.truck_limit_lb
    if limit is None:
        words = t("No job of this truck could be planned far enough to hold its load against a limit.")
        return f"{totals} {words}"
    most = max(load.out_total_lb.value, load.back_total_lb.value)
    shown = show_weight(limit.value, units, 0)
    if most > limit.value:
        words = t(
            "EXCEEDS {limit} for materials of trade (49 CFR 173.6): shipping papers and a trained driver, or another truck.",
            limit=shown,
        )
    else:
        words = t(
            "Within {limit} for materials of trade (49 CFR 173.6); {left} may be added.",
            limit=shown,
            left=f"{most_weight_value(limit.value - most, units, 1)} {weight_unit(units)}",
        )
    return f"{totals} {words}"


def _missing(plans: list[Plan], findings: Mapping[str, tuple[Finding, ...]], units: UnitSystem) -> tuple[Entry, ...]:
    """What dispatch still has to fetch or put right, job beside sentence, each once."""
    found: dict[Entry, None] = {}
    for plan in plans:
        name = plan.job.job
        for item in findings[name]:
            if item.severity == "stop":
                words = t("{message} {remedy}", message=item.message, remedy=item.remedy).strip()
                found[Entry(name, words)] = None
        for need in (item.sentence(units) for item in plan.needs):
            if not any(need in entry.value for entry in found):
                found[Entry(name, need)] = None
    return tuple(found)


def _unread(item: UnreadJob, shop: Shop, day: Day) -> UnreadSheet:
    entries = (
        Entry(t("Day"), " ".join(_filled(us_date(day.date), item.start))),
        Entry(t("Truck, technician"), ", ".join(_filled(item.truck, item.technician))),
        Entry(t("Site"), item.site),
        Entry(t("File"), f"{day.date.isoformat()}/{item.file.name}"),
    )
    return UnreadSheet(
        language=shop.language,
        paper=shop.paper,
        title=t("Recovery job {job}", job=item.job),
        company=shop.company,
        foot=_foot(shop),
        job=item.job,
        truck=item.truck,
        shout=t("DO NOT DISPATCH"),
        opening=t(
            "NOT READ: this job's file has mistakes in it, so nothing of it was planned. There is no packet for it, and no older print of it may be used."
        ),
        entries=tuple(entry for entry in entries if entry.value),
        reasons_title=t("What to put right in the file"),
        reasons=tuple(
            " ".join(_filled(_place(problem.line, problem.field), problem.message, problem.suggestion))
            for problem in item.problems
        ),
        deferral=t("Put it right, and print again; questions to {phone}.", phone=shop.phone),
    )


def _place(line: int, field: str) -> str:
    where = t("Line {line}, {field}:", line=line, field=field) if field else t("Line {line}:", line=line)
    return where if line else f"{field}:".removeprefix(":")
