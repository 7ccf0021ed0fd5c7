"""The sheets that are kept: record, tags, owner's copy."""

from itertools import groupby

from packet.ledger.fields import RecordBlank, record_blanks
from packet.plan.duties import for_the_owner, for_the_record
from packet.plan.model import CarryItem, CarryLoad, CylinderPlan, Plan
from packet.sheets.model import Ask, Entry, Owner, Reasons, Record, RecordPart, Table, Tag, Tags
from packet.sheets.show import KINDS, METHODS, REASONS, Show, cited, day, refrigerant_name, target
from packet.statements import sentences
from packet.units import plain
from packet.words import t

# notes that are acted on where the cylinders are carried
CARRY_NOTES = frozenset({"lift-alone", "lift-machine", "carry-un-question", "carry-stays"})


def record(plan: Plan) -> Record:
    """Everything the law and the shop need, in the order in which it is typed in."""
    job = plan.job
    blanks = record_blanks(
        tuple(item.cylinder.id for item in plan.cylinders) or job.cylinders,
        plan.registers.shop.units,
        apprentice=job.supervisor is not None,
        low_pressure=plan.evacuation is not None and plan.evacuation.pressure_class == "low",
    )
    parts = [RecordPart(t("Printed from the job"), _known(plan), ())]
    for (group, cylinder), items in groupby(blanks, key=lambda blank: (blank.group, blank.cylinder)):
        title = t("{group}: {cylinder}", group=group, cylinder=cylinder) if cylinder else group
        parts.append(RecordPart(title, (), tuple(_ask(item) for item in items)))
    parts.append(_statements(plan))
    return Record(
        name=t("Record"),
        title=t("Record"),
        opening=t(
            "Write it on the day, in this order; the office types it in from top to bottom. Kept three years at least (40 CFR 82.156)."
        ),
        parts=tuple(parts),
    )


def _ask(blank: RecordBlank) -> Ask:
    quantity = blank.field.quantity
    if blank.key.startswith("signatures."):
        return Ask(blank.key, blank.label, wide=True)
    if quantity == "yes-no":
        return Ask(blank.key, blank.label, "", "check")
    if quantity == "initials":
        return Ask(blank.key, blank.label, "", "initial")
    return Ask(blank.key, blank.label, blank.unit, wide=quantity == "text")


def _known(plan: Plan) -> tuple[Entry, ...]:
    job, person = plan.job, plan.technician
    given = (
        (t("Job, date"), t("{job}, {day}", job=job.job, day=day(job.date))),
        (t("Site"), ", ".join(part for part in (job.site.name, job.site.address) if part)),
        (t("Appliance"), f"{job.appliance.description}, {t(KINDS[job.appliance.kind])}"),
        (t("Gas, work"), f"{refrigerant_name(plan)}, {t(REASONS[job.work.reason])}"),
        (
            t("Technician, card"),
            f"{person.name}, {person.card}" if person and person.card else person.name if person else "",
        ),
        (t("Supervisor"), f"{plan.supervisor.name}, {plan.supervisor.card}" if plan.supervisor else ""),
    )
    return tuple(Entry(label, value) for label, value in given if value)


def _statements(plan: Plan) -> RecordPart:
    job, shop = plan.job, plan.registers.shop
    words = list(sentences(for_the_record(plan.duties), shop.units))
    asks = [Ask("statement.disposition", t("Owner told, and agreed to, where the refrigerant goes"), "", "check")]
    if any(item.code == "scrap-statement" for item in plan.duties):
        words.append(
            t(
                "Statement (40 CFR 82.155), {person}, {company}, {address}, {date}; tick the one that is true:",
                person=plan.technician.name if plan.technician else job.technician,
                company=shop.company,
                address=shop.address or t("address: ____"),
                date=day(job.date),
            )
        )
        asks.append(
            Ask(
                "statement.disposal", t("all refrigerant that had not leaked before was recovered from it"), "", "check"
            )
        )
        asks.append(Ask("statement.leaked", t("all refrigerant had leaked out before"), "", "check"))
    if plan.job.supervisor is not None:
        words.append(t("The work was done by an apprentice under the eyes of the certified technician named above."))
    return RecordPart(t("Statements"), (), tuple(asks), tuple(words))


