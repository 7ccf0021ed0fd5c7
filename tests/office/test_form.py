"""The form beside the packet: the Record sheet's blanks in their order, for every job of the demo shop, and filed again."""

import re
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from decimal import Decimal
from pathlib import Path

import pytest
import yaml

from packet.hookup.build import build_hookup
from packet.hookup.model import Hookup
from packet.ledger.state import ledger
from packet.office.file import file_form
from packet.office.form import empty_form
from packet.office.typed_form import read_readings
from packet.plan.document import plan_document
from packet.plan.job import plan_job
from packet.plan.model import Plan
from packet.press.printed import PrintRecord, write_record
from packet.sheets.blanks import blanks_of, written
from packet.shop import text
from packet.shop.load import job_files, load_job, load_registers
from packet.shop.records import Registers
from packet.units import floor_to

DEMO = Path(__file__).parents[2] / "jobs"
NO_STEPS = Hookup((), (), ())


@pytest.fixture(scope="module")
def demo() -> Registers:
    """The demo shop's registers."""
    registers = load_registers(DEMO).value
    assert registers is not None
    return registers


JOBS = [path for folder in sorted(DEMO.glob("2026-*")) for path in job_files(folder)]


def planned(path: Path, demo: Registers, tmp_path: Path) -> Plan:
    job = load_job(path, demo).value
    assert job is not None
    return plan_job(job, demo, ledger(demo, tmp_path, job.date).states)


@pytest.fixture(params=JOBS, ids=lambda path: path.stem)
def plan(request: pytest.FixtureRequest, demo: Registers, tmp_path: Path) -> Plan:
    return planned(request.param, demo, tmp_path)


def test_the_forms_keys_are_the_record_sheets_blanks_in_their_order(plan: Plan) -> None:
    form = empty_form(plan, NO_STEPS, "ABCD2345")
    typed = text.parse(form, "form")
    assert not typed.problems
    keys = [
        key
        for key in flat(yaml.safe_load(form))
        if key.partition(".")[0] not in {"job", "revision", "reasons", "correction"}
    ]
    assert keys == [blank.key for blank in blanks_of(plan, NO_STEPS)]
    numbers = [int(number) for number in re.findall(r":  # (\d+) ", form)]
    assert numbers == list(range(1, len(keys) + 1))


def flat(tree: object, before: str = "") -> list[str]:
    if not isinstance(tree, dict):
        return [before[:-1]]
    return [key for name, value in tree.items() for key in flat(value, f"{before}{name}.")]


def test_an_empty_form_says_what_is_missing_and_nothing_else(plan: Plan, demo: Registers, tmp_path: Path) -> None:
    leave_print(plan, tmp_path)
    path = tmp_path / "form.yaml"
    path.write_text(empty_form(plan, NO_STEPS, "ABCD2345"))
    filing = file_form(path, tmp_path, demo, today=plan.job.date, filed_at=datetime(2026, 11, 27, tzinfo=UTC))
    assert [item.field for item in filing.problems] == ["date", "technician", "refrigerant"]
    assert filing.filed is None


def leave_print(plan: Plan, shop: Path) -> None:
    record = PrintRecord(
        plan.job.job,
        "ABCD2345",
        plan.job.date,
        datetime(2026, 11, 26, 6, tzinfo=UTC),
        "",
        (),
        "letter",
        (),
        (),
        (),
        plan_document(plan),
    )
    write_record(shop, record)


def field_work(plan: Plan) -> str:
    """The form as a technician would send it in after a job that went as planned."""
    return fill_in(empty_form(plan, NO_STEPS, "ABCD2345"), read_off(plan))


def read_off(plan: Plan) -> dict[str, str]:
    """What was read on a job that went as planned, by the form's keys."""
    evacuation, unit = plan.evacuation, plan.registers.shop.units
    assert evacuation is not None
    assert plan.technician is not None
    values = {
        "date": plan.job.date.isoformat(),
        "technician": plan.technician.name,
        "card": plan.technician.card or "none",
        "supervisor": plan.supervisor.name if plan.supervisor else "",
        "second": plan.second.name or "the customer" if plan.second else "",
        "gas_owner": plan.job.work.owner_of_gas or "the shop",
        "destination": plan.job.work.disposition if plan.job.work.disposition != "open" else "reclaim",
        "statement.disposal": "yes",
        "times.start": plan.job.start.isoformat("minutes"),
        "times.end": (datetime.combine(plan.job.date, plan.job.start) + timedelta(hours=3)).strftime("%H:%M"),
        "refrigerant": plan.refrigerant.name if plan.refrigerant else "unknown",
        "rise.waited_minutes": str(evacuation.rise_check_minutes),
        "final.gauge_mmHg_absolute": "24",
        "rise.gauge_mmHg_absolute": "25",
    }
    vacuum = evacuation.gauge_at_site_inHg_vacuum.value if evacuation.gauge_at_site_inHg_vacuum else 0.0
    values |= {"final.gauge_inHg_vacuum": f"{vacuum + 0.2:.1f}", "rise.gauge_inHg_vacuum": f"{vacuum + 0.05:.2f}"}
    total = Decimal(0)
    for item in plan.cylinders:
        before, put = weighed(item.expected_bare_gross_lb.value, unit), weighed(item.planned_lb.value, unit)
        total += put
        key, ending = f"cylinders.{item.cylinder.id}", "lb" if unit == "US" else "kg"
        values |= {
            f"{key}.bare_before_gross_{ending}": str(before),
            f"{key}.bare_after_gross_{ending}": str(before + put),
            f"{key}.put_in_{ending}": str(put),
        }
    values |= {"recovered_lb": str(total), "recovered_kg": str(total)}
    values |= {
        "final.gauge_kPa_vacuum": f"{vacuum * 3.386389 + 0.2:.1f}",
        "rise.gauge_kPa_vacuum": f"{vacuum * 3.386389 + 0.1:.1f}",
    }
    values |= {"final.gauge_kPa_absolute": "3.2", "rise.gauge_kPa_absolute": "3.3"}
    return values


