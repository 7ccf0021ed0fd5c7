"""The hoses are picked once: what is kept free for clearing is what the hookup joins, lists, loads and draws.

Common practice, no source, unless a source stands beside it.
"""

from functools import cache
from typing import Any

import pytest
from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st

from packet.hookup.build import build_hookup
from packet.hookup.model import Hookup
from packet.hookup.request import request_from
from packet.ledger.state import opening
from packet.plan.as_text import as_text
from packet.plan.day import plan_day
from packet.plan.hoses import HoseNeed, pick_hoses
from packet.plan.model import Hoses, Plan
from packet.refrigerant.catalogue import find
from packet.refrigerant.properties import properties
from packet.sheets.runsheet_kit import truck_kit
from packet.shop.records import Fitting, Hose, Job, Kit, Manifold, Rates, Registers
from packet.worked import Worked
from tests.hookup.drawn import sketches
from tests.hookup.variants import loaded
from tests.plan.builders import DEMO, codes, cylinder, demo_plans, job, kit, machine, message, only, plan, registers

NAMES = sorted(path.stem for path in DEMO.glob("2026-*/*.yaml"))


def hose(name: str, **changes: Any) -> Hose:
    fields = {"length_ft": 5, "bore_in": 0.25, "rating_psig": 800, "shut_off": "both-ends", "count": 2}
    return Hose.model_validate({"id": name} | fields | changes)


def whole_kit(*hoses: Hose) -> Kit:
    """A kit that lacks nothing but perhaps hoses."""
    return kit(
        hoses=hoses,
        manifolds=(Manifold(id="MG", valves=2, rating_psig=800, micron_gauge=True),),
        tees=(kit().sight_glasses[0].model_copy(update={"id": "TE", "count": 4}),),
        vacuum_pumps=2,
        flammable_rated_vacuum_pumps=1,
        micron_gauges=2,
        detectors=2,
        absolute_gauges=2,
        nitrogen=2,
    )


@cache
def plans() -> dict[str, Plan]:
    return {item.job.job: item for day in sorted(DEMO.glob("2026-*")) for item in demo_plans(day.name)}


def counted(planned: Plan) -> list[Worked]:
    """The hoses that the clearing counts."""
    (liquid,) = [part for name, part in planned.cylinders[0].clearing_lb.inputs if name == "hose_liquid"]
    return [part for name, part in liquid.inputs if name in {"hose", "other_hose"}]


def volume_ft3(made: Hose) -> float:
    return 3.14159265 / 4.0 * made.bore_in**2 * made.length_ft * 12.0 / 1728.0


def joined(planned: Plan, hookup: Hookup) -> list[Hose]:
    """The hoses that bring liquid to the cylinder, as the drawings and hose lists join them: D, in push-pull A as well."""
    by_id = {item.id: item for item in planned.registers.equipment.kit.hoses}
    lists = [{line.letter: line for line in layout.hoses} for layout in hookup.layouts]
    request = request_from(planned)
    assert request is not None
    drawn = [{path.letter for path in sketch.hoses} for sketch in sketches(request).values()]
    assert all(set(found) in drawn for found in lists)
    found = [lists[-1]["D"]]
    assert planned.method is not None
    if "push-pull" in planned.method.stages:
        found.append(lists[0]["A"])
        assert found[-1].carries == "liquid"
    for line in found:
        assert by_id[line.hose_id].length_ft == line.length_ft
    return [by_id[line.hose_id] for line in found]


def assert_counted_is_joined(planned: Plan) -> None:
    expected = [volume_ft3(item) for item in joined(planned, build_hookup(planned))]
    assert [number.value for number in counted(planned)] == pytest.approx(expected, rel=1e-6)


@pytest.mark.parametrize("name", NAMES)
def test_the_clearing_counts_the_hoses_that_the_hookup_joins(name: str) -> None:
    assert_counted_is_joined(plans()[name])


