"""The search finds the best by its measure: compared with trying everything, on days small enough for that."""

import tracemalloc
from collections.abc import Iterator
from itertools import combinations

from hypothesis import given, settings
from hypothesis import strategies as st

from packet.assign.fill import (
    NOTHING,
    Demand,
    Measure,
    Offer,
    State,
    Vessel,
    in_running_order,
    morning,
    rooms,
    serve,
    suffices,
)
from packet.assign.search import search


def every_way(demands: tuple[Demand, ...], state: State, so_far: Measure = NOTHING) -> Iterator[Measure]:
    """The measure of every assignment of the day, nothing cut off."""
    if not demands:
        yield so_far
        return
    first, rest = demands[0], demands[1:]
    yield from every_way(rest, state, so_far.plus(Measure(1, 0, 0, 0, 0, 0)))
    usable = rooms(first, state)
    for count in range(1, len(usable) + 1):
        for chosen in combinations(usable, count):
            if suffices(chosen, first.need_lb):
                other, added, _ = serve(first, chosen, state)
                yield from every_way(rest, state | other, so_far.plus(added))


GASES = ("R-22", "R-410A")
VESSELS = st.lists(
    st.tuples(
        st.sampled_from([(28.0, 38.0), (27.0, 38.0), (40.0, 60.0), (50.0, 90.0)]),
        st.sampled_from([None, *GASES]),
        st.sampled_from([0.0, 4.0, 20.0]),
    ),
    min_size=1,
    max_size=5,
)


@st.composite
def small_days(draw: st.DrawFn) -> tuple[tuple[Demand, ...], tuple[Vessel, ...]]:
    kinds = draw(VESSELS)
    vessels = tuple(
        Vessel(f"C-{number}", tare, gas, contents if gas else 0.0)
        for number, ((tare, _), gas, contents) in enumerate(kinds)
    )
    limits = {vessel.id: limit for vessel, ((_, limit), _, _) in zip(vessels, kinds, strict=True)}
    count = draw(st.integers(1, 4))
    demands = []
    for number in range(count):
        fit = draw(st.lists(st.sampled_from(sorted(limits)), unique=True))
        start = draw(st.sampled_from([480.0, 600.0, 630.0, 800.0]))
        need = draw(st.sampled_from([3.0, 17.0, 30.0, 38.0, 70.0]))
        demands.append(
            Demand(
                f"HP-{number}",
                draw(st.sampled_from(["T1", "T2"])),
                draw(st.sampled_from(GASES)),
                need,
                need * draw(st.sampled_from([1.0, 0.9])),
                start,
                start + 60,
                tuple(
                    Offer(name, limits[name] - draw(st.sampled_from([0.0, 1.5])), draw(st.booleans())) for name in fit
                ),
                alone=draw(st.booleans()),
                present=tuple(draw(st.lists(st.sampled_from(sorted(limits)), unique=True, max_size=2))),
                fast_heel_lb=draw(st.sampled_from([None, 5.0])),
            )
        )
    return tuple(demands), vessels


@settings(max_examples=300, deadline=None)
@given(small_days())
def test_nothing_better_exists_on_a_small_day(day: tuple[tuple[Demand, ...], tuple[Vessel, ...]]) -> None:
    demands, vessels = day
    found = search(demands, vessels)
    assert found.proven
    assert found.measure == min(every_way(in_running_order(demands), morning(vessels)))


@settings(max_examples=150, deadline=None)
@given(small_days())
def test_the_answer_keeps_its_promises(day: tuple[tuple[Demand, ...], tuple[Vessel, ...]]) -> None:
    demands, vessels = day
    found = search(demands, vessels)
    held = {item.id: (item.gas, item.contents_lb) for item in vessels}
    trucks: dict[str, str] = {}
    busy: dict[str, float] = {}
    for demand in in_running_order(demands):
        fills = found.of(demand.job)
        limits = {offer.cylinder: offer.limit_net_lb for offer in demand.offers}
        if fills:
            assert abs(sum(fill.put_in_lb for fill in fills) - demand.planned_lb) < 1e-6
            assert sum(fill.room_lb for fill in fills) >= demand.need_lb - 1e-6
        for fill in fills:
            gas, contents = held[fill.cylinder]
            assert gas in {None, demand.gas}
            assert not (demand.alone and gas)
            assert contents + fill.put_in_lb <= limits[fill.cylinder] + 1e-6
            assert trucks.setdefault(fill.cylinder, demand.truck) == demand.truck
            assert busy.get(fill.cylinder, 0.0) <= demand.start_min
            busy[fill.cylinder] = demand.end_min
            held[fill.cylinder] = ("burnt" if demand.alone else demand.gas, contents + fill.put_in_lb)


