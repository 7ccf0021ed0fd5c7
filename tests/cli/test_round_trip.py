"""The whole way of the demo day: printed, worked in the field, scanned, sorted, filed, added up; checked on another route."""

import csv
import re
import shutil
from collections import defaultdict
from collections.abc import Iterator
from datetime import datetime
from fractions import Fraction
from functools import partial
from pathlib import Path

import numpy as np
import pypdfium2
import pytest
import yaml
from PIL import Image

from packet.cli.main import main
from packet.plan.job import plan_job
from packet.press.printed import PrintRecord, records_of
from packet.press.run.day import folders, read_days
from packet.scan.sort import sort
from tests.office.test_form import fill_in, read_off
from tests.scan import paper, scanner, stack

ROOT = Path(__file__).parents[2]
DAY = "2026-11-26"
STACKS = 2
# a job whose packet comes back with a hold that nobody initialed, though its form says yes
FORGOTTEN = "HP-1042"


def is_marked(record: PrintRecord, key: str) -> bool:
    """Whether a box is marked on the paper: as the form says of a job that went as planned, but for one hold."""
    hold = next(box.key for box in record.boxes if box.key.startswith("hold."))
    if record.job == FORGOTTEN and key == hold:
        return False
    blank = key.endswith(".not_used") or key.startswith("exceptions.")
    return not blank and key not in {"supplies.nitrogen", "statement.disposition", "statement.leaked"}


@pytest.fixture
def evening(monkeypatch: pytest.MonkeyPatch) -> datetime:
    """Six in the evening of the demo day, on every clock a command looks at."""
    at = datetime.fromisoformat(f"{DAY}T18:00:00+00:00")
    for module in ("filing", "printing"):
        monkeypatch.setattr(f"packet.cli.{module}.now", lambda: at)
        monkeypatch.setattr(f"packet.cli.{module}.today", at.date)
    return at


def scanned_pages(out: Path, records: list[PrintRecord], folder: Path) -> Iterator[stack.Scanned]:
    """Every page of every packet, filled in with a pen and worn as paper comes back."""
    rng = np.random.default_rng(1126)
    for record in records:
        document = pypdfium2.PdfDocument(out / f"{record.job}.pdf")
        for page in range(1, len(record.pages) + 1):
            view = document[page - 1].render(scale=paper.DPI / 72, grayscale=True).to_numpy()
            picture = np.array(view.reshape(view.shape[:2]), np.uint8)
            yield stack.scan_picture(
                folder, picture, record, page, wear=scanner.some_wear(rng), rng=rng, means=partial(is_marked, record)
            )
        document.close()


def merged(pages: list[stack.Scanned], folder: Path) -> dict[str, stack.Scanned]:
    """The pages shuffled and fed through as STACKS files; the truth by 'file, page' as the report names its sources."""
    order = [pages[index] for index in np.random.default_rng(7).permutation(len(pages))]
    truth: dict[str, stack.Scanned] = {}
    for number in range(STACKS):
        part = order[number::STACKS]
        first, *others = (Image.open(page.path) for page in part)
        first.save(folder / f"stack{number}.pdf", save_all=True, append_images=others, resolution=150, quality=80)
        truth |= {f"stack{number}.pdf {place}": page for place, page in enumerate(part, 1)}
    return truth


def test_the_demo_day_comes_back(tmp_path: Path, evening: datetime, capsys: pytest.CaptureFixture[str]) -> None:
    shop, out, pictures = tmp_path / "jobs", tmp_path / "out", tmp_path / "pictures"
    shutil.copytree(ROOT / "jobs", shop, ignore=shutil.ignore_patterns("printed", "filed", "2026-11-27"))
    pictures.mkdir()
    assert main(["print", str(shop / DAY), "--out", str(out)]) == 0
    jobs = sorted(path.stem for path in (shop / DAY).glob("*.yaml"))
    records = [records_of(shop, job)[-1] for job in jobs]
    assert len(records) == 9

    # scans: every page goes to its own job, and boxes are read as they were marked
    pages = list(scanned_pages(out, records, pictures))
    truth = merged(pages, tmp_path)
    (day,), problems = read_days(folders([shop / DAY]))
    assert problems == ()
    scans = [tmp_path / f"stack{number}.pdf" for number in range(STACKS)]
    report = sort(scans, shop, out, day.registers.shop.records_url, workers=1)
    right = wrong_job = marks = wrong_marks = 0
    for packet in report.filed:
        for page in packet.pages:
            name, place = re.findall(r"stack\d\.pdf|\d+", page.source)[:2]
            scan = truth[f"{name} {place}"]
            right += page.address == scan.address
            wrong_job += page.address.job != scan.address.job
            for mark in page.marks:
                meant = "marked" if scan.meant.get(mark.key) else "empty"
                marks += 1
                wrong_marks += mark.mark not in {"doubtful", meant}
    assert wrong_job == 0
    assert right >= 0.99 * len(pages)
    assert wrong_marks <= 0.02 * marks
    assert right + len(report.loose) >= len(pages)  # none is dropped

    # readings: each form as it lies beside its packet, typed in from a job that went as planned
    states = dict(day.states)
    for job in sorted(day.jobs, key=lambda job: job.start):
        form = out / f"{job.job}.readings.yaml"
        form.write_text(fill_in(form.read_text("utf-8"), read_off(plan_job(job, day.registers, states))), "utf-8")
    capsys.readouterr()
    forms = [str(out / f"{job.job}.readings.yaml") for job in sorted(day.jobs, key=lambda job: job.start)]
    filing = ["file", *forms, "--shop", str(shop), "--out", str(out)]
    assert main(filing) == 1
    asked = [line for line in capsys.readouterr().err.splitlines() if line.endswith("]")]
    assert [(FORGOTTEN in line, "[scan-holds]" in line) for line in asked] == [(True, True)], asked
    assert main([*filing, "--reason", "scan-holds=he was there and says so"]) == 0, capsys.readouterr().err
    assert main(["month", "2026-11", "--shop", str(shop), "--out", str(out)]) == 0
    assert main(["records", "check", "--shop", str(shop)]) == 0

    # the sums once more, from what the forms say, in fractions of a pound
    typed = defaultdict[str, Fraction](Fraction)
    for path in forms:
        blanks = yaml.load(Path(path).read_text("utf-8"), yaml.BaseLoader)
        for each in blanks["cylinders"].values():
            if each["bare_after_gross_lb"]:
                typed[blanks["job"]] += Fraction(each["bare_after_gross_lb"]) - Fraction(each["bare_before_gross_lb"])
    added = defaultdict[str, Fraction](Fraction)
    with (out / "month-2026-11.csv").open(encoding="utf-8", newline="") as file:
        for row in csv.DictReader(file):
            if row["how"] == "recovered":
                added[row["job"]] += Fraction(row["lb"])
    assert added == typed
    assert set(typed) == set(jobs)
    for name in jobs:
        assert "filed" in (out / "records" / name / "index.html").read_text("utf-8").casefold()
