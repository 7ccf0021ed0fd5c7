"""Everything that reads bytes, each as one function of bytes: what the fuzzer feeds, and the test command a little.

A target raises nothing for whatever it is given, takes less than two seconds and little memory, and believes nothing that
cannot be: what it takes for good reads back as itself, ends in a plan or a list without a traceback, or is what another
reader of the same format finds there.
"""

import json
import math
import random
import re
import shutil
from collections.abc import Callable
from contextlib import suppress
from copy import deepcopy
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any
from unittest.mock import patch

import yaml

from packet.document import ShapeError, data_of, sealed, text_of, unsealed
from packet.ledger.check import check_records
from packet.ledger.state import UnreadableRecordsError, ledger, opening
from packet.office.cylinders import cylinder_list, cylinders_as_text
from packet.office.find import find_jobs, found_as_text
from packet.office.month.csv import month_csv
from packet.office.month.pdf import month_as_text
from packet.office.month.report import month_of
from packet.office.pages.model import from_print, memory_file, remembered
from packet.office.promised import promised_or_none
from packet.office.typed_form import read_readings
from packet.plan.document import plan_back, plan_document
from packet.plan.job import plan_job
from packet.po import catalogue_from
from packet.press.leaves import different
from packet.press.printed import PrintRecordError, in_order, print_files, record_bytes, records_of
from packet.press.run import known, sheet, state
from packet.refrigerant import memory
from packet.refrigerant.catalogue import find
from packet.refrigerant.properties import Properties, _remembered, properties
from packet.shop.bring_in import brought_in
from packet.shop.build import build
from packet.shop.edit import EditError, with_values
from packet.shop.load import load_job, load_registers
from packet.shop.records import Cylinder
from packet.shop.text import Map, Node, Seq, Text, parse, read
from packet.shop.unread import unread_job
from tests.bench.bench_own_files import BEFORE, JOB, Shop
from tests.office.returned import FORM, TODAY, registers
from tests.plan.builders import plan

DEMO = Path(__file__).parents[2] / "jobs"
DAY = "2026-11-26"
OWN = "R-22 62 % + R-407C 38 %"
Read = Callable[[bytes], None]


@dataclass(frozen=True)
class Target:
    """What reads. seeds: what it should read well; sealed: its files end in their digest, so that a bent one gets a new one."""

    read: Read
    seeds: tuple[bytes, ...]
    sealed: bool = False


def _print_record(folder: Path) -> Target:
    shop, path = _shop(folder)
    seeds = tuple(item.read_bytes() for item in sorted((shop.folder / "printed").glob("*.json")))
    honest = {unsealed(seed).digest.encode() for seed in seeds}
    (own,) = records_of(shop.folder, JOB)

    def reads(content: bytes) -> None:
        path.write_bytes(content)
        with suppress(PrintRecordError):
            for record in in_order(print_files(path.parent)[JOB]):
                whole = record_bytes(record)
                assert whole in seeds or not any(digest in content for digest in honest), "a changed record is believed"
                promised_or_none(record)
                from_print(record)
                different([own], record, len(record.pages))
                with suppress(ShapeError):
                    plan_back(dict(record.plan))
        found_as_text(find_jobs(registers(), shop.folder, "HP", today=TODAY))

    return Target(reads, seeds, sealed=True)


def _shop(folder: Path) -> tuple[Shop, Path]:
    """A shop, and the place of the one print record that is bent in it."""
    folder.mkdir(parents=True)
    shop = Shop(folder)
    path = folder / "printed" / f"{JOB}.{records_of(folder, JOB)[0].revision}.json"
    return shop, path


def _print_before(folder: Path) -> Target:
    folder.mkdir(parents=True)
    path = folder / "HP-1041.BBBB3333.yaml"
    for name in ("HP-1041.AAAA2222.yaml", "HP-1041.AAAA2222.2.yaml"):
        shutil.copy(BEFORE / "printed" / name, folder)

    def reads(content: bytes) -> None:
        path.write_bytes(content)
        try:
            found = in_order(print_files(folder)["HP-1041"])
        except PrintRecordError:
            return
        for record in found:
            record_bytes(record)
            promised_or_none(record)
            from_print(record)

    return Target(reads, tuple(item.read_bytes() for item in sorted((BEFORE / "printed").glob("*.yaml"))))


def _filed(folder: Path) -> Target:
    shop, _ = _shop(folder)
    (path,) = (shop.folder / "filed").glob("*.json")
    return Target(_adds_up(shop, path), (path.read_bytes(),), sealed=True)


