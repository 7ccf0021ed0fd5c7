"""Files that are not what they should be: one clear problem each, whatever was put in their place."""

import os
import time
from pathlib import Path
from typing import Protocol

import pytest

from packet.shop import text
from packet.shop.load import check, load_job, load_registers
from packet.shop.problems import Problem
from packet.shop.text import Map, Text, nothing_in, parse, read, text_in


class Shop(Protocol):
    folder: Path
    job: Path

    def change(self, name: str, old: str, new: str) -> None: ...

    def problems(self) -> tuple[Problem, ...]: ...


BOMB = b"a: &a [x,x,x,x,x,x,x,x,x]\n" + b"".join(
    b"%c: &%c [%s]\n" % (letter, letter, b",".join([b"*%c" % (letter - 1)] * 9)) for letter in range(ord("b"), ord("k"))
)

# what the job's file holds instead, line, what the message says
FILES = {
    "empty": (b"", 1, "The file is empty"),
    "blank": (b" \n\n  \n", 1, "The file is empty"),
    "only comments": (b"# nothing\n", 1, "only comments"),
    "bare document mark": (b"---\n", 1, "only comments"),
    "a list": (b"- job: J-1\n", 1, "A block of 'key: value' lines is expected here"),
    "a word": (b"hello\n", 1, "A block of 'key: value' lines is expected here"),
    "binary": (b"%PDF-1.7\n\x00\x01\x02", 2, "binary file"),
    "a picture": (b"\x89PNG\r\n\x1a\n\xff\xd8", 1, "not UTF-8"),
    "UTF-16": ("job: J-1".encode("utf-16"), 1, "UTF-16"),
    "Latin-1": ("job: J-1\nsite: Caf\xe9\n".encode("latin-1"), 2, "not UTF-8"),
    "bell": (b"job: J-1\nname: a\x07b\n", 2, "control character (U+0007)"),
    "two files put together": (b"\xef\xbb\xbfjob: J-1\n\xef\xbb\xbfname: a\n", 2, "control character (U+FEFF)"),
    "the mark of a file's beginning in a text": (b"job: J-1\nname: a\xef\xbb\xbfb\n", 2, "control character (U+FEFF)"),
    "tab": (b"job: J-1\nsite:\n\tname: x\n", 3, "indented with a tab"),
    "tab alone": (b"\tjob: J-1\n", 1, "indented with a tab"),
    "colon in text": (b"job: J-1\ndate: a: b\n", 2, "A colon stands where no key can be"),
    "no colon": (b"job: J-1\ndate 2026\ntruck: T1\n", 2, "not 'key: value'"),
    "open bracket": (b"job: J-1\ncylinders: [a, b\ntruck: T1\n", 2, "not closed, or a comma is missing"),
    "open quote": (b'job: "J-1\ntruck: T1\n', 1, "is not closed"),
    "wrong indent": (b"site:\n   name: x\n  space: y\n", 3, "A key was expected here"),
    "at sign": (b"job: J-1\ndate: @x\n", 2, "cannot start with '@'"),
    "backslash": (b'job: "C:\\jobs"\n', 1, "backslash"),
    "two documents": (b"job: J-1\n---\njob: J-2\n", 2, "second document"),
    "anchor": (b"job: &x J-1\n", 1, "Anchors and aliases"),
    "alias": (b"job: J-1\ntruck: *x\n", 2, "Anchors and aliases"),
    "merge": (b"job: J-1\n<<: {a: b}\n", 2, "'<<' is not a key here"),
    "bomb": (BOMB, 1, "Anchors and aliases"),
    "tag": (b"job: !!python/object/apply:os.system [ls]\n", 1, "Tags (!)"),
    "list as key": (b"? [a, b]\n: c\n", 1, "A key must be a word"),
    "deep list": (b"job: " + b"[" * 100_000, 1, "too deep"),
    "deep block": (b"job: " + b"{a: " * 1_000, 1, "too deep"),
    "directive": (b"%YAML 9.9\n---\njob: J-1\n", 1, "not YAML"),
}


@pytest.mark.parametrize("name", FILES)
def test_a_file_that_is_no_job_is_told_in_one_sentence(small: Shop, name: str) -> None:
    raw, line, says = FILES[name]
    small.job.write_bytes(raw)
    problems = [item for item in small.problems() if "' is missing" not in item.message]
    assert [item for item in problems if item.line == line and says in item.message], problems
    assert all(item.file == str(small.job) for item in problems)


@pytest.mark.parametrize("name", ["shop.yaml", "cylinders.yaml", "machines.yaml", "technicians.yaml"])
@pytest.mark.parametrize("raw", [b"", b"\x00", b"- [\n", b"word"])
def test_a_broken_register_is_told_once_and_jobs_are_checked_against_the_others(
    small: Shop, name: str, raw: bytes
) -> None:
    (small.folder / name).write_bytes(raw)
    (problem,) = small.problems()
    assert problem.file == str(small.folder / name)
    assert load_registers(small.folder).value is None


@pytest.mark.parametrize("name", ["cylinders.yaml", "machines.yaml", "technicians.yaml"])
def test_a_register_that_is_not_there_is_a_problem(small: Shop, name: str) -> None:
    (small.folder / name).unlink()
    (problem,) = small.problems()
    assert (problem.file, problem.message) == (str(small.folder / name), "There is no such file.")


def test_a_file_of_50_MB_is_refused_by_its_size_unread(small: Shop, monkeypatch: pytest.MonkeyPatch) -> None:
    with small.job.open("wb") as file:
        file.truncate(50_000_000)
    monkeypatch.setattr(text, "_parse", lambda *_: pytest.fail("it was parsed"))
    assert "larger than 2000 kB" in read(small.job).problems[0].message


