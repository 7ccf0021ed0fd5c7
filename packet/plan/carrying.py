"""What the truck carries home: weights against the limits of materials of trade, and how the gas is named."""

from packet.findings import Finding, finding
from packet.ledger.mass import kg_from_float_lb
from packet.ledger.state import gas_after_putting
from packet.plan.case import Case
from packet.plan.gas import Gas
from packet.plan.model import CarryItem, CarryLoad, CylinderPlan
from packet.refrigerant.catalogue import Refrigerant, UnknownRefrigerant, find
from packet.refrigerant.own import MIXED
from packet.rules import carriage
from packet.rules.carriage import Counts
from packet.shop.records import Cylinder, Job
from packet.statements import Amount
from packet.units import UnitSystem
from packet.words import N_
from packet.worked import Worked, given

NOT_IDENTIFIED = frozenset({"unknown", "mixed"})


def stays_on_site(job: Job) -> bool:
    """Whether the gas goes back into the same appliance, so that nothing of it is carried home."""
    return job.work.disposition == "same-appliance"


def plan_carrying(case: Case, cylinders: tuple[CylinderPlan, ...]) -> tuple[CarryLoad, tuple[Finding, ...]]:
    """This job's load on its truck, standing load included, and what passes the limits. Source: 49 CFR 173.6."""
    job, gas, truck = case.job, case.gas, case.named.truck
    standing = truck.standing_load_lb if truck else 0.0
    standing_where = truck.where("standing_load_lb") if truck else N_("no truck in the register")
    items = tuple(_item(item, job, gas) for item in cylinders)
    weights = tuple(
        (_key(plan.cylinder.id), homeward_gross(plan, job))
        for plan, item in zip(cylinders, items, strict=True)
        if item.counts == "trade"
    )
    refrigerant = gas.refrigerant
    load = CarryLoad(
        per_cylinder_limit_lb=carriage.per_cylinder_limit_lb(),
        truck_limit_lb=carriage.per_truck_limit_lb(),
        standing_lb=standing,
        total_lb=carriage.truck_total_lb(given(standing, "lb", standing_where, places=1), weights),
        un_number=(refrigerant.un_number or "") if refrigerant else "",
        proper_shipping_name=(refrigerant.proper_shipping_name or N_("not a Class 2 gas: see the safety data sheet"))
        if refrigerant
        else N_("unknown gas: see the office before it is moved further"),
        hazard_class=(refrigerant.hazard_class or "") if refrigerant else "",
        items=items,
        stays_lb=sum(item.planned_lb.value for item in cylinders) if stays_on_site(job) else 0.0,
    )
    return load, (
        *_each(case, items),
        *truck_findings(job, load.total_lb.value, hazardous_lb(load.total_lb.value, items), case.units),
        *_naming(case, load),
    )


def _item(item: CylinderPlan, job: Job, gas: Gas) -> CarryItem:
    home = item.contents_lb if stays_on_site(job) else item.contents_lb + item.planned_lb.value
    # after this job it is no longer evacuated: what is put back leaves the gas's own vapor behind
    name = item.start.refrigerant
    if name is not None or item.planned_lb.value > 0:
        name = then_in(item, gas.name if gas.refrigerant else MIXED)
    return CarryItem(
        cylinder=item.cylinder.id,
        gross_lb=item.cylinder.tare_lb + home,
        counts=counts_of(item.cylinder, name, home),
    )


def then_in(item: CylinderPlan, gas: str) -> str | None:
    """What a cylinder holds by name when the job has gone as planned. gas: what goes in, a designation or 'mixed'."""
    return gas_after_putting(item.start, gas, kg_from_float_lb(item.planned_lb.value))


def counts_of(cylinder: Cylinder, held: str | None, net_lb: float) -> Counts:
    """What a cylinder of the register is to the carrying rules. held: a designation, 'mixed', or None when evacuated."""
    if held is None and net_lb <= 0.0:
        return carriage.empty_counts_as(may_have_held_flammable=cylinder.flammable_rated)
    refrigerant = _known(held)
    return carriage.counts_as(
        identified=refrigerant is not None, hazard_class=refrigerant.hazard_class if refrigerant else None
    )


