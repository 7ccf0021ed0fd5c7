"""Where a job's record page lies below `records_url`, and what may stand there.

A job's id is easily guessed from the one before it. `records_secret` puts letters behind it that only who knows the
secret can work out; they stay the same for as long as the secret does.
"""

import base64
import hmac
from hashlib import sha256

from packet.shop.checks import SUFFIX_LETTERS, SUFFIX_MARK
from packet.shop.records import Shop, Shown

# What names neither a person nor a place. Amounts, gas, full charge: 40 CFR 82.156(a)(3), 82.157(l)(2); 84.106, from memory.
NAMES_NOBODY: frozenset[Shown] = frozenset({"numbers", "readings"})
# What the same records say besides: which appliance, where it stands, who did the work.
ON_THE_RECORD: frozenset[Shown] = NAMES_NOBODY | {"location", "technician", "appliance"}


def record_address(shop: Shop, job: str) -> str:
    """The last part of the address of a job's record: the job, and with a secret '~' and twelve base32 letters.

    The letters are the first 60 bits of the HMAC-SHA256 (RFC 2104) of the id.
    """
    if shop.records_secret is None:
        return job
    key = shop.records_secret.get_secret_value().encode()
    made = hmac.new(key, job.encode(), sha256).digest()
    return f"{job}{SUFFIX_MARK}{base64.b32encode(made).decode()[:SUFFIX_LETTERS]}"


def job_of(address: str) -> str:
    """The job of a record's address; no id has the mark in it."""
    return address.partition(SUFFIX_MARK)[0]


def can_be_guessed(address: str) -> bool:
    """Whether an address is a job's id and nothing else."""
    return SUFFIX_MARK not in address


def chosen(shop: Shop) -> frozenset[Shown]:
    """What stands on the pages: the shop's own choice, else what the law's records hold, as far as it is safe there."""
    if shop.records_show is not None:
        return frozenset(shop.records_show)
    return NAMES_NOBODY if shop.records_secret is None else ON_THE_RECORD


def shown(shop: Shop, address: str) -> frozenset[Shown]:
    """What stands on the page at an address.

    Once the shop has a secret, a page at an address from the time before it names nobody, whatever was chosen.
    """
    before_the_secret = shop.records_secret is not None and can_be_guessed(address)
    return chosen(shop) & NAMES_NOBODY if before_the_secret else chosen(shop)
