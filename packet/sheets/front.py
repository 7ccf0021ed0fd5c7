"""The front sheet: may we go, what are we doing, what do we load."""

from packet.findings import Finding
from packet.hookup.model import Blank, Hookup
from packet.plan.model import CylinderPlan, Plan
from packet.sheets.hazards import aboard, before_joining, first_aid
from packet.sheets.model import Entry, Front, Group, Reasons, Table, Tick
from packet.sheets.show import CLASSES, KINDS, METHODS, REASONS, REJECTED, SPACES, Show, day, refrigerant_name, target
from packet.statements import sentences
from packet.units import plain
from packet.words import t, tn

# notes that stand on another sheet, where they are acted on: the tags, the owner's copy, the target
ELSEWHERE = frozenset(
    {
        "lift-alone",
        "lift-machine",
        "carry-un-question",
        "carry-stays",
        "leak-rate-duty",
        "hfc-leak-duty",
        "policy-not-law",
    }
)


def front(plan: Plan, hookup: Hookup, way: Show) -> Front:
    """The front sheet of a job that may go out."""
    job, shop = plan.job, plan.registers.shop
    found = plan.findings + hookup.findings
    left, right = _truck(plan, hookup)
    return Front(
        name=t("Front"),
        title=t("Recovery job {job}", job=job.job),
        day=t("{day}, start {time}", day=day(job.date), time=job.start.strftime("%H:%M")),
        glance=_glance(plan, way),
        who=_who(plan),
        site=_site(plan),
        appliance=_appliance(plan, way),
        go=_go(plan, found),
        go_sign=(
            Blank("go.technician", t("Go. Technician"), ""),
            Blank("go.time", t("time"), ""),
        ),
        no_go=t("No-go, or a line you cannot initial: leave everything shut and call {phone}.", phone=shop.phone),
        method=_method(plan),
        rejected=_rejected(plan),
        target=_target(plan, way),
        cylinders=_cylinders(plan, way),
        times=_times(plan),
        truck_left=left,
        truck_right=right,
        emergency=_emergency(plan),
        first_aid=tuple(Entry(what, do) for what, do in first_aid()),
        notes=tuple(item.message for item in found if item.severity == "note" and item.code not in ELSEWHERE),
        deferral=t(
            "This packet plans the work; it does not replace anyone. Where the machine maker's instructions, the safety data sheet, local codes or the licensed technician's judgment say otherwise, they come first."
        ),
    )


def _glance(plan: Plan, way: Show) -> tuple[Entry, ...]:
    gas = plan.refrigerant
    chosen = plan.method.chosen if plan.method else None
    return (
        Entry(
            t("Refrigerant, safety group"),
            f"{refrigerant_name(plan)}  {gas.safety_group}" if gas else refrigerant_name(plan),
        ),
        Entry(t("Full charge"), way.about(plan.job.appliance.charge_lb)),
        Entry(t("Draw down to"), target(plan.evacuation, way)),
        Entry(t("Method"), t(METHODS[chosen]) if chosen else t("not chosen")),
    )


def _who(plan: Plan) -> tuple[Entry, ...]:
    job = plan.job
    entries = [
        Entry(t("Truck"), job.truck),
        Entry(t("Technician"), plan.technician.name if plan.technician else job.technician),
    ]
    if plan.machine and plan.machine.description:
        entries.append(Entry(t("Machine"), f"{job.machine}, {plan.machine.description}"))
    if job.supervisor:
        entries.insert(2, Entry(t("Supervisor"), plan.supervisor.name if plan.supervisor else job.supervisor))
    return tuple(entries)


def _site(plan: Plan) -> tuple[Entry, ...]:
    site = plan.job.site
    contact = t("{name}, {phone}", name=site.contact, phone=site.phone) if site.contact and site.phone else ""
    given = (
        (t("Site"), site.name),
        (t("Address"), site.address),
        (t("Contact"), contact or site.contact or site.phone),
        (t("Where"), t(SPACES[site.space])),
        (t("Access"), site.access),
        (t("Site notes"), site.notes),
    )
    return tuple(Entry(label, value) for label, value in given if value)


