"""Whose page is it: the address in a code, taken at its word only when it is exactly one of ours."""

import re
from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path

from packet.press.code import Stamp, best_mask
from packet.press.printed import print_files
from packet.scan.model import Address, ProblemKind

# Job ids and revisions are what the printed files' names are made of; digits are ASCII ones, without leading zeros.
_TAIL = re.compile(r"(?P<job>[^/?#&=\s]+)/\?p=(?P<page>[1-9][0-9]{0,3})&r=(?P<revision>[A-Z2-7]{8})")


@dataclass(frozen=True, slots=True)
class Refused:
    """Why an address is none of ours."""

    kind: ProblemKind
    detail: str


@dataclass(frozen=True, slots=True)
class PrintedNames:
    """Which revisions of which jobs were ever printed: known from the names of the printed files alone."""

    records_url: str
    revisions: dict[str, frozenset[str]]


def printed_names(records_url: str, printed_folder: Path) -> PrintedNames:
    """Every print of the folder; an absent folder is no prints."""
    found = {job: frozenset(file.revision for file in files) for job, files in print_files(printed_folder).items()}
    return PrintedNames(records_url.rstrip("/"), found)


def parse(text: str, names: PrintedNames) -> Address | Refused:
    """The address a code carries, or why it is refused.

    The whole text must be what the press prints, character by character: the shop's own records address, a job that
    was printed, a revision of that job that was printed. Whether the print has such a page is asked of the print.
    """
    head = names.records_url + "/"
    match = _TAIL.fullmatch(text[len(head) :]) if text.startswith(head) else None
    if match is None:
        return Refused("foreign-code", text)
    address = Address(match["job"], int(match["page"]), match["revision"])
    if address.job not in names.revisions:
        return Refused("unknown-job", address.job)
    if address.revision not in names.revisions[address.job]:
        return Refused("unknown-revision", f"{address.job} {address.revision}")
    return address


def mask_of_print(address: Address, names: PrintedNames) -> int:
    """The data mask of the bottom codes of the print that an address belongs to."""
    return best_mask(address_text(Address(address.job, 1, address.revision), names))


def address_text(address: Address, names: PrintedNames) -> str:
    """What the press prints for an address."""
    return Stamp(names.records_url, address.job, address.revision, "letter").address(address.page)


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