def _filed_before(folder: Path) -> Target:
    shop, _ = _shop(folder)
    (other,) = (shop.folder / "filed").glob("*.json")
    other.unlink()
    (shop.folder / ".filed").unlink()
    seeds = tuple(item.read_bytes() for item in sorted((BEFORE / "filed").glob("*.yaml")))
    return Target(_adds_up(shop, shop.folder / "filed" / "000001-HP-1041.yaml"), seeds)


def _adds_up(shop: Shop, path: Path) -> Read:
    def reads(content: bytes) -> None:
        path.write_bytes(content)
        # a note that lags is no reason to look no further
        (shop.folder / ".filed").unlink(missing_ok=True)
        check_records(shop.folder)
        try:
            book = ledger(registers(), shop.folder, TODAY)
        except UnreadableRecordsError:
            return
        for one in book.states.values():
            assert math.isfinite(one.contents_lb), "a weight that is none"
            assert one.contents_lb >= 0.0, "less than nothing in a cylinder"
        cylinders_as_text(cylinder_list(book, TODAY), "US")
        month = month_of(registers(), shop.folder, 2026, 11, today=TODAY)
        month_csv(month)
        month_as_text(month)
        found_as_text(find_jobs(registers(), shop.folder, "HP", today=TODAY))

    return reads


def _state(folder: Path) -> Target:
    shop, _ = _shop(folder)
    part = shop.folder / "printed" / "runsheets" / DAY / "T1.1.json"
    sheet._record(shop.folder, DAY, "T1", sheet.PartPrint(1, records_of(shop.folder, JOB)[0].printed_at, "x" * 64))
    form = shop.folder / f"{JOB}.readings.yaml"
    form.write_text(FORM, "utf-8")
    paths = (state._job_file(shop.folder, JOB), memory_file(shop.folder, JOB), shop.folder / ".filed", part)

    def reads(content: bytes) -> None:
        for path in paths:
            path.write_bytes(content)
        one = state.read_job(shop.folder, JOB)
        if one is not None:
            state.write_job(shop.folder, JOB, one)
            assert state.read_job(shop.folder, JOB) == one
        state.blank_form(shop.folder, JOB, form)
        remembered(shop.folder, JOB)
        sheet.newest_part(shop.folder, DAY, "T1")
        with suppress(UnreadableRecordsError):
            ledger(registers(), shop.folder, TODAY)

    return Target(reads, tuple(path.read_bytes() for path in paths))


def _hookups(folder: Path) -> Target:
    folder.mkdir(parents=True)
    kept = known.Known("1" * 64, "2" * 64, "ABCD2345", (), plan(_demo_job()).findings)
    known.remember(folder, DAY, {JOB: kept})
    path = known._file(folder, DAY)

    def reads(content: bytes) -> None:
        path.write_bytes(content)
        found = known.recall(folder, DAY)
        for one in found.jobs.values():
            assert one.hookup.findings == one.findings
            assert all(item.message for item in one.findings)
        known.remember(folder, DAY, found.jobs)

    return Target(reads, (path.read_bytes(),), sealed=True)


def _memory(folder: Path) -> Target:
    gas = find(OWN)
    with _kept_in(folder):
        honest = properties(gas)
        path = memory._path(memory._key(gas.composition))
    seed = path.read_bytes()

    def reads(content: bytes) -> None:
        path.write_bytes(content)
        with _kept_in(folder):
            kept = _remembered(gas.composition)
        if kept is None:
            return
        mine = Properties(gas, kept)
        for at_F in (-20.0, 70.0, 120.0):
            assert abs(mine.liquid_lb_per_ft3(at_F) / honest.liquid_lb_per_ft3(at_F) - 1.0) < 0.15, "another liquid"
            assert 0.4 < mine.bubble_psia(at_F) / honest.bubble_psia(at_F) < 2.5, "another pressure"

    return Target(reads, (seed,))


def _kept_in(folder: Path) -> Any:
    return patch.dict("os.environ", {"PACKET_MEMORY": str(folder)})


def _plain(node: Node | None) -> Any:
    if isinstance(node, Map):
        return {entry.key: _plain(entry.node) for entry in node.entries}
    if isinstance(node, Seq):
        return [_plain(item) for item in node.items]
    return node.value if isinstance(node, Text) else None


# What PyYAML's own scanner refuses and YAML 1.2 (6.2, 8.1.1.1, 7.3.3) does not, or libyaml reads all the same to one end:
# a tab between values, a comment right behind the sign of a block, a question mark inside a text in brackets.
_NARROWER = ("'\\t' that cannot start any token", "chomping or indentation indicators")
_BRACKETS = re.compile(r"[\[{].*\?", re.DOTALL)


