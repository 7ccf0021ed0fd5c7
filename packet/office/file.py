"""Filing: a form that came back is checked against its print, the registers and the ledger, and filed once."""

import hashlib
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, time
from decimal import Decimal
from pathlib import Path

from packet.document import Data, ShapeError
from packet.findings import Finding, finding
from packet.ledger import mass, records, store
from packet.ledger.fields import key_parts
from packet.ledger.records import Filed, Records, Standing
from packet.ledger.state import Below, ledger_from
from packet.office.below_zero import effects_of, sentence
from packet.office.case import Case, Filling
from packet.office.checks import findings, problems
from packet.office.promised import Promised, promised
from packet.office.readings import Gauge, Readings, Value, Weight
from packet.office.scanned import for_the_record, scan_findings, scan_of
from packet.office.typed_form import read_readings
from packet.office.typed_words import words_kept
from packet.press.printed import PrintRecord, PrintRecordError, print_files, printed_folder, records_of
from packet.shop import text
from packet.shop.problems import Problem, did_you_mean
from packet.shop.records import Registers
from packet.words import t

# letters of a name, at least: initials will do
LEAST_NAME = 2


@dataclass(frozen=True, slots=True)
class Filing:
    """What became of one form.

    filed: the record, None when it was not filed. already: the very same form was filed before; filed is that record.
    problems: what has to be put right first. findings: everything unusual. unanswered: cautions among them that the
    office has given no reason for; filing waits for it.
    """

    form: Path
    job: str
    filed: Filed | None = None
    already: bool = False
    problems: tuple[Problem, ...] = ()
    findings: tuple[Finding, ...] = ()
    unanswered: tuple[Finding, ...] = ()


def file_forms(
    forms: Iterable[Path],
    shop_folder: Path,
    registers: Registers,
    *,
    today: date,
    filed_at: datetime,
    reasons: Mapping[str, str] | None = None,
    scans: Path | None = None,
) -> tuple[Filing, ...]:
    """Check and file each form; one that is refused does not hold up the others.

    today: no work is filed from the future. reasons: by caution code, on top of those in the forms. scans: the folder of
    sorted packets, which the forms are held against.

    Raises OSError, store.RecordsBusyError and store.DamagedRecordsError: nothing more is filed then; what was filed stays.
    """
    known, done = records.read_records(shop_folder), list[Filing]()
    for form in forms:
        known = records.read_more(shop_folder, known)
        done.append(
            file_form(
                form, shop_folder, registers, today=today, filed_at=filed_at, reasons=reasons, scans=scans, known=known
            )
        )
    return tuple(done)


def file_form(
    form: Path,
    shop_folder: Path,
    registers: Registers,
    *,
    today: date,
    filed_at: datetime,
    reasons: Mapping[str, str] | None = None,
    scans: Path | None = None,
    known: Records | None = None,
) -> Filing:
    """Check one form and file it, unless something is wrong with it; see `file_forms`. Filing it again changes nothing.

    known: records already read, so that only newer ones are.
    """
    loaded = text.read(form, prepare=words_kept)
    if loaded.value is None:
        return Filing(form, "", problems=loaded.problems)
    readings, typed_wrong = read_readings(loaded.value, str(form))
    wrong = [*loaded.problems, *typed_wrong]
    prints = _prints(readings, shop_folder, wrong) if readings.job else ()
    its_print = _promised(readings, prints, wrong)
    if its_print is None:
        return Filing(form, readings.job, problems=tuple(sorted(wrong)))
    readings = replace(readings, reasons=dict(readings.reasons) | dict(reasons or {}))
    digest = hashlib.sha256(form.read_bytes()).hexdigest()
    with store.writing(shop_folder) as writer:
        about = writer.about(readings.job)
        same = _filed_before(about, digest)
        if same is not None:
            return Filing(form, readings.job, same, already=True)
        earlier = next((item for item in records.standing(about) if item.kind == "job"), None)
        wrong += _once(readings, earlier)
        wrong += _confirmed(readings)
        found = records.read_more(shop_folder, known or Records((), ()))
        case = _case(readings, its_print, registers, found=found, today=today, earlier=earlier)
        told = {item.line for item in typed_wrong}  # a value that could not be read is not also a missing one
        wrong += [item for item in problems(case) if item.line not in told]
        if wrong:
            return Filing(form, readings.job, problems=tuple(sorted(set(wrong))))
        scan = scan_of(shop_folder, scans, readings.job, its_print.revision)
        unusual = _with_old_print((*scan_findings(case, scan), *findings(case)), readings, prints)
        unanswered = tuple(item for item in unusual if item.severity == "caution" and item.code not in readings.reasons)
        if unanswered:
            return Filing(form, readings.job, findings=unusual, unanswered=unanswered)
        body = _body(case, unusual, digest, filed_at) | for_the_record(case, scan)
        kind = "job"
        if earlier is not None:
            kind = "correction"
            body = {"corrects": earlier.record.digest, "of": "job", "reason": readings.correction} | body
        effects = effects_of(registers, found, kind, readings.job, body)
        if effects.below:
            return Filing(
                form,
                readings.job,
                problems=tuple(_below(readings, item, registers) for item in effects.below),
                findings=unusual,
            )
        since = tuple(_at_its_cylinder(readings, item) for item in effects.findings)
        if since:
            unusual = (*unusual, *since)
            unanswered = tuple(
                item for item in since if item.severity == "caution" and item.code not in readings.reasons
            )
            if unanswered:
                return Filing(form, readings.job, findings=unusual, unanswered=unanswered)
            body["findings"] = [_noted(item, readings) for item in unusual]
        filed = writer.append(kind, readings.job, body)
    return Filing(form, readings.job, filed, findings=unusual)