def test_one_short_hose_and_six_long_ones_are_not_counted_twice() -> None:
    """Push-pull with a kit of one 5-ft and six 25-ft hoses of 3/8 in: the 5-ft hose is one hose, on D; A is 25 ft long.

    Twice the 5-ft hose would be 0.00767 ft³, some 0.58 lb of liquid; one of each is 0.02301 ft³ (geometry).
    """
    hoses = (
        hose("short", count=1, bore_in=0.375),
        hose("long", count=6, length_ft=25, bore_in=0.375),
    )
    planned = plan(push_pull_job(), registers(kit=whole_kit(*hoses)))
    assert planned.method is not None
    assert planned.method.chosen == "push-pull"
    assert sum(number.value for number in counted(planned)) == pytest.approx(0.02301, abs=1e-5)
    assert_counted_is_joined(planned)


def push_pull_job(**changes: Any) -> Job:
    fields: dict[str, Any] = {"appliance": {"liquid_column": True, "ports": ("liquid", "vapor")}, "charge_lb": 30.0}
    return job(**(fields | changes))


# --- kits, methods, and two jobs on a truck -------------------------------------------------------------------------

HOSES = st.lists(
    st.builds(
        lambda count, length, bore, rating, shut_off, color, rated: hose(
            "H",
            count=count,
            length_ft=length,
            bore_in=bore,
            rating_psig=rating,
            shut_off=shut_off,
            color=color,
            flammable_rated=rated,
        ),
        st.integers(0, 4),
        st.sampled_from([2.0, 3.0, 5.0, 10.0, 25.0]),
        st.sampled_from([0.25, 0.375, 0.5]),
        st.sampled_from([400.0, 800.0]),
        st.sampled_from(["none", "one-end", "both-ends"]),
        st.sampled_from(["red", "blue", "yellow", "black"]),
        st.booleans(),
    ),
    min_size=2,
    max_size=7,
)


@st.composite
def days(draw: st.DrawFn) -> tuple[tuple[Job, ...], Registers]:
    """Two jobs that follow one another on one truck, of any method and gas, and a shop with a kit of its own."""
    made = draw(HOSES)
    if draw(st.booleans()):  # most kits drawn lack something; every second one is filled up
        made = [*made, hose("H", count=draw(st.integers(2, 5)), length_ft=25, bore_in=0.375, rating_psig=800)]
    hoses = [item.model_copy(update={"id": f"H-{number}"}) for number, item in enumerate(made)]
    jobs = tuple(
        push_pull_job(
            refrigerant=draw(st.sampled_from(["R-410A", "R-22", "R-454B"])),
            charge_lb=draw(st.sampled_from([6.0, 30.0, 60.0])),
            work={"method": draw(st.sampled_from(["vapor", "liquid", "push-pull"]))},
            cylinders=(f"C-{number}",),
            job=f"HP-{number}",
            start=f"{8 + 4 * number:02d}:00",
        )
        for number in (1, 2)
    )
    cylinders = [cylinder(f"C-{number}", water_capacity_lb=120.0) for number in (1, 2)]
    return jobs, registers(
        *cylinders,
        kit=whole_kit(*hoses),
        policy={
            "discharge_into": draw(st.sampled_from(["liquid", "vapor"])),
            "purge_hoses": draw(st.sampled_from(["vacuum", "vapor"])),
        },
    )


