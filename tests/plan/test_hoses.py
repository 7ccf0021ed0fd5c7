"""The hose whose liquid is kept free is the one the hookup picks, so that the stop weight holds for what is really joined."""

from functools import cache

import pytest

from packet.hookup.build import build_hookup
from packet.plan.hoses import discharge_hose, liquid_hose
from packet.plan.model import Plan
from packet.refrigerant.catalogue import find
from packet.refrigerant.properties import properties
from packet.shop.records import Hose
from packet.worked import Worked
from tests.plan.builders import DEMO, demo_plans, job, kit, only, plan, registers

NAMES = sorted(path.stem for path in DEMO.glob("2026-*/*.yaml"))


@cache
def plans() -> dict[str, Plan]:
    return {item.job.job: item for day in ("2026-11-26", "2026-11-27") for item in demo_plans(day)}


def counted(planned: Plan) -> list[Worked]:
    """The hoses that the clearing counts."""
    (liquid,) = [part for name, part in planned.cylinders[0].clearing_lb.inputs if name == "hose_liquid"]
    return [part for name, part in liquid.inputs if name in {"hose", "other_hose"}]


def volume_ft3(hose: Hose) -> float:
    return 3.14159265 / 4.0 * hose.bore_in**2 * hose.length_ft * 12.0 / 1728.0


@pytest.mark.parametrize("name", NAMES)
def test_the_clearing_counts_the_hoses_that_the_hookup_joins(name: str) -> None:
    planned = plans()[name]
    by_id = {hose.id: hose for hose in planned.registers.equipment.kit.hoses}
    joined = {
        line.letter: by_id[line.hose_id]
        for stage in build_hookup(planned).stages
        for line in stage.hoses
        if line.hose_id in by_id
    }
    assert planned.method is not None
    letters = ["D", "A"] if "push-pull" in planned.method.stages else ["D"]
    expected = [volume_ft3(joined[letter]) for letter in letters]
    assert [number.value for number in counted(planned)] == pytest.approx(expected, rel=1e-6)


def test_a_hose_that_is_too_weak_too_short_open_or_away_is_not_taken() -> None:
    def hose(name: str, **changes: object) -> Hose:
        fields = {"length_ft": 5, "bore_in": 0.25, "rating_psig": 800, "shut_off": "both-ends", "count": 2}
        return Hose.model_validate({"id": name} | fields | changes)

    hoses = (
        hose("weak", rating_psig=300),
        hose("short", length_ft=2),
        hose("open", shut_off="none"),
        hose("none-left", count=0),
        hose("no-flammable", flammable_rated=False, length_ft=3),
        hose("right", length_ft=6),
    )
    found = discharge_hose(kit(hoses=hoses), 400.0, flammable=True)
    assert found is not None
    assert found.id == "right"
    assert (discharge_hose(kit(hoses=hoses), 400.0, flammable=False) or found).id == "no-flammable"
    assert discharge_hose(kit(hoses=hoses[:4]), 400.0, flammable=False) is None
    assert liquid_hose(kit(hoses=hoses[:4]), 400.0, flammable=False) is None


def test_the_liquid_in_the_hose_is_taken_heavy_and_cold() -> None:
    """R-408A is an estimate: what is kept free counts its liquid with the error added, at the ambient, at most 77 °F."""
    best = properties(find("R-408A"))
    assert best.density_error_percent is not None
    for ambient, at in ((40.0, 40.0), (95.0, 77.0)):
        planned = plan(job("R-408A", 5.0, conditions={"ambient_F": ambient, "hottest_F": 100.0}))
        (liquid,) = [part for name, part in only(planned).clearing_lb.inputs if name == "hose_liquid"]
        (density,) = [part for name, part in liquid.inputs if name == "density"]
        heavy = best.liquid_lb_per_ft3(at) * (1.0 + best.density_error_percent / 100.0)
        assert density.value == pytest.approx(heavy)


def test_without_a_hose_a_usual_one_is_counted() -> None:
    """5 ft of 3/8 in: 0.003835 ft³, common practice, no source."""
    planned = plan(job(), registers(kit=kit(hoses=())))
    assert only(planned).clearing_lb.value > 0.0
    assert counted(planned)[0].value == pytest.approx(0.003835, abs=1e-6)
