"""A small shop and a job to plan with, every field changeable; and the demo days of the repository."""

from collections.abc import Iterator, Mapping
from dataclasses import replace
from datetime import date, time
from pathlib import Path
from typing import Any

from packet.ledger.state import opening
from packet.plan.job import plan_job
from packet.plan.model import CylinderPlan, Plan
from packet.shop.load import load_job, load_registers
from packet.shop.records import (
    Appliance,
    Conditions,
    Cylinder,
    Equipment,
    Fitting,
    Hose,
    Job,
    Kit,
    Machine,
    Month,
    Policy,
    Rates,
    Registers,
    Scale,
    Shop,
    Site,
    Technician,
    Truck,
    Work,
)

DEMO = Path(__file__).parents[2] / "jobs"
DAY = date(2026, 11, 26)


def cylinder(name: str = "C-1", **changes: Any) -> Cylinder:
    fields = {
        "spec": "DOT-4BA400",
        "water_capacity_lb": 47.6,
        "tare_lb": 27.5,
        "tested": Month(year=2024, month=3),
        "flammable_rated": True,
    }
    return Cylinder(id=name, **(fields | changes))


def machine(name: str = "RM-1", **changes: Any) -> Machine:
    fields = {
        "made": Month(year=2020, month=1),
        "pressure_classes": ("low", "medium", "high", "very-high"),
        "flammable_rated": True,
        "max_pressure_psig": 550.0,
        "rates_lb_per_min": Rates(liquid=6.0, vapor=0.5, push_pull=15.0),
    }
    return Machine(id=name, **(fields | changes))


def kit(**changes: Any) -> Kit:
    fields: dict[str, Any] = {
        "hoses": (
            Hose(id="H-R", count=4, length_ft=5, bore_in=0.25, rating_psig=800, shut_off="one-end", color="red"),
            Hose(id="H-B", count=4, length_ft=5, bore_in=0.25, rating_psig=800, shut_off="one-end", color="blue"),
            Hose(id="H-Y", count=4, length_ft=3, bore_in=0.375, rating_psig=800, shut_off="both-ends", color="yellow"),
        ),
        "sight_glasses": (Fitting(id="SG", rating_psig=650),),
    }
    return Kit(**(fields | changes))


def registers(
    *cylinders: Cylinder, policy: Mapping[str, Any] | None = None, shop: Mapping[str, Any] | None = None, **changes: Any
) -> Registers:
    """A shop with these cylinders (one by default). changes: machines, scales, technicians, kit."""
    fields = {
        "company": "Quillback",
        "phone": "555-0140",
        "emergency_phone": "555-0141",
        "records_url": "https://records.example",
        "trucks": (Truck(id="T1", standing_load_lb=100.0),),
        "policy": Policy(**(policy or {})),
    }
    return Registers(
        shop=Shop(**(fields | dict(shop or {}))),
        cylinders=cylinders or (cylinder(),),
        equipment=Equipment(
            machines=changes.get("machines", (machine(),)),
            scales=changes.get("scales", (Scale(id="SC-1", capacity_lb=2000.0, resolution_lb=0.1),)),
            kit=changes.get("kit", kit()),
        ),
        technicians=changes.get(
            "technicians", (Technician(id="ada", name="Ada Quill", certification=("universal",), card="U-1"),)
        ),
    )


def job(
    refrigerant: str = "R-410A",
    charge_lb: float = 12.0,
    *,
    cylinders: tuple[str, ...] = ("C-1",),
    site: Mapping[str, Any] | None = None,
    appliance: Mapping[str, Any] | None = None,
    work: Mapping[str, Any] | None = None,
    conditions: Mapping[str, Any] | None = None,
    **changes: Any,
) -> Job:
    """A repair on a rooftop split with liquid and vapor ports, unless changed."""
    fields = {
        "job": "HP-1",
        "date": DAY,
        "truck": "T1",
        "technician": "ada",
        "machine": "RM-1",
        "scale": "SC-1",
        "start": time(8, 30),
    }
    return Job(
        cylinders=cylinders,
        site=Site(**({"name": "A roof", "space": "rooftop", "elevation_ft": 0.0} | dict(site or {}))),
        appliance=Appliance(
            **(
                {
                    "description": "A split",
                    "kind": "split",
                    "refrigerant": refrigerant,
                    "charge_lb": charge_lb,
                    "ports": {"liquid": "king-valve", "vapor": "service-valve"},
                }
                | dict(appliance or {})
            )
        ),
        work=Work(**({"reason": "repair"} | dict(work or {}))),
        conditions=Conditions(**({"ambient_F": 75.0, "hottest_F": 95.0} | dict(conditions or {}))),
        **(fields | changes),
    )


def plan(
    the_job: Job | None = None, the_registers: Registers | None = None, taken: frozenset[str] = frozenset()
) -> Plan:
    """Plan a job from the registers' opening figures."""
    shop = the_registers or registers()
    return plan_job(the_job or job(), shop, opening(shop), taken)


def codes(planned: Plan, severity: str = "stop") -> list[str]:
    """The codes of a plan's findings of one severity, in order."""
    return [item.code for item in planned.findings if item.severity == severity]


def message(planned: Plan, code: str) -> tuple[str, str]:
    """Message and remedy of the one finding with this code."""
    (found,) = [item for item in planned.findings if item.code == code]
    return found.message, found.remedy


def only(planned: Plan) -> CylinderPlan:
    """The one cylinder of a plan."""
    (found,) = planned.cylinders
    return found


def demo_plans(day: str) -> Iterator[Plan]:
    """The plans of a demo day, each by itself, from the registers' opening figures."""
    loaded = load_registers(DEMO).value
    assert loaded is not None
    for path in sorted((DEMO / day).glob("*.yaml")):
        found = load_job(path, loaded).value
        assert found is not None
        yield plan_job(found, loaded, opening(loaded))


def read_in(plan: Plan, *languages: str) -> Plan:
    """The plan with a packet in one language, or in two, the first being the reader's."""
    both = languages if len(languages) > 1 else ()
    return replace(plan, job=plan.job.model_copy(update={"language": languages[0], "languages": both}))
