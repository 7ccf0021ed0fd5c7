"""What the truck carries home: weights against the limits of materials of trade, and how the gas is named."""

from packet.figures import show_weight
from packet.findings import Finding, finding
from packet.plan.case import Case
from packet.plan.gas import Gas
from packet.plan.model import CarryLoad, CylinderPlan
from packet.rules import carriage
from packet.words import t
from packet.worked import Worked, given


def plan_carrying(case: Case, cylinders: tuple[CylinderPlan, ...]) -> tuple[CarryLoad, tuple[Finding, ...]]:
    """This job's load on its truck, standing load included, and what passes the limits. Source: 49 CFR 173.6."""
    job, gas, units, truck = case.job, case.gas, case.units, case.named.truck
    standing = truck.standing_load_lb if truck else 0.0
    standing_where = truck.where("standing_load_lb") if truck else t("no truck in the register")
    weights = tuple((_key(item.cylinder.id), planned_gross(item)) for item in cylinders)
    total = carriage.truck_total_lb(given(standing, "lb", standing_where, places=1), weights)
    refrigerant = gas.refrigerant
    load = CarryLoad(
        per_cylinder_limit_lb=carriage.per_cylinder_limit_lb(),
        truck_limit_lb=carriage.per_truck_limit_lb(),
        standing_lb=standing,
        total_lb=total,
        un_number=_un_number(gas),
        proper_shipping_name=(refrigerant.proper_shipping_name or t("not a Class 2 gas: see the safety data sheet"))
        if refrigerant
        else t("unknown gas: see the office before it is moved further"),
        hazard_class=(refrigerant.hazard_class or "") if refrigerant else "",
    )
    found = []
    for item in cylinders:
        gross = item.planned_gross_lb
        where = item.cylinder.where()
        if gross > carriage.PER_CYLINDER_LB:
            found.append(
                finding(
                    "carry-cylinder-over",
                    source=carriage.SOURCE,
                    where=where,
                    cylinder=item.cylinder.id,
                    gross=show_weight(gross, units),
                    limit=show_weight(carriage.PER_CYLINDER_LB, units, 0),
                )
            )
        lift = case.policy.lift_alone_lb
        if gross > lift:
            found.append(
                finding(
                    "lift-alone",
                    source=t("the shop's policy"),
                    where=where,
                    cylinder=item.cylinder.id,
                    gross=show_weight(gross, units),
                    limit=show_weight(lift, units, 0),
                )
            )
    for code, limit in (("carry-truck-over", carriage.PER_TRUCK_LB), ("carry-placards", carriage.PLACARDS_ABOVE_LB)):
        if total.value > limit:
            found.append(
                finding(
                    code,
                    source=carriage.SOURCE,
                    where=job.where("truck"),
                    truck=job.truck,
                    total=show_weight(total.value, units),
                    limit=show_weight(limit, units, 0),
                )
            )
    return load, tuple(found)


def planned_gross(item: CylinderPlan) -> Worked:
    """What a cylinder is planned to weigh after the job, lb gross."""
    return Worked(
        item.planned_gross_lb,
        "lb",
        t("weight after the job as planned: before it plus what is planned in"),
        t("definition of gross weight"),
        "{before} + {planned}",
        (("before", item.expected_bare_gross_lb), ("planned", item.planned_lb)),
    )


def _key(cylinder_id: str) -> str:
    """A name that may stand between braces in a formula."""
    return "cylinder_" + "".join(letter if letter.isalnum() else "_" for letter in cylinder_id)


def _un_number(gas: Gas) -> str:
    if gas.refrigerant is None:
        return ""
    return gas.refrigerant.un_number or ""