def _filed_before(about: Sequence[Filed], digest: str) -> Filed | None:
    """The record of the very same form, where it was filed and not withdrawn since."""
    counting = {item.first.digest for item in records.standing(about)}
    for item in about:
        if item.body.get("form_digest") == digest and records.first_of(about, item).digest in counting:
            return item
    return None


def _confirmed(readings: Readings) -> list[Problem]:
    """A form that was filled in beforehand is filed only when a person has put a name under it."""
    if not readings.filled_in_from or sum(letter.isalpha() for letter in readings.confirmed_by) >= LEAST_NAME:
        return []
    message = t("This form was filled in beforehand, and nobody says that it was held against the paper.")
    suggestion = t("Look through every line, then write your name behind 'confirmed_by:'.")
    return [Problem(readings.file, readings.line("confirmed_by"), "confirmed_by", message, suggestion)]


def _below(readings: Readings, item: Below, registers: Registers) -> Problem:
    key = f"cylinders.{item.cylinder}"
    return Problem(readings.file, readings.line(key), key, *sentence(item, registers))


def _at_its_cylinder(readings: Readings, item: Finding) -> Finding:
    key = f"cylinders.{dict(item.params)['cylinder']}"
    return replace(item, where=f"{readings.file}:{readings.line(key)} {key}")


def _prints(readings: Readings, shop_folder: Path, wrong: list[Problem]) -> tuple[PrintRecord, ...]:
    try:
        found = records_of(shop_folder, readings.job)
    except PrintRecordError as error:
        wrong.append(
            Problem(readings.file, readings.line("job"), "job", t("The print record cannot be read: {why}", why=error))
        )
        return ()
    if not found:
        folder = printed_folder(shop_folder)
        known = sorted(print_files(folder))
        message = t("Job '{job}' was never printed.", job=readings.job)
        wrong.append(Problem(readings.file, readings.line("job"), "job", message, did_you_mean(readings.job, known)))
    return found


def _promised(readings: Readings, prints: tuple[PrintRecord, ...], wrong: list[Problem]) -> Promised | None:
    """What the print that came back promised; None, with a problem told, when there is none to check against."""
    if not prints or not readings.revision:
        return None
    known = {item.revision.upper(): item for item in prints}
    found = known.get(readings.revision.upper())
    if found is None:
        message = t("Job {job} has no print {revision}.", job=readings.job, revision=readings.revision)
        wrong.append(
            Problem(
                readings.file, readings.line("revision"), "revision", message, did_you_mean(readings.revision, known)
            )
        )
        return None
    try:
        return promised(found)
    except ShapeError:
        message = t("Print {revision} carries no plan to check against; print the job again.", revision=found.revision)
        wrong.append(Problem(readings.file, readings.line("revision"), "revision", message))
        return None


def _once(readings: Readings, earlier: Standing | None) -> list[Problem]:
    """A job is filed once; a second form of it must say that it corrects, and then there must be something to correct."""
    if earlier is not None and not readings.correction:
        return [
            Problem(
                readings.file,
                readings.line("job"),
                "job",
                t("Job {job} is filed already, as {record}.", job=readings.job, record=earlier.record.name),
                t("To put it right, write the reason under 'correction:'."),
            )
        ]
    if earlier is None and readings.correction:
        message = t("There is no record of job {job} to correct.", job=readings.job)
        return [Problem(readings.file, readings.line("correction"), "correction", message)]
    return []


