"""Entering an event: checked against the ledger under the lock, filed once, a caution only with its reason."""

import hashlib
import json
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from datetime import date, datetime, time
from decimal import Decimal
from pathlib import Path

from packet.document import Data
from packet.figures import show_weight
from packet.findings import Finding
from packet.ledger import mass, records, store
from packet.ledger.records import Filed
from packet.ledger.state import CylinderState, Ledger, ledger_from
from packet.office.below_zero import effects_of, sentence
from packet.office.reasons import too_thin
from packet.shop.problems import Problem, did_you_mean
from packet.shop.records import Registers
from packet.words import t

Body = dict[str, Data]


@dataclass(frozen=True, slots=True)
class Office:
    """Whose records, and when it is entered. reasons: why the office accepts a caution, by its code."""

    shop_folder: Path
    registers: Registers
    today: date
    filed_at: datetime
    reasons: Mapping[str, str]


@dataclass(frozen=True, slots=True)
class Entered:
    """What became of an event: as `packet.office.file.Filing`. told: what else there is to know, sentences."""

    filed: Filed | None = None
    already: bool = False
    problems: tuple[Problem, ...] = ()
    findings: tuple[Finding, ...] = ()
    unanswered: tuple[Finding, ...] = ()
    told: tuple[str, ...] = ()


class RefusedError(Exception):
    """Problems with an event as typed."""

    def __init__(self, *problems: Problem) -> None:
        super().__init__()
        self.problems = problems


Make = Callable[[Ledger], tuple[Body, list[Finding]]]


def enter(
    office: Office, kind: str, cylinder: str, *, day: date, at: time | None, request: Mapping[str, object], make: Make
) -> Entered:
    """File an event once, when nothing about it is wrong and every caution has its reason.

    request: what was asked, so that asking twice is known. make: body and findings from the ledger at that moment; it
    raises RefusedError. Raises OSError, RecordsBusyError, DamagedRecordsError, UnreadableRecordsError.
    """
    asked = json.dumps([kind, cylinder, day.isoformat(), str(at), request], sort_keys=True, ensure_ascii=True)
    digest = hashlib.sha256(asked.encode()).hexdigest()
    with store.writing(office.shop_folder) as writer:
        found = records.read_records(office.shop_folder)
        same = next(
            (one.record for one in records.standing(found.filed) if one.record.body.get("request_digest") == digest),
            None,
        )
        if same is not None:
            return Entered(same, already=True)
        # at the end of the day, so that a turn-in in the evening hands over what the day's jobs brought
        book = ledger_from(office.registers, found, day, at)
        try:
            if day > office.today:
                raise RefusedError(wrong(kind, "date", t("{date} is in the future.", date=day.isoformat())))
            thin = [
                wrong(kind, f"reasons.{code}", *said) for code, why in office.reasons.items() if (said := too_thin(why))
            ]
            if thin:
                raise RefusedError(*thin)
            made, unusual = make(book)
        except RefusedError as refused:
            return Entered(problems=refused.problems)
        except ValueError as refused:  # what the shop's own checks of a text refuse with
            context = getattr(refused, "context", None) or {}
            return Entered(problems=(wrong(kind, "", str(context.get("sentence", refused))),))
        unanswered = unanswered_of(unusual, office)
        if unanswered:
            return Entered(findings=tuple(unusual), unanswered=unanswered)
        body: Body = {"date": day.isoformat()} | ({"time": f"{at:%H:%M}"} if at else {"time": _LATE})
        body |= {"filed_at": office.filed_at.isoformat(timespec="seconds")} | made
        effects = effects_of(office.registers, found, kind, f"{kind}-{cylinder}", body)
        if effects.below:
            told = (wrong(kind, one.cylinder, *sentence(one, office.registers)) for one in effects.below)
            return Entered(problems=tuple(told))
        unusual = [*unusual, *effects.findings]
        unanswered = unanswered_of(effects.findings, office)
        if unanswered:
            return Entered(findings=tuple(unusual), unanswered=unanswered)
        if unusual:
            body["findings"] = [
                {"code": item.code, "said": item.message}
                | ({"reason": office.reasons[item.code]} if item.severity == "caution" else {})
                for item in unusual
            ]
        body["request_digest"] = digest
        return Entered(writer.append(kind, f"{kind}-{cylinder}", body), findings=tuple(unusual))


# An event without a time counts after the day's jobs, except what makes a cylinder ready for them.
_LATE = "23:58"


def unanswered_of(found: Iterable[Finding], office: Office) -> tuple[Finding, ...]:
    """The cautions that the office has given no reason for."""
    return tuple(item for item in found if item.severity == "caution" and item.code not in office.reasons)


def reason_wrong(command: str, why: str) -> Problem | None:
    """What is wrong with a reason: it is missing, or says nothing to somebody who reads it years later."""
    if not why.strip():
        return wrong(command, "why", t("The reason is missing."))
    thin = too_thin(why)
    return wrong(command, "why", *thin) if thin else None


def sure_reason(command: str, why: str) -> None:
    """Raises RefusedError where `reason_wrong` finds something."""
    problem = reason_wrong(command, why)
    if problem is not None:
        raise RefusedError(problem)


def wrong(command: str, field: str, message: str, suggestion: str = "") -> Problem:
    """A problem with what was asked for: the command stands where a file would."""
    return Problem(command, 0, field, message, suggestion)


def state_of(book: Ledger, cylinder: str, command: str) -> CylinderState:
    """A cylinder's state. Raises RefusedError for one that is not there."""
    state = book.states.get(cylinder)
    if state is None:
        message = t("There is no cylinder '{id}' in cylinders.yaml.", id=cylinder)
        raise RefusedError(wrong(command, "cylinder", message, did_you_mean(cylinder, book.states)))
    return state


def typed_kg(weight: str, office: Office, command: str) -> Decimal:
    """A weight as typed, in the shop's unit, in kilograms, exact. Raises RefusedError."""
    try:
        kg = mass.kg_from(weight.strip(), "lb" if office.registers.shop.units == "US" else "kg")
    except ValueError:
        raise RefusedError(wrong(command, "weight", t("'{value}' is not a weight.", value=weight))) from None
    if kg < 0:
        raise RefusedError(wrong(command, "weight", t("'{value}' is not a weight.", value=weight)))
    return kg


def amount(kg: Decimal, name: str = "moved") -> dict[str, str]:
    """The mass under `name` in pounds where that says it exactly, else in kilograms."""
    pounds = mass.lb_from_kg(kg)
    exact = pounds * mass.KG_IN_ONE_LB == kg
    return {f"{name}_lb": f"{pounds:f}"} if exact else {f"{name}_kg": f"{mass.plain(kg):f}"}


def shown(kg: Decimal, office: Office) -> str:
    """A mass as the shop reads it."""
    return show_weight(float(mass.lb_from_kg(kg)), office.registers.shop.units)
