"""Model, walk, geometry and SVG of one job, over every variant: the best of several runs, against 30 ms.

Run by hand: python tests/bench/bench_hookup.py. The ratio compares with compiling the drawing's template, measured in
the same run, so that figures of different machines can be set side by side.
"""

import time
from collections.abc import Callable
from importlib.resources import files

from jinja2 import Environment

from packet.hookup.build import hookup_of
from tests.hookup.variants import VARIANTS

GOAL_MS = 30.0
ROUNDS = 15


def best_ms(work: Callable[[], object]) -> float:
    """The shortest of several runs, milliseconds of this process's own time: a busy machine does not count against it."""
    times = []
    for _ in range(ROUNDS):
        start = time.process_time()
        work()
        times.append(time.process_time() - start)
    return min(times) * 1000.0


def main() -> None:
    """Print a line a variant and the slowest."""
    template = (files("packet.templates") / "hookup.svg").read_text(encoding="utf-8")
    yardstick = best_ms(lambda: Environment(autoescape=True).from_string(template))
    found = {name: best_ms(lambda request=request: hookup_of(request)) for name, request in VARIANTS.items()}  # type: ignore[misc]
    for name, took in sorted(found.items(), key=lambda item: item[1]):
        print(f"{took:6.1f} ms  {took / yardstick:5.2f} x a template compile  {name}")
    slowest = max(found, key=lambda name: found[name])
    verdict = "within" if found[slowest] < GOAL_MS else "OVER"
    print(
        f"slowest {slowest}: {found[slowest]:.1f} ms, {verdict} the {GOAL_MS:.0f} ms goal; yardstick {yardstick:.1f} ms"
    )


if __name__ == "__main__":
    main()
