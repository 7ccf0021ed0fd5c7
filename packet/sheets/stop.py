"""The sheet that is printed instead of a packet: this job may not go out."""

from packet.findings import Finding
from packet.plan.model import Plan
from packet.sheets.model import Entry, Reasons, Stop
from packet.sheets.show import cited, day, refrigerant_name
from packet.words import said, t


def stop(plan: Plan, found: tuple[Finding, ...]) -> Stop:
    """Why the job may not go out, and what would put it right."""
    job, shop = plan.job, plan.registers.shop
    return Stop(
        name=t("Do not dispatch"),
        title=t("DO NOT DISPATCH"),
        opening=t("This job may not go out as it stands. There is no packet for it, and no older print of it may be used."),
        entries=(
            Entry(t("Day"), t("{day}, start {time}", day=day(job.date), time=job.start.strftime("%H:%M"))),
            Entry(t("Truck, technician"), t("{truck}, {name}", truck=job.truck, name=plan.technician.name if plan.technician else job.technician)),
            Entry(t("Site"), ", ".join(part for part in (job.site.name, job.site.address) if part)),
            Entry(t("Appliance"), job.appliance.description),
            Entry(t("Refrigerant"), refrigerant_name(plan)),
        ),
        reasons=tuple(_reason(item) for item in found if item.severity == "stop"),
        cautions=tuple(item.message for item in found if item.severity == "caution"),
        closing=t(
            "Put the reasons right in the job or the registers and print again; questions to {phone}. What the makers' instructions, the safety data sheets, local codes and the licensed technician's judgment forbid stays forbidden, whatever a sheet says.",
            phone=shop.phone,
        ),
    )  # fmt: skip


def _reason(item: Finding) -> Reasons:
    sentences = [item.remedy] if item.remedy else []
    if item.source:
        sentences.append(t("Rule: {source}", source=cited(item.source)))
    if item.where:
        sentences.append(t("Where: {where}", where=said(item.where)))
    return Reasons(item.message, tuple(sentences))
