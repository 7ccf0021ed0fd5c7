"""20,000 generated jobs and more: each duty worked out by the rules and a second way. Run by hand:

PYTHONPATH=. .venv/bin/python tests/bench/bench_duties.py
"""

import time

from tests.rules.test_duties_again import compared

if __name__ == "__main__":
    began = time.perf_counter()
    differ, owed = compared(22_000, seed=1)
    print(f"{owed.pop('compared')} jobs in {time.perf_counter() - began:.0f} s, {len(differ)} differ")
    for code, count in sorted(owed.items()):
        print(f"  {code}: owed by {count}")
    for text in differ[:10]:
        print(text)
