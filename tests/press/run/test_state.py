"""What a run remembers is met as carefully as what people typed, and made anew where it cannot be read."""

import os
from pathlib import Path

import pytest

from packet.press import assets
from packet.press.run import state
from packet.press.run.state import Remembered

MADE = Remembered("tools", "ABCD2345", "1" * 64, "2" * 64)
GARBAGE = {
    "empty": b"",
    "cut": b'{\n "tools": "to',
    "bytes": b"\x00\xff\xfe",
    "nested": b"[" * 9_000,
    "a list": b"[1]",
    "types": b'{"tools": 1, "revision": [], "pdf": {}, "form": null}',
    "missing": b'{"tools": "t"}',
    "long": b" " * 20_000,
}


def place(out: Path) -> Path:
    return out / state.FOLDER / "job-HP-1.json"


@pytest.mark.parametrize("content", GARBAGE.values(), ids=GARBAGE)
def test_what_cannot_be_read_is_not_remembered_and_made_anew(tmp_path: Path, content: bytes) -> None:
    state.write_job(tmp_path, "HP-1", MADE)
    assert state.read_job(tmp_path, "HP-1") == MADE
    place(tmp_path).write_bytes(content)
    assert state.read_job(tmp_path, "HP-1") is None
    state.write_job(tmp_path, "HP-1", MADE)
    assert state.read_job(tmp_path, "HP-1") == MADE


def test_a_folder_or_a_pipe_in_its_place_is_not_remembered_and_does_not_hang(tmp_path: Path) -> None:
    place(tmp_path).mkdir(parents=True)
    (place(tmp_path) / "inside").touch()
    assert state.read_job(tmp_path, "HP-1") is None
    state.write_job(tmp_path, "HP-1", MADE)
    assert state.read_job(tmp_path, "HP-1") == MADE
    place(tmp_path).unlink()
    os.mkfifo(place(tmp_path))
    assert state.read_job(tmp_path, "HP-1") is None
    state.write_job(tmp_path, "HP-1", MADE)
    assert state.read_job(tmp_path, "HP-1") == MADE


def test_what_is_no_file_has_no_digest(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "pipe.pdf")
    assert [state.of_file(tmp_path / name) for name in ("pipe.pdf", ".", "none.pdf")] == ["", "", ""]


@pytest.mark.parametrize("kept", ["flipped", "cut", "empty"])
def test_a_compiled_template_that_was_damaged_is_compiled_again(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, kept: str
) -> None:
    """Code with one bit turned is still loaded by Python, and does anything."""
    monkeypatch.setattr("platformdirs.user_cache_path", lambda *_names, **_options: tmp_path)

    def set_anew() -> str:
        assets.environment.cache_clear()
        return assets.environment().from_string("{{ 6 * 7 }}").render() + loaded()

    def loaded() -> str:
        assets.environment().get_template("runsheet.html")
        return ""

    try:
        set_anew()
        (path,) = [item for item in (tmp_path / "templates").iterdir() if item.stat().st_size > 2000][:1]
        whole = bytearray(path.read_bytes())
        if kept == "flipped":
            whole[len(whole) // 2] ^= 1
        path.write_bytes({"flipped": bytes(whole), "cut": bytes(whole[:100]), "empty": b""}[kept])
        set_anew()
        whole_again = path.read_bytes()
        assert whole_again != bytes(whole) if kept == "flipped" else len(whole_again) == len(whole)
    finally:
        assets.environment.cache_clear()
