"""The front sheet: may we go, and the numbers that must not be passed."""

from packet import figures
from packet.findings import Finding
from packet.hookup.model import Hookup
from packet.plan.model import CylinderPlan, Evacuation, Plan
from packet.refrigerant.own import MIXED
from packet.sheets.card import named_card
from packet.sheets.hazards import before_connecting, first_aid
from packet.sheets.load import CARRY_NOTES, TRUCK_CODES
from packet.sheets.model import Ask, Entry, Front, StopWeight, Tick, Vacuum
from packet.sheets.show import (
    CLASSES,
    KINDS,
    METHODS,
    REASONS,
    SPACES,
    Show,
    cited,
    day,
    person,
    refrigerant_name,
    second_person,
    target,
)
from packet.units import plain
from packet.words import N_, t, tn

# notes that stand on another sheet, where they are acted on: the load, the owner's half, the vacuum
ELSEWHERE = frozenset({*CARRY_NOTES, "leak-rate-duty", "hfc-leak-duty", "policy-not-law"})
# what the technician can do where a finding's remedy is an edit of the shop's files; '' where the finding says it all
ON_SITE = {
    "cylinder-discrepancy": N_("Call the office before anything goes into it."),
    "isolation-needs-receiver": "",
    "receiver-capacity-asked": "",
    "room-not-given": N_("Measure it, or treat it as exceeded: ventilate, keep a detector running, never alone."),
    "second-person-missing": N_("Name one below, or no-go."),
    "travel-short": N_("Call dispatch if it gets late."),
}


def front(plan: Plan, hookup: Hookup, way: Show, numbers: dict[str, int]) -> Front:
    """The front sheet of a job that may go out. numbers: of the Record's blanks, by key."""
    job, shop = plan.job, plan.registers.shop
    found = plan.findings + hookup.findings
    card = named_card(shop)
    return Front(
        name=t("Front"),
        title=t("Recovery job {job}", job=job.job),
        day=t("{day}, start {time} · truck {truck}", day=day(job.date), time=job.start.strftime("%H:%M"), truck=job.truck),
        stops_title=tn("Stop at, gross", "Stop at, gross, in the order they are filled", max(1, len(plan.cylinders))),
        stops=tuple(_stop(item, way, numbers) for item in plan.cylinders),
        stop_words=_stop_words(plan, way),
        vacuum=_vacuum(plan, way),
        glance=_glance(plan, way),
        who=_who(plan),
        site=_site(plan, way),
        go=_go(plan, found, way),
        go_sign=_go_sign(plan),
        no_go=t("No-go, or a line you cannot initial: leave everything closed and call {phone}.", phone=shop.phone),
        emergency=_emergency(plan),
        first_aid=() if card else tuple(Entry(what, do) for what, do in first_aid()),
        notes=tuple(item.said(way.places) for item in found if item.severity == "note" and item.code not in ELSEWHERE),
        deferral=t(
            "This packet plans the work; it replaces nobody. The stamps on the cylinder, the makers' instructions, the safety data sheet, local codes and the licensed technician's judgment come first. In doubt, stop lower, or stop."
        ),
        card=t("First aid and what to do when it goes wrong: field card {revision}, in the truck. Not aboard, or another revision: get it before you connect.", revision=card) if card else "",
    )  # fmt: skip


def _stop(item: CylinderPlan, way: Show, numbers: dict[str, int]) -> StopWeight:
    beside = [Entry(t("Never above"), way.weight(item.limit_gross_lb.value))]
    if item.change_at_gross_lb is not None:
        beside.append(Entry(t("Swap at"), way.weight(item.change_at_gross_lb.value)))
    beside += [
        Entry(t("Expected final"), way.weight(item.planned_gross_lb)),
        Entry(t("Stop and cool at"), way.pressure_limit(item.stop_and_cool_psig.value)),
        Entry(t("Holds now"), _holds(item, way)),
    ]
    return StopWeight(
        item.cylinder.id,
        way.weight_value(item.stop_gross_lb.value),
        way.weight_unit,
        tuple(beside),
        Entry(t("BEFORE, expect"), way.weight(item.expected_bare_gross_lb.value)),
        numbers.get(f"cylinders.{item.cylinder.id}.bare_before_gross_{way.weight_unit}", 0),
    )


