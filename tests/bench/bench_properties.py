"""What the curves kept with the code save, as ratios measured in one run: `python tests/bench/bench_properties.py`.

Each line says what was measured, the time, and how many times faster that is than asking the property library.
"""

import json
import os
import subprocess
import sys
import tempfile
import time
import timeit
from pathlib import Path

from packet.refrigerant.build import compute
from packet.refrigerant.catalogue import everything, find
from packet.refrigerant.properties import Properties, properties

BLEND = "R-448A"
COLD = """
import json, sys, time
start = time.perf_counter()
from packet.refrigerant.build import compute
from packet.refrigerant.catalogue import find
from packet.refrigerant.properties import properties
imported = time.perf_counter()
properties(find(sys.argv[1])).bubble_psia(77.0)
done = time.perf_counter()
print(json.dumps({"import_s": imported - start, "first_s": done - imported, "library": "CoolProp" in sys.modules}))
"""
COMPUTE = """
import sys
from packet.refrigerant.build import compute
from packet.refrigerant.build import compute
from packet.refrigerant.catalogue import find
compute(sys.argv[1], find(sys.argv[1]).composition)
"""


def _process(name: str, memory: Path) -> dict[str, float]:
    environment = os.environ | {"PACKET_MEMORY": str(memory)}
    answer = subprocess.run([sys.executable, "-c", COLD, name], env=environment, capture_output=True, check=True)
    return dict(json.loads(answer.stdout))


def _library_call_s() -> float:
    """One bubble point by the library's own flash, its state made beforehand."""
    from CoolProp import QT_INPUTS
    from CoolProp.CoolProp import AbstractState

    state = AbstractState("HEOS", f"{BLEND.replace('-', '')}.mix")
    return timeit.timeit(lambda: state.update(QT_INPUTS, 0, 298.15), number=20) / 20


def _figures_of_a_job(values: Properties) -> float:
    """About what a job with three cylinders asks for: fill tables, pressures, levels, inverses, pump-down."""
    total = 0.0
    for _ in range(3):
        for T_F in (20.0, 30.0, 40.0, 50.0, 60.0, 70.0, 77.0, 80.0, 90.0, 100.0, 110.0, 120.0, 130.0, 131.0):
            total += values.liquid_lb_per_ft3(T_F) + values.vapor_lb_per_ft3(T_F)
            total += values.bubble_psia(T_F) + values.dew_psia(T_F)
        total += values.liquid_temperature_F(values.liquid_lb_per_ft3(125.0))
    for step in range(40):
        total += values.vapor_density_at(77.0, 0.01 * step * values.dew_psia(77.0))
    return total


def main() -> None:
    """Measure and print."""
    with tempfile.TemporaryDirectory() as folder:
        memory = Path(folder)
        warm = _process(BLEND, memory)
        start = time.perf_counter()
        subprocess.run([sys.executable, "-c", COMPUTE, BLEND], check=True)
        cold = {"first_s": time.perf_counter() - start}
        library = _library_call_s()
        print(
            f"{BLEND}, new process, solved by the library: {cold['first_s'] * 1e3:8.1f} ms, with the library's import"
        )
        print(
            f"{BLEND}, new process, from the package:     {warm['first_s'] * 1e3:8.1f} ms"
            f"  ({cold['first_s'] / warm['first_s']:.0f} times faster; library imported: {bool(warm['library'])})"
        )
        start = time.perf_counter()
        computed = [item for item in everything() if item.name != "R-13B1" and compute(item.name, item.composition)]
        whole = time.perf_counter() - start
        print(f"the whole catalogue ({len(computed)}), computed:        {whole * 1e3:8.0f} ms")
        properties.cache_clear()
        start = time.perf_counter()
        for item in computed:
            properties(item)
        recalled = time.perf_counter() - start
        print(
            f"the whole catalogue, from the package:     {recalled * 1e3:8.1f} ms"
            f"  ({whole / recalled:.0f} times faster; {recalled / len(computed) * 1e3:.2f} ms each)"
        )
        values = properties(find(BLEND))
        for name, call in (
            ("bubble_psia", lambda: values.bubble_psia(77.0)),
            ("liquid_lb_per_ft3", lambda: values.liquid_lb_per_ft3(77.0)),
            ("bubble_F", lambda: values.bubble_F(200.0)),
            ("vapor_density_at", lambda: values.vapor_density_at(77.0, 14.7)),
        ):
            one = timeit.timeit(call, number=5000) / 5000
            print(
                f"{name + ', warm:':<42} {one * 1e6:8.2f} us  ({library / one:.0f} times a library bubble point's speed)"
            )
        job = timeit.timeit(lambda: _figures_of_a_job(values), number=50) / 50
        print(f"the figures of one job, warm:              {job * 1e3:8.2f} ms  (500 jobs: {job * 500:.2f} s)")


if __name__ == "__main__":
    main()
