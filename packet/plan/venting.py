"""Whether the law exempts this gas in this use from recovery, and what is asked where the use could decide."""

from packet.findings import Finding, finding
from packet.plan.gas import Gas
from packet.rules import venting
from packet.shop.records import Job


def is_exempt(job: Job, gas: Gas) -> bool:
    """Whether venting is exempt (40 CFR 82.154(a)(1)); never for a gas that nobody has identified."""
    appliance = job.appliance
    return gas.refrigerant is not None and venting.venting_is_exempt(
        gas.refrigerant.name, appliance.kind, appliance.use, appliance.factory_sealed
    )


def venting_findings(job: Job, gas: Gas) -> tuple[Finding, ...]:
    """A note that recovering is policy where venting is exempt; one that asks for the use where it would decide."""
    appliance, refrigerant = job.appliance, gas.refrigerant
    if refrigerant is None:
        return ()
    where = appliance.where("refrigerant")
    if is_exempt(job, gas):
        return (finding("policy-not-law", source=venting.SOURCE, where=where, refrigerant=gas.called),)
    if venting.use_would_decide(refrigerant.name, appliance.kind, appliance.use, appliance.factory_sealed):
        return (finding("use-not-given", source=venting.SOURCE, where=appliance.where("use"), refrigerant=gas.called),)
    return ()
