"""A file is the old one or the new one, never a part."""

import errno
import os
import re
import socket
import stat
import subprocess
import sys
import time
from pathlib import Path

import pytest

from packet.shop.whole import (
    MOST_TOGETHER,
    OLD_SECONDS,
    OwnFileError,
    Together,
    hold,
    make_folder,
    read_whole,
    sweep_old,
    write_if_new,
    write_whole,
)


def test_a_new_file_and_the_folders_above_it(tmp_path: Path) -> None:
    path = tmp_path / "a" / "b" / "file.txt"
    write_whole(path, b"new")
    assert path.read_bytes() == b"new"
    assert [item.name for item in path.parent.iterdir()] == ["file.txt"]


def test_an_old_file_is_replaced_and_keeps_its_permissions(tmp_path: Path) -> None:
    path = tmp_path / "file.txt"
    path.write_bytes(b"old")
    path.chmod(0o640)
    write_whole(path, b"new")
    assert path.read_bytes() == b"new"
    assert stat.S_IMODE(path.stat().st_mode) == 0o640


@pytest.mark.parametrize("refused", [errno.EPERM, errno.ENOSYS, errno.EOPNOTSUPP])
def test_a_file_system_that_keeps_no_permissions_is_written_to(
    tmp_path: Path, refused: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    """FAT by way of FUSE refuses chmod: nothing that was there could be written again, a second print ended with 3."""

    def refuse(path: Path, _mode: int) -> None:
        raise OSError(refused, os.strerror(refused), str(path))

    path = tmp_path / "it"
    path.write_bytes(b"old")
    path.chmod(0o600)
    monkeypatch.setattr(Path, "chmod", refuse)
    write_whole(path, b"new")
    assert path.read_bytes() == b"new"
    assert [item.name for item in tmp_path.iterdir()] == ["it"]


@pytest.mark.parametrize("error", [OSError(28, "No space left on device"), KeyboardInterrupt()])
def test_when_the_machine_fails_the_old_file_stays_and_no_part_is_left(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, error: BaseException
) -> None:
    path = tmp_path / "file.txt"
    path.write_bytes(b"old")

    def fails(_handle: int) -> None:
        raise error

    monkeypatch.setattr(os, "fsync", fails)
    with pytest.raises(type(error)) as raised:
        write_whole(path, b"new")
    if isinstance(error, OSError):
        assert str(path) in str(raised.value)
    assert path.read_bytes() == b"old"
    assert [item.name for item in tmp_path.iterdir()] == ["file.txt"]


def test_several_files_are_synced_before_any_is_at_its_place(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """And in the order given: whoever finds the last of them finds the others."""
    happened: list[str] = []
    sync, replace = os.fsync, Path.replace

    def synced(handle: int) -> None:
        happened.append("synced")
        sync(handle)

    def replaced(part: Path, path: Path) -> Path:
        happened.append(path.name)
        return replace(part, path)

    monkeypatch.setattr(os, "fsync", synced)
    monkeypatch.setattr(Path, "replace", replaced)
    with Together() as together:
        for name in ("a", "b", "c"):
            assert together.write_if_new(tmp_path / name, name.encode())
    assert happened == ["synced"] * 3 + ["a", "b", "c"]


def test_of_several_files_none_is_written_where_one_cannot_be(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (tmp_path / "a").write_bytes(b"old")
    handles: list[int] = []

    def second_fails(handle: int) -> None:
        handles.append(handle)
        if len(handles) > 1:
            raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    monkeypatch.setattr(os, "fsync", second_fails)
    with pytest.raises(OSError, match="No space left"), Together() as together:
        together.write(tmp_path / "a", b"new")
        together.write(tmp_path / "b", b"new")
    assert (tmp_path / "a").read_bytes() == b"old"
    assert [item.name for item in tmp_path.iterdir()] == ["a"]
    for handle in handles:
        with pytest.raises(OSError, match="Bad file descriptor"):
            os.fstat(handle)


def test_many_files_do_not_stand_open_at_once(tmp_path: Path) -> None:
    with Together() as together:
        for number in range(MOST_TOGETHER):
            together.write(tmp_path / f"{number}", b"it")
        assert len(list(tmp_path.glob("[0-9]*"))) == MOST_TOGETHER
        together.write(tmp_path / "last", b"it")
        assert not (tmp_path / "last").exists()
    assert (tmp_path / "last").exists()


def test_the_same_again_is_not_written(tmp_path: Path) -> None:
    path = tmp_path / "file.txt"
    assert write_if_new(path, b"same")
    before = path.stat().st_mtime_ns
    assert not write_if_new(path, b"same")
    assert path.stat().st_mtime_ns == before
    assert write_if_new(path, b"other")


def test_it_works_where_the_system_lacks_what_only_unix_has(tmp_path: Path) -> None:
    script = """
import os, sys
import subprocess
import sys
from pathlib import Path
for name in ("O_NONBLOCK", "O_DIRECTORY", "O_CLOEXEC", "fchmod"):
    delattr(os, name)
from packet.shop.whole import read_whole, write_whole
path = Path(sys.argv[1])
for text in (b"one\\r\\n", b"two\\n"):
    write_whole(path, text, durable=True)
    assert read_whole(path) == text
"""
    subprocess.run([sys.executable, "-c", script, tmp_path / "file"], check=True)


def test_what_is_no_file_is_told_so(tmp_path: Path) -> None:
    """A folder, a pipe, a socket, a link back to itself: none is waited for, and none is the machine's fault."""
    folder, pipe, loop = tmp_path / "folder", tmp_path / "pipe", tmp_path / "loop"
    folder.mkdir()
    os.mkfifo(pipe)
    loop.symlink_to(loop.name)
    with socket.socket(socket.AF_UNIX) as listening:
        listening.bind(str(tmp_path / "s"))
        for path in (folder, pipe, loop, tmp_path / "s", Path("/dev/zero")):
            with pytest.raises(OwnFileError):
                read_whole(path)
    with pytest.raises(FileNotFoundError):
        read_whole(tmp_path / "none")


def test_old_parts_of_a_file_are_swept_and_nobody_else_s(tmp_path: Path) -> None:
    path = tmp_path / "HP-1.yaml"
    old, young, other = (tmp_path / f".{name}.part" for name in ("HP-1.yaml.aa", "HP-1.yaml.bb", "HP-2.yaml.aa"))
    for part in (old, young, other):
        part.write_bytes(b"")
    for part in (old, other):
        os.utime(part, (time.time() - 2 * OLD_SECONDS,) * 2)
    sweep_old(path)
    assert set(tmp_path.iterdir()) == {young, other}


def test_a_link_to_nowhere_in_the_place_of_a_folder_says_what_and_what_to_do(tmp_path: Path) -> None:
    """A share that is not mounted once answered 'File exists'."""
    out = tmp_path / "out"
    out.symlink_to(tmp_path / "not mounted")
    wanted = (
        f"'{out}' leads to '{tmp_path / 'not mounted'}', where there is nothing. Make that folder (or connect it), or "
        "take the link away."
    )
    for use in (
        lambda: hold(out / ".state" / "lock"),
        lambda: write_whole(out / "a.pdf", b"x"),
        lambda: make_folder(out / "a" / "b"),
    ):
        with pytest.raises(OSError, match=f"^{re.escape(wanted)}$"):
            use()
    # the folder it leads to is all it takes
    (tmp_path / "not mounted").mkdir()
    write_whole(out / "a.pdf", b"x")


def test_a_file_in_the_place_of_a_folder_says_what_and_what_to_do(tmp_path: Path) -> None:
    (tmp_path / "out").write_text("notes")
    said = f"'{tmp_path / 'out'}' is no folder, and one is needed there. Move it away."
    with pytest.raises(OSError, match=f"^{re.escape(said)}$"):
        write_whole(tmp_path / "out" / ".state" / "a.json", b"x")
    assert (tmp_path / "out").read_text() == "notes"


def test_links_in_a_circle_are_named(tmp_path: Path) -> None:
    (tmp_path / "out").symlink_to(tmp_path / "out")
    with pytest.raises(OSError, match=re.escape(f"'{tmp_path / 'out'}' leads to '{tmp_path / 'out'}', where there is")):
        make_folder(tmp_path / "out" / "a")
