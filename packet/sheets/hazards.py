"""What to see to before anything is joined, and what to wear: by what the job is. Sentences for the front sheet.

Common practice, no published source, unless one stands beside the line; the sheet defers to the safety data sheet.
"""

from packet.plan.model import Plan
from packet.sheets.show import refrigerant_name
from packet.words import t

INSIDE = frozenset({"basement", "machinery-room", "indoors"})


def before_joining(plan: Plan) -> tuple[tuple[str, str], ...]:
    """(key, sentence) of each line to initial on this job, most critical first."""
    job, gas = plan.job, plan.refrigerant
    flammable = gas.flammable if gas else plan.mixed_or_unknown
    toxic = gas.toxic if gas else plan.mixed_or_unknown
    inside = job.site.space in INSIDE
    identity = t(
        "Plate and pressure against temperature both say {refrigerant}; the safety data sheet is here.",
        refrigerant=refrigerant_name(plan),
    )
    if gas is not None and gas.own:
        identity = t(
            "The analysis and pressure against temperature both say {refrigerant}; its parts' safety data sheets are here.",
            refrigerant=gas.name,
        )
    if plan.mixed_or_unknown:
        identity = t("The gas is not identified: handle it as flammable and toxic, and trust no table of pressures.")
    lines = [
        ("identity", identity),
        (
            "cylinders",
            t(
                "The cylinders here are the ones listed overleaf: no dent, rust or bulge; valve, relief device and test date good."
            ),
        ),
    ]
    if flammable:
        lines.append(
            (
                "flammable",
                t(
                    "Flammable: no flame, switch or spark near; fan and detector on; machine, hoses and cylinder rated for it; left-hand threads where fitted."
                ),
            )
        )
    if toxic:
        lines.append(
            ("toxic", t("Toxic: respirator as the safety data sheet says, a second person outside, detector on."))
        )
    if inside:
        lines.append(
            ("air", t("Refrigerant pushes out air: fan and detector on before a valve is opened; leave at the alarm."))
        )
    if job.site.permit_space:
        lines.append(
            (
                "permit",
                t(
                    "Permit space: permit signed, oxygen between 19.5 % and 23.5 % measured, attendant outside (29 CFR 1910.146)."
                ),
            )
        )
    if job.site.roof_edge:
        lines.append(("edge", t("Roof edge: guard, line or warning in place; nothing carried up by hand.")))
    if job.site.ladder:
        lines.append(("ladder", t("Ladder tied and footed; cylinder and machine go up by rope or hoist.")))
    if job.work.burnout:
        lines.append(
            (
                "acid",
                t(
                    "Burnout: oil and vapor are acid. Acid-proof gloves and face shield; a cylinder of its own; oil goes as waste."
                ),
            )
        )
    if job.work.torch:
        lines.append(
            (
                "torch",
                t(
                    "Torch only after the nitrogen sweep, with an extinguisher and a fire watch. Hot refrigerant turns to acid gas: at a sharp smell, out."
                ),
            )
        )
    else:
        lines.append(
            (
                "heat",
                t(
                    "No flame or hot surface near refrigerant: it breaks down to acid gas. Nobody stands in line with a relief device."
                ),
            )
        )
    return tuple(lines)


def aboard(plan: Plan) -> tuple[str, ...]:
    """What to wear, read and have at hand beyond what the hookup's own list takes along."""
    job, gas = plan.job, plan.refrigerant
    items = [
        t("Safety glasses, long sleeves, safety shoes"),
        t("First-aid kit with eye wash"),
        t("Safety data sheet, makers' instructions"),
    ]
    if (gas and gas.flammable) or job.work.torch or plan.mixed_or_unknown:
        items.append(t("Fire extinguisher"))
    if (gas and gas.toxic) or plan.mixed_or_unknown:
        items.append(t("Respirator as the safety data sheet says"))
    if job.site.permit_space:
        items.append(t("Entry permit"))
    if job.site.space in INSIDE:
        items.append(t("Fan with duct"))
    return tuple(items)


def first_aid() -> tuple[tuple[str, str], ...]:
    """(what, do) for the minutes before help comes; from safety data sheets' usual wording, from memory."""
    return (
        (t("Frostbite"), t("lukewarm water, do not rub; see a doctor")),
        (t("Eyes"), t("rinse with water for 15 minutes, lids held open; see a doctor")),
        (t("Breathed in"), t("fresh air, lie down, keep watch; tell the doctor which refrigerant")),
    )