def _appliance(plan: Plan, way: Show) -> tuple[Entry, ...]:
    appliance, work = plan.job.appliance, plan.job.work
    isolated = plan.isolated.charge_lb if plan.isolated else None
    pressure_class = plan.evacuation.pressure_class if plan.evacuation else None
    given = (
        (t("Appliance"), appliance.description),
        (t("Kind"), t(KINDS[appliance.kind])),
        (t("Analysis by"), appliance.analysis),
        (t("Serial number"), appliance.serial),
        (t("Owner"), appliance.owner),
        (t("Work"), t(REASONS[work.reason])),
        (t("Class"), t(CLASSES[pressure_class]) if pressure_class else ""),
        (t("Isolated part"), way.about(isolated) if isolated is not None else ""),
    )
    return tuple(Entry(label, value) for label, value in given if value)


def _go(plan: Plan, found: tuple[Finding, ...]) -> tuple[Tick, ...]:
    cautions = [item for item in found if item.severity == "caution"]
    first = [Tick(f"go.{key}", "initial", words) for key, words in before_joining(plan)]
    rest = [
        Tick(f"caution.{number}.{item.code}", "initial", item.message, item.remedy)
        for number, item in enumerate(cautions, 1)
    ]
    return (*first, *rest)


def _method(plan: Plan) -> Reasons:
    if plan.method is None:
        return Reasons(t("No method chosen"), ())
    title = t("{method}: why", method=t(METHODS[plan.method.chosen]))
    return Reasons(title, sentences(plan.method.reasons, plan.registers.shop.units))


def _rejected(plan: Plan) -> tuple[Reasons, ...]:
    rejected = plan.method.rejected if plan.method else ()
    units = plan.registers.shop.units
    return tuple(Reasons(t(REJECTED[item.method]), sentences(item.reasons, units)) for item in rejected)


def _target(plan: Plan, way: Show) -> Reasons:
    evacuation = plan.evacuation
    if evacuation is None:
        return Reasons(t("No target computed"), ())
    lines = [*sentences(evacuation.reasons, way.units)]
    if evacuation.rise_check_minutes:
        lines.append(
            t("Then shut off and watch for {minutes} minutes: it must hold.", minutes=evacuation.rise_check_minutes)
        )
    if plan.to_recover_lb is not None:
        lines.append(t("To recover: about {weight}.", weight=way.about(plan.to_recover_lb.value)))
    return Reasons(t("Draw down to {target}", target=target(evacuation, way)), tuple(lines))


def _cylinders(plan: Plan, way: Show) -> Table:
    heads = (
        t("Cylinder"),
        t("Holds now"),
        t("Bare, it reads"),
        t("Stop at"),
        t("Never above"),
        t("Planned to end at"),
    )
    rows = tuple(
        (
            item.cylinder.id,
            _holds(item, way),
            way.weight(item.expected_bare_gross_lb.value),
            way.weight(item.stop_gross_lb.value),
            way.weight(item.limit_gross_lb.value),
            way.weight(item.planned_gross_lb),
        )
        for item in plan.cylinders
    )
    return Table(t("Gross weights, as the scale reads with the cylinder on it"), heads, rows)


def _holds(item: CylinderPlan, way: Show) -> str:
    if item.start.refrigerant is None:
        return t("evacuated")
    return t("{refrigerant}, {weight}", refrigerant=item.start.refrigerant, weight=way.weight(item.contents_lb))


def _times(plan: Plan) -> str:
    minutes = sum(item.minutes.value for item in plan.times)
    if not minutes:
        return ""
    return t("Planned time about {minutes} minutes, an estimate.", minutes=plain(minutes, 0))


def _truck(plan: Plan, hookup: Hookup) -> tuple[tuple[Group, ...], tuple[Group, ...]]:
    """What to load, in two columns: what the hookup takes, then what else is worn, read or fetched."""
    load = [t("{count} × {what}", count=count, what=what) for what, count in hookup.kit_list]
    others = [
        _group(t("Also aboard"), "aboard", list(aboard(plan))),
        _group(t("Fetch before leaving"), "fetch", list(sentences(plan.needs, plan.registers.shop.units))),
    ]
    right = tuple(group for group in others if group.ticks)
    below = sum(len(group.ticks) + 1 for group in right)
    split = min(len(load), (len(load) + below + 1) // 2)
    ticks = _group(t("For this hookup"), "load", load).ticks
    left = Group(t("For this hookup"), ticks[:split])
    return (left,), (Group("", ticks[split:]), *right)


def _group(title: str, key: str, items: list[str]) -> Group:
    return Group(title, tuple(Tick(f"truck.{key}.{number}", "check", item) for number, item in enumerate(items, 1)))


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