def job(
    name: str, need: float, offers: dict[str, float], *, truck: str = "T1", gas: str = "R-22", start: float = 480.0
) -> Demand:
    fit = tuple(Offer(key, limit) for key, limit in offers.items())
    return Demand(name, truck, gas, need, need, start, start + 60, fit)


def test_a_cylinder_that_holds_the_gas_comes_before_an_empty_one() -> None:
    vessels = (Vessel("empty", 28, None, 0), Vessel("heel", 30, "R-22", 10))
    found = search((job("A", 20, {"empty": 38, "heel": 38}),), vessels)
    assert [fill.cylinder for fill in found.of("A")] == ["heel"]


def test_one_large_empty_cylinder_beats_two_small_ones() -> None:
    vessels = (Vessel("small-1", 28, None, 0), Vessel("small-2", 28, None, 0), Vessel("large", 70, None, 0))
    found = search((job("A", 60, {"small-1": 38, "small-2": 38, "large": 90}),), vessels)
    assert [fill.cylinder for fill in found.of("A")] == ["large"]


def test_of_two_alike_the_lighter_is_lifted() -> None:
    vessels = (Vessel("heavy", 29, None, 0), Vessel("light", 28, None, 0))
    found = search((job("A", 20, {"heavy": 38, "light": 38}),), vessels)
    assert [fill.cylinder for fill in found.of("A")] == ["light"]


def test_the_second_job_of_a_truck_goes_on_with_the_first_ones_cylinder() -> None:
    vessels = (Vessel("one", 28, None, 0), Vessel("two", 28, None, 0))
    later = job("B", 15, {"one": 38, "two": 38}, start=600.0)
    found = search((job("A", 20, {"one": 38, "two": 38}), later), vessels)
    assert {fill.cylinder for name in ("A", "B") for fill in found.of(name)} == {"one"}
    assert found.of("B")[0].start_lb == 20


def test_two_trucks_never_share() -> None:
    later = job("B", 5, {"one": 38}, truck="T2", start=600.0)
    found = search((job("A", 5, {"one": 38}), later), (Vessel("one", 28, None, 0),))
    assert found.measure.unserved == 1


def test_a_scarce_cylinder_is_kept_for_the_job_that_has_no_other() -> None:
    vessels = (Vessel("any", 35, None, 0), Vessel("flammable", 28, None, 0))
    picky = job("B", 5, {"flammable": 38}, gas="R-290", truck="T2")
    found = search((job("A", 5, {"any": 38, "flammable": 38}), picky), vessels)
    assert found.measure.unserved == 0
    assert [fill.cylinder for fill in found.of("A")] == ["any"]


def test_a_day_too_large_for_the_budget_says_that_it_is_not_proven() -> None:
    vessels = tuple(Vessel(f"C-{n}", 27 + n / 7, None, 0) for n in range(16))
    limits = {item.id: 38.0 for item in vessels}
    demands = tuple(job(f"J{n}", 70, limits, truck=f"T{n}", gas=f"R-{n}") for n in range(6))
    found = search(demands, vessels, budget=500)
    assert not found.proven
    assert found.measure.unserved == 0


def test_a_long_day_is_searched_without_a_register_for_every_way() -> None:
    """What each way would leave was once held for every job at once: five gigabytes for three hundred jobs."""
    vessels = tuple(Vessel(f"C-{n:03}", 27 + n / 70, None, 0) for n in range(300))
    limits = {item.id: 38.0 for item in vessels}
    demands = tuple(job(f"J{n:02}", 30, limits, truck=f"T{n}", gas=f"R-{n}") for n in range(20))
    tracemalloc.start()
    try:
        found = search(demands, vessels, budget=100)
        most = tracemalloc.get_traced_memory()[1]
    finally:
        tracemalloc.stop()
    assert found.measure.unserved == 0
    assert most < 15_000_000


def test_a_day_of_more_jobs_than_python_calls_go_deep_is_searched() -> None:
    """Nine hundred jobs on one day once ended in RecursionError."""
    vessels = tuple(Vessel(f"C-{n:04}", 27, None, 0) for n in range(1200))
    demands = tuple(job(f"J{n:04}", 30, {f"C-{n:04}": 38.0}, truck=f"T{n}") for n in range(1200))
    found = search(demands, vessels, budget=5000)
    assert found.measure.unserved == 0
    assert found.proven