def weighed(lb: float, units: str) -> Decimal:
    """What a good scale shows: tenths of a pound, fiftieths of a kilogram."""
    return floor_to(lb + 1e-6, 0.1) if units == "US" else floor_to(lb * 0.45359237 + 1e-6, 0.02)


def fill_in(form: str, values: dict[str, str]) -> str:
    """Write the values behind their keys; ticks and initials everywhere else they are asked."""
    out, path = [], list[str]()
    for line in form.split("\n"):
        match = re.match(r"( *)([^#\s:][^:]*):(.*)", line)
        if match is None or "#" not in line:  # a comment line, or a key that opens a block
            path = [*path[: len(match[1]) // 2], match[2]] if match else path
            out.append(line)
            continue
        path = [*path[: len(match[1]) // 2], match[2]]
        key = ".".join(path)
        value = values.get(key, "")
        if not value and any(word in key for word in ("initialled", "cleared", "checked", "filled", "signatures")):
            value = "yes"
        if key.endswith(".inspected"):
            value = "AS"
        out.append(f"{match[1]}{match[2]}: {value or match[3].strip()}" if value else line)
    return "\n".join(out)


def test_a_job_that_went_as_planned_is_filed_without_a_question(plan: Plan, demo: Registers, tmp_path: Path) -> None:
    if not plan.may_go_out:  # the second day's jobs are there to be stopped: nothing of them comes back
        assert plan.findings
        return
    leave_print(plan, tmp_path)
    path = tmp_path / "form.yaml"
    path.write_text(field_work(plan))
    filing = file_form(path, tmp_path, demo, today=plan.job.date, filed_at=datetime(2026, 11, 27, tzinfo=UTC))
    assert filing.problems == ()
    assert filing.unanswered == ()
    assert filing.filed is not None
    tonight = ledger(demo, tmp_path, plan.job.date).states
    for item in plan.cylinders:
        put = float(weighed(item.planned_lb.value, "US"))
        assert tonight[item.cylinder.id].contents_lb == pytest.approx(item.contents_lb + put, abs=1e-6)
    assert (
        ledger(demo, tmp_path, date(2026, 11, 20)).states
        == ledger(demo, tmp_path / "nothing", date(2026, 11, 20)).states
    )


def test_a_shop_that_reads_kilograms_files_kilograms(demo: Registers, tmp_path: Path) -> None:
    metric = demo.model_copy(update={"shop": demo.shop.model_copy(update={"units": "SI"})})
    for path in job_files(DEMO / "2026-11-26"):
        shop = tmp_path / path.stem
        plan = planned(path, metric, shop)
        leave_print(plan, shop)
        form = shop / "form.yaml"
        form.write_text(field_work(plan))
        filing = file_form(form, shop, metric, today=plan.job.date, filed_at=datetime(2026, 11, 27, tzinfo=UTC))
        assert (filing.problems, filing.unanswered) == ((), ()), plan.job.job
        assert filing.filed is not None
        assert all("moved_kg" in move for move in filing.filed.body["moves"])


def test_every_reading_written_at_a_step_has_its_number_in_the_form(demo: Registers, tmp_path: Path) -> None:
    for path in JOBS:
        plan = planned(path, demo, tmp_path)
        if not plan.may_go_out:
            continue
        hookup = build_hookup(plan)
        keys = written(hookup)
        assert {"start.standing_psig", "start.standing_mmHg_absolute"} & set(keys), plan.job.job
        assert keys <= {blank.key for blank in blanks_of(plan, hookup)}, plan.job.job
        form = empty_form(plan, hookup, "ABCD2345")
        _, problems = read_readings(node_of(form), "form")
        assert problems == ()


def node_of(form: str) -> text.Node:
    node = text.parse(form, "form").value
    assert node is not None
    return node


def test_a_cylinder_whose_id_has_dots_or_looks_like_a_number_keeps_its_name(demo: Registers, tmp_path: Path) -> None:
    plan = planned(JOBS[0], demo, tmp_path)
    first = plan.cylinders[0]
    odd = replace(plan, cylinders=(replace(first, cylinder=first.cylinder.model_copy(update={"id": "0118.5"})),))
    form = empty_form(odd, NO_STEPS, "12345672")
    node = text.parse(form, "form").value
    assert node is not None
    readings, problems = read_readings(node, "form")
    assert problems == ()
    assert (readings.cylinders, readings.revision) == (("0118.5",), "12345672")
    assert yaml.safe_load(form)["revision"] == "12345672"
