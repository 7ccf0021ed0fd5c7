"""Changing a value changes the words it is about and not one byte more."""

import difflib
from contextlib import suppress

import pytest
import yaml
from hypothesis import given, settings
from hypothesis import strategies as st

from packet.shop.edit import EditError, Value, with_values

JOB = """\
# Phone the super first.
job: HP-1041
machine: RM-3   # the green one
scale: SC-1
start: 08:30
cylinders: [C-118, C-121]      # in the order they are filled
site:
  name: "Elm Street"  # back door
"""


def with_assignment(text: str, *, cylinders: tuple[str, ...] | None = None, machine: str | None = None) -> str:
    """A machine, then cylinders."""
    wanted: dict[tuple[str, ...], Value] = {}
    if machine is not None:
        wanted["machine",] = machine
    if cylinders is not None:
        wanted["cylinders",] = cylinders
    return with_values(text, wanted)


def changed_lines(before: str, after: str) -> list[str]:
    return [line for line in difflib.ndiff(before.splitlines(True), after.splitlines(True)) if line[0] in "+-"]


def cylinders_in(text: str) -> list[str]:
    found: list[str] = yaml.load(text, yaml.BaseLoader)["cylinders"]
    return found


def test_a_list_in_brackets_is_changed_in_place() -> None:
    after = with_assignment(JOB, cylinders=("C-130",))
    assert after == JOB.replace("[C-118, C-121]", "[C-130]")


def test_a_value_in_a_block_and_in_the_item_of_a_list() -> None:
    after = with_values(JOB, {("site", "name"): "Oak: Street", ("start",): "14:05"})
    assert after == JOB.replace('"Elm Street"', "'Oak: Street'").replace("08:30", "14:05")
    register = "# ours\n- {id: C-1, tare_lb: 17}  # small\n- id: C-2\n  tare_lb: 20   # big\n- {id: C-3}\n"
    for name in ("C-1", "C-2", "C-3"):
        there = with_values(register, {(f"[{name}]", "out_of_service"): "valve: leaks"})
        assert yaml.safe_load(there)[int(name[-1]) - 1]["out_of_service"] == "valve: leaks"
        assert with_values(there, {(f"[{name}]", "out_of_service"): None}) == register


def test_a_key_goes_and_the_comment_behind_it_stays() -> None:
    assert with_values(JOB, {("machine",): None}) == JOB.replace("machine: RM-3   # the green one", "# the green one")
    assert with_values(JOB, {("called_off",): None}) == JOB


def test_the_machine_is_changed_in_place_and_its_comment_stays() -> None:
    assert with_assignment(JOB, machine="RM-7") == JOB.replace("machine: RM-3", "machine: RM-7")


def test_nothing_asked_changes_nothing() -> None:
    assert with_assignment(JOB) == JOB


BLOCK = """\
job: HP-1
cylinders:
  # big one first
  - C-118   # has the new valve
  - C-121
  - "C-122" # spare

machine: RM-1
"""


def test_a_line_each_with_the_same_number() -> None:
    after = with_assignment(BLOCK, cylinders=("A", "B", "C"))
    assert after == BLOCK.replace("C-118", "A").replace("C-121", "B").replace('"C-122"', "C")


def test_a_line_each_with_fewer_keeps_the_comments() -> None:
    after = with_assignment(BLOCK, cylinders=("A",))
    assert cylinders_in(after) == ["A"]
    assert (
        after == "job: HP-1\ncylinders:\n  # big one first\n  - A   # has the new valve\n  # spare\n\nmachine: RM-1\n"
    )


def test_a_line_each_with_more_goes_on_below() -> None:
    after = with_assignment(BLOCK, cylinders=("C-118", "C-121", "C-122", "C-9"))
    assert changed_lines(BLOCK.replace('"C-122"', "C-122"), after) == ["+   - C-9\n"]