def _holds(item: CylinderPlan, way: Show) -> str:
    if item.start.refrigerant is None:
        return t("vacuum")
    name = t("mixed gas") if item.start.refrigerant == MIXED else item.start.refrigerant
    holds = t("{refrigerant}, {weight}", refrigerant=name, weight=way.weight(item.contents_lb))
    if item.start.planned:
        return t("{holds}, planned by {job}, not filed", holds=holds, job=item.start.came_from)
    return holds


def _stop_words(plan: Plan, way: Show) -> tuple[str, ...]:
    """What every stop weight means; what clearing still pushes in is the machine's, so it is said once."""
    if not plan.cylinders:
        return ()
    clearing = sorted({way.weight(item.clearing_lb.value) for item in plan.cylinders})
    scale = t(
        "As the scale reads with the cylinder on it; never zero the scale with a cylinder on it. What clearing still pushes in ({weight}) is already taken off.",
        weight=", ".join(clearing),
    )
    words = [" ".join((scale, t("Full and not finished: shut down as the steps say, and call.")))]
    if any(item.start.planned for item in plan.cylinders):
        words.append(t("A cylinder from another job of today: off by more than the scale explains, stop and call."))
    return tuple(words)


def _vacuum(plan: Plan, way: Show) -> Vacuum:
    evacuation = plan.evacuation
    label = t("Required vacuum, on this gauge")
    if evacuation is None:
        return Vacuum(label, t("not known"), ())
    words = [*way.said(evacuation.reasons)]
    words.append(_law(evacuation, plan, way))
    if evacuation.rise_check_minutes:
        words.append(t("Rise check: watch it for {minutes} minutes.", minutes=evacuation.rise_check_minutes))
    return Vacuum(label, _or_deeper(target(evacuation, way), evacuation), tuple(word for word in words if word))


def _or_deeper(words: str, evacuation: Evacuation) -> str:
    if evacuation.raise_to_atmosphere or evacuation.target_percent_of_charge is not None:
        return words
    return t("{vacuum} or deeper", vacuum=words)


def _law(evacuation: Evacuation, plan: Plan, way: Show) -> str:
    """What the law says at sea level's gauge, beside what this gauge shows: the two differ with the barometer."""
    law, gauge = evacuation.target_inHg_vacuum, evacuation.gauge_at_site_inHg_vacuum
    source = cited(evacuation.source)
    if law is None or gauge is None or evacuation.raise_to_atmosphere:
        return t("By {source}.", source=source)
    # in an exempt use the target is the shop's own: it is not called the law's
    words = (
        N_("At sea level {law} ({source}); the same on this gauge at {elevation}: {gauge}.")
        if evacuation.by_policy
        else N_("The law says {law} ({source}); the same on this gauge at {elevation}: {gauge}.")
    )
    return t(
        words,
        law=figures.show_vacuum(law.value, way.units),
        source=source,
        elevation=figures.show_length(plan.job.site.elevation_ft, way.units),
        gauge=figures.show_vacuum(gauge.value, way.units),
    )


def _glance(plan: Plan, way: Show) -> tuple[Entry, ...]:
    gas = plan.refrigerant
    chosen = plan.method.chosen if plan.method else None
    charge = way.charge(plan.job.appliance.charge_lb)
    minutes = sum(item.minutes.value for item in plan.times)
    entries = [
        Entry(t("Refrigerant"), f"{refrigerant_name(plan)}  {gas.safety_group}" if gas else refrigerant_name(plan)),
        Entry(t("Full charge"), charge),
        Entry(t("Method"), t(METHODS[chosen]) if chosen else t("not chosen")),
    ]
    if plan.isolated is not None:
        entries.insert(2, Entry(t("Isolated part"), way.charge(plan.isolated.charge_lb)))
    if minutes:
        entries.append(Entry(t("Planned time"), t("about {minutes} min", minutes=plain(minutes, 0))))
    return tuple(entries)


