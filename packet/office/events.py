"""What happens to cylinders outside of jobs, filed like jobs: once, in the chain, never changed.

Turned in for reclaim or destruction, returned to the owner, emptied, retested, bought, retired, a discrepancy
explained; and a job that was called off. An event entered twice with the same words is one event.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, time
from decimal import Decimal

from packet.document import Data
from packet.findings import Finding, finding
from packet.ledger import mass
from packet.ledger.state import SCALE_EXPLAINS_LB, CylinderState, Ledger, Purpose
from packet.office.checks_weights import most_held_kg
from packet.office.enter import (
    Body,
    Entered,
    Office,
    RefusedError,
    amount,
    enter,
    shown,
    state_of,
    sure_reason,
    typed_kg,
    wrong,
)
from packet.office.jobs import filed_jobs, planned_jobs
from packet.office.turn_in import asked_about
from packet.press.printed import print_files, printed_folder
from packet.shop import fields as typed
from packet.shop.problems import did_you_mean
from packet.shop.records import Cylinder, Month
from packet.words import t

MORNING = time(0, 0)  # before the day's jobs


@dataclass(frozen=True, slots=True)
class Load:
    """A cylinder handed over. weight: net, as typed, in the shop's unit; '' for all the ledger has in it.

    part: the rest stays in the cylinder; otherwise it is handed over whole, and what weight and ledger differ by is
    adjusted in plain sight.
    """

    cylinder: str
    weight: str = ""
    part: bool = False


def turn_in(
    office: Office,
    loads: Iterable[Load],
    *,
    to: str,
    purpose: Purpose,
    day: date,
    reference: str = "",
    at: time | None = None,
    stays: bool = False,
) -> Entered:
    """Gas sent for reclaim or destruction, or returned to the owner: to whom, when, how much (40 CFR 82.156(a)(3)).

    reference: the receipt's or manifest's number. at: when; without it, after the day's jobs. stays: the cylinders were drained on the spot and are still here;
    otherwise they are away until 'emptied' brings them back.
    """
    handed = tuple(loads)

    def make(book: Ledger) -> tuple[Body, list[Finding]]:
        if not to.strip():
            raise RefusedError(wrong("turn-in", "to", t("To whom is missing.")))
        if not handed:
            raise RefusedError(wrong("turn-in", "cylinders", t("No cylinder is named.")))
        moves: list[dict[str, str]] = []
        found: list[Finding] = []
        for load in handed:
            state = state_of(book, load.cylinder, "turn-in")
            if load.weight:
                _held(typed_kg(load.weight, office, "turn-in"), load.cylinder, book, office, "turn-in")
            ours, unusual = _handed_over(load, state, office, purpose)
            moves.append(ours)
            found += unusual
            rest_kg = state.ledger_kg - (typed_kg(load.weight, office, "turn-in") if load.weight else state.ledger_kg)
            if load.part and not stays and rest_kg > SCALE_EXPLAINS_LB * mass.KG_IN_ONE_LB:
                rest = shown(rest_kg, office)
                found.append(finding("turn-in-part-goes-along", cylinder=load.cylinder, rest=rest, to=to.strip()))
        found += asked_about(
            office, book.records, [load.cylinder for load in handed], purpose, day, reference=reference
        )
        body: Body = {"to": typed.text(to), "purpose": purpose, "moves": moves}
        if reference:
            body["reference"] = typed.text(reference)
        if not stays:
            body["away"] = {load.cylinder: typed.text(to) for load in handed}
        return body, found

    request = {
        "to": to,
        "purpose": purpose,
        "ref": reference,
        "loads": [[x.cylinder, x.weight, x.part] for x in handed],
    }
    return enter(office, "turn-in", handed[0].cylinder if handed else "", day=day, at=at, request=request, make=make)


def emptied(office: Office, cylinder: str, *, day: date, at: time, into: str = "", weight: str = "") -> Entered:
    """Emptied and evacuated, so that it takes any gas; or back, empty and evacuated, from where it was turned in.

    into: the cylinder that took what was in it; weight: net, how much that was, '' for all the ledger has.
    """

    def make(book: Ledger) -> tuple[Body, list[Finding]]:
        state = state_of(book, cylinder, "emptied")
        body: Body = {"evacuated": [cylinder]}
        rest_kg = state.ledger_kg
        if into:
            target = state_of(book, into, "emptied")
            if into == cylinder or target.refrigerant not in (None, state.refrigerant, "mixed"):
                raise RefusedError(
                    wrong(
                        "emptied",
                        "into",
                        t("Cylinder {cylinder} holds {gas}.", cylinder=into, gas=target.refrigerant or ""),
                    )
                )
            moved_kg = typed_kg(weight, office, "emptied") if weight else state.ledger_kg
            if weight:
                _held(moved_kg, cylinder, book, office, "emptied")
            # all that is in it by then, or as it was weighed: worked out anew when a job is filed or corrected afterwards
            body["moves"] = [
                {"cylinder": cylinder, "as": "moved", "whole": "yes"} | (amount(moved_kg, "weighed") if weight else {}),
                {"cylinder": into, "as": "moved", "all_of": cylinder},
            ]
            rest_kg -= moved_kg
        found = []
        if abs(rest_kg) > SCALE_EXPLAINS_LB * mass.KG_IN_ONE_LB:
            found.append(finding("still-holds", cylinder=cylinder, ledger=shown(rest_kg, office)))
        return body, found

    return enter(office, "emptied", cylinder, day=day, at=at, request={"into": into, "weight": weight}, make=make)


def retested(office: Office, cylinder: str, *, day: date, tested: Month, by: str = "") -> Entered:
    """A new requalification month."""

    def make(book: Ledger) -> tuple[Body, list[Finding]]:
        state_of(book, cylinder, "retested")
        if (tested.year, tested.month) > (day.year, day.month):
            raise RefusedError(wrong("retested", "tested", t("{month} is in the future.", month=str(tested))))
        body: Body = {"tested": {cylinder: str(tested)}}
        return (body | {"by": typed.text(by)} if by else body), []

    return enter(office, "retested", cylinder, day=day, at=None, request={"tested": str(tested), "by": by}, make=make)


def bought(office: Office, cylinder: Cylinder, *, day: date) -> Entered:
    """A new cylinder, as it would stand in the register."""
    entry = {key: _entry_value(value) for key, value in cylinder.model_dump(exclude_defaults=True).items()}
    entry |= {key: str(getattr(cylinder, key)) for key in ("tested", "made") if getattr(cylinder, key) is not None}

    def make(book: Ledger) -> tuple[Body, list[Finding]]:
        if cylinder.id in book.states:
            raise RefusedError(
                wrong("bought", "id", t("There is a cylinder {cylinder} already.", cylinder=cylinder.id))
            )
        return {"bought": [entry]}, []

    return enter(office, "bought", cylinder.id, day=day, at=None, request={"entry": entry}, make=make)


def retired(office: Office, cylinder: str, *, day: date, why: str) -> Entered:
    """Taken out of service for good."""

    def make(book: Ledger) -> tuple[Body, list[Finding]]:
        state = state_of(book, cylinder, "retired")
        sure_reason("retired", why)
        holds = abs(state.ledger_kg) > SCALE_EXPLAINS_LB * mass.KG_IN_ONE_LB
        found = [finding("still-holds", cylinder=cylinder, ledger=shown(state.ledger_kg, office))] if holds else []
        return {"retired": {cylinder: typed.text(why)}}, found

    return enter(office, "retired", cylinder, day=day, at=None, request={"why": why}, make=make)


def explained(office: Office, cylinder: str, *, day: date, why: str, follow_scale: bool) -> Entered:
    """Close a discrepancy. follow_scale: the ledger takes over what the scale found; otherwise it stays as it was."""

    def make(book: Ledger) -> tuple[Body, list[Finding]]:
        state = state_of(book, cylinder, "explained")
        if state.discrepancy_lb is None:
            raise RefusedError(
                wrong("explained", "cylinder", t("Cylinder {cylinder} has no open discrepancy.", cylinder=cylinder))
            )
        sure_reason("explained", why)
        body: Body = {"explained": [cylinder], "reason": typed.text(why), "about": state.discrepancy_from}
        if follow_scale:
            body["moves"] = [{"cylinder": cylinder, "as": "adjusted", "follow": "scale"}]
        return body, []

    return enter(
        office, "explained", cylinder, day=day, at=None, request={"why": why, "scale": follow_scale}, make=make
    )


def weighed(
    office: Office,
    cylinder: str,
    *,
    day: date,
    gross: str,
    at: time | None = None,
    refrigerant: str = "",
    why: str = "",
) -> Entered:
    """What a cylinder was found to weigh, hoses off: the ledger follows the scale, in plain sight.

    at: when; without it, before the day's jobs. refrigerant: what is in it, where the ledger has it empty. An open
    discrepancy of the cylinder is closed by it.
    """
    when = at or MORNING

    def make(book: Ledger) -> tuple[Body, list[Finding]]:
        state = state_of(book, cylinder, "weighed")
        known = next((item for item in book.registers.cylinders if item.id == cylinder), None)
        if known is None:
            raise RefusedError(wrong("weighed", "cylinder", t("Its tare is not in the register.")))
        net_kg = typed_kg(gross, office, "weighed") - mass.kg_from_float_lb(known.tare_lb)
        if net_kg < -SCALE_EXPLAINS_LB * mass.KG_IN_ONE_LB:
            said = t("{gross} is less than the tare in the register.", gross=gross)
            raise RefusedError(wrong("weighed", "gross", said, t("Weigh again, and compare the stamped tare.")))
        net_kg = max(net_kg, Decimal(0))
        _held(net_kg, cylinder, book, office, "weighed")
        gas = typed.contents(refrigerant) if refrigerant else state.refrigerant
        if gas is None and net_kg > SCALE_EXPLAINS_LB * mass.KG_IN_ONE_LB:
            said = t("Cylinder {cylinder} is empty by the ledger, and weighs more than its tare.", cylinder=cylinder)
            raise RefusedError(
                wrong("weighed", "refrigerant", said, t("Say what is in it: --refrigerant R-22, or mixed."))
            )
        move = {"cylinder": cylinder, "as": "adjusted", **amount(net_kg, "found")}
        if gas is not None:
            move["refrigerant"] = gas
        if why:
            sure_reason("weighed", why)
        body: Body = {"explained": [cylinder], "gross": typed.text(gross), "moves": [move]}
        return (body | {"reason": typed.text(why)} if why else body), []

    request = {"gross": gross, "gas": refrigerant, "why": why, "filed": office.filed_at.isoformat()}
    return enter(office, "weighed", cylinder, day=day, at=when, request=request, make=make)


def not_done(office: Office, job: str, *, day: date, why: str) -> Entered:
    """A job that was printed or planned and not done after all: it no longer waits to be filed."""

    def make(book: Ledger) -> tuple[Body, list[Finding]]:
        if job in filed_jobs(book.records):
            raise RefusedError(wrong("not-done", "job", t("Job {job} is filed: withdraw its record.", job=job)))
        known = print_files(printed_folder(office.shop_folder)).keys() | planned_jobs(office.shop_folder)
        if job not in known:
            message = t("There is no job '{job}'.", job=job)
            raise RefusedError(wrong("not-done", "job", message, did_you_mean(job, sorted(known))))
        sure_reason("not-done", why)
        return {"job": job, "reason": typed.text(why)}, []

    return enter(office, "not-done", job, day=day, at=None, request={"why": why}, make=make)


def _handed_over(
    load: Load, state: CylinderState, office: Office, purpose: Purpose
) -> tuple[dict[str, str], list[Finding]]:
    sent_kg = typed_kg(load.weight, office, "turn-in") if load.weight else state.ledger_kg
    if sent_kg <= 0:
        message = t("There is nothing in cylinder {cylinder} by the ledger: write the weight.", cylinder=load.cylinder)
        raise RefusedError(wrong("turn-in", load.cylinder, message))
    rest_kg = state.ledger_kg - sent_kg
    slack_kg = SCALE_EXPLAINS_LB * mass.KG_IN_ONE_LB
    ledger, sent = shown(state.ledger_kg, office), shown(sent_kg, office)
    if load.part and rest_kg < -slack_kg:
        message = t(
            "Cylinder {cylinder} holds {ledger}; {typed} cannot leave it.",
            cylinder=load.cylinder, ledger=ledger, typed=sent,
        )  # fmt: skip
        raise RefusedError(wrong("turn-in", load.cylinder, message))
    found = []
    if not load.part and abs(rest_kg) > slack_kg:
        found.append(finding("amount-differs", cylinder=load.cylinder, ledger=ledger, typed=sent))
    move = {"cylinder": load.cylinder, "as": purpose}
    if load.part:
        return move | amount(-sent_kg), found
    return move | {"whole": "yes"} | (amount(sent_kg, "weighed") if load.weight else {}), found


def _held(net_kg: Decimal, cylinder: str, book: Ledger, office: Office, command: str) -> None:
    """Raises RefusedError for more than such a cylinder can hold: no reason makes it so."""
    known = next((item for item in book.registers.cylinders if item.id == cylinder), None)
    if known is not None and net_kg > most_held_kg(known):
        message = t(
            "Cylinder {cylinder} cannot hold {weight}: the most that it can is {most}.",
            cylinder=cylinder, weight=shown(net_kg, office), most=shown(most_held_kg(known), office),
        )  # fmt: skip
        help_ = t("Look at the paper again: a digit too many, or the weight of two things?")
        raise RefusedError(wrong(command, "weight", message, help_))


def _entry_value(value: object) -> Data:
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, tuple):
        return list(value)
    return f"{mass.plain(Decimal(repr(value)))}" if isinstance(value, float) else str(value)