def _known(name: str | None) -> Refrigerant | None:
    if name is None or name.strip().casefold() in NOT_IDENTIFIED:
        return None
    try:
        return find(name)
    except UnknownRefrigerant:
        return None


def hazardous_lb(trade_lb: float, items: tuple[CarryItem, ...]) -> float:
    """Gross weight of all hazardous materials aboard, lb: materials of trade and what is hazardous but none."""
    return trade_lb + sum(item.gross_lb for item in items if item.counts == "not-trade")


def truck_findings(job: Job, trade_lb: float, all_hazardous_lb: float, units: UnitSystem) -> tuple[Finding, ...]:
    """What the truck's load asks for: shipping papers above 440 lb of materials of trade, placards from 1,001 lb."""
    found = []
    if trade_lb > carriage.PER_TRUCK_LB:
        found.append(
            finding(
                "carry-truck-over",
                units,
                source=carriage.SOURCE,
                where=job.where("truck"),
                truck=job.truck,
                total=Amount(trade_lb, "sum-weight"),
                limit=Amount(carriage.PER_TRUCK_LB, "whole-weight"),
            )
        )
    if carriage.needs_placards(all_hazardous_lb):
        found.append(
            finding(
                "carry-placards",
                units,
                source=carriage.SOURCE_PLACARDS,
                where=job.where("truck"),
                truck=job.truck,
                total=Amount(all_hazardous_lb, "sum-weight"),
                limit=Amount(carriage.PLACARDS_FROM_LB, "whole-weight"),
            )
        )
    return tuple(found)


def _each(case: Case, items: tuple[CarryItem, ...]) -> tuple[Finding, ...]:
    over = tuple(
        finding(
            "carry-cylinder-over",
            case.units,
            source=carriage.SOURCE,
            where=case.job.where("cylinders"),
            cylinder=item.cylinder,
            gross=Amount(item.gross_lb, "weight"),
            limit=Amount(carriage.PER_CYLINDER_LB, "whole-weight"),
        )
        for item in items
        if item.counts == "trade" and item.gross_lb > carriage.PER_CYLINDER_LB
    )
    outside = tuple(item.cylinder for item in items if item.counts == "not-trade")
    if not outside:
        return over
    return (
        *over,
        finding(
            "carry-not-trade",
            source=carriage.SOURCE,
            where=case.job.appliance.where("refrigerant"),
            refrigerant=case.gas.called,
            cylinders=", ".join(outside),
        ),
    )


def _naming(case: Case, load: CarryLoad) -> tuple[Finding, ...]:
    found = []
    if carriage.un_number_is_open(load.un_number, load.hazard_class):
        found.append(
            finding(
                "carry-un-question",
                source="49 CFR 172.101",
                where=case.job.appliance.where("refrigerant"),
                refrigerant=case.gas.called,
                un_number=load.un_number,
                other="UN3163" if load.un_number == "UN1078" else "UN1078",
            )
        )
    if load.stays_lb > 0.0:
        found.append(
            finding(
                "carry-stays",
                case.units,
                source=carriage.SOURCE,
                where=case.job.work.where("disposition"),
                weight=Amount(load.stays_lb, "weight"),
            )
        )
    return tuple(found)


def planned_gross(item: CylinderPlan) -> Worked:
    """What a cylinder is planned to weigh after the job, lb gross."""
    return Worked(
        item.planned_gross_lb,
        "lb",
        N_("weight after the job as planned: before it plus what is planned in"),
        N_("definition of gross weight"),
        "{before} + {planned}",
        (("before", item.expected_bare_gross_lb), ("planned", item.planned_lb)),
    )


def homeward_gross(item: CylinderPlan, job: Job) -> Worked:
    """What a cylinder weighs on the way home, lb gross: as before where the gas goes back into the same appliance."""
    return item.expected_bare_gross_lb if stays_on_site(job) else planned_gross(item)


def _key(cylinder_id: str) -> str:
    """A name that may stand between braces in a formula."""
    return "cylinder_" + "".join(letter if letter.isalnum() else "_" for letter in cylinder_id)