@settings(max_examples=60, deadline=None, derandomize=True, suppress_health_check=list(HealthCheck))
@given(days())
def test_any_kit_any_method_two_jobs_on_a_truck(shop_day: tuple[tuple[Job, ...], Registers]) -> None:
    jobs, shop = shop_day
    stock = {item.id: item for item in shop.equipment.kit.hoses}
    day = plan_day(jobs, shop, opening(shop))
    hookups = {planned.job.job: build_hookup(planned) for planned in day.plans}
    for planned in day.plans:
        hoses, hookup = planned.hoses, hookups[planned.job.job]
        assert hoses is not None
        found = [item for item in hoses.picked if not item.missing]
        assert [item.letter for item in hoses.picked][:4] == ["A", "B", "C", "D"]
        assert codes(planned).count("kit-missing") == len(hoses.picked) - len(found)
        for name in {item.hose.id for item in found}:
            assert sum(item.hose.id == name for item in found) <= stock[name].count
        assert_fit(hoses)
        if len(found) == len(hoses.picked):
            assert_counted_is_joined(planned)
        names = {f"hose {item.hose.id}," for item in found}
        listed = {name: count for name, count in loaded(hookup).items() if name.startswith("hose ")}
        assert sum(listed.values()) == len(found)
        assert {name.split(" ", 2)[0] + " " + name.split(" ", 2)[1] for name in listed} == names
    (truck,) = truck_kit(day, hookups).values()
    for item, count in truck:
        if item.code == "kit-hose":
            # one after the other: the truck needs what the job with the most of them needs
            assert count == max(dict(hookup.kit_list).get(item, 0) for hookup in hookups.values())


def assert_fit(hoses: Hoses) -> None:
    """Each hose that was found is long, strong, closing and rated as its letter asks."""
    for item in hoses.picked:
        if item.missing:
            continue
        made = item.hose
        assert made.length_ft >= (4.5 if item.letter in "AB" else 2.5)
        assert made.flammable_rated or not hoses.flammable
        if item.letter == "D":
            assert made.shut_off == "both-ends"
        if item.letter != "P":
            assert made.rating_psig >= hoses.least_psig
            assert made.shut_off != "none"


@settings(max_examples=150, deadline=None, derandomize=True)
@given(HOSES, st.booleans(), st.booleans())
def test_as_many_hoses_as_can_be_had_at_once(made: list[Hose], flammable: bool, wide: bool) -> None:
    """Held against every way of taking them (an independent count): no hose is called missing that could be had."""
    letters = ("A", "B", "C", "D", "P")
    need = HoseNeed(letters, 500.0, flammable, frozenset("ABCD") if wide else frozenset())  # type: ignore[arg-type]
    hoses = [item.model_copy(update={"id": f"H-{number}"}) for number, item in enumerate(made)]
    picked = pick_hoses(Kit(hoses=tuple(hoses)), need, by_vacuum=True)

    def most(at: int, left: tuple[int, ...]) -> int:
        if at == len(letters):
            return 0
        best = most(at + 1, left)
        for number, item in enumerate(hoses):
            alone = pick_hoses(
                Kit(hoses=(item.model_copy(update={"count": 1}),)) if left[number] else Kit(),
                HoseNeed((letters[at],), 500.0, flammable),  # type: ignore[arg-type]
                by_vacuum=True,
            )
            if not alone.picked[0].missing:
                after = (*left[:number], left[number] - 1, *left[number + 1 :])
                best = max(best, 1 + most(at + 1, after))
        return best

    assume(sum(item.count > 0 for item in hoses) <= 4)
    assert sum(not item.missing for item in picked.picked) == most(0, tuple(item.count for item in hoses))


# --- which hose ----------------------------------------------------------------------------------------------------


def letters(planned: Plan) -> dict[str, str]:
    assert planned.hoses is not None
    return {item.letter: item.hose.id for item in planned.hoses.picked}


def recovering(planned: Plan) -> dict[str, str]:
    """Without the pump's hose."""
    return {letter: name for letter, name in letters(planned).items() if letter != "P"}


