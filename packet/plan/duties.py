"""What the law asks to be recorded, told or kept, as the packet reminds of it; it does not decide."""

from datetime import date

from packet.findings import Finding, finding
from packet.plan.evacuation import is_small_appliance
from packet.plan.gas import Gas
from packet.shop.records import Job
from packet.words import t

HFC_RULE_FROM = date(2026, 1, 1)
LEAK_RATE_LB = 50.0
HFC_LEAK_LB = 15.0
HFC_LEAK_GWP = 53.0


def plan_duties(job: Job, gas: Gas) -> tuple[tuple[str, ...], tuple[Finding, ...]]:
    """Sentences for the Record sheet, and the notes.

    Sources: 40 CFR 82.156(a)(3) (secondary source); 82.154, 82.155, 82.157, 84.106 from memory. 82.157 covers
    ozone-depleting refrigerant; HFCs of 15 lb and more fall under 84.106 since 1 January 2026.
    """
    charge = job.appliance.charge_lb
    duties = [
        t(
            "Keep for three years: who recovered it, where, when, what type and how much from each appliance"
            " (40 CFR 82.156(a)(3))."
        )
    ]
    if job.work.reason == "disposal" and 5.0 < charge < LEAK_RATE_LB:
        duties.append(
            t(
                "Opened for disposal, more than 5 and less than 50 lb: the amount counts in this month's total by type,"
                " and what is sent for reclaim or destruction is recorded (40 CFR 82.156(a)(3))."
            )
        )
    duties.append(
        t(
            "Recovered gas may go back only to equipment of the same owner; else it is reclaimed or destroyed: write"
            " down which (40 CFR 82.154, from memory)."
        )
    )
    if job.work.reason == "disposal" and is_small_appliance(job):
        duties.append(
            t(
                "Scrapped small appliance: the final disposer keeps the signed statement that the refrigerant was"
                " recovered, with name, address and date (40 CFR 82.155, from memory)."
            )
        )
    found = []
    ozone = gas.refrigerant is None or gas.refrigerant.ozone_depleting
    if charge >= LEAK_RATE_LB and ozone:
        duties.append(
            t("50 lb or more: give the owner the amounts for the leak-rate calculation (40 CFR 82.157, from memory).")
        )
        found.append(
            finding("leak-rate-duty", source="40 CFR 82.157, from memory", where=job.appliance.where("charge_lb"))
        )
    if _hfc_duty(job, gas):
        duties.append(
            t(
                "15 lb or more of an HFC above GWP 53: give the owner the amounts for leak-rate and repair records"
                " (40 CFR 84.106, from memory)."
            )
        )
        found.append(
            finding("hfc-leak-duty", source="40 CFR 84.106, from memory", where=job.appliance.where("charge_lb"))
        )
    return tuple(duties), tuple(found)


def _hfc_duty(job: Job, gas: Gas) -> bool:
    refrigerant = gas.refrigerant
    if job.appliance.charge_lb < HFC_LEAK_LB or job.date < HFC_RULE_FROM:
        return False
    return refrigerant is None or (refrigerant.hfc and refrigerant.gwp100 > HFC_LEAK_GWP)
