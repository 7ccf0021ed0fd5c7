"""The run sheet: one morning on paper for dispatch. Jobs in order, each truck's load with everything once, the room left
in each cylinder through the day, weights against the carrying limits, conflicts, and what is still missing."""

from collections.abc import Mapping
from dataclasses import dataclass

from packet.figures import show_weight
from packet.findings import Finding
from packet.hookup.model import Hookup
from packet.plan.day_model import Day, Ride, Span, TruckLoad
from packet.plan.model import Plan
from packet.sheets.model import Entry, Table
from packet.sheets.runsheet_kit import truck_kit
from packet.sheets.show import METHODS
from packet.shop.records import Shop
from packet.statements import sentences
from packet.units import UnitSystem
from packet.words import t, tn

# what only the whole day shows
ACROSS = frozenset(
    {
        "cylinder-two-trucks",
        "cylinder-two-refrigerants",
        "cylinder-two-places",
        "cylinder-used-again",
        "technician-two-places",
        "machine-two-places",
        "scale-two-places",
        "machine-changes-refrigerant",
        "handed-over",
        "kit-short-today",
        "carry-truck-over",
        "carry-placards",
    }
)


@dataclass(frozen=True, slots=True)
class TruckSheet:
    """One truck's morning."""

    title: str
    jobs: Table
    load: tuple[Entry, ...]
    kit_title: str
    kit: tuple[str, ...]
    cylinders: Table
    room: Table
    weights: Table
    weights_words: str
    missing: tuple[Entry, ...]


@dataclass(frozen=True, slots=True)
class RunSheet:
    """A day. conflicts: what only the whole day shows, job beside sentence."""

    language: str
    paper: str
    title: str
    company: str
    foot: str
    counts: str
    conflicts: tuple[Entry, ...]
    trucks: tuple[TruckSheet, ...]
    deferral: str


def run_sheet(day: Day, hookups: Mapping[str, Hookup]) -> RunSheet:
    """Everything the run sheet says, in the current language and the shop's units. hookups: of every job of the day."""
    shop = day.plans[0].registers.shop
    findings = {plan.job.job: plan.findings + hookups[plan.job.job].findings for plan in day.plans}
    kit = truck_kit(day, hookups)
    stopped = [name for name, items in findings.items() if any(item.severity == "stop" for item in items)]
    return RunSheet(
        language=shop.language,
        paper=shop.paper,
        title=t("Run sheet, {date}", date=day.date.isoformat()),
        company=shop.company,
        foot=t("{company} · emergency {phone}", company=shop.company, phone=shop.emergency_phone),
        counts=_counts(len(day.plans), len(stopped), len(day.loads)),
        conflicts=tuple(
            Entry(name, item.message) for name, items in findings.items() for item in items if item.code in ACROSS
        ),
        trucks=tuple(_truck(day, load, shop, findings, kit[load.truck_id]) for load in day.loads),
        deferral=t(
            "Weights are as planned; the scale decides. The maker's instructions, the safety data sheet, local codes and the licensed technician's judgment come first."
        ),
    )


def _counts(jobs: int, stopped: int, trucks: int) -> str:
    goes = tn("{count} job may go out", "{count} jobs may go out", jobs - stopped)
    stays = tn("{count} may not", "{count} may not", stopped)
    aboard = tn("{count} truck", "{count} trucks", trucks)
    return t("{goes}, {stays}; {trucks}.", goes=goes, stays=stays, trucks=aboard)


def _truck(
    day: Day,
    load: TruckLoad,
    shop: Shop,
    findings: Mapping[str, tuple[Finding, ...]],
    kit: tuple[tuple[str, int], ...],
) -> TruckSheet:
    plans = [day.plan_of(name) for name in load.jobs]
    spans = {span.job: span for span in day.spans}
    units = shop.units
    return TruckSheet(
        title=t("Truck {truck}", truck=load.truck_id),
        jobs=Table(
            caption=t("Jobs in running order; the end is an estimate"),
            heads=(
                t("No."),
                t("Time"),
                t("Job"),
                t("Site"),
                t("Technician"),
                t("Refrigerant, method"),
                t("May it go?"),
            ),
            rows=tuple(_job(number, plan, spans[plan.job.job], day, findings) for number, plan in enumerate(plans, 1)),
        ),
        load=_load(load),
        kit_title=t("Kit to load"),
        kit=tuple(t("{count} × {what}", count=count, what=what) for what, count in kit),
        cylinders=_cylinders(load, units),
        room=_room(load, units),
        weights=_weights(load, units),
        weights_words=_weights_words(load, units),
        missing=_missing(plans, findings),
    )


def _job(number: int, plan: Plan, span: Span, day: Day, findings: Mapping[str, tuple[Finding, ...]]) -> tuple[str, ...]:
    job = plan.job
    gas = plan.refrigerant.name if plan.refrigerant else job.appliance.refrigerant
    method = t(METHODS[plan.method.chosen]) if plan.method else t("not chosen")
    return (
        str(number),
        f"{job.start:%H:%M}–{_clock(span.end_min)}" if span.end_min > span.start_min else f"{job.start:%H:%M}",
        job.job,
        ", ".join(part for part in (job.site.name, job.site.address) if part),
        _names(plan),
        t("{refrigerant}: {method}", refrigerant=gas, method=method),
        _verdict(job.job, day, findings[job.job]),
    )


