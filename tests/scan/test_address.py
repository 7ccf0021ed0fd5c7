"""A page goes to a job only when its code says exactly what the press printed for that job."""

from pathlib import Path

import pytest

from packet.press.code import Stamp
from packet.scan.address import PrintedNames, Refused, address_texts, agreed, parse, printed_names
from packet.scan.model import Address
from tests.scan import paper

URL = "https://records.example.com/jobs"
NAMES = PrintedNames(URL, {"HP-1041": frozenset({"ABCDEFG2", "QRSTUVW3"}), "HP-104": frozenset({"ABCDEFG2"})})


def test_the_presses_own_address_is_read_back() -> None:
    text = Stamp(URL + "/", "HP-1041", "QRSTUVW3", "letter").address(12)
    assert parse(text, NAMES) == Address("HP-1041", 12, "QRSTUVW3")
    assert address_texts(Address("HP-1041", 12, "QRSTUVW3"), NAMES) == (text,)


SECRETLY = PrintedNames(
    URL,
    {"HP-1041": frozenset({"ABCDEFG2"}), "HP-7": frozenset({"ABCDEFG2"})},
    {"HP-1041": frozenset({"HP-1041", "HP-1041~AAAABBBBCCCC"}), "HP-7": frozenset({"HP-7~DDDDEEEEFFFF"})},
)


@pytest.mark.parametrize(
    ("record", "known"),
    [
        ("HP-1041", True),  # printed before the shop had a secret
        ("HP-1041~AAAABBBBCCCC", True),
        ("HP-7~DDDDEEEEFFFF", True),
        ("HP-7", False),  # never printed so
        ("HP-7~AAAABBBBCCCC", False),
        ("HP-1041~DDDDEEEEFFFF", False),
        ("HP-1041~", False),
        ("HP-1041~AAAABBBBCCCC~", False),
        ("HP-1041~aaaabbbbcccc", False),
    ],
)
def test_with_a_secret_only_addresses_that_were_printed_are_ours(record: str, known: bool) -> None:
    found = parse(f"{URL}/{record}/?p=3&r=ABCDEFG2", SECRETLY)
    if known:
        assert found == Address(record.partition("~")[0], 3, "ABCDEFG2")
    else:
        assert isinstance(found, Refused)
        assert found.kind == "foreign-code"


def test_a_damaged_code_is_held_against_every_address_that_was_printed() -> None:
    assert address_texts(Address("HP-1041", 2, "ABCDEFG2"), SECRETLY) == (
        f"{URL}/HP-1041/?p=2&r=ABCDEFG2",
        f"{URL}/HP-1041~AAAABBBBCCCC/?p=2&r=ABCDEFG2",
    )


@pytest.mark.parametrize(
    ("text", "kind"),
    [
        (f"{URL}/HP-1041/?p=1&r=ABCDEFG2x", "foreign-code"),
        (f"{URL}/HP-1041/?p=1&r=ABCDEFG", "foreign-code"),
        (f"{URL}/HP-1041/?p=0&r=ABCDEFG2", "foreign-code"),
        (f"{URL}/HP-1041/?p=01&r=ABCDEFG2", "foreign-code"),
        (f"{URL}/HP-1041/?p=١&r=ABCDEFG2", "foreign-code"),
        (f"{URL}/HP-1041/?p=1&r=abcdefg2", "foreign-code"),
        (f"{URL}/HP-1041?p=1&r=ABCDEFG2", "foreign-code"),
        (f"{URL}/HP-1041/?p=1&r=ABCDEFG2&r=QRSTUVW3", "foreign-code"),
        (f"{URL}/x/HP-1041/?p=1&r=ABCDEFG2", "foreign-code"),
        (f"{URL}//?p=1&r=ABCDEFG2", "foreign-code"),
        (" " + f"{URL}/HP-1041/?p=1&r=ABCDEFG2", "foreign-code"),
        (f"{URL}/HP-1041/?p=1&r=ABCDEFG2\n", "foreign-code"),
        ("https://records.example.com/jobsHP-1041/?p=1&r=ABCDEFG2", "foreign-code"),
        ("https://records.example.org/jobs/HP-1041/?p=1&r=ABCDEFG2", "foreign-code"),
        ("http://records.example.com/jobs/HP-1041/?p=1&r=ABCDEFG2", "foreign-code"),
        (f"{URL}/HP-9999/?p=1&r=ABCDEFG2", "unknown-job"),
        (f"{URL}/HP-104/?p=1&r=QRSTUVW3", "unknown-revision"),
        ("", "foreign-code"),
    ],
)
def test_anything_else_is_refused_and_says_why(text: str, kind: str) -> None:
    refused = parse(text, NAMES)
    assert isinstance(refused, Refused)
    assert refused.kind == kind


def test_codes_on_one_page_must_agree() -> None:
    ours, other = f"{URL}/HP-1041/?p=1&r=ABCDEFG2", f"{URL}/HP-1041/?p=2&r=ABCDEFG2"
    unknown, label = f"{URL}/HP-7/?p=1&r=ABCDEFG2", "SERIAL 12345"
    assert agreed([], NAMES) is None
    assert agreed([ours, ours, label], NAMES) == Address("HP-1041", 1, "ABCDEFG2")
    for pair in ([ours, other], [ours, unknown]):
        refused = agreed(pair, NAMES)
        assert isinstance(refused, Refused)
        assert refused.kind == "two-codes"
    refused = agreed([label, unknown], NAMES)
    assert isinstance(refused, Refused)
    assert refused.kind == "unknown-job"


def test_names_come_from_what_the_press_wrote(tmp_path: Path) -> None:
    paper.print_job(tmp_path, "HP-1041", "ABCDEFG2")
    paper.print_job(tmp_path, "HP-1041", "QRSTUVW3", replaces="ABCDEFG2")
    paper.print_job(tmp_path, "HP-1041", "ABCDEFG2", replaces="QRSTUVW3")  # back again: gets a number
    paper.print_job(tmp_path, "A.B-7", "MNOPQRS4")
    names = printed_names(URL + "/", tmp_path / "printed")
    assert names == PrintedNames(
        URL, {"HP-1041": frozenset({"ABCDEFG2", "QRSTUVW3"}), "A.B-7": frozenset({"MNOPQRS4"})}
    )
    assert printed_names(URL, tmp_path / "nothing").revisions == {}
