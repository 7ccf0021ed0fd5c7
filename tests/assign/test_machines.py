"""Machines for a day: compared with trying everything, on days small enough for that."""

from collections.abc import Iterator
from dataclasses import replace
from itertools import pairwise, product

from hypothesis import given, settings
from hypothesis import strategies as st

from packet.assign.machines import MachineDemand, MachineMeasure, MachineOffer, assign_machines

NAMES = ("RM-1", "RM-2", "RM-3")
GASES = ("R-22", "R-410A")


@st.composite
def days(draw: st.DrawFn) -> tuple[tuple[MachineDemand, ...], dict[str, str | None]]:
    held = {name: draw(st.sampled_from([None, *GASES])) for name in NAMES}
    demands = []
    for number in range(draw(st.integers(1, 4))):
        fit = draw(st.lists(st.sampled_from(NAMES), unique=True))
        demands.append(
            MachineDemand(
                f"HP-{number}",
                draw(st.sampled_from(["T1", "T2"])),
                draw(st.sampled_from(GASES)),
                draw(st.sampled_from([480.0, 530.0, 700.0])),
                draw(st.sampled_from(NAMES)),
                tuple(MachineOffer(name, draw(st.sampled_from([40.0, 60.0, 100.0]))) for name in fit),
            )
        )
    return tuple(demands), held


def every_way(demands: tuple[MachineDemand, ...], held: dict[str, str | None]) -> Iterator[MachineMeasure]:
    """The measure of every assignment that keeps each machine in one place at a time, told over from its definition."""
    ordered = sorted(demands, key=lambda item: (item.start_min, item.job))
    for chosen in product(*((None, *item.offers) for item in ordered)):
        pairs = [(item, offer) for item, offer in zip(ordered, chosen, strict=True) if offer is not None]
        handed = changes = 0
        fits = True
        for name in NAMES:
            mine = [(item, offer) for item, offer in pairs if offer.machine == name]
            fits &= all(
                first.start_min + offer.minutes <= second.start_min for (first, offer), (second, _) in pairwise(mine)
            )
            trucks = [item.truck for item, _ in mine]
            handed += sum(a != b for a, b in pairwise(trucks))
            gases = [gas for gas in (held[name], *(item.gas for item, _ in mine)) if gas is not None]
            changes += sum(a != b for a, b in pairwise(gases))
        if fits:
            changed = sum(offer.machine != item.present for item, offer in pairs)
            minutes = sum(round(offer.minutes) for _, offer in pairs)
            yield MachineMeasure(len(ordered) - len(pairs), handed, changes, changed, minutes)


@settings(max_examples=200, deadline=None)
@given(days())
def test_nothing_better_exists_on_a_small_day(day: tuple[tuple[MachineDemand, ...], dict[str, str | None]]) -> None:
    demands, held = day
    found = assign_machines(demands, held)
    assert found.proven
    assert found.measure == min(every_way(demands, held))


def demand(job: str, start: float, gas: str, present: str = "RM-1", truck: str = "T1") -> MachineDemand:
    return MachineDemand(job, truck, gas, start, present, tuple(MachineOffer(name, 60.0) for name in NAMES))


def names(found: dict[str, str | None], *demands: MachineDemand, budget: int = 20_000) -> list[str]:
    outcome = assign_machines(demands, found, budget)
    return [offer.machine if (offer := outcome.of(item.job)) else "" for item in demands]


def test_what_the_file_names_stays_where_nothing_speaks_against_it() -> None:
    held: dict[str, str | None] = dict.fromkeys(NAMES)
    assert names(held, demand("A", 480, "R-22", "RM-3"), demand("B", 600, "R-22", "RM-3")) == ["RM-3", "RM-3"]


def test_a_machine_that_holds_the_gas_comes_before_a_change() -> None:
    held: dict[str, str | None] = {"RM-1": "R-410A", "RM-2": "R-22", "RM-3": "R-410A"}
    assert names(held, demand("A", 480, "R-22", "RM-1")) == ["RM-2"]


def test_even_without_time_to_search_the_answer_is_no_worse_than_the_files() -> None:
    held: dict[str, str | None] = dict.fromkeys(NAMES)
    jobs = [demand(f"J{n}", 480 + 100 * n, GASES[n % 2], "RM-2") for n in range(6)]
    outcome = assign_machines(tuple(jobs), held, budget=0)
    assert not outcome.proven
    assert outcome.measure.changed == 0


def test_a_day_of_more_jobs_than_python_calls_go_deep_is_searched() -> None:
    """Nine hundred jobs on one day once ended in RecursionError: what the file names is taken, and one that is free."""
    first = [demand(f"J{n:04}", 480 + n / 100, "R-22", truck=f"T{n}") for n in range(1200)]
    demands = tuple(
        replace(item, present=present, offers=(MachineOffer(f"M-{n}", 60.0),))
        for n, (item, present) in enumerate(zip(first, ["RM-1", *(f"M-{n}" for n in range(1, 1200))], strict=True))
    )
    found = assign_machines(demands, {f"M-{n}": None for n in range(1200)})
    assert found.measure.without == 0
    assert found.proven
