"""Addresses of record pages: RFC 2104's HMAC over the id, worked out here a second way, and what a secret must not do."""

import base64
from datetime import date
from hashlib import sha256
from pathlib import Path

import pytest
from pydantic import SecretStr

from packet.shop.addresses import NAMES_NOBODY, ON_THE_RECORD, can_be_guessed, job_of, record_address, shown
from packet.shop.begin import begin_shop
from packet.shop.checks import LEAST_SECRET
from packet.shop.records import Shop

SECRET = "kq3-Vp0xZ9-tRm7uWd2-aLf8"
PLAIN = Shop(company="A", phone="555-0100", emergency_phone="555-0101", records_url="https://records.example")
SECRETLY = PLAIN.model_copy(update={"records_secret": SecretStr(SECRET)})


def by_hand(secret: str, job: str) -> str:
    """RFC 2104, section 2, from its two nested digests."""
    key = secret.encode().ljust(64, b"\0")
    inner = sha256(bytes(byte ^ 0x36 for byte in key) + job.encode()).digest()
    whole = sha256(bytes(byte ^ 0x5C for byte in key) + inner).digest()
    return base64.b32encode(whole).decode()[:12]


@pytest.mark.parametrize("job", ["HP-1041", "HP-1042", "A.B-7", "x"])
def test_the_letters_are_the_hmac_of_the_id(job: str) -> None:
    address = record_address(SECRETLY, job)
    assert address == f"{job}~{by_hand(SECRET, job)}"
    assert job_of(address) == job
    assert not can_be_guessed(address)


def test_without_a_secret_the_address_is_the_job() -> None:
    assert record_address(PLAIN, "HP-1041") == "HP-1041"
    assert job_of("HP-1041") == "HP-1041"
    assert can_be_guessed("HP-1041")


def test_another_secret_gives_another_address() -> None:
    other = PLAIN.model_copy(update={"records_secret": SecretStr(SECRET[::-1])})
    assert record_address(other, "HP-1041") != record_address(SECRETLY, "HP-1041")


def test_what_names_somebody_stands_only_where_nobody_can_guess_the_address() -> None:
    assert shown(PLAIN, "HP-1041") == NAMES_NOBODY
    assert shown(SECRETLY, record_address(SECRETLY, "HP-1041")) == ON_THE_RECORD
    assert shown(SECRETLY, "HP-1041") == NAMES_NOBODY


def test_the_shops_own_choice_counts_but_not_at_an_address_from_before_the_secret() -> None:
    chosen = {"records_show": ("access", "numbers")}
    address = record_address(SECRETLY, "HP-1041")
    assert shown(PLAIN.model_copy(update=chosen), "HP-1041") == {"access", "numbers"}
    assert shown(SECRETLY.model_copy(update=chosen), address) == {"access", "numbers"}
    assert shown(SECRETLY.model_copy(update=chosen), "HP-1041") == {"numbers"}
    assert shown(PLAIN.model_copy(update={"records_show": ()}), "HP-1041") == frozenset()


def test_a_shop_shown_by_accident_hides_its_secret() -> None:
    assert SECRET not in repr(SECRETLY)
    assert SECRET not in str(SECRETLY)
    assert SECRET not in str(SECRETLY.model_dump())


def test_every_new_shop_has_a_secret_of_its_own(tmp_path: Path) -> None:
    secrets = set()
    for name in ("one", "two"):
        begin_shop(tmp_path / name, date(2026, 11, 26))
        lines = (tmp_path / name / "shop.yaml").read_text("utf-8").splitlines()
        (line,) = [line for line in lines if line.startswith("records_secret: ")]
        secrets.add(line.split()[1])
    assert len(secrets) == 2
    assert min(len(secret) for secret in secrets) >= LEAST_SECRET
