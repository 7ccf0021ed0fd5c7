"""A large branch made by the program's own writers: cylinders, filed and printed jobs, and a day with jobs to come.

The day's jobs are the demo day's, over and over, each round with trucks, people, machines, scales and cylinders of its
own (`bench_day.large_shop`). All other cylinders stand in the yard, in every state; the filed jobs went into them.
"""

import re
import shutil
import subprocess
import sys
from datetime import date, timedelta
from decimal import Decimal
from pathlib import Path
from typing import Any

from packet.document import data_of, sealed
from packet.ledger import records
from packet.ledger.records import Filed, filed_folder
from packet.ledger.witness import Witness, write_witness
from packet.press.printed import printed_folder
from tests.bench.bench_day import DAY, large_shop
from tests.bench.bench_ledger import body

GASES = ("R-22", "R-404A", "R-410A", "R-134a", "R-407C", "R-454B", "R-32", "R-449A")
SIZES = ((26.2, 17.2), (47.6, 27.5), (95.3, 55.1), (239.0, 120.0), (400.0, 190.0), (1000.0, 380.0))
SPECS = ("DOT-4BA400", "DOT-4BA400", "DOT-4BA350", "DOT-4BW400", "DOT-4BA240")
JOBS_A_DAY = 50
STARTED = date.fromisoformat(DAY)


def made(folder: Path, *, cylinders: int, filed: int, printed: int, jobs: int) -> Path:
    """The shop of these sizes below `folder`, made when it is not there yet. The folder `jobs` of it."""
    place = folder / f"{cylinders}-{filed}-{printed}-{jobs}"
    shop = place / "jobs"
    if (place / "whole").is_file():
        return shop
    shutil.rmtree(place, ignore_errors=True)
    place.mkdir(parents=True)
    large_shop(place, jobs)
    register = shop / "cylinders.yaml"
    text = register.read_text("utf-8")
    text += "".join(f"{_cylinder(number)}\n" for number in range(cylinders - _entries(text)))
    register.write_text(text, "utf-8")
    sample, job = _sample(place, shop)
    _past(shop, filed, printed, sample, job)
    (place / "whole").touch()
    return shop


def _entries(text: str) -> int:
    return len(re.findall(r"^- ", text, re.MULTILINE))


def name_of(number: int) -> str:
    """The id of a cylinder of the yard."""
    return f"Y-{number:05}"


def _cylinder(number: int) -> str:
    """One line of the register: in test or not, empty, part filled or full, of several sizes and kinds."""
    water, tare = SIZES[number % 53 % len(SIZES)]
    tare = round(tare + number % 23 / 10, 1)  # no two are quite alike
    year = 2019 + number % 7
    spec = SPECS[number % 17 % len(SPECS)]
    parts = [f"id: {name_of(number)}", f"spec: {spec}", f"water_capacity_lb: {water}", f"tare_lb: {tare}"]
    parts.append(f"tested: {year}-{number % 11 + 1:02}")
    if number % 5 == 0:
        parts.append("flammable_rated: yes")
    if number % 3:
        share = (number % 31) / 40
        parts += [f"refrigerant: {GASES[number % len(GASES)]}", f"contents_lb: {round(share * water, 1)}"]
    return "- {" + ", ".join(parts) + "}"


def _sample(place: Path, shop: Path) -> tuple[dict[str, Any], str]:
    """A print record as the program writes it, and the job file it is about: of a demo shop of one job."""
    small = large_shop(place / "sample", 1)
    file = next((small / DAY).glob("*.yaml"))
    command = [sys.executable, "-c", "from packet.cli.main import main; raise SystemExit(main())"]
    command += ["print", str(file), "--out", str(place / "sample" / "out")]
    subprocess.run(command, check=False, capture_output=True)
    record = data_of(next((small / "printed").glob("HP-*.json")).read_bytes())
    del record["digest"]
    text = file.read_text("utf-8")
    shutil.rmtree(place / "sample")
    assert shop.is_dir()
    return record, text


def _past(shop: Path, filed: int, printed: int, sample: dict[str, Any], job: str) -> None:
    """Days that are over: a job file, a print and a filed record for each job; of one in fifty the readings are out yet."""
    out_yet = printed // 50
    count = max(filed, printed) + out_yet
    folder, prints = filed_folder(shop), printed_folder(shop)
    folder.mkdir()
    prints.mkdir()
    before, truck = str(sample["job"]), re.search(r"^truck: (\S+)", job, re.MULTILINE)
    assert truck is not None
    first = STARTED - timedelta(days=1 + (count - 1) // JOBS_A_DAY)
    previous: list[str] = []
    raw = b""
    for number in range(count):
        name, day = f"HQ-{number:05}", (first + timedelta(days=number // JOBS_A_DAY)).isoformat()
        (shop / day).mkdir(exist_ok=True)
        text = job.replace(before, name).replace(DAY, day)
        (shop / day / f"{name}.yaml").write_text(text, "utf-8")
        if count - printed <= number:
            data = _renamed(sample, before, name)
            data |= {"date": day, "printed_at": f"{day}T06:30:00+00:00", "revision": "ABCD2345"}
            (prints / f"{name}.ABCD2345.json").write_bytes(sealed(data, broken=2))
        if number < filed:
            _, _, content = body(number * 20)  # every one a job's
            content |= {"date": day, "filed_at": f"{day}T17:05:00+00:00", "moves": [_move(number)]}
            raw = records.compose(number + 1, "job", name, previous, content)
            item = records.parse(f"{number + 1:06}-{name}.json", raw)
            assert isinstance(item, Filed)
            previous = [item.digest]
            (folder / item.name).write_bytes(raw)
    if filed:
        write_witness(shop, Witness(filed, previous[0]))


def _renamed(data: Any, before: str, after: str) -> Any:
    """The data with one job's id in the place of another's."""
    if isinstance(data, str):
        return data.replace(before, after)
    if isinstance(data, list):
        return [_renamed(item, before, after) for item in data]
    if isinstance(data, dict):
        return {key: _renamed(value, before, after) for key, value in data.items()}
    return data


def _move(number: int) -> dict[str, object]:
    """A little more of what a cylinder of the yard holds; of the roomy ones, each in its turn."""
    cylinder = number * 3 + 1
    return {
        "cylinder": name_of(cylinder),
        "refrigerant": GASES[cylinder % len(GASES)],
        "moved_lb": f"{Decimal(number % 9) / 10 + Decimal('0.1')}",
    }
