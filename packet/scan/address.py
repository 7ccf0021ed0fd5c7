"""Whose page is it: the address in a code, taken at its word only when it is exactly one of ours."""

import re
from collections.abc import Iterable
from dataclasses import dataclass, field
from pathlib import Path

from packet.press.addresses import carried, noted
from packet.press.code import Stamp, best_mask
from packet.press.printed import print_files
from packet.scan.model import Address, ProblemKind
from packet.shop.addresses import job_of

# Addresses and revisions are what the printed files' names are made of; digits are ASCII ones, without leading zeros.
_TAIL = re.compile(r"(?P<record>[^/?#&=\s]+)/\?p=(?P<page>[1-9][0-9]{0,3})&r=(?P<revision>[A-Z2-7]{8})")
# All pages of a print share the data mask of its first.
_PAGE = re.compile(r"\?p=[0-9]+&")


@dataclass(frozen=True, slots=True)
class Refused:
    """Why an address is none of ours."""

    kind: ProblemKind
    detail: str


@dataclass(frozen=True, slots=True)
class PrintedNames:
    """Which revisions of which jobs were ever printed: known from the names of the printed files alone.

    noted: the addresses that a job's codes carry, where they are not the job's id alone.
    """

    records_url: str
    revisions: dict[str, frozenset[str]]
    noted: dict[str, frozenset[str]] = field(default_factory=dict)

    def records(self, job: str) -> frozenset[str]:
        """The addresses that a job's codes carry."""
        return carried(self.noted, job)


def printed_names(records_url: str, printed_folder: Path) -> PrintedNames:
    """Every print of the folder; an absent folder is no prints."""
    found = {job: frozenset(file.revision for file in files) for job, files in print_files(printed_folder).items()}
    return PrintedNames(records_url.rstrip("/"), found, noted(printed_folder))


def parse(text: str, names: PrintedNames) -> Address | Refused:
    """The address a code carries, or why it is refused.

    The whole text must be what the press prints, character by character: the shop's own records address, a job that
    was printed with that very address, a revision of that job that was printed. Whether the print has such a page is asked of the print.
    """
    head = names.records_url + "/"
    match = _TAIL.fullmatch(text[len(head) :]) if text.startswith(head) else None
    if match is None:
        return Refused("foreign-code", text)
    address = Address(job_of(match["record"]), int(match["page"]), match["revision"])
    if address.job not in names.revisions:
        return Refused("unknown-job", address.job)
    if match["record"] not in names.records(address.job):
        return Refused("foreign-code", text)
    if address.revision not in names.revisions[address.job]:
        return Refused("unknown-revision", f"{address.job} {address.revision}")
    return address


def address_texts(address: Address, names: PrintedNames) -> tuple[str, ...]:
    """What the press prints for an address: one text, or one for each address that the job's codes carry."""
    return tuple(
        Stamp(names.records_url, record, address.revision, "letter").address(address.page)
        for record in sorted(names.records(address.job))
    )


def mask_of_print(text: str) -> int:
    """The data mask of the bottom codes of the print that a page's address belongs to."""
    return best_mask(_PAGE.sub("?p=1&", text))


def agreed(texts: Iterable[str], names: PrintedNames) -> Address | Refused | None:
    """The one address that the codes on a page agree on; None when there is no code at all.

    Another maker's label may be stuck on the page: codes of other addresses do not count beside one of ours. Two of
    ours that differ do not say whose page it is.
    """
    answers = [parse(text, names) for text in dict.fromkeys(texts)]
    ours = [answer for answer in answers if isinstance(answer, Address)]
    if len(ours) > 1:
        return Refused("two-codes", ", ".join(f"{item.job} p{item.page}" for item in ours))
    known = [answer for answer in answers if isinstance(answer, Refused) and answer.kind != "foreign-code"]
    if ours and known:
        return Refused("two-codes", f"{ours[0].job} p{ours[0].page}, {known[0].detail}")
    return next(iter([*ours, *known, *answers]), None)