@pytest.mark.parametrize("empty", ["cylinders:", "cylinders: []", "cylinders: # none yet", "cylinders:  "])
def test_an_empty_list_is_filled(empty: str) -> None:
    text = f"job: HP-1\n{empty}\nscale: SC-1\n"
    after = with_assignment(text, cylinders=("C-1", "C-2"))
    assert cylinders_in(after) == ["C-1", "C-2"]
    assert [line for line in changed_lines(text, after) if "cylinders" not in line] == []
    assert ("# none yet" in text) == ("# none yet" in after)


def test_absent_keys_are_added_behind_the_scale() -> None:
    text = "job: HP-1\nscale: SC-1 # big\nstart: 08:30\n"
    after = with_assignment(text, cylinders=("C-1",), machine="RM-2")
    assert changed_lines(text, after) == ["+ machine: RM-2\n", "+ cylinders: [C-1]\n"]
    assert after.index("SC-1") < after.index("machine:") < after.index("start")


def test_absent_key_at_the_end_of_a_file_without_a_last_newline() -> None:
    assert with_assignment("job: HP-1\nscale: SC-1", cylinders=("C-1",)) == "job: HP-1\nscale: SC-1\ncylinders: [C-1]"


@pytest.mark.parametrize("text", [JOB, BLOCK])
def test_windows_line_ends_stay(text: str) -> None:
    windows = text.replace("\n", "\r\n")
    for wanted in [("A",), ("A", "B"), ("A", "B", "C", "D")]:
        assert with_assignment(windows, cylinders=wanted) == with_assignment(text, cylinders=wanted).replace(
            "\n", "\r\n"
        )


def test_a_name_that_is_no_plain_word_is_quoted() -> None:
    after = with_assignment(JOB, cylinders=("C #1", "it's: 2"))
    assert cylinders_in(after) == ["C #1", "it's: 2"]


@pytest.mark.parametrize("path", [("[C-9]", "tare_lb"), ("site", "space", "x"), ("start", "x")])
def test_a_path_that_leads_nowhere_is_refused(path: tuple[str, ...]) -> None:
    with pytest.raises(EditError):
        with_values(JOB, {path: "1"})


@pytest.mark.parametrize("text", ["", "a: [", "[1, 2]", "cylinders: {a: b}\njob: x", "cylinders: [[a]]\njob: x"])
def test_what_cannot_be_placed_is_refused(text: str) -> None:
    with pytest.raises(EditError):
        with_assignment(text, cylinders=("C-1",))


NAMES = st.from_regex(r"[A-Z]-[0-9]{1,3}", fullmatch=True)
COMMENTS = st.sampled_from(["", " # x", "   # C-1 - [a]: b"])


@settings(max_examples=300, deadline=None)
@given(
    st.lists(st.tuples(NAMES, COMMENTS), min_size=1, max_size=5),
    st.lists(NAMES, min_size=1, max_size=6),
    st.sampled_from(["", "  ", "    "]),
    st.sampled_from(["\n", "\r\n"]),
)
def test_any_block_list(before: list[tuple[str, str]], wanted: list[str], pad: str, newline: str) -> None:
    lines = ["job: HP-1", "cylinders:", *(f"{pad}- {name}{note}" for name, note in before), "# end", "scale: SC-1", ""]
    text = newline.join(lines)
    after = with_assignment(text, cylinders=tuple(wanted))
    assert cylinders_in(after) == wanted
    assert after.startswith(newline.join(lines[:2]))
    assert after.endswith(newline.join(lines[-3:]))
    assert [line.partition("#")[2] for line in after.splitlines() if "#" in line] == [
        line.partition("#")[2] for line in text.splitlines() if "#" in line
    ]


@pytest.mark.parametrize("text", ["?", "? [a]\n: b\nc: d\n"])
def test_a_key_of_several_values_is_no_traceback(text: str) -> None:
    """Found by the fuzzer: an edit of such a file ended in TypeError."""
    with suppress(EditError):
        assert "called_off: x" in with_values(text, {("called_off",): "x"})
