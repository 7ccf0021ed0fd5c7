"""The leaf that is cut: tags for the cylinders, and the owner's half."""

from dataclasses import replace

from packet.plan.carrying import then_in
from packet.plan.duties import for_the_owner
from packet.plan.model import CylinderPlan, Plan
from packet.plan.reading import TRANSPORT
from packet.refrigerant.catalogue import Refrigerant, find
from packet.refrigerant.own import MIXED
from packet.sheets.model import Ask, Entry, Owner, Tag, Tags
from packet.sheets.show import METHODS, Show, cited, day, person, refrigerant_name, short_day, target
from packet.shop.records import PrintSize
from packet.units import plain
from packet.words import speaking, spoken, t

# what fits a leaf by itself, and above the owner's half
TAGS_A_LEAF = {"usual": 8, "large": 4}
TAGS_ABOVE_OWNER = {"usual": 4, "large": 3}


def tags(plan: Plan, way: Show, size: PrintSize = "usual") -> Tags:
    """One tag a cylinder, in the language of transport, and what the owner keeps. size: of the type, as larger tags fill
    a leaf sooner.
    """
    most = TAGS_A_LEAF[size]
    own = spoken()
    warnings = [_warning(plan, _inside(plan, item)) for item in plan.cylinders]
    with speaking(TRANSPORT):
        made = tuple(_tag(plan, item, way) for item in plan.cylinders)
    if own != TRANSPORT:
        made = tuple(replace(tag, warning_also=words) for tag, words in zip(made, warnings, strict=True))
    leaves = tuple(made[at : at + most] for at in range(0, len(made), most))
    return Tags(
        name=t("Tags and owner's half"),
        title=t("Tags"),
        opening=t(
            "Cut along the dashes. Tie on before it leaves; take off older tags. How it may travel: driver, shipping rules, local codes."
        ),
        leaves=leaves,
        owner=_owner(plan, way),
        beside_tags=bool(leaves) and len(leaves[-1]) <= TAGS_ABOVE_OWNER[size],
    )


def _tag(plan: Plan, item: CylinderPlan, way: Show) -> Tag:
    inside = _inside(plan, item)
    name = inside.name if inside is not None else t("mixed gas") if plan.refrigerant else refrigerant_name(plan)
    return Tag(
        cylinder=item.cylinder.id,
        refrigerant=t("{refrigerant}, recovered", refrigerant=name),
        shipping=(_shipping(inside),),
        lines=(
            Entry(t("Tare"), way.weight(item.cylinder.tare_lb)),
            Entry(t("Never above"), t("{weight} gross", weight=way.weight(item.limit_gross_lb.value))),
            Entry(t("From"), t("{job}, {site}", job=plan.job.job, site=plan.job.site.name)),
            Entry(t("Filled"), t("{day}, {name}", day=short_day(plan.job.date), name=person(plan))),
        ),
        blanks=(
            Ask(f"tag.{item.cylinder.id}.gross", t("Gross"), way.weight_unit),
            Ask(f"tag.{item.cylinder.id}.net", t("Net"), way.weight_unit),
        ),
        warning=_warning(plan, inside),
        language=spoken(),
    )


def _inside(plan: Plan, item: CylinderPlan) -> Refrigerant | None:
    """What is in the cylinder after the job; None where nobody knows: an analyzed gas may have gone on top of a mix."""
    gas = plan.refrigerant
    if gas is None or not gas.own or plan.mixed_or_unknown:
        return None if plan.mixed_or_unknown else gas
    name = then_in(item, gas.name)
    return None if name is None or name == MIXED else find(name)


def _shipping(inside: Refrigerant | None) -> str:
    if inside is None:
        return t("Not identified: travels as flammable and toxic until a trained shipper has classed it")
    if not inside.un_number:
        return t("Not a Class 2 gas: shipped as the safety data sheet says")
    return ", ".join(
        part for part in (inside.un_number, inside.proper_shipping_name or "", inside.hazard_class or "") if part
    )


