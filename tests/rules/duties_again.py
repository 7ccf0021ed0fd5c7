"""The duties of a job worked out a second way, from the rules' text and from lists of substances, not from our code.

Sources: class I and II substances, 40 CFR part 82 subpart A appendices A and B; regulated HFCs, 42 U.S.C. 7675(c)(1);
exempt uses, 40 CFR 82.154(a)(1); 82.152 (small appliance), 82.155, 82.156(a)(3), (h), 82.154(d), 82.157(a), 84.106(a).
Which other substitutes lie above 53 (perfluorocarbons) is IPCC AR4, from memory.
"""

import random
from datetime import date, timedelta
from typing import get_args

from packet.refrigerant.catalogue import everything, find
from packet.shop.records import ApplianceKind, Disposition, Job, Reason, Use
from tests.plan.builders import job

CLASS_I_OR_II = {"R-11", "R-12", "R-13", "R-13B1", "R-22", "R-113", "R-114", "R-115", "R-123", "R-124", "R-142b"}
REGULATED = {"R-23", "R-32", "R-125", "R-134a", "R-143a", "R-152a", "R-227ea", "R-236fa", "R-245fa"}
OTHERS_ABOVE_53 = {"R-116", "R-218"}

EXEMPT = {
    ("R-290", use)
    for use in [
        "retail-food",
        "household-refrigerator",
        "room-air-conditioner",
        "vending-machine",
        "ice-machine",
        "very-low-temperature",
        "water-cooler",
    ]
} | {("R-600a", use) for use in ("retail-food", "household-refrigerator", "vending-machine")}
BUILT_ON_SITE = {"split", "heat-pump", "walk-in", "rack", "chiller"}

NAMES = (*(item.name for item in everything() if not item.answer), "unknown", "mixed")
CHARGES = (0.3, 2.0, 5.0, 5.01, 14.99, 15.0, 20.0, 49.99, 50.0, 50.1, 300.0)
KINDS = get_args(ApplianceKind)
USES = (*get_args(Use), None, None)


def some_jobs(count: int, seed: int) -> list[Job]:
    """Jobs of every kind, use, gas, size, reason and disposition, the edges of each rule among them."""
    chance = random.Random(seed)
    return [
        job(
            chance.choice(NAMES),
            chance.choice(CHARGES),
            date=date(2025, 12, 25) + timedelta(days=chance.randrange(14)),
            appliance={
                "kind": chance.choice(KINDS),
                "use": chance.choice(USES),
                "factory_sealed": chance.random() < 0.5,
            },
            work={
                "reason": chance.choice(get_args(Reason)),
                "disposition": chance.choice(get_args(Disposition)),
            },
        )
        for _ in range(count)
    ]


def exempt_again(of: Job) -> bool:
    """Whether the law lets it be vented."""
    appliance = of.appliance
    use = appliance.use
    if use is None and appliance.factory_sealed:
        use = {"reach-in": "retail-food", "ice-machine": "ice-machine"}.get(appliance.kind)  # type: ignore[assignment]
    return appliance.kind not in BUILT_ON_SITE and (appliance.refrigerant, use) in EXEMPT


def duties_again(of: Job) -> set[str]:
    """The duties that a job is owed, by the text of the rules."""
    appliance, charge, disposition = of.appliance, of.appliance.charge_lb, of.work.disposition
    unknown = appliance.refrigerant in {"unknown", "mixed"}
    parts = set() if unknown else {name for name, _ in find(appliance.refrigerant).composition}
    owed = set()
    if not exempt_again(of):
        if disposition not in {"reclaim", "destruction"}:
            owed.add("same-owner-reuse")
        if disposition not in {"same-appliance", "destruction"}:
            owed.add("sale-ban")
        if of.work.reason == "disposal":
            if 5.0 < charge < 50.0:
                owed.add("disposal-record")
            if charge <= 5.0 and (appliance.factory_sealed or appliance.kind == "small-appliance"):
                owed.add("scrap-statement")
    if charge >= 50.0 and (unknown or parts & CLASS_I_OR_II):
        owed.add("service-record")
    comfort = appliance.kind != "chiller" and (
        appliance.use in {"comfort-cooling", "room-air-conditioner"}
        or (appliance.use is None and appliance.kind in {"split", "heat-pump", "packaged"})
    )
    covered = unknown or parts & (REGULATED | OTHERS_ABOVE_53)
    if of.date.year >= 2026 and charge >= 15.0 and covered and not comfort:
        owed.add("hfc-leak-repair")
    return owed
