"""Files that this program wrote itself, bent in every way: none may end in a traceback, a hang or another number.

`PYTHONPATH=. .venv/bin/python tests/bench/bench_own_files.py [COUNT] [SEED]`; `tests/test_own_files.py` runs a few.
"""

import random
import shutil
import sys
import tempfile
import time
from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass, replace
from pathlib import Path

from packet.document import ShapeError
from packet.ledger.records import read_records
from packet.ledger.state import UnreadableRecordsError, ledger
from packet.office.pages.model import Known, Page, memory_file, memory_text, remembered
from packet.office.promised import promised
from packet.plan.document import plan_back, plan_document
from packet.press.printed import PrintRecordError, record_bytes, records_of
from packet.press.run import state
from packet.press.run.state import Remembered
from tests.office.returned import TODAY, hand_in, print_it, registers
from tests.plan.builders import job, plan

BEFORE = Path(__file__).parents[1] / "before"
JOB = "HP-1041"
Change = Callable[[bytes, random.Random], bytes]


def _place(content: bytes, chance: random.Random) -> int:
    return chance.randrange(len(content) or 1)


def _bit(content: bytes, chance: random.Random) -> bytes:
    at = _place(content, chance)
    return content[:at] + bytes([content[at] ^ (1 << chance.randrange(8))]) + content[at + 1 :]


def _digit(content: bytes, chance: random.Random) -> bytes:
    """One figure of a number becomes another: what no shape shows."""
    places = [at for at, byte in enumerate(content) if 48 <= byte <= 57]
    if not places:
        return content
    at = chance.choice(places)
    return content[:at] + bytes([48 + (content[at] - 48 + chance.randrange(1, 10)) % 10]) + content[at + 1 :]


def _word(content: bytes, chance: random.Random) -> bytes:
    """A value of another type, or none, in the place of one."""
    at = content.find(b": ", _place(content, chance))
    end = min(
        (place for place in (content.find(mark, at) for mark in (b",", b"\n")) if place > at), default=len(content)
    )
    value = chance.choice(
        [b"null", b"true", b"[]", b"{}", b"-1", b"1e999", b'""', b'"\\u0000"', b"*a", b"&a [*a]", b"[" * 500]
    )
    return content if at < 0 else content[: at + 2] + value + content[end:]


def _twice(content: bytes, chance: random.Random) -> bytes:
    lines = content.splitlines(keepends=True)
    at = chance.randrange(len(lines))
    return b"".join([*lines[: at + 1], lines[at], *lines[at + 1 :]])


def _without(content: bytes, chance: random.Random) -> bytes:
    lines = content.splitlines(keepends=True)
    del lines[chance.randrange(len(lines))]
    return b"".join(lines)


CHANGES: tuple[Change, ...] = (
    _bit,
    _digit,
    _word,
    _twice,
    _without,
    lambda content, chance: content[: _place(content, chance)],
    lambda content, chance: content[: _place(content, chance)] + chance.randbytes(40),
    lambda content, _chance: content + content,
    lambda _content, chance: chance.randbytes(chance.randrange(300)),
    lambda _content, chance: b"[" * chance.randrange(200_000),
    lambda content, chance: content.replace(b'"', chance.choice([b"", b"'", b'\\"'])),
    lambda content, _chance: b"\0" * len(content),
)


@dataclass
class Shop:
    """A shop with a filed job, its print, what is remembered of both, and the same from before."""

    folder: Path

    def __post_init__(self) -> None:
        print_it(self.folder)
        assert hand_in(self.folder).filed
        self.plan = plan(job("R-410A", 20.0))
        (record,) = records_of(self.folder, JOB)
        whole = record_bytes(replace(record, job="HP-2", plan=plan_document(self.plan)))
        (self.folder / "printed" / f"HP-2.{record.revision}.json").write_bytes(whole)
        self.before = self.folder / "before"
        shutil.copytree(BEFORE, self.before)
        state.write_job(self.folder, JOB, Remembered("tools", "ABCD2345", "1" * 64, ""))
        memory_file(self.folder, JOB).parent.mkdir(parents=True)
        known = Known(JOB, "2026-11-26", "T1", "08:30", "Wren", "Market", "1 Elm", "cooler", "R-22")
        memory_file(self.folder, JOB).write_text(memory_text(Page(known, (JOB,), "0" * 64)))
        self.contents = self._contents()
        self.prints = [promised(item) for item in records_of(self.folder, JOB)]

    def _contents(self) -> object:
        return ledger(registers(), self.folder, TODAY).states

    def files(self) -> list[Path]:
        """What is bent."""
        found = [path for path in self.folder.rglob("*") if path.is_file() and path.suffix in {".json", ".yaml"}]
        return sorted([*(path for path in found if "readings" not in path.name), self.folder / ".filed"])

    def used(self, path: Path) -> str:
        """Everything that reads it, as the commands do: 'refused', 'same' or 'made anew'; anything else is a slip."""
        if self.before in path.parents:
            return self._before(path)
        if path == memory_file(self.folder, JOB):
            return "made anew" if remembered(self.folder, JOB) is None else "same"
        if state.FOLDER in path.parts:
            return "made anew" if state.read_job(self.folder, JOB) is None else "same"
        try:
            assert self._contents() == self.contents, "another weight in a cylinder"
            assert [promised(item) for item in records_of(self.folder, JOB)] == self.prints, "another promise"
            (record,) = records_of(self.folder, "HP-2")
            assert plan_back(dict(record.plan)).cylinders == self.plan.cylinders, "another plan"
        except (UnreadableRecordsError, PrintRecordError):
            return "refused"
        return "same"

    def _before(self, path: Path) -> str:
        read_records(self.before)
        try:
            for item in records_of(self.before, path.name.split(".")[0]):
                promised(item)
        except (PrintRecordError, ShapeError):
            return "refused"
        return "same"


def run(count: int, seed: int = 20261126) -> Counter[str]:
    """So many changes, one at a time; what became of each. Raises what a command would have ended in."""
    chance, told = random.Random(seed), Counter[str]()
    with tempfile.TemporaryDirectory() as folder:
        shop = Shop(Path(folder))
        files = shop.files()
        for _ in range(count):
            path = chance.choice(files)
            whole = path.read_bytes()
            bent = chance.choice(CHANGES)(whole, chance)
            path.write_bytes(bent)
            try:
                told[shop.used(path)] += 1
            except BaseException:
                print(path, bent[:400], file=sys.stderr)
                raise
            finally:
                path.write_bytes(whole)
    return told


def main() -> None:
    """Print what became of the changes, and how long one takes."""
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 20_000
    started = time.perf_counter()
    told = run(count, int(sys.argv[2]) if len(sys.argv) > 2 else 20261126)
    each = (time.perf_counter() - started) / count
    print(f"{count} changes: {dict(told)}; {each * 1000:.1f} ms each; no traceback, no other number")


if __name__ == "__main__":
    main()