def test_a_hose_that_is_too_weak_too_short_open_or_away_is_not_taken() -> None:
    hoses = (
        hose("weak", rating_psig=300, count=9),
        hose("short", length_ft=2, count=9),
        hose("open", shut_off="none", count=9, rating_psig=100),
        hose("none-left", count=0),
        hose("no-flammable", flammable_rated=False, length_ft=4.5, count=9),
        hose("right", length_ft=6, count=9),
    )
    burns = plan(job("R-32", 6.0), registers(kit=kit(hoses=hoses)))
    assert letters(burns) == dict.fromkeys("ABCD", "right") | {"P": "open"}
    assert recovering(plan(job(), registers(kit=kit(hoses=hoses)))) == dict.fromkeys("ABCD", "no-flammable")


def test_a_flammable_job_s_pump_hose_is_rated_too() -> None:
    unrated = hose("old", shut_off="none", flammable_rated=False, count=9)
    shop = registers(kit=kit(hoses=(unrated, hose("rated", count=4))))
    planned = plan(job("R-32", 6.0), shop)
    assert letters(planned)["P"] == "missing"
    assert (
        "hose P, to the vacuum pump: 2.5 ft or longer, for flammable refrigerant" in message(planned, "kit-missing")[0]
    )
    unknown = plan(job("unknown", 6.0, cylinders=("C-1",)), shop)
    assert letters(unknown)["P"] == "missing"
    assert (
        letters(
            plan(job(), registers(kit=kit(hoses=(unrated, hose("rated", count=4))), policy={"purge_hoses": "vacuum"}))
        )["P"]
        == "old"
    )


@pytest.mark.parametrize(
    ("ports", "tools", "both"),
    [
        ({"liquid": "schrader", "vapor": "schrader"}, 0, "AB"),
        ({"liquid": "schrader", "vapor": "schrader"}, 1, "B"),
        ({"liquid": "schrader", "vapor": "schrader"}, 2, ""),
        ({"liquid": "king-valve", "vapor": "service-valve"}, 0, ""),
        (("liquid", "vapor"), 2, "AB"),
    ],
)
def test_in_push_pull_a_hose_that_closes_its_port_has_two_shut_offs(ports: Any, tools: int, both: str) -> None:
    """The far ends of A and B move while the near ones stand on the port; a core tool closes a Schrader port."""
    hoses = (hose("one", count=4, shut_off="one-end"), hose("two", count=4))
    tool = Fitting(id="CT", count=tools, rating_psig=800)
    shop = registers(kit=whole_kit(*hoses).model_copy(update={"core_tools": (tool,)}))
    appliance = {"liquid_column": True, "ports": ports}
    planned = plan(push_pull_job(appliance=appliance), shop)
    assert planned.method is not None
    assert planned.method.chosen == "push-pull"
    assert {letter for letter, taken in recovering(planned).items() if taken == "two"} == {"D", *both}
    slow = plan(push_pull_job(appliance=appliance, work={"method": "liquid"}), shop)
    assert {letter for letter, taken in recovering(slow).items() if taken == "two"} == {"D"}


def test_a_missing_hose_that_closes_its_port_is_told_with_both_shut_offs() -> None:
    kit_of = whole_kit(hose("one", count=4, shut_off="one-end"), hose("two", count=2))
    told, _ = message(plan(push_pull_job(), registers(kit=kit_of)), "kit-missing")
    assert "hose B, appliance vapor side" in told
    assert "with a shut-off at both ends" in told


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"count": 0}, "hose A, appliance liquid side: 4.5 ft or longer, rated 346 psig or more, with a shut-off"),
        ({"rating_psig": 300}, "rated 346 psig or more"),
        ({"length_ft": 3}, "hose B, appliance vapor side"),
        ({"shut_off": "none"}, "with a shut-off"),
        (
            {"shut_off": "one-end"},
            "hose D, machine discharge to cylinder: 2.5 ft or longer, rated 346 psig or more, with a shut-off at both ends",
        ),
    ],
)
def test_what_the_kit_lacks_is_named_and_stops_the_job(changes: dict[str, Any], words: str) -> None:
    planned = plan(job(), registers(kit=whole_kit(hose("H", count=9).model_copy(update=changes))))
    told = [item for item in planned.findings if item.code == "kit-missing"]
    assert told
    assert {item.severity for item in told} == {"stop"}
    assert any(words in item.message for item in told), [item.message for item in told]
    assert [item.message for item in build_hookup(planned).findings if item.severity != "note"] == []


