"""Putting the records themselves right, on the record: withdrawing one, and joining what a check found apart."""

from packet.ledger import records, store
from packet.ledger.check import check_records
from packet.office.below_zero import sentence, would_go_below
from packet.office.enter import Body, Entered, Office, wrong
from packet.shop import fields as typed
from packet.shop.problems import did_you_mean
from packet.words import t


def withdraw(office: Office, record: str, *, why: str) -> Entered:
    """Say that a record describes nothing that happened (filed under the wrong job or cylinder). record: its file name or number."""
    with store.writing(office.shop_folder) as writer:
        every = records.read_records(office.shop_folder)
        standing = records.standing(every.filed)
        wanted = record.partition("-")[0]
        found = next((item for item in standing if wanted.isdigit() and item.record.seq == int(wanted)), None)
        if found is None:
            known = [item.record.name for item in standing]
            message = t("There is no record '{record}' that still counts.", record=record)
            return Entered(problems=(wrong("withdraw", "record", message, did_you_mean(record, known)),))
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


def join_ends(office: Office, *, why: str) -> Entered:
    """Settle what `packet records check` found, on the record: join the ends of a fork, accept an edit or a loss as it is."""
    with store.writing(office.shop_folder) as writer:
        troubles = [item for item in check_records(office.shop_folder) if not item.settled]
        if not troubles:
            return Entered(
                problems=(wrong("records", "check", t("The records are in order: there is nothing to settle.")),)
            )
        unreadable = [item for item in troubles if item.kind == "unreadable"]
        if unreadable:
            message = t(
                "{file} is no record: restore it from a copy or take it out of the folder first.",
                file=unreadable[0].file,
            )
            return Entered(problems=(wrong("records", "check", message),))
        if not why.strip():
            return Entered(problems=(wrong("records", "why", t("The reason is missing.")),))
        filed = records.read_records(office.shop_folder).filed
        body: Body = {"reason": typed.text(why), "filed_at": office.filed_at.isoformat(timespec="seconds")}
        body["found"] = [f"{item.file}: {item.message}" for item in troubles]
        accepts = [item.found_digest for item in filed if not item.sound]
        if accepts:
            body["accepts"] = accepts
        return Entered(writer.merge(body))