def _warning(plan: Plan, inside: Refrigerant | None) -> str:
    if plan.job.work.burnout:
        return t(
            "From a burnout: acid. Keep apart, for reclaim or destruction only. Upright, valves closed and capped, out of the sun."
        )
    if inside is None:
        return t("May burn, may be toxic. No flame near. Upright, valves closed and capped, out of the sun.")
    if inside.flammable:
        return t("Flammable gas. No flame near. Upright, valves closed and capped, out of the sun.")
    if inside.toxic:
        return t("Toxic. Do not breathe. Upright, valves closed and capped, out of the sun.")
    return t("Under pressure; pushes out air. Upright, valves closed and capped, out of the sun.")


def _owner(plan: Plan, way: Show) -> Owner:
    """What was done, and what follows from it."""
    shop, job = plan.registers.shop, plan.job
    name = person(plan)
    given = (
        (t("Done by"), ", ".join(part for part in (shop.company, shop.address, shop.phone) if part)),
        (t("Technician"), f"{name}, {plan.technician.card}" if plan.technician and plan.technician.card else name),
        (t("Supervisor"), plan.supervisor.name if plan.supervisor else ""),
        (t("Job, date"), t("{job}, {day}", job=job.job, day=day(job.date))),
        (t("Site"), ", ".join(part for part in (job.site.name, job.site.address) if part)),
        (t("Owner"), job.appliance.owner),
        (t("Appliance"), ", ".join(part for part in (job.appliance.description, job.appliance.serial) if part)),
        (t("Refrigerant"), t("{refrigerant}, {charge}", refrigerant=refrigerant_name(plan), charge=way.charge(job.appliance.charge_lb))),
        (t("Method"), t(METHODS[plan.method.chosen]) if plan.method else ""),
        (t("Required vacuum"), _required(plan, way)),
        (t("Emissions avoided"), _warming(plan.t_co2e.value) if plan.t_co2e else ""),
        (t("Refrigerant is"), job.work.owner_of_gas),
        (t("It goes to"), job.work.destination),
    )  # fmt: skip
    service = _service_asks(plan)
    return Owner(
        title=t("Owner's half: refrigerant was taken out of your equipment"),
        opening=t("Keep this with the equipment's papers."),
        entries=tuple(Entry(label, value) for label, value in given if value),
        asks=(
            Ask("owner.recovered", t("Recovered in all"), way.weight_unit),
            Ask("owner.final_gauge", t("Gauge at the end")),
            *(service or (Ask("owner.left", t("Left in the appliance, and why"), width="full"),)),
        ),
        words=_words(plan, way),
        signatures=(
            Ask("owner.signed_technician", t("Technician, date"), width="half"),
            Ask("owner.signed_owner", t("Owner or representative, date"), width="half"),
        ),
    )


def _service_asks(plan: Plan) -> tuple[Ask, ...]:
    """What 40 CFR 82.157(l)(2) and 84.106(b) ask beside what the sheet says anyway: parts, what was done to each, added;
    with them what is left, in a shorter line. Empty where they do not ask.
    """
    if not any(item.code in {"service-record", "hfc-leak-repair"} for item in plan.duties):
        return ()
    return (
        Ask("owner.added", t("Added: type, amount")),
        Ask("owner.parts", t("Parts, and work on each"), width="half"),
        Ask("owner.left", t("Left in the appliance, and why"), width="half"),
    )


def _required(plan: Plan, way: Show) -> str:
    if plan.evacuation is None:
        return ""
    return t("{vacuum} ({source})", vacuum=target(plan.evacuation, way), source=cited(plan.evacuation.source))


def _warming(t_co2e: float) -> str:
    if t_co2e < 1:
        return t("{kilograms} kg CO2 equivalent", kilograms=plain(t_co2e * 1000, 0 if t_co2e >= 0.01 else 1))
    return t("{tonnes} t CO2 equivalent", tonnes=plain(t_co2e, 1))


def _words(plan: Plan, way: Show) -> tuple[str, ...]:
    return (
        t("The refrigerant stays yours unless you hand it over."),
        t(
            "Before anyone else opens, moves or scraps this appliance they should see this sheet: some refrigerant always stays in the oil."
        ),
        *way.said(for_the_owner(plan.duties)),
    )
