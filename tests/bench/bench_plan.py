"""How long it takes to plan: one job warm, and 500 jobs in one process. Run by hand: python tests/bench/bench_plan.py.

Targets: all numbers of one job warm within 20 ms; 500 jobs within 2 s beyond imports, with a warm memory of properties.
Ratios are taken within one run: planning against doing the least that any plan must (its property look-ups), and
the answer to every 'why' of a job against its plan.
"""

import time
from pathlib import Path

from packet.ledger.state import opening
from packet.plan.document import plan_document
from packet.plan.job import plan_job
from packet.plan.why import numbers
from packet.refrigerant.catalogue import find
from packet.refrigerant.properties import properties
from packet.shop.load import load_job, load_registers
from packet.shop.records import Job, Registers

DEMO = Path(__file__).parents[2] / "jobs"
MANY = 500


def demo() -> tuple[Registers, list[Job]]:
    """The shop and the jobs of the first demo day."""
    registers = load_registers(DEMO).value
    assert registers is not None
    jobs = [load_job(path, registers).value for path in sorted((DEMO / "2026-11-26").glob("*.yaml"))]
    return registers, [job for job in jobs if job is not None]


def main() -> None:
    registers, jobs = demo()
    states = opening(registers)
    for job in jobs:  # fill the memory of properties
        plan_job(job, registers, states)

    worst = 0.0
    for job in jobs:
        start = time.perf_counter()
        plan_document(plan_job(job, registers, states))
        worst = max(worst, time.perf_counter() - start)
    print(f"slowest of {len(jobs)} jobs, warm, plan and JSON: {worst * 1e3:.1f} ms (target 20 ms)")

    start, cpu = time.perf_counter(), time.process_time()
    for number in range(MANY):
        plan_job(jobs[number % len(jobs)], registers, states)
    wall, used = time.perf_counter() - start, time.process_time() - cpu
    print(f"{MANY} jobs in one process: {wall:.2f} s, {used:.2f} s of processor time (target 2 s)")

    cpu = time.process_time()
    for number in range(MANY):
        fluid = properties(find(jobs[number % len(jobs)].appliance.refrigerant))
        for at in range(20, 131, 5):
            fluid.bubble_psia(at)
            fluid.dew_psia(at)
            fluid.liquid_lb_per_ft3(at)
            fluid.vapor_lb_per_ft3(at)
    bare = time.process_time() - cpu
    print(f"planning takes {used / bare:.1f} × the bare property look-ups of its tables")

    job = jobs[0]
    cpu = time.process_time()
    plan = plan_job(job, registers, states)
    one = time.process_time() - cpu
    cpu = time.process_time()
    everything = [made() for made in numbers(plan).values()]
    asked = time.process_time() - cpu
    print(f"the working of all {len(everything)} numbers of {job.job} takes {asked / one:.1f} × its plan")


if __name__ == "__main__":
    main()