def _names(plan: Plan) -> str:
    name = plan.technician.name if plan.technician else plan.job.technician
    if plan.supervisor is None:
        return name
    return t("{name} under {supervisor}", name=name, supervisor=plan.supervisor.name)


def _verdict(job: str, day: Day, findings: tuple[Finding, ...]) -> str:
    if job in day.filed:
        return t("Filed")
    if any(item.severity == "stop" for item in findings):
        return t("DO NOT DISPATCH")
    cautions = sum(item.severity == "caution" for item in findings)
    return tn("Yes, {count} caution", "Yes, {count} cautions", cautions) if cautions else t("Yes")


def _clock(minutes: float) -> str:
    whole = round(minutes)
    return f"{whole // 60 % 24:02}:{whole % 60:02}"


def _load(load: TruckLoad) -> tuple[Entry, ...]:
    machines = "; ".join(", ".join(part for part in (item.id, item.description) if part) for item in load.machines)
    entries = (
        Entry(t("Technicians"), ", ".join(item.name for item in load.technicians)),
        Entry(t("Recovery machines"), machines),
        Entry(t("Scales"), ", ".join(item.id for item in load.scales)),
        Entry(t("Standing load"), load.truck.standing_load if load.truck else ""),
    )
    return tuple(entry for entry in entries if entry.value)


def _cylinders(load: TruckLoad, units: UnitSystem) -> Table:
    return Table(
        caption=t("Cylinders, each once, gross weight out and back as planned"),
        heads=(t("Cylinder"), t("Kind"), t("In it this morning"), t("Out, gross"), t("Back, gross"), t("To carry")),
        rows=tuple(
            (
                ride.cylinder.id,
                t(
                    "{spec}, WC {weight}",
                    spec=ride.cylinder.spec,
                    weight=show_weight(ride.cylinder.water_capacity_lb, units),
                ),
                _held(ride, units),
                show_weight(ride.out_gross_lb, units),
                show_weight(ride.back_gross_lb, units),
                _carry(ride, load, units),
            )
            for ride in load.rides
        ),
    )


def _held(ride: Ride, units: UnitSystem) -> str:
    if ride.out_lb <= 0:
        return t("empty")
    return t("{weight} {refrigerant}", weight=show_weight(ride.out_lb, units), refrigerant=ride.gas or "")


def _carry(ride: Ride, load: TruckLoad, units: UnitSystem) -> str:
    limit = load.per_cylinder_limit_lb
    if limit is None:
        return "–"
    if "not-trade" in {ride.out_counts, ride.back_counts}:
        return t("no material of trade")
    if {ride.out_counts, ride.back_counts} == {"weight"}:
        return t("weight only")
    if max(ride.out_gross_lb, ride.back_gross_lb) > limit.value:
        return t("over {limit}", limit=show_weight(limit.value, units, 0))
    return t("within {limit}", limit=show_weight(limit.value, units, 0))


def _room(load: TruckLoad, units: UnitSystem) -> Table:
    return Table(
        caption=t("Room in each cylinder through the day, net weights"),
        heads=(t("Cylinder"), t("Job"), t("In it before"), t("Planned in"), t("In it after"), t("Room left")),
        rows=tuple(
            (
                ride.cylinder.id,
                visit.job,
                show_weight(visit.start_lb, units),
                show_weight(visit.put_in_lb, units),
                show_weight(visit.after_lb, units),
                show_weight(visit.left_lb, units),
            )
            for ride in load.rides
            for visit in ride.visits
        ),
    )


def _weights(load: TruckLoad, units: UnitSystem) -> Table:
    out = load.out_total_lb.value - load.standing_lb
    back = load.back_total_lb.value - load.standing_lb
    return Table(
        caption=t("Materials of trade against the carrying limit"),
        heads=(t("Gross"), t("Out"), t("Back")),
        rows=(
            (t("Cylinders that count"), show_weight(out, units), show_weight(back, units)),
            (t("Standing load"), show_weight(load.standing_lb, units), show_weight(load.standing_lb, units)),
            (t("In all"), show_weight(load.out_total_lb.value, units), show_weight(load.back_total_lb.value, units)),
        ),
        strong=2,
    )


def _weights_words(load: TruckLoad, units: UnitSystem) -> str:
    limit = load.truck_limit_lb
    if limit is None:
        return t("No job of this truck could be planned far enough to hold its load against a limit.")
    most = max(load.out_total_lb.value, load.back_total_lb.value)
    shown = show_weight(limit.value, units, 0)
    if most > limit.value:
        return t(
            "Over {limit} for materials of trade (49 CFR 173.6): shipping papers and a trained driver, or another truck.",
            limit=shown,
        )
    return t(
        "Within {limit} for materials of trade (49 CFR 173.6); {left} may be added.",
        limit=shown,
        left=show_weight(limit.value - most, units),
    )


def _missing(plans: list[Plan], findings: Mapping[str, tuple[Finding, ...]]) -> tuple[Entry, ...]:
    """What dispatch still has to fetch or put right, job beside sentence, each once."""
    found: dict[Entry, None] = {}
    for plan in plans:
        name = plan.job.job
        for item in findings[name]:
            if item.severity == "stop":
                words = t("{message} {remedy}", message=item.message, remedy=item.remedy).strip()
                found[Entry(name, words)] = None
        for need in sentences(plan.needs, plan.registers.shop.units):
            if not any(need in entry.value for entry in found):
                found[Entry(name, need)] = None
    return tuple(found)
