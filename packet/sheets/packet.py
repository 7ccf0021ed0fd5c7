"""From a plan and its hookup to everything the packet says."""

from packet.findings import Finding
from packet.hookup.build import in_words_of
from packet.hookup.model import Hookup
from packet.plan.model import Plan
from packet.plan.reading import reading_of
from packet.sheets.arrange import arranged
from packet.sheets.arrange_large import arranged_large
from packet.sheets.blanks import blanks_of, numbers_of
from packet.sheets.both import in_both
from packet.sheets.card import named_card
from packet.sheets.fill import fill
from packet.sheets.front import cautions_count, front
from packet.sheets.load import TRUCK_CODES, load, truck
from packet.sheets.log import log
from packet.sheets.model import Content, Entry, Sheet
from packet.sheets.record import record
from packet.sheets.show import METHODS, Show, refrigerant_name, show, target
from packet.sheets.stop import stop
from packet.sheets.tags import tags
from packet.sheets.work import sheets_of, swap_sheet, wrong
from packet.shop.addresses import record_address
from packet.shop.records import PrintSize
from packet.words import DEFAULT_LANGUAGE, speaking, spoken, t


def compose(plan: Plan, hookup: Hookup) -> Content:
    """Every sheet of a job, as `arrange` puts them; where a finding stops the job, the stop sheet alone.

    In the packet's own language (`plan.reading`), whatever is spoken here; the shop's units and paper are used throughout.
    """
    reading = reading_of(plan)
    with speaking(reading.language):
        content = _said(plan, in_words_of(plan, hookup, reading.language))
    if reading.also:
        with speaking(reading.also):
            content = in_both(content, _said(plan, in_words_of(plan, hookup, reading.also)))
    if content.size == "large":
        with speaking(reading.language):
            return arranged_large(content)
    return arranged(content)


def _said(plan: Plan, hookup: Hookup) -> Content:
    job, shop = plan.job, plan.registers.shop
    found = plan.findings + hookup.findings
    stopped = any(item.severity == "stop" for item in found)
    way = show(plan)
    with speaking(DEFAULT_LANGUAGE):
        in_english = _facts(plan, found, way, stopped=stopped)
    return Content(
        job=job.job,
        language=spoken(),
        paper=shop.paper,
        units=shop.units,
        on=job.date,
        title=t("Recovery job {job}", job=job.job),
        head=f"{job.job} · {refrigerant_name(plan)}",
        foot=t("{company} · emergency {phone}", company=shop.company, phone=shop.emergency_phone),
        records_url=shop.records_url,
        may_go_out=not stopped,
        sheets=(stop(plan, found),) if stopped else _sheets(plan, hookup, way),
        facts=_facts(plan, found, way, stopped=stopped),
        truck=() if stopped else truck(plan, hookup, way),
        size=print_size(plan),
        in_english=in_english,
        address=record_address(shop, job.job),
    )


def print_size(plan: Plan) -> PrintSize:
    """The size of type: the job's own, else the technician's."""
    return plan.job.print or (plan.technician.print if plan.technician else "usual")


def _sheets(plan: Plan, hookup: Hookup, way: Show) -> tuple[Sheet, ...]:
    blanks = blanks_of(plan, hookup)
    numbers = numbers_of(blanks)
    card = named_card(plan.registers.shop)
    swap = (swap_sheet(hookup.swap, numbers, card),) if hookup.swap is not None else ()
    first, *rest = (sheets_of(layout, hookup, numbers, card) for layout in hookup.layouts)
    return (
        front(plan, hookup, way, numbers),
        *first,
        *(sheet for pair in rest for sheet in pair),
        *swap,
        *(() if card else (wrong(hookup),)),
        fill(plan, way),
        log(plan, way, print_size(plan)),
        record(plan, blanks, way, print_size(plan)),
        load(plan, hookup, way),
        tags(plan, way, print_size(plan)),
    )


def _facts(plan: Plan, found: tuple[Finding, ...], way: Show, *, stopped: bool) -> tuple[Entry, ...]:
    """What a reader of an older print wants to hear about when it changes."""
    job = plan.job
    facts = [
        Entry(t("May go out"), t("no") if stopped else t("yes")),
        Entry(t("Date and start"), f"{job.date.isoformat()} {job.start.strftime('%H:%M')}"),
        Entry(t("Truck"), job.truck),
        Entry(t("Technician"), plan.technician.name if plan.technician else job.technician),
        Entry(t("Machine"), job.machine),
        Entry(t("Scale"), job.scale),
        Entry(t("Cylinders"), ", ".join(job.cylinders)),
        Entry(t("Refrigerant"), refrigerant_name(plan)),
        Entry(t("Full charge"), way.charge(job.appliance.charge_lb)),
        Entry(t("Method"), t(METHODS[plan.method.chosen]) if plan.method else t("not chosen")),
        Entry(t("Required vacuum"), target(plan.evacuation, way)),
        Entry(t("Cautions"), cautions_count(tuple(item for item in found if item.code not in TRUCK_CODES))),
    ]
    facts += [
        Entry(t("Stop weight of {cylinder}", cylinder=item.cylinder.id), way.weight(item.stop_gross_lb.value))
        for item in plan.cylinders
    ]
    card = "" if stopped else named_card(plan.registers.shop)
    return (*facts, *((Entry(t("Field card"), card),) if card else ()))
