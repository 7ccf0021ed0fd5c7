"""What the law asks to be recorded, told or kept, as the packet reminds of it; it does not decide."""

from packet.findings import Finding, finding
from packet.plan.evacuation import is_small_appliance
from packet.plan.gas import Gas
from packet.plan.venting import is_exempt, venting_findings
from packet.refrigerant.catalogue import Refrigerant, find
from packet.rules.duties import DISPOSAL_ABOVE_LB, DUTIES, HFC_FROM_LB, LARGE_LB, SOURCES, Facts, owed
from packet.rules.venting import use_of
from packet.shop.records import Job
from packet.statements import Amount, Param, Statement, statement

_ABOVE, _LARGE = Amount(DISPOSAL_ABOVE_LB, "rule-weight"), Amount(LARGE_LB, "rule-weight")
_PARAMS: dict[str, dict[str, Param]] = {
    "disposal-record": {"above": _ABOVE, "below": _LARGE},
    "service-record": {"large": _LARGE},
    "hfc-leak-repair": {"large": Amount(HFC_FROM_LB, "rule-weight")},
}
_CONDITIONS: dict[str, dict[str, Param]] = {
    "if-above-5-lb": {"weight": _ABOVE},
    "if-below-50-lb": {"weight": _LARGE},
    "if-50-lb": {"weight": _LARGE},
    "if-15-lb": {"weight": Amount(HFC_FROM_LB, "rule-weight")},
}
# the owner's own duties and rights; the others are the technician's
FOR_THE_OWNER = frozenset({"service-record", "hfc-leak-repair", "same-owner-reuse", "sale-ban"})
_NOTES = {"service-record": "leak-rate-duty", "hfc-leak-repair": "hfc-leak-duty"}


def facts_of(job: Job, gas: Gas) -> Facts:
    """What the duties ask of a job; an unknown gas may be anything."""
    appliance, refrigerant = job.appliance, gas.refrigerant
    return Facts(
        on=job.date,
        reason=job.work.reason,
        charge_lb=appliance.charge_lb,
        kind=appliance.kind,
        use=use_of(appliance.kind, appliance.use, appliance.factory_sealed),
        small=is_small_appliance(job),
        exempt=is_exempt(job, gas),
        ozone_depleting=refrigerant is None or refrigerant.ozone_depleting,
        only_ozone_depleting=refrigerant is not None and not _substitutes(refrigerant),
        hfc=refrigerant is None or refrigerant.hfc,
        substitute_gwp=None if refrigerant is None else _substitute_gwp(refrigerant),
        disposition=job.work.disposition,
    )


def _substitutes(refrigerant: Refrigerant) -> tuple[Refrigerant, ...]:
    parts = (find(name) for name, _ in refrigerant.composition)
    return tuple(part for part in parts if not part.ozone_depleting)


def _substitute_gwp(refrigerant: Refrigerant) -> float:
    """The refrigerant's own potential; where it holds an ozone-depleting part, the strongest of the other parts."""
    if not refrigerant.ozone_depleting:
        return refrigerant.gwp100
    return max((part.gwp100 for part in _substitutes(refrigerant)), default=0.0)


def plan_duties(job: Job, gas: Gas) -> tuple[tuple[Statement, ...], tuple[Finding, ...]]:
    """The duties that this job is owed, each a statement under the duty's code, and the notes."""
    facts = facts_of(job, gas)
    codes = [code for code, duty in DUTIES.items() if owed(duty(facts))]
    duties = (statement("keep-three-years"), *(statement(code, **_PARAMS.get(code, {})) for code in codes))
    notes = tuple(
        finding(_NOTES[code], source=SOURCES[code], where=job.appliance.where("charge_lb"))
        for code in codes
        if code in _NOTES
    )
    return duties, (*notes, *venting_findings(job, gas))


def for_the_owner(duties: tuple[Statement, ...]) -> tuple[Statement, ...]:
    """Those of a plan's duties that are the owner's to know."""
    return tuple(item for item in duties if item.code in FOR_THE_OWNER)


def for_the_record(duties: tuple[Statement, ...]) -> tuple[Statement, ...]:
    """Those of a plan's duties that are the technician's or the shop's."""
    return tuple(item for item in duties if item.code not in FOR_THE_OWNER)


def why_duty(job: Job, gas: Gas, code: str) -> tuple[tuple[Statement, bool], ...]:
    """Each condition of a duty and whether this job meets it. Raises KeyError for a code that is no duty."""
    conditions = DUTIES[code](facts_of(job, gas))
    return tuple((statement(condition, **_CONDITIONS.get(condition, {})), met) for condition, met in conditions)
