"""What the law asks to be recorded, told or kept, as the packet reminds of it; it does not decide."""

from datetime import date

from packet.findings import Finding, finding
from packet.plan.evacuation import is_small_appliance
from packet.plan.gas import Gas
from packet.shop.records import Job
from packet.statements import Statement, statement

HFC_RULE_FROM = date(2026, 1, 1)
LEAK_RATE_LB = 50.0
HFC_LEAK_LB = 15.0
HFC_LEAK_GWP = 53.0


def plan_duties(job: Job, gas: Gas) -> tuple[tuple[Statement, ...], tuple[Finding, ...]]:
    """What the Record sheet says, and the notes.

    Sources: 40 CFR 82.156(a)(3) (secondary source); 82.154, 82.155, 82.157, 84.106 from memory. 82.157 covers
    ozone-depleting refrigerant; HFCs of 15 lb and more fall under 84.106 since 1 January 2026.
    """
    charge = job.appliance.charge_lb
    duties = [statement("keep-three-years")]
    if job.work.reason == "disposal" and 5.0 < charge < LEAK_RATE_LB:
        duties.append(statement("disposal-monthly-total"))
    duties.append(statement("same-owner-or-reclaim"))
    if job.work.reason == "disposal" and is_small_appliance(job):
        duties.append(statement("final-disposer"))
    found = []
    ozone = gas.refrigerant is None or gas.refrigerant.ozone_depleting
    if charge >= LEAK_RATE_LB and ozone:
        duties.append(statement("leak-rate-amounts"))
        found.append(
            finding("leak-rate-duty", source="40 CFR 82.157, from memory", where=job.appliance.where("charge_lb"))
        )
    if _hfc_duty(job, gas):
        duties.append(statement("hfc-amounts"))
        found.append(
            finding("hfc-leak-duty", source="40 CFR 84.106, from memory", where=job.appliance.where("charge_lb"))
        )
    return tuple(duties), tuple(found)


def _hfc_duty(job: Job, gas: Gas) -> bool:
    refrigerant = gas.refrigerant
    if job.appliance.charge_lb < HFC_LEAK_LB or job.date < HFC_RULE_FROM:
        return False
    return refrigerant is None or (refrigerant.hfc and refrigerant.gwp100 > HFC_LEAK_GWP)
