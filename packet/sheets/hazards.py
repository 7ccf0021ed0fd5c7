"""What to see to before anything is connected, and what to wear: by what the job is. Sentences for front and load sheet.

A line stands here only where it does not hold on every job: a box that is always true teaches people to initial
anything. Common practice, no published source, unless one stands beside the line; the sheet defers to the safety data
sheet.
"""

from packet.plan.model import Plan
from packet.sheets.show import refrigerant_name
from packet.words import t

INSIDE = frozenset({"basement", "machinery-room", "indoors"})


def before_connecting(plan: Plan) -> tuple[tuple[str, str], ...]:
    """(key, sentence) of each line to initial on this job, most critical first; empty where nothing is special."""
    job, gas = plan.job, plan.refrigerant
    flammable = gas.flammable if gas else plan.mixed_or_unknown
    toxic = gas.toxic if gas else plan.mixed_or_unknown
    held = (
        ("identity", plan.mixed_or_unknown, t("Refrigerant not identified: handle it as flammable and toxic, and trust no table of pressures.")),
        ("analysis", gas is not None and gas.own, t("The analysis and pressure against temperature both say {refrigerant}; its parts' safety data sheets are here.", refrigerant=refrigerant_name(plan))),
        ("flammable", flammable, t("Flammable: no flame, switch or spark near; fan and detector on; machine, hoses, pump and cylinder rated for it; left-hand threads where fitted.")),
        ("toxic", toxic, t("Toxic: respirator as the safety data sheet says, a second person outside, detector on.")),
        ("air", job.site.space in INSIDE, t("Indoors, refrigerant pushes out air: fan and detector on before a valve is opened; leave at the alarm.")),
        ("permit", job.site.permit_space, t("Permit space: permit signed, oxygen between 19.5 % and 23.5 % measured, attendant outside (29 CFR 1910.146).")),
        ("edge", job.site.roof_edge, t("Roof edge: guard, line or warning in place; nothing carried up by hand.")),
        ("ladder", job.site.ladder, t("Ladder tied and footed; cylinder and machine go up by rope or hoist.")),
        ("acid", job.work.burnout, t("Burnout: oil and vapor are acid. Acid-proof gloves and face shield; a cylinder of its own; oil goes as waste.")),
        ("torch", job.work.torch, t("Torch only after the nitrogen sweep, with an extinguisher and a fire watch. Hot refrigerant turns to acid gas: at a sharp smell, out.")),
    )  # fmt: skip
    return tuple((key, words) for key, holds, words in held if holds)


def aboard(plan: Plan) -> tuple[str, ...]:
    """What to wear, read and have at hand beyond what the hookup's own list takes along."""
    job, gas = plan.job, plan.refrigerant
    items = [
        t("Safety glasses, long sleeves, safety shoes"),
        t("First-aid kit with eye wash"),
        t("Data sheet, makers' instructions"),
    ]
    if (gas and gas.flammable) or job.work.torch or plan.mixed_or_unknown:
        items.append(t("Fire extinguisher"))
    if (gas and gas.toxic) or plan.mixed_or_unknown:
        items.append(t("Respirator that the data sheet names"))
    if job.site.permit_space:
        items.append(t("Entry permit"))
    if job.site.space in INSIDE:
        items.append(t("Fan with duct"))
    return tuple(items)


def first_aid() -> tuple[tuple[str, str], ...]:
    """(what, do) for the minutes before help comes: the usual wording of safety data sheets; common practice."""
    return (
        (t("Frostbite"), t("lukewarm water, do not rub; see a doctor")),
        (t("Eyes"), t("rinse with water for 15 minutes, lids held open; see a doctor")),
        (t("Breathed in"), t("fresh air, lie down, keep watch; tell the doctor which refrigerant")),
    )
