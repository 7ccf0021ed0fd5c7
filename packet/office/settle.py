"""Putting the records themselves right, on the record: withdrawing one, adding a receipt, joining what was found apart."""

from pathlib import Path

from packet.ledger import records, store
from packet.ledger.check import Break, breaks
from packet.ledger.records import Records, Standing
from packet.office.below_zero import effects_of, sentence
from packet.office.enter import Body, Entered, Office, reason_wrong, unanswered_of, wrong
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
        no_reason = reason_wrong("withdraw", why)
        if no_reason is not None:
            return Entered(problems=(no_reason,))
        body: Body = {
            "corrects": found.record.digest,
            "of": "nothing",
            "date": found.record.date,
            "filed_at": office.filed_at.isoformat(timespec="seconds"),
            "reason": typed.text(why),
        }
        effects = effects_of(office.registers, every, "correction", found.record.subject, body)
        if effects.below:
            told = (wrong("withdraw", one.cylinder, *sentence(one, office.registers)) for one in effects.below)
            return Entered(problems=tuple(told))
        unanswered = unanswered_of(effects.findings, office)
        if unanswered:
            return Entered(findings=effects.findings, unanswered=unanswered)
        if effects.findings:
            body["findings"] = [
                {"code": item.code, "said": item.message}
                | ({"reason": office.reasons[item.code]} if item.severity == "caution" else {})
                for item in effects.findings
            ]
        return Entered(writer.append("correction", found.record.subject, body), findings=effects.findings)


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
        # which of a job's two records is so, nobody but a person knows
        twice = [item for item in troubles if item.kind == "twice"]
        if len(twice) == len(troubles):
            return Entered(problems=tuple(_first(item) for item in twice))
        no_reason = reason_wrong("records", why)
        if no_reason is not None:
            return Entered(problems=(no_reason,))
        body: Body = {"reason": typed.text(why), "filed_at": office.filed_at.isoformat(timespec="seconds")}
        body["found"] = [f"{item.file}: {item.message}" for item in troubles]
        accepts = [item.found_digest for item in every.filed if not item.sound]
        if accepts:
            body["accepts"] = accepts
        lost = what_is_lost(office, every)
        if lost:
            body["lost"] = list(lost)
            body["gone"] = [f"{first}-{last}" for first, last in _gone(every)]
        said = tuple(f"{item.message} {item.remedy}" for item in twice)
        return Entered(writer.merge(body), told=(*lost, *said))


def what_is_lost(office: Office, every: Records) -> tuple[str, ...]:
    """Sentences: the numbers of the records that are gone, between which they stood, and what they may have been about."""
    if not every.lost:
        return ()
    there = {item.seq: item for item in every.filed}
    said = [_stood(first, last, there) for first, last in _gone(every)] or [
        t("A record with the digest {digest} is lost.", digest=digest[:12]) for digest in every.lost
    ]
    waiting = [item.job for item in jobs_in(office.shop_folder, every, "", office.today) if item.state == "out"]
    if waiting:
        said.append(
            t("It may be of a job that is out by the records; file these again if they were: {jobs}.", jobs=", ".join(waiting))
        )  # fmt: skip
    said.append(t("Compare scans, receipts and the newest month's report on paper for what else it may have been."))
    return tuple(said)


def _gone(every: Records) -> list[tuple[int, int]]:
    """The numbers that are missing, from and to, and of which no earlier settlement says so."""
    there = {item.seq for item in every.filed}
    for first, last in every.settled_gone:
        there.update(range(first, last + 1))
    gone: list[tuple[int, int]] = []
    for number in range(1, max([*there, every.noted]) + 1):
        if number in there:
            continue
        if gone and gone[-1][1] == number - 1:
            gone[-1] = gone[-1][0], number
        else:
            gone.append((number, number))
    return gone


def _stood(first: int, last: int, there: dict[int, records.Filed]) -> str:
    """Which records in a row are lost, and between which they stood."""
    before = max((seq for seq in there if seq < first), default=None)
    after = min((seq for seq in there if seq > last), default=None)
    names = {
        "before": _named(there[before]) if before is not None else t("the first"),
        "after": _named(there[after]) if after is not None else t("now"),
    }
    if first == last:
        words = t(
            "Record {number} is lost; it was filed after {before} and before {after}.", number=f"{first:06}", **names
        )
    else:
        words = t(
            "Records {first} to {last} are lost; they were filed after {before} and before {after}.",
            first=f"{first:06}",
            last=f"{last:06}",
            **names,
        )
    return words


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
