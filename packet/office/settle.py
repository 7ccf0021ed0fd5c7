"""Putting the records themselves right, on the record: withdrawing one, adding a receipt, joining what was found apart."""

from pathlib import Path

from packet.ledger import records, store
from packet.ledger.check import Break, breaks
from packet.ledger.records import Records, Standing
from packet.office.below_zero import sentence, would_go_below
from packet.office.enter import Body, Entered, Office, wrong
from packet.office.jobs import jobs_in
from packet.shop import fields as typed
from packet.shop.problems import Problem, did_you_mean, quoted
from packet.words import t

# of a record's body, what a correction of it does not take over
_OWN = ("corrects", "of", "reason", "filed_at", "request_digest")


def withdraw(office: Office, record: str, *, why: str) -> Entered:
    """Say that a record describes nothing that happened (filed under the wrong job or cylinder). record: its file name or number."""
    with store.writing(office.shop_folder) as writer:
        every = records.read_records(office.shop_folder)
        found = _standing(every, record)
        if found is None:
            return Entered(problems=(_no_record("withdraw", every, record),))
        if not why.strip():
            return Entered(problems=(wrong("withdraw", "why", t("The reason is missing.")),))
        body: Body = {
            "corrects": found.record.digest,
            "of": "nothing",
            "date": found.record.date,
            "filed_at": office.filed_at.isoformat(timespec="seconds"),
            "reason": typed.text(why),
        }
        below = would_go_below(office.registers, every, "correction", found.record.subject, body)
        if below:
            told = (wrong("withdraw", one.cylinder, *sentence(one, office.registers)) for one in below)
            return Entered(problems=tuple(told))
        return Entered(writer.append("correction", found.record.subject, body))


def receipt(office: Office, record: str, *, number: str) -> Entered:
    """Add the receipt's or manifest's number to a turn-in that was filed without. record: its file name or number."""
    with store.writing(office.shop_folder) as writer:
        every = records.read_records(office.shop_folder)
        found = _standing(every, record)
        if found is None:
            return Entered(problems=(_no_record("receipt", every, record),))
        body = found.record.body
        if found.kind != "turn-in":
            message = t("{record} is no turn-in.", record=found.record.name)
            return Entered(problems=(wrong("receipt", "record", message),))
        known, number = str(body.get("reference", "")), typed.text(number)
        if known == number:
            return Entered(found.record, already=True)
        if known:
            message = t("{record} has the receipt number {number} already.", record=found.record.name, number=known)
            suggestion = t("If that is wrong, withdraw the record and enter the turn-in again.")
            return Entered(problems=(wrong("receipt", "number", message, suggestion),))
        taken_over = {key: value for key, value in body.items() if key not in _OWN}
        now: Body = {
            "corrects": found.record.digest,
            "of": "turn-in",
            "reason": t("the receipt's number"),
            "filed_at": office.filed_at.isoformat(timespec="seconds"),
            "reference": number,
        }
        if "request_digest" in body:
            now["request_digest"] = body["request_digest"]
        return Entered(writer.append("correction", found.record.subject, taken_over | now))


def join_ends(office: Office, *, why: str) -> Entered:
    """Settle what `packet records check` found, on the record: join the ends of a fork, accept an edit or a loss as it is."""
    with store.writing(office.shop_folder) as writer:
        every = records.read_records(office.shop_folder)
        troubles = [item for item in breaks(every) if not item.settled]
        if not troubles:
            return Entered(
                problems=(wrong("records", "check", t("The records are in order: there is nothing to settle.")),)
            )
        unreadable = [item for item in troubles if item.kind in {"unreadable", "copy", "line-ends"}]
        if unreadable:
            return Entered(problems=tuple(_first(item) for item in unreadable))
        if not why.strip():
            return Entered(problems=(wrong("records", "why", t("The reason is missing.")),))
        body: Body = {"reason": typed.text(why), "filed_at": office.filed_at.isoformat(timespec="seconds")}
        body["found"] = [f"{item.file}: {item.message}" for item in troubles]
        accepts = [item.found_digest for item in every.filed if not item.sound]
        if accepts:
            body["accepts"] = accepts
        lost = what_is_lost(office, every)
        if lost:
            body["lost"] = list(lost)
        return Entered(writer.merge(body), told=lost)


def what_is_lost(office: Office, every: Records) -> tuple[str, ...]:
    """Sentences: the numbers of the records that are gone, between which they stood, and what they may have been about."""
    if not every.lost:
        return ()
    there = {item.seq: item for item in every.filed}
    last = max([*there, every.noted])
    gone = [number for number in range(1, last + 1) if number not in there]
    said = [_gone(number, there) for number in gone] or [
        t("A record with the digest {digest} is lost.", digest=digest[:12]) for digest in every.lost
    ]
    waiting = [item.job for item in jobs_in(office.shop_folder, every, "", office.today) if item.state == "out"]
    if waiting:
        said.append(
            t("It may be of a job that is out by the records; file these again if they were: {jobs}.", jobs=", ".join(waiting))
        )  # fmt: skip
    said.append(t("Compare scans, receipts and the newest month's report on paper for what else it may have been."))
    return tuple(said)


def _gone(number: int, there: dict[int, records.Filed]) -> str:
    before = max((seq for seq in there if seq < number), default=None)
    after = min((seq for seq in there if seq > number), default=None)
    return t(
        "Record {number} is lost; it was filed after {before} and before {after}.",
        number=f"{number:06}",
        before=_named(there[before]) if before is not None else t("the first"),
        after=_named(there[after]) if after is not None else t("now"),
    )


def _named(item: records.Filed) -> str:
    when = str(item.body.get("filed_at", ""))[:16].replace("T", " ")
    return f"{item.name} ({when})" if when else item.name


def _first(item: Break) -> Problem:
    said = t("{file}: {said}", file=f"{records.FOLDER}/{item.file}", said=item.message)
    return wrong("records", item.file, said, item.remedy or t("Restore it from a copy, or take it out of the folder."))


def names_in(shop_folder: Path, record: str) -> frozenset[str]:
    """The job and the cylinders that a record is about; none where there is no such record. Raises OSError."""
    found = _standing(records.read_records(shop_folder), record)
    if found is None:
        return frozenset()
    body = found.record.body
    cylinders = {str(item["cylinder"]) for item in body.get("moves", ())} | set(body.get("evacuated", ()))
    for key in ("tested", "retired", "away"):
        cylinders |= set(body.get(key, {}))
    return frozenset({str(body.get("job", found.record.subject)), *cylinders})


def _standing(every: Records, record: str) -> Standing | None:
    wanted = record.partition("-")[0]
    if not wanted.isdecimal():
        return None
    return next((item for item in records.standing(every.filed) if item.record.seq == int(wanted)), None)


def _no_record(command: str, every: Records, record: str) -> Problem:
    known = [item.record.name for item in records.standing(every.filed)]
    message = t("There is no record '{record}' that still counts.", record=quoted(record))
    return wrong(command, "record", message, did_you_mean(record, known))