def tags(plan: Plan, way: Show) -> Tags:
    """One tag a cylinder, and the truck's load."""
    return Tags(
        name=t("Tags"),
        title=t("Tags"),
        opening=t(
            "Fill in, cut out and tie to the cylinder before it leaves the site; take off any older tag. How it may travel is for the driver, the shipping rules and local codes to decide."
        ),
        tags=tuple(_tag(plan, item, way) for item in plan.cylinders),
        truck=Reasons(t("Truck {truck}", truck=plan.job.truck), _truck_words(plan, way)),
        loads=_loads(plan, way),
    )


def _tag(plan: Plan, item: CylinderPlan, way: Show) -> Tag:
    job, name = plan.job, refrigerant_name(plan)
    return Tag(
        cylinder=item.cylinder.id,
        refrigerant=t("{refrigerant}, recovered", refrigerant=name),
        shipping=(_shipping(plan),),
        lines=(
            Entry(t("Tare, never above"), t("{tare}, {limit} gross", tare=way.weight(item.cylinder.tare_lb), limit=way.weight(item.limit_gross_lb.value))),
            Entry(t("From"), t("{job}, {site}", job=job.job, site=job.site.name)),
            Entry(t("Date, technician"), t("{day}, {name}", day=job.date.isoformat(), name=plan.technician.name if plan.technician else job.technician)),
        ),
        blanks=(
            _blank(f"tag.{item.cylinder.id}.gross", t("Gross"), way),
            _blank(f"tag.{item.cylinder.id}.net", t("Net"), way),
        ),
        warning=_warning(plan),
    )  # fmt: skip


def _shipping(plan: Plan) -> str:
    carrying = plan.carrying
    if plan.mixed_or_unknown:
        return t("Not identified: travels as flammable and toxic until a trained shipper has classed it")
    if carrying is None or not carrying.un_number:
        return t("Not a Class 2 gas: shipped as the safety data sheet says")
    return ", ".join(
        part for part in (carrying.un_number, carrying.proper_shipping_name, carrying.hazard_class) if part
    )


def _blank(key: str, label: str, way: Show) -> Ask:
    return Ask(key, label, way.weight_unit)


def _warning(plan: Plan) -> str:
    gas = plan.refrigerant
    if plan.job.work.burnout:
        return t(
            "From a burnout: acid. Keep apart, for reclaim or destruction only. Upright, valves shut and capped, out of the sun."
        )
    if plan.mixed_or_unknown:
        return t("May burn, may be toxic. No flame near. Upright, valves shut and capped, out of the sun.")
    if gas is not None and gas.flammable:
        return t("Flammable gas. No flame near. Upright, valves shut and capped, out of the sun.")
    if gas is not None and gas.toxic:
        return t("Toxic. Do not breathe. Upright, valves shut and capped, out of the sun.")
    return t("Under pressure; pushes out air. Upright, valves shut and capped, out of the sun.")


def _truck_words(plan: Plan, way: Show) -> tuple[str, ...]:
    carrying = plan.carrying
    if carrying is None:
        return ()
    over = carrying.total_lb.value > carrying.truck_limit_lb.value
    each_over = [
        item.cylinder
        for item in carrying.items
        if item.counts == "trade" and item.gross_lb > carrying.per_cylinder_limit_lb.value
    ]
    lines = [
        t(
            "With this job the truck carries {total} of {limit} allowed as materials of trade (49 CFR 173.6).",
            total=way.about(carrying.total_lb.value),
            limit=way.about(carrying.truck_limit_lb.value),
        )
    ]
    if over or each_over:
        lines.append(
            t("Over a limit: shipping papers and a trained driver, or another way home that the shipping rules allow.")
        )
    lines.extend(item.message for item in plan.findings if item.code in CARRY_NOTES)
    lines.append(
        t(
            "Upright, secured, valves closed and capped, each cylinder marked and labeled, cab ventilated, driver told what is aboard."
        )
    )
    return tuple(lines)


