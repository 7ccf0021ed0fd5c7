"""Whether a cylinder may take a refrigerant: pressure, requalification, kind. Gauge pressures from 14.696 psia."""

import calendar
from datetime import date

from packet.words import N_
from packet.worked import Worked, given

SOURCE_PRESSURE = N_("49 CFR 173.304a(c); 173.301a(c), (d) (paragraph letters from memory)")
SOURCE_TEST = N_("49 CFR 180.209 table 1; five years for recovered gas, from memory")
SOURCE_REFILL = N_("49 CFR 178.65, from memory")
SOURCE_FLAMMABLE = N_("common practice, no source")
SOURCE_CONTENTS = N_("common practice, no source: refrigerants are never mixed")

REQUALIFIED_EVERY_YEARS = 5

SOURCE_PACKAGING = N_("49 CFR 173.304a table 1")
# Least service pressure, psig, of the packagings that 49 CFR 173.304a table 1 names for a gas. They are allowed even
# where 5/4 of their service pressure is a hair below the pressure at 131 °F.
LISTED_PACKAGING_PSIG: dict[str, float] = {
    "R-12": 225.0,
    "R-22": 240.0,
    "R-115": 225.0,
    "R-142b": 225.0,
    "R-152a": 225.0,
    "R-500": 240.0,
}
# of a Class 2 gas that the table does not name
UNLISTED_PACKAGING_PSIG = 240.0


def allowed_at_131F_psig(service_psig: Worked) -> Worked:
    """The most a cylinder's contents may reach at 131 °F: 5/4 of the service pressure. Source: 49 CFR 173.301a."""
    return Worked(
        1.25 * service_psig.value,
        "psig",
        N_("pressure at 131 °F may not exceed 5/4 of the service pressure"),
        SOURCE_PRESSURE,
        "5 ÷ 4 × {service_pressure}",
        (("service_pressure", service_psig),),
        places=1,
    )


def needed_service_psig(at_131F_psig: float, at_70F_psig: float, least_psig: float) -> float:
    """The least service pressure, psig, that both pressure rules and the packaging allow. Source: 49 CFR 173.301a."""
    return max(at_131F_psig / 1.25, at_70F_psig, least_psig)


def least_packaging_psig(refrigerant: str | None, hazard_class: str | None) -> float:
    """The least service pressure, psig, of a packaging for this gas; 0 for what is no Class 2 gas.

    refrigerant: its designation, None when nobody has identified it: it counts as a gas of Class 2 that is not named.
    Source: 49 CFR 173.304a table 1.
    """
    if refrigerant is None:
        return UNLISTED_PACKAGING_PSIG
    if refrigerant in LISTED_PACKAGING_PSIG:
        return LISTED_PACKAGING_PSIG[refrigerant]
    return UNLISTED_PACKAGING_PSIG if hazard_class is not None else 0.0


def listed_packaging_allows(refrigerant: str, service_psig: float) -> bool:
    """Whether 49 CFR 173.304a table 1 names this packaging for this gas, so that 5/4 may be passed by a hair."""
    least = LISTED_PACKAGING_PSIG.get(refrigerant)
    return least is not None and service_psig >= least


def requalify_by(year: int, month: int) -> date:
    """The last day on which a cylinder tested (or, new, made) in that month may be filled.

    Source: 49 CFR 180.209 table 1: every five years; recovered gas is not 'commercially free of corroding
    components', so the longer periods are not taken (from memory).
    """
    due = year + REQUALIFIED_EVERY_YEARS
    return date(due, month, calendar.monthrange(due, month)[1])


def stop_and_cool_psig(service_psig: Worked, expected_hottest_psig: Worked, margin_psi: Worked) -> Worked:
    """The pressure at which to stop and cool a cylinder, psig at the site.

    Its service pressure, or where it stands at the hottest temperature plus a margin, whichever comes first.
    Source: common practice, no source; machines cut out near 550 psig, far above a cylinder's service pressure.
    """
    return Worked(
        min(service_psig.value, expected_hottest_psig.value + margin_psi.value),
        "psig",
        N_("stop and cool at the service pressure, or a margin above where it stands at its hottest"),
        N_("common practice, no source"),
        "smallest of ({service_pressure}, {at_hottest} + {margin})",
        (("service_pressure", service_psig), ("at_hottest", expected_hottest_psig), ("margin", margin_psi)),
        places=0,
    )


def typed_service_psig(service_psig: float, stamp: str) -> Worked:
    """A service pressure as stamped."""
    return given(service_psig, "psig", stamp, places=1)