def _read_otherwise(text: str) -> tuple[Any] | None:
    """What PyYAML's own scanner and parser find there, which share no code with libyaml; None where they are narrower."""
    try:
        return (yaml.load(text, yaml.BaseLoader),)
    except yaml.MarkedYAMLError as error:
        if any(words in str(error.problem) for words in _NARROWER) or _BRACKETS.search(text):
            return None
        raise


def _yaml(folder: Path) -> Target:
    folder.mkdir(parents=True)
    path = folder / "HP-1041.yaml"
    changes = {
        ("truck",): "T2",
        ("cylinders",): ("C-118", "auto"),
        ("site", "name"): "The 'Elm' inn: #1",
        ("scale",): None,
    }

    def reads(content: bytes) -> None:
        path.write_bytes(content)
        found = read(path)
        unread_job(path, found.problems)
        if found.value is None or found.problems:
            return
        text = content.decode("utf-8-sig")
        assert _read_otherwise(text) in (None, (_plain(found.value),)), "another reader finds something else there"
        for key, value in changes.items():
            try:
                changed = with_values(text, {key: value})
            except EditError:
                continue
            before, after = _plain(found.value), _plain(parse(changed, "it").value)
            for one in (before, after):
                inside = one
                for part in key[:-1]:
                    inside = inside[part]
                inside.pop(key[-1], None)
            assert before == after, "another value than the one that was meant was changed"

    return Target(reads, (*_jobs(), b"a: [1, 'b', \"c\"]\nd:\n  - e\n  - f: g # h\n", b"a: |\n  b\n  c\nd: >-\n  e\n"))


@cache
def _jobs() -> tuple[bytes, ...]:
    return tuple(path.read_bytes() for path in sorted((DEMO / DAY).glob("*.yaml"))[:6])


def _copied(folder: Path) -> Path:
    """The demo shop's registers and an empty day."""
    folder.mkdir(parents=True)
    for path in DEMO.glob("*.yaml"):
        shutil.copy(path, folder)
    (folder / DAY).mkdir()
    return folder


def _demo_job() -> Any:
    there = load_registers(DEMO).value
    assert there is not None
    found = load_job(DEMO / DAY / "HP-1041.yaml", there).value
    assert found is not None
    return found


def _job(folder: Path) -> Target:
    shop = _copied(folder)
    there = load_registers(shop).value
    assert there is not None
    path = shop / DAY / "HP-1041.yaml"

    def reads(content: bytes) -> None:
        path.write_bytes(content)
        loaded = load_job(path, there)
        assert loaded.value is not None or loaded.problems
        for problem in loaded.problems:
            assert str(problem)
        if loaded.value is not None:
            planned = plan_job(loaded.value, there, opening(there))
            text_of(plan_document(planned))
            for cylinder in planned.cylinders:
                assert (
                    cylinder.stop_gross_lb.value < cylinder.cylinder.tare_lb + cylinder.cylinder.water_capacity_lb * 2.0
                )

    return Target(reads, (_jobs()[0],))


def _register(folder: Path) -> Target:
    shop = _copied(folder)
    files = [shop / name for name in ("shop.yaml", "cylinders.yaml", "machines.yaml", "technicians.yaml")]
    whole = {path: path.read_bytes() for path in files}

    def reads(content: bytes) -> None:
        for path in files:
            path.write_bytes(content)
            loaded = load_registers(shop)
            assert loaded.value is not None or loaded.problems
            for problem in loaded.problems:
                assert str(problem)
            path.write_bytes(whole[path])

    return Target(reads, tuple(content[:4000] for content in whole.values()))


def _csv(folder: Path) -> Target:
    folder.mkdir(parents=True)
    path, shop = folder / "cylinders.csv", folder / "shop"
    shop.mkdir()

    def reads(content: bytes) -> None:
        path.write_bytes(content)
        found = brought_in(path, shop)
        if found.value is None:
            assert found.problems
            return
        _, text, count = found.value
        node = parse(text, "it")
        assert node.value is not None, node.problems
        assert not node.problems, node.problems
        assert isinstance(node.value, Seq), "no list"
        assert len(node.value.items) == count
        for item in node.value.items:
            assert isinstance(item, Map)
            assert not build(Cylinder, item, "it").problems, "what was brought in cannot be read"

    seeds = (
        b"id,spec,water_capacity_lb,tare_lb,tested\nC-1,DOT-4BA400,47.6,27.5,2024-03\nC-2,DOT-4BA400,95.2,50,2023-11\n",
        b'id;spec;water_capacity_lb;tare_lb;tested;refrigerant;contents_lb\r\n"C-1";DOT-4BA400;47.6;27.5;2024-03;R-410A;6\r\n',
        b"id\tspec\twater_capacity_l\ttare_kg\tmade\nC-9\tDOT-4BW260\t21.6\t12.5\t2019-05\n",
    )
    return Target(reads, seeds)


