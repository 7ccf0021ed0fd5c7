"""The readings form with what is known beforehand: read on the scan, said by the print, or a sum; each says which.

A person looks through it and puts a name under `confirmed_by`; until then nothing of it is filed.
"""

import json
import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from decimal import Decimal
from pathlib import Path

from packet.document import ShapeError
from packet.office.form import scalar
from packet.office.promised import promised
from packet.office.scanned import Scanned
from packet.press.run import state as run_state
from packet.shop.whole import write_whole
from packet.words import t

# a line of the form with nothing typed into it yet: indent, key, comment
_BLANK = re.compile(r"(?P<indent> *)(?P<key>\"(?:[^\"\\]|\\.)*\"|[^\s:#\"]+):(?:  # (?P<words>.*))?")
_PLAIN = re.compile(r"[\w.+-](?:[\w.,+-]|:(?=\S)| (?=[\w.]))*")
_KEY = re.compile(r"(?P<indent> *)(?P<key>\"(?:[^\"\\]|\\.)*\"|[^\s:#\"]+):(?: |$)")
_REVISION = re.compile(r"^revision: *\"?(?P<revision>[A-Z2-7]{8})\"?", re.MULTILINE)


@dataclass(frozen=True, slots=True)
class Known:
    """A value for the form, and where it comes from, in words."""

    value: str
    source: str


def prefilled(form: str, scan: Scanned) -> str:
    """The empty form's text with everything that is known beforehand; what is not sure stays blank."""
    known = known_beforehand(form, scan)
    lines: list[str] = []
    for line, key in _keyed(form):
        found = known.get(key)
        match = _BLANK.fullmatch(line)
        if found is None or match is None:
            lines.append(line)
        else:
            words = f"{match['words']} · {found.source}" if match["words"] else found.source
            lines.append(f"{match['indent']}{match['key']}: {_typed(found.value)}  # {words}")
        if key == "revision":
            how = t("Filled in beforehand; each line says where from. Hold every line against the paper.")
            name = t("your name, when that is done; nothing is filed before")
            lines += [
                f"# {how}",
                f"filled_in_from: {scalar(f'{scan.file.name}: {scan.summary}')}",
                f"confirmed_by:  # {name}",
            ]
    return "\n".join(lines)


def known_beforehand(form: str, scan: Scanned) -> dict[str, Known]:
    """By the keys of the form: what the print knows, what the scan surely reads, and what these add up to."""
    asked = {key for _, key in _keyed(form) if key}
    found = {key: Known(value, t("from the print")) for key, value in _of_print(scan) if value}
    for key, item in scan.found.items():
        if item.value and not (item.how == "initials" and item.value == "no"):
            found[key] = Known(item.value, t("from the scan, page {page}", page=item.page))
    for key, count in (("cautions_initialled", scan.front), ("hold_points_initialled", scan.holds)):
        found.pop(key, None)
        if count.answer:
            where = t("from the scan, {count} initialed", count=count.words)
            if count.empty:
                where = t("{where}; empty on page {pages}", where=where, pages=count.pages)
            found[key] = Known(count.answer, where)
    found |= dict(_sums(asked, found))
    return {key: item for key, item in found.items() if key in asked}


def _typed(value: str) -> str:
    """A value as somebody would type it: the form's reader takes every word as it stands."""
    return value if _PLAIN.fullmatch(value) else scalar(value)


def lay_prefilled(out: Path, scan: Scanned) -> tuple[Path | None, str]:
    """Write what is known into the job's form in `out`, unless somebody has typed into it.

    The form, None where it was not written, and a sentence that says what became of it. Raises OSError, BusyError.
    """
    job, revision = scan.record.job, scan.record.revision
    path = out / f"{job}.readings.yaml"
    with run_state.alone(out):
        found = run_state.of_file(path)
        if not found:
            return None, t("{job}: there is no readings form to fill in; print the job again for one.", job=job)
        blank = run_state.blank_form(out, job, path)
        if blank is None:
            return None, t("{job}: '{form}' has been typed into and was kept.", job=job, form=path.name)
        on_it = _REVISION.search(blank)
        if on_it is None or on_it["revision"] != revision:
            return None, t("{job}: '{form}' is of another print and was kept.", job=job, form=path.name)
        text = prefilled(blank, scan)
        run_state.remember_form(out, job, blank, text)
        write_whole(path, text.encode())
    said = t("{job}: {form} is filled in as far as it is sure: look through it, sign it, file it.", job=job, form=path)
    return path, said


def _keyed(form: str) -> Iterator[tuple[str, str]]:
    """Each line of a form with its dotted key; '' for a comment or an empty line."""
    path: list[str] = []
    for line in form.split("\n"):
        match = _KEY.match(line)
        if match is None:
            yield line, ""
            continue
        name = match["key"]
        path = [*path[: len(match["indent"]) // 2], json.loads(name) if name.startswith('"') else name]
        yield line, ".".join(path)


def _of_print(scan: Scanned) -> Iterator[tuple[str, str]]:
    try:
        its_print = promised(scan.record)
    except ShapeError:
        return
    second, work = its_print.plan.second, its_print.plan.inputs.job.work
    yield "date", its_print.date.isoformat()
    yield "technician", its_print.technician.name
    yield "card", its_print.technician.card
    yield "supervisor", its_print.supervisor
    yield "second", second.name if second is not None else ""
    yield "refrigerant", "" if its_print.plan.mixed_or_unknown else its_print.plan.refrigerant
    yield "gas_owner", work.owner_of_gas
    yield "destination", "" if work.disposition == "open" else work.disposition


def _sums(asked: set[str], known: Mapping[str, Known]) -> Iterator[tuple[str, Known]]:
    """Net of each cylinder from its two weights, and the total, where nobody wrote them or they could not be read."""
    nets = [key for key in asked if ".put_in_" in key]
    values: dict[str, Decimal] = {}
    for key in nets:
        before, after = (known.get(key.replace(".put_in_", f".bare_{when}_gross_")) for when in ("before", "after"))
        if key in known:
            values[key] = Decimal(known[key].value)
        elif before is not None and after is not None:
            values[key] = Decimal(after.value) - Decimal(before.value)
            yield key, Known(f"{values[key]:f}", t("sum"))
    total = next((key for key in asked if key in {"recovered_lb", "recovered_kg"}), None)
    used = [key for key in nets if known.get(f"{key.rpartition('.')[0]}.not_used", _NO).value != "yes"]
    if total is not None and total not in known and used and all(key in values for key in used):
        yield total, Known(f"{sum(values[key] for key in used):f}", t("sum"))


_NO = Known("", "")
