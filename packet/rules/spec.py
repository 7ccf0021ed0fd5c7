"""Reading a cylinder's stamped specification: DOT-4BA400, TC-4BWM28, DOT-39."""

import re
from dataclasses import dataclass

from packet.units import PA_PER_BAR, PA_PER_PSI

_STAMP = re.compile(
    r"^(?P<agency>DOT|ICC|CTC|TC)?[-\s]*(?P<family>39|3AAX|3AA|3AL|3A|3BN|3B|3E|3HT|4BA|4BW|4B|4AA|4D|4E|41)"
    r"(?P<metric>M)?(?P<welded>ET)?[-\s]*(?P<service>\d{2,4})?",
    re.IGNORECASE,
)


@dataclass(frozen=True, slots=True)
class Spec:
    """A specification. family: '4BA'. service_psig: None where none is stamped. refillable: False for DOT-39."""

    family: str
    service_psig: float | None
    refillable: bool


def read_spec(stamp: str) -> Spec | None:
    """The specification that `stamp` names, or None when it is not one that we can read.

    Service pressure is the number behind the family: psig (DOT, ICC), or bar where the family ends in M (TC-4BAM28).
    Source: 49 CFR 178 subpart C, marking of cylinders; non-refillable: 178.65 (from memory).
    """
    match = _STAMP.match(stamp.strip().replace("–", "-"))
    if match is None:
        return None
    number = match["service"]
    service = float(number) if number else None
    if service is not None and match["metric"]:
        service = service * PA_PER_BAR / PA_PER_PSI
    family = match["family"].upper()
    return Spec(family, service, refillable=family != "39")