# --- wide hoses -----------------------------------------------------------------------------------------------------

NARROW_AND_WIDE = (hose("narrow", count=9), hose("wide", count=9, length_ft=10, bore_in=0.375))


@pytest.mark.parametrize(("charge_lb", "taken"), [(49.9, "narrow"), (50.0, "wide")])
def test_from_50_lb_on_hoses_are_wide_where_the_kit_has_them(charge_lb: float, taken: str) -> None:
    slow = machine(rates_lb_per_min=Rates(liquid=10.0, vapor=1.0))
    big = cylinder(water_capacity_lb=240.0)
    planned = plan(job(charge_lb=charge_lb), registers(big, machines=(slow,), kit=whole_kit(*NARROW_AND_WIDE)))
    assert recovering(planned) == dict.fromkeys("ABCD", taken)
    assert "hose-too-narrow" not in codes(planned, "caution")
    only_narrow = plan(job(charge_lb=charge_lb), registers(big, machines=(slow,), kit=whole_kit(NARROW_AND_WIDE[0])))
    assert recovering(only_narrow) == dict.fromkeys("ABCD", "narrow")


@pytest.mark.parametrize(
    ("rates", "method", "wide", "words"),
    [
        (
            {"liquid": 10.1, "vapor": 1.0},
            "liquid",
            "ACD",
            "liquid: 10.1 lb/min is planned through hose A, C, D, 1/4 in wide",
        ),
        ({"liquid": 10.0, "vapor": 1.1}, "liquid", "C", "vapor: 1.1 lb/min is planned through hose C, 1/4 in wide"),
        ({"push_pull": 12.0, "vapor": 1.0}, "push-pull", "A", "such a hose carries about 10.0 lb/min"),
    ],
)
def test_a_rate_above_what_a_narrow_hose_carries(rates: dict[str, float], method: str, wide: str, words: str) -> None:
    """10 lb/min of liquid, 1 lb/min of vapor through 1/4 in: common practice, no source."""
    fast = machine(rates_lb_per_min=Rates(**rates))
    wanted = push_pull_job(charge_lb=30.0, work={"method": method})
    both = plan(wanted, registers(machines=(fast,), kit=whole_kit(*NARROW_AND_WIDE)))
    assert {letter for letter, taken in recovering(both).items() if taken == "wide"} == set(wide)
    assert "hose-too-narrow" not in codes(both, "caution")
    narrow = plan(wanted, registers(machines=(fast,), kit=whole_kit(NARROW_AND_WIDE[0])))
    told, remedy = message(narrow, "hose-too-narrow")
    assert words in told
    assert "3/8 in" in remedy


# --- liquid in the hose ----------------------------------------------------------------------------------------------


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


def test_the_text_of_a_plan_names_the_hoses() -> None:
    text = as_text(plan(job(), registers(kit=whole_kit(hose("H", count=4)), policy={"purge_hoses": "vapor"})))
    assert "A H 5 ft × 1/4 in, B H 5 ft × 1/4 in, C H 5 ft × 1/4 in, D H 5 ft × 1/4 in" in " ".join(text.split())
    assert "A missing, B missing" in as_text(plan(job(), registers(kit=whole_kit())))


def test_a_hose_is_left_for_the_letter_that_can_take_no_other() -> None:
    """By its color D would take the one long hose; with a short one it leaves that to A, which reaches with no other."""
    kit_of = whole_kit(hose("long", count=1, color="yellow"), hose("short", count=3, length_ft=3, color="black"))
    taken = letters(plan(job(), registers(kit=kit_of)))
    assert taken == {"A": "long", "B": "missing", "C": "short", "D": "short", "P": "short"}