def _who(plan: Plan) -> tuple[Entry, ...]:
    job, appliance = plan.job, plan.job.appliance
    pressure_class = plan.evacuation.pressure_class if plan.evacuation else None
    machine = f"{job.machine}, {plan.machine.description}" if plan.machine and plan.machine.description else job.machine
    given = (
        (t("Technician"), person(plan)),
        (t("Supervisor"), (plan.supervisor.name if plan.supervisor else job.supervisor) or ""),
        (t("Second person"), second_person(plan)),
        (t("Machine, scale"), t("{machine}; {scale}", machine=machine, scale=job.scale)),
        (t("Appliance"), t("{what}, {kind}", what=appliance.description, kind=t(KINDS[appliance.kind]))),
        (t("Analysis by"), appliance.analysis),
        (t("Serial, owner"), ", ".join(part for part in (appliance.serial, appliance.owner) if part)),
        (t("Work, class"), ", ".join(part for part in (t(REASONS[job.work.reason]), t(CLASSES[pressure_class]) if pressure_class else "") if part)),
    )  # fmt: skip
    return tuple(Entry(label, value) for label, value in given if value)


def _site(plan: Plan, way: Show) -> tuple[Entry, ...]:
    site = plan.job.site
    contact = t("{name}, {phone}", name=site.contact, phone=site.phone) if site.contact and site.phone else ""
    elevation = figures.show_length(site.elevation_ft, way.units)
    given = (
        (t("Site"), ", ".join(part for part in (site.name, site.address) if part)),
        (t("Contact"), contact or site.contact or site.phone),
        (t("Where"), t("{space}, {elevation} above the sea", space=t(SPACES[site.space]), elevation=elevation)),
        (t("Access"), site.access.removesuffix(".")),
        (t("Site notes"), site.notes.removesuffix(".")),
    )
    return tuple(Entry(label, value) for label, value in given if value)


def _go(plan: Plan, found: tuple[Finding, ...], way: Show) -> tuple[Tick, ...]:
    cautions = [item for item in found if item.severity == "caution" and item.code not in TRUCK_CODES]
    first = [Tick(f"go.{key}", "initial", words) for key, words in before_connecting(plan)]
    rest = [
        Tick(f"caution.{number}.{item.code}", "initial", item.said(way.places), _on_site(item))
        for number, item in enumerate(cautions, 1)
    ]
    return (*first, *rest)


def _on_site(item: Finding) -> str:
    """What is done about a caution by who initials it: files and commands are the dispatcher's."""
    if item.code not in ON_SITE:
        return item.remedy
    words = ON_SITE[item.code]
    return t(words) if words else ""


def _go_sign(plan: Plan) -> tuple[Ask, ...]:
    signs = [Ask("go.technician", t("Go: technician")), Ask("go.time", t("time"), comb="dd:dd")]
    if plan.second is not None and plan.second.needed_for:
        signs.append(Ask("go.second", t("Second person: {name}", name=second_person(plan))))
    return tuple(signs)


def _emergency(plan: Plan) -> tuple[Entry, ...]:
    shop, site = plan.registers.shop, plan.job.site
    numbers = [
        Entry(t("Fire, ambulance"), "911"),
        Entry(t("Shop, emergencies"), shop.emergency_phone),
        Entry(t("Dispatch"), shop.phone),
    ]
    if site.phone:
        numbers.append(Entry(t("On site"), site.phone))
    return tuple(numbers)


def cautions_count(found: tuple[Finding, ...]) -> str:
    """'3 cautions', for facts and summaries."""
    number = sum(item.severity == "caution" for item in found)
    return tn("{count} caution", "{count} cautions", number)