def test_the_largest_register_we_expect_is_not_refused(small: Shop) -> None:
    rows = [
        f"- {{id: C-{n}, spec: DOT-4BA400, water_capacity_lb: 47.6, tare_lb: 27.5, tested: 2023-04}}"
        for n in range(3000)
    ]
    (small.folder / "cylinders.yaml").write_text("\n".join(rows), encoding="utf-8")
    loaded = load_registers(small.folder)
    assert loaded.problems == ()
    assert loaded.value is not None
    assert len(loaded.value.cylinders) == 3000


@pytest.mark.parametrize(
    "line",
    ["k{n}: x", "job: {n}", "cylinders: [{n}]", "site: {{n{n}: 1}}", "{n}: {{a: [b, c]}}"],
    ids=lambda line: line[:9],
)
def test_a_file_full_of_slips_is_told_short_and_soon(small: Shop, line: str) -> None:
    # 1.9 MB of keys that are none; without a limit each would be compared with every known key.
    lines = [line.format(n=n) for n in range(1_900_000 // (len(line) + 6))]
    small.job.write_text("\n".join(lines), encoding="utf-8")
    assert len(small.problems()) <= 150


def test_a_register_full_of_slips_is_told_short_and_soon(small: Shop) -> None:
    (small.folder / "cylinders.yaml").write_text("- {id: 1, tare: 2}\n" * 50_000, encoding="utf-8")
    problems = [item for item in small.problems() if item.file.endswith("cylinders.yaml")]
    assert len(problems) == 101
    assert sum(item.message == "There are more problems from here on." for item in problems) == 1


def test_a_file_name_that_is_no_text_is_still_shown(small: Shop) -> None:
    small.job.rename(os.fsdecode(bytes(small.job.with_name("J-")) + b"\xff.yaml"))
    assert any("J-\\udcff.yaml" in str(problem) for problem in small.problems())


def test_a_folder_or_a_pipe_in_a_files_place_is_told(small: Shop) -> None:
    small.job.unlink()
    small.job.mkdir()
    pipe = small.job.with_name("J-2.yaml")
    os.mkfifo(pipe)
    assert [(item.file, item.message) for item in check([small.folder])] == [
        (str(small.job), "This is a folder, not a file."),
        (str(pipe), "This is not an ordinary file."),
    ]


def test_scalars_stay_what_was_typed() -> None:
    typed = "a: off\nb: 012345\nc: 10:45\nd: 2026-11-26\ne: null\nf: ~\ng: 1e3\nh: 0x1F\ni: .inf\nj:\nk: ''\n"
    node = parse(typed, "x.yaml").value
    assert isinstance(node, Map)
    values = [entry.node.value for entry in node.entries if isinstance(entry.node, Text)]
    assert values == ["off", "012345", "10:45", "2026-11-26", "null", "~", "1e3", "0x1F", ".inf", "", ""]
    assert [entry.key for entry in node.entries if isinstance(entry.node, Text) and entry.node.blank] == ["j"]


def test_somebody_called_null_keeps_the_name(small: Shop) -> None:
    registers = load_registers(small.folder).value
    assert registers is not None
    assert [item.name for item in registers.technicians] == ["Ann Null", "Null"]


def test_a_byte_order_mark_and_windows_line_ends_do_no_harm(small: Shop) -> None:
    small.job.write_bytes(b"\xef\xbb\xbf" + small.job.read_bytes().replace(b"\n", b"\r\n"))
    assert small.problems() == ()


def test_a_comma_inside_braces_is_explained(small: Shop) -> None:
    small.change("machines.yaml", "rating_psig: 800", "rating_psig: 800, color: red, blue, count: 2")
    problems = {item.field: item for item in small.problems()}
    assert "put that text in quotes" in problems["kit.hoses[H-1].blue"].suggestion


def test_what_the_machine_fails_at_is_not_called_a_slip(small: Shop, monkeypatch: pytest.MonkeyPatch) -> None:
    registers = load_registers(small.folder).value
    assert registers is not None

    def refuse(*_: object) -> None:
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr(os, "open", refuse)
    # one file that cannot be had stops its own job; a register stops everything
    (problem,) = load_job(small.job, registers).problems
    assert problem.message == "The file cannot be read: Permission denied."
    with pytest.raises(PermissionError):
        load_registers(small.folder)


def test_a_list_without_end_is_refused_before_it_is_read_to_its_end(small: Shop) -> None:
    small.job.write_text("cylinders: [" + "a," * 900_000 + "a]\n", "utf-8")
    began = time.process_time()
    assert [item.message for item in read(small.job).problems] == ["This list is too long: at most 50000."]
    assert time.process_time() - began < 2.0


def test_a_block_without_end_is_refused_before_it_is_read_to_its_end(small: Shop) -> None:
    small.job.write_text("".join(f"k{number}: v\n" for number in range(170_000)), "utf-8")
    began = time.process_time()
    assert [item.message for item in read(small.job).problems] == ["This block has too many keys: at most 5000."]
    assert time.process_time() - began < 2.0


def test_a_pipe_that_takes_a_files_place_while_it_is_looked_at_is_not_waited_for(
    small: Shop, monkeypatch: pytest.MonkeyPatch
) -> None:
    """It was a file when it was looked at: what counts is what is opened."""
    pipe = small.folder / "pipe.yaml"
    os.mkfifo(pipe)
    monkeypatch.setattr(Path, "is_file", lambda _self: True)
    assert "not an ordinary file" in str(text_in(pipe))
    assert not nothing_in(pipe)
