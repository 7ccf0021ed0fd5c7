"""Gauge pressures at the site."""

from packet.words import N_
from packet.worked import Worked


def site_gauge(psia: Worked, barometer_psia: Worked) -> Worked:
    """Gauge pressure at the site, psig against its own barometer; below 0 is a vacuum."""
    return Worked(
        psia.value - barometer_psia.value,
        "psig",
        N_("gauge pressure at the site: absolute less barometer"),
        N_("definition of gauge pressure"),
        "{pressure} − {barometer}",
        (("pressure", psia), ("barometer", barometer_psia)),
        places=2,
        estimate_percent=psia.estimate_percent,
    )