def _form(folder: Path) -> Target:
    def reads(content: bytes) -> None:
        found = parse(content.decode("utf-8", "replace"), "it")
        if found.value is not None:
            _, problems = read_readings(found.value, "it")
            for problem in problems:
                assert str(problem)

    del folder
    return Target(reads, (FORM.encode(),))


def _po(folder: Path) -> Target:
    del folder
    seed = (
        b'msgid ""\nmsgstr ""\n"Plural-Forms: nplurals=2; plural=(n != 1);\\n"\n\n#, fuzzy\nmsgid "a"\nmsgstr "b"\n\n'
        b'msgctxt "c"\nmsgid "d {e}"\nmsgid_plural "f"\nmsgstr[0] "g"\nmsgstr[1] "h"\n\nmsgid "i"\nmsgstr "j\\n\\"k"\n'
    )

    def reads(content: bytes) -> None:
        found = catalogue_from("es", content.decode("utf-8", "replace"))
        for forms in found.plurals.values():
            assert all(forms[found.form(count)] for count in (0, 1, 2, 11))

    return Target(reads, (seed,))


MAKERS: dict[str, Callable[[Path], Target]] = {
    "print-record": _print_record,
    "print-before": _print_before,
    "filed": _filed,
    "filed-before": _filed_before,
    "state": _state,
    "hookups": _hookups,
    "memory": _memory,
    "yaml": _yaml,
    "job": _job,
    "register": _register,
    "csv": _csv,
    "form": _form,
    "po": _po,
}
NAMES = tuple(MAKERS)


def target_in(folder: Path, name: str) -> Target:
    """A target by its name, with the files it needs below `folder`."""
    return MAKERS[name](folder / name)


ODD: tuple[Any, ...] = (
    None, True, False, 0, -1, 1, 2**70, 1e308, -0.0, 1e-320, "", " ", "\x00", "0", "yes", "NaN", "1e999", "２", "\ud800",
    "../../etc/x", "x" * 5000, [], {}, [[]], [{}], {"": ""}, "2026-11-26", "2026-13-45", "24:61", "2026-11-26T00:00:00",
    "R-22", "mixed", "C-1", "HP-1041",
)  # fmt: skip


def bent(data: Any, chance: random.Random) -> Any:
    """Some data with one thing in it changed: another type, gone, twice, a neighbor's, one level in or out."""
    whole = deepcopy(data)
    holder: Any = whole
    path: list[tuple[Any, Any]] = []
    while isinstance(holder, dict | list) and holder:
        key = chance.choice(list(holder)) if isinstance(holder, dict) else chance.randrange(len(holder))
        path.append((holder, key))
        holder = holder[key]
    if not path:
        return chance.choice(ODD)
    at, key = path[min(len(path) - 1, int(chance.triangular(0, len(path), len(path))))]
    kind = chance.randrange(7)
    if kind == 0:
        del at[key]
    elif kind == 1:
        at[key] = [at[key]]
    elif kind == 2 and isinstance(at[key], str):
        at[key] = at[key][: chance.randrange(len(at[key]) + 1)] + chance.choice(["", ".", "-", "0", "é", " "])
    elif kind == 3 and isinstance(at, list):
        at.insert(key, deepcopy(at[key]))
    elif kind == 4 and isinstance(at[key], int | float) and not isinstance(at[key], bool):
        at[key] = at[key] * chance.choice([-1, 0, 10, 1e6, 1e300])
    elif kind == 5 and isinstance(at, dict):
        at[str(chance.choice(ODD))] = at.pop(key)
    else:
        at[key] = chance.choice(ODD)
    return whole


def sealed_again(content: bytes, chance: random.Random) -> bytes:
    """A sealed file with one to three things in it changed, under a new seal; the same where it cannot be read."""
    try:
        data: Any = unsealed(content).data
        for _ in range(chance.randrange(1, 4)):
            data = bent(data, chance)
        return sealed(data if isinstance(data, dict) else {"format": data}, broken=2)
    except (ShapeError, ValueError, TypeError, RecursionError):
        return content


def json_again(content: bytes, chance: random.Random) -> bytes:
    """Any JSON with one thing in it changed."""
    try:
        return json.dumps(bent(data_of(content), chance)).encode()
    except (ShapeError, ValueError, RecursionError):
        return content
