"""Whatever is in the files, loading gives records or problems: it never raises, hangs or tells a problem in jargon."""

import random
import shutil
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from packet.shop.load import check, load_job, load_registers
from packet.shop.problems import Loaded, Problem
from packet.shop.records import Registers
from packet.shop.text import Node, parse

HERE = Path(__file__).parent
DEMO = Path(__file__).parents[2] / "jobs"
JOBS = sorted(DEMO.glob("2026-*/*.yaml"))
REGISTERS = sorted(DEMO.glob("*.yaml"))
# Words of the libraries underneath, which mean nothing to who typed the file.
JARGON = (
    "pydantic",
    "Input should",
    "validation error",
    "Value error",
    "type=",
    "NoneType",
    "Traceback",
    "does not fit here",
)

quick = settings(max_examples=60, deadline=None, suppress_health_check=list(HealthCheck))


def judged(problems: tuple[Problem, ...]) -> None:
    """Every problem is a plain sentence in a place."""
    for problem in problems:
        line = str(problem)
        assert problem.message
        assert problem.line >= 0
        assert "\n" not in line
        assert not any(word in line for word in JARGON), line


def demo_registers() -> Registers:
    value = load_registers(DEMO).value
    assert value is not None
    return value


@contextmanager
def one_file(raw: bytes, name: str = "2026-11-26/HP-1041.yaml") -> Iterator[Path]:
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / name
        path.parent.mkdir(parents=True)
        path.write_bytes(raw)
        yield path


def read_job(raw: bytes) -> None:
    with one_file(raw) as path:
        loaded = load_job(path, demo_registers())
        judged(loaded.problems)
        assert (loaded.value is None) == bool(loaded.problems)


@quick
@given(st.binary(max_size=200))
def test_any_bytes(raw: bytes) -> None:
    read_job(raw)


@quick
@given(st.text(max_size=200))
def test_any_text(text: str) -> None:
    read_job(text.encode("utf-8", "surrogatepass"))


@quick
@given(st.text(alphabet="ab:-,[]{}?&*!|>'\"%@`#\\ \t\n0.~<", max_size=120))
def test_any_yaml_like_text(text: str) -> None:
    loaded: Loaded[Node] = parse(text, "x.yaml")
    judged(loaded.problems)
    read_job(text.encode())


WORDS = st.one_of(
    st.text(max_size=20),
    st.sampled_from(
        ["", "null", "~", "yes", "off", "nan", ".inf", "1e400", "-1", "0", "1e-320", "9" * 400, "2026-02-30", "25:61", "[]", "{}", "[[]]", "[{}]",
         "{a: b}", "- a", "&a b", "*a", "!!float 1", "|", ">", "'", '"', "../..", "<b>", "{0}", "%s", "C-118", "R-22", "type-I", "\t", "- - -"]
    ),
)  # fmt: skip


def mutated(text: str, choose: random.Random, word: str) -> str:
    """The text with one line changed: value replaced, dropped, doubled, moved, indented, renamed or cut."""
    lines = text.splitlines()
    at = choose.randrange(len(lines))
    kind = choose.randrange(8)
    key, colon, _ = lines[at].partition(":")
    if kind == 0:
        lines[at] = f"{key}{colon} {word}"
    elif kind == 1:
        del lines[at]
    elif kind == 2:
        lines.insert(at, lines[at])
    elif kind == 3:
        lines.insert(choose.randrange(len(lines)), lines.pop(at))
    elif kind == 4:
        lines[at] = "  " + lines[at]
    elif kind == 5:
        lines[at] = f"{key[: len(key) - len(key.lstrip())]}{word}{colon} x"
    elif kind == 6:
        lines = lines[:at]
    else:
        cut = choose.randrange(len(lines[at]) + 1)
        lines[at] = lines[at][:cut] + word + lines[at][cut:]
    return "\n".join(lines) + "\n"


@settings(quick, max_examples=200)
@given(st.sampled_from(JOBS), st.randoms(use_true_random=False), st.lists(WORDS, min_size=1, max_size=4))
def test_any_change_to_a_demo_job(path: Path, choose: random.Random, words: list[str]) -> None:
    text = path.read_text(encoding="utf-8")
    for word in words:
        text = mutated(text, choose, word) if text.strip() else text
    read_job(text.encode("utf-8", "surrogatepass"))


@quick
@given(st.sampled_from(REGISTERS), st.randoms(use_true_random=False), st.lists(WORDS, min_size=1, max_size=3))
def test_any_change_to_a_demo_register(path: Path, choose: random.Random, words: list[str]) -> None:
    text = path.read_text(encoding="utf-8")
    for word in words:
        text = mutated(text, choose, word) if text.strip() else text
    with tempfile.TemporaryDirectory() as folder:
        shop = Path(folder) / "jobs"
        shutil.copytree(HERE / "small", shop)
        (shop / path.name).write_bytes(text.encode("utf-8", "surrogatepass"))
        problems = check([shop])
        judged(problems)
        loaded = load_registers(shop)
        assert (loaded.value is None) == bool(loaded.problems)
