"""Several people at once: two prints into one folder, saves while a print runs, filing while a print runs.

Nothing is torn: whatever lies there was worked out from one state of the files, and the last print from the last one. Who
comes second is told to wait. `PYTHONPATH=. .venv/bin/python tests/bench/bench_together.py [SAVES] [SEED]`;
`tests/press/run/test_together.py` does a few.
"""

import os
import random
import subprocess
import sys
import tempfile
import time
from collections import Counter
from pathlib import Path

from packet.ledger.records import read_records
from packet.press.printed import newest_record, records_of
from packet.press.run.model import Summary
from tests.cli.test_commands import _filled
from tests.press.run.test_print_days import DAY, run, shop_with

JOB = "HP-1047"
CHARGES = ("0.30", "0.45", "0.60")
START = "import sys; from packet.cli.main import main; sys.exit(main())"


def command(folder: Path, *words: str) -> "subprocess.Popen[str]":
    """A command in that folder, begun."""
    return subprocess.Popen(
        [sys.executable, "-c", START, *words], cwd=folder, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True
    )


def two_prints(folder: Path) -> list[tuple[int, str]]:
    """Two prints of one day into one folder, begun together: the status of each and what it said."""
    words = ("print", f"jobs/{DAY}", "--workers", "1", "--fresh")
    begun = [command(folder, *words) for _ in range(2)]
    said = [process.communicate()[0] for process in begun]
    return sorted((process.returncode, text) for process, text in zip(begun, said, strict=True))


def with_charge(text: str, charge: str) -> str:
    """The job's file with another charge."""
    lines = text.splitlines(keepends=True)
    return "".join(f"  charge_lb: {charge}\n" if line.strip().startswith("charge_") else line for line in lines)


def saving(path: Path, saves: int, seed: int) -> int:
    """A process that saves a file so many times, now in place as a plain editor does, now by renaming; its number."""
    pid = os.fork()
    if pid:
        return pid
    chance, text = random.Random(seed), path.read_text("utf-8")
    try:
        for number in range(saves):
            new = with_charge(text, chance.choice(CHARGES))
            if number % 2:
                other = path.with_name(".saved")
                other.write_text(new, "utf-8")
                other.replace(path)
            else:
                half = len(new) // 2
                with path.open("w", encoding="utf-8") as file:
                    file.write(new[:half])
                    file.flush()
                    time.sleep(0.001)
                    file.write(new[half:])
            time.sleep(chance.uniform(0.0, 0.4))
    finally:
        os._exit(0)


def torn(folder: Path, summary: Summary) -> str:
    """What does not belong together after a print; '' where all does."""
    (result,) = summary.results
    if result.outcome == "not-read":
        return "" if (folder / "out" / f"{JOB}.pdf").is_file() and not result.may_go_out else "no sheet that says so"
    if result.outcome not in {"printed", "unchanged"}:
        return f"{result.outcome}: {result.words}"
    record = newest_record(folder / "jobs", JOB)
    if record is None or record.revision != result.revision:
        return "another print is current than was told"
    charge = record.plan["inputs"]["job"]["appliance"]["charge_lb"]
    if f"{charge:.2f}" not in CHARGES or abs(record.plan["to_recover_lb"] - charge) > 1e-9:
        return f"worked out from no state of the file: {charge}, {record.plan['to_recover_lb']}"
    return ""


def prints_while_saved(folder: Path, saves: int, seed: int) -> Counter[str]:
    """Print over and over while the job's file is saved; what each print was, and what was torn."""
    path, told = folder / "jobs" / DAY / f"{JOB}.yaml", Counter[str]()
    saver = saving(path, saves, seed)
    while os.waitpid(saver, os.WNOHANG) == (0, 0):
        summary = run(folder)
        wrong = torn(folder, summary)
        changed = any("was changed while" in item.message for item in summary.problems)
        told[wrong or f"{summary.results[0].outcome}{', a change told' if changed else ''}"] += 1
    # the last print is of the last state
    last = run(folder)
    wrong = torn(folder, last)
    record = newest_record(folder / "jobs", JOB)
    now = path.read_text("utf-8").split("charge_lb:")[1].split()[0]
    if wrong or record is None or f"{record.plan['to_recover_lb']:.2f}" != now:
        told[wrong or "the last print is not of the last state"] += 1
    told["prints"] = len(records_of(folder / "jobs", JOB))
    return told


def filed_while_printed(folder: Path, delay: float) -> str:
    """File a job's form while it is printed again; '' when both ended well and the record is there once and whole."""
    form = folder / "out" / f"{JOB}.readings.yaml"
    record = newest_record(folder / "jobs", JOB)
    assert record is not None
    cylinder = record.plan["cylinders"][0]
    text = _filled(form.read_text("utf-8"), cylinder["expected_bare_gross_lb"], cylinder["planned_lb"])
    form.write_text(text, "utf-8")
    printing = command(folder, "print", f"jobs/{DAY}", "--workers", "1", "--fresh")
    time.sleep(delay)
    filing = command(
        folder,
        "file",
        f"out/{JOB}.readings.yaml",
        "--reason",
        "card-differs=as on the card",
        "--reason",
        "old-print=the same",
        "--reason",
        "date-differs=the same",
    )
    said = [process.communicate()[0] for process in (printing, filing)]
    if "Traceback" in "".join(said):
        return "a traceback: " + "".join(said)
    if (printing.returncode, filing.returncode) != (0, 0):
        return f"statuses {printing.returncode}, {filing.returncode}: {said}"
    kept = read_records(folder / "jobs")
    if [item.subject for item in kept.filed] != [JOB]:
        return f"filed: {[item.subject for item in kept.filed]}"
    # what somebody typed is there, whoever came second
    if form.read_text("utf-8") != text:
        return "what was typed was written over"
    check = command(folder, "records", "check")
    told = check.communicate()[0]
    return "" if check.returncode == 0 else told


def main() -> None:
    """Print what became of each; 1 where something was torn."""
    saves = int(sys.argv[1]) if len(sys.argv) > 1 else 500
    seed = int(sys.argv[2]) if len(sys.argv) > 2 else 20261126
    with tempfile.TemporaryDirectory() as base:
        both = Counter[str]()
        for number in range(max(1, saves // 50)):
            folder = Path(base) / f"two{number}"
            shop_with(folder, DAY, (JOB,))
            ends = two_prints(folder)
            both[" and ".join(str(status) for status, _ in ends)] += 1
            assert all("Traceback" not in text for _, text in ends), ends
        print(f"two prints at once, their statuses: {dict(both)}")
        folder = Path(base) / "saved"
        shop_with(folder, DAY, (JOB,))
        told = prints_while_saved(folder, saves, seed)
        print(f"prints during {saves} saves: {dict(told)}")
        filed = Counter[str]()
        for number in range(max(1, saves // 50)):
            folder = Path(base) / f"filed{number}"
            shop_with(folder, DAY, (JOB,))
            run(folder)
            filed[filed_while_printed(folder, number * 0.2)] += 1
        print(f"filed while printed: {dict(filed)}")
    known = {"printed", "unchanged", "not-read", "prints"}
    wrong = [name for name in told if name.split(",")[0] not in known] + [name for name in filed if name]
    sys.exit(1 if wrong or set(both) - {"0 and 0", "0 and 3"} else 0)


if __name__ == "__main__":
    main()
