"""In which language a job's packet is read: the job's own, else its technician's, else the shop's."""

from dataclasses import dataclass

from packet.plan.model import Plan

# cylinders travel among people whom nobody chose: their tags are in English (49 CFR 172.304(a) asks it of markings; from memory)
TRANSPORT = "en"


@dataclass(frozen=True, slots=True)
class Reading:
    """Languages of a packet. also: the second one, in which holds, strips and cautions stand as well; '' for none."""

    language: str
    also: str = ""


def reading_of(plan: Plan) -> Reading:
    """The packet's languages: of job, technician and shop, the nearest that says so wins.

    Two languages are printed where the nearest `languages` names two; a single language that stands nearer than they and
    is none of them is printed alone.
    """
    near = [item for item in (plan.job, plan.technician, plan.registers.shop) if item is not None]
    own = next(place for place, item in enumerate(near) if item.language)
    named = next((place for place, item in enumerate(near) if item.languages), None)
    language = str(near[own].language)
    if named is None:
        return Reading(language)
    pair = near[named].languages
    if language not in pair:
        if own < named:
            return Reading(language)
        language = pair[0]
    return Reading(language, next((other for other in pair if other != language), ""))