def _case(
    readings: Readings,
    its_print: Promised,
    registers: Registers,
    *,
    found: Records,
    today: date,
    earlier: Standing | None,
) -> Case:
    """The case with the ledger as it stood when the machine was started, without the record that is being corrected."""
    without: frozenset[str] = frozenset()
    if earlier is not None:
        without = frozenset(
            item.digest for item in found.filed if item.subject == readings.job and item.kind in {"job", "correction"}
        )
    day, start = readings.day() or today, readings.clock("times.start")
    book = ledger_from(registers, found, day, start, without=without)
    return Case(readings, its_print, book.registers, book.states, today)


def _with_old_print(
    found: tuple[Finding, ...], readings: Readings, prints: tuple[PrintRecord, ...]
) -> tuple[Finding, ...]:
    current = prints[-1].revision
    if current.upper() == readings.revision.upper():
        return found
    where = f"{readings.file}:{readings.line('revision')} revision"
    return (finding("old-print", where=where, revision=readings.revision, current=current), *found)


def _body(case: Case, unusual: tuple[Finding, ...], digest: str, filed_at: datetime) -> dict[str, Data]:
    """The record of a job: who, where and what, the readings as the form has them, what moved, and what was unusual."""
    readings, its_print, technician = case.readings, case.promised, case.technician()
    start, end, day = readings.clock("times.start"), readings.clock("times.end"), readings.day()
    body: dict[str, Data] = {"date": day.isoformat() if day else ""}
    if end is not None:
        # what ran past midnight counts at the end of the day it is filed under, not before everything else on it
        body["time"] = "23:59" if start is not None and end <= start else f"{end:%H:%M}"
    body |= {"filed_at": filed_at.isoformat(timespec="seconds"), "revision": its_print.revision}
    body |= {key: value for key, value in its_print.facts.items() if value}
    body["charge_lb"] = mass.plain(Decimal(repr(its_print.appliance.charge_lb)))
    body |= _nested(readings)
    body |= {"refrigerant": case.gas(), "technician": technician.name if technician else readings.words("technician")}
    body["recovered_by_scale_lb"] = mass.lb_from_kg(case.recovered_kg())
    body["moves"] = [_move(case, item) for item in case.fillings()]
    explained = [item.cylinder for item in case.fillings() if "weight-differs" in readings.reasons]
    if explained:
        body["explained"] = explained
    noted = [_noted(item, readings) for item in unusual]
    if noted:
        body["findings"] = noted
    if readings.filled_in_from:
        body |= {"filled_in_from": readings.filled_in_from, "confirmed_by": readings.confirmed_by}
    body["form_digest"] = digest
    return body


def _move(case: Case, item: Filling) -> dict[str, str]:
    before, after = item.before, item.after
    moved = {"moved_kg": f"{item.kg:f}"}
    if before.unit == after.unit == "lb":
        moved = {"moved_lb": f"{Decimal(after.text) - Decimal(before.text):f}"}
    return {
        "cylinder": item.cylinder,
        "refrigerant": case.gas(),
        **moved,
        f"bare_before_gross_{before.unit}": before.text,
        f"bare_after_gross_{after.unit}": after.text,
        "scale_step_lb": f"{mass.plain(Decimal(repr(case.promised.scale_step_lb)))}",
    }


def _noted(item: Finding, readings: Readings) -> dict[str, str]:
    noted = {"code": item.code, "said": item.message}
    if item.code in readings.reasons:
        noted["reason"] = readings.reasons[item.code]
    return noted


def _nested(readings: Readings) -> dict[str, Data]:
    """The readings in the form's own blocks, blanks left out."""
    tree: dict[str, Data] = {}
    for item in readings.values.values():
        *blocks, last = key_parts(item.key)
        place = tree
        for block in blocks:
            place = place.setdefault(block, {})
        place[last] = _as_typed(item.value)
    return tree


def _as_typed(value: Value) -> str:
    """A reading as the record shows it."""
    if isinstance(value, Weight):
        return value.text
    if isinstance(value, Gauge):
        return value.text.partition(" ")[0]
    if isinstance(value, bool):
        return "yes" if value else "no"
    return f"{value:%H:%M}" if isinstance(value, time) else str(value)