def _loads(plan: Plan, way: Show) -> Table:
    carrying = plan.carrying
    rows = [
        (item.cylinder, refrigerant_name(plan), way.weight(item.gross_lb), _limit(item, load, way))
        for load in ((carrying,) if carrying else ())
        for item in load.items
    ]
    if carrying is not None:
        standing = plan.truck.standing_load if plan.truck and plan.truck.standing_load else t("always aboard")
        rows.append((t("Standing load"), standing, way.about(carrying.standing_lb), ""))
        rows.append(
            (
                t("Materials of trade in all"),
                "",
                way.about(carrying.total_lb.value),
                way.about(carrying.truck_limit_lb.value),
            )
        )
    heads = (t("What"), t("Contents"), t("Gross on the way home"), t("Limit"))
    return Table(
        t("What the truck carries home from this job, as planned"),
        heads,
        tuple(rows),
        len(rows) - 1 if carrying else None,
    )


def _limit(item: CarryItem, carrying: CarryLoad, way: Show) -> str:
    """The limit of one cylinder, or why it has none."""
    if item.counts == "weight":
        return t("weight only")
    if item.counts == "not-trade":
        return t("no material of trade")
    return way.about(carrying.per_cylinder_limit_lb.value)


def owner(plan: Plan, way: Show) -> Owner:
    """The owner's copy: what was done, and what follows from it."""
    shop, job = plan.registers.shop, plan.job
    person = plan.technician.name if plan.technician else job.technician
    given = (
        (t("Done by"), ", ".join(part for part in (shop.company, shop.address, shop.phone) if part)),
        (t("Technician"), f"{person}, {plan.technician.card}" if plan.technician and plan.technician.card else person),
        (t("Supervisor"), plan.supervisor.name if plan.supervisor else ""),
        (t("Job, date"), t("{job}, {day}", job=job.job, day=day(job.date))),
        (t("Site"), ", ".join(part for part in (job.site.name, job.site.address) if part)),
        (t("Owner"), job.appliance.owner),
        (t("Appliance"), job.appliance.description),
        (t("Serial number"), job.appliance.serial),
        (
            t("Refrigerant"),
            t("{refrigerant}, {charge}", refrigerant=refrigerant_name(plan), charge=way.about(job.appliance.charge_lb)),
        ),
    )
    done = (
        (t("Method"), t(METHODS[plan.method.chosen]) if plan.method else ""),
        (t("Drawn down to"), target(plan.evacuation, way)),
        (t("By the rule"), cited(plan.evacuation.source) if plan.evacuation else ""),
        (t("Kept from the air"), _warming(plan.t_co2e.value) if plan.t_co2e else ""),
        (t("Owner of the gas"), job.work.owner_of_gas),
        (t("Gas goes to"), job.work.destination),
    )  # fmt: skip
    return Owner(
        name=t("Owner's copy"),
        title=t("Owner's copy"),
        opening=t("Refrigerant was taken out of your equipment. Keep this sheet with its papers."),
        entries=tuple(Entry(label, value) for label, value in given if value),
        done=tuple(Entry(label, value) for label, value in done if value),
        asks=(
            *_service_asks(plan),
            Ask("owner.recovered", t("Recovered in all"), way.weight_unit),
            Ask("owner.final_gauge", t("Gauge at the end")),
            Ask("owner.cylinders", t("Into cylinders"), wide=True),
            Ask("owner.left", t("Left in the appliance, and why"), wide=True),
        ),
        words=_owner_words(plan),
        signatures=(
            Ask("owner.signed_technician", t("Technician, date"), wide=True),
            Ask("owner.signed_owner", t("Owner or the owner's person, date"), wide=True),
        ),
    )


def _service_asks(plan: Plan) -> tuple[Ask, ...]:
    """What 40 CFR 82.157(l)(2) asks beside what the sheet says anyway: parts worked on, what was done to each, added."""
    if all(item.code != "service-record" for item in plan.duties):
        return ()
    return (
        Ask("owner.parts", t("Parts worked on, and what was done to each"), wide=True),
        Ask("owner.added", t("Refrigerant added: type and amount"), wide=True),
    )


def _warming(t_co2e: float) -> str:
    if t_co2e < 1:
        return t("{kilograms} kg CO2 equivalent", kilograms=plain(t_co2e * 1000, 0))
    return t("{tonnes} t CO2 equivalent", tonnes=plain(t_co2e, 1))


def _owner_words(plan: Plan) -> tuple[str, ...]:
    words = [
        t("The gas stays yours unless you hand it over."),
        t(
            "Before anyone else opens, moves or scraps this appliance they should see this sheet: some refrigerant always stays in the oil."
        ),
        *sentences(for_the_owner(plan.duties), plan.registers.shop.units),
    ]
    return tuple(words)
