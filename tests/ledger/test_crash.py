"""Killing the filer between any two system calls, filling the disk, and filing at once: nothing lost, nothing double."""

import errno
import fcntl
import os
import random
import signal
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from packet.ledger import store, witness
from packet.ledger.check import check_records
from packet.ledger.records import filed_folder, read_records

# every call by which filing touches the disk
CALLS = ((os, "open"), (os, "write"), (os, "fsync"), (os, "close"), (os, "unlink"), (os, "rename"),
         (os, "replace"), (os, "mkdir"), (fcntl, "flock"))  # fmt: skip
KILLED = 9


def file_once(shop: Path, subject: str) -> None:
    """File as the office does: once, and quietly the second time."""
    with store.writing(shop) as writer:
        if not writer.about(subject):
            writer.append("job", subject, {"date": "2026-11-26", "moves": [{"cylinder": "C-1", "moved_lb": "1.5"}]})


def in_child(work: Callable[[], None]) -> int:
    """Run `work` in a forked process; its exit status, or minus the signal that ended it."""
    child = os.fork()
    if child == 0:
        try:
            work()
            os._exit(0)
        except BaseException:
            os._exit(1)
    return os.waitstatus_to_exitcode(os.waitpid(child, 0)[1])


def dying_at(count: int, when: str) -> None:
    """In this process, die just before or just after the `count`-th call; 'half': a write gets half its bytes out."""
    seen = 0

    def wrap(real: Callable[..., Any], name: str) -> Callable[..., Any]:
        def call(*args: Any, **kwargs: Any) -> Any:
            nonlocal seen
            seen += 1
            if seen != count:
                return real(*args, **kwargs)
            try:
                if when == "half" and name == "write":
                    real(args[0], bytes(args[1])[: len(args[1]) // 2])
                elif when == "after":
                    real(*args, **kwargs)
            finally:
                os._exit(KILLED)

        return call

    for module, name in CALLS:
        setattr(module, name, wrap(getattr(module, name), name))


def whole(shop: Path, jobs: list[str]) -> None:
    """The records are exactly these jobs, each once, in an unbroken chain, with no litter."""
    assert [item.subject for item in read_records(shop).filed] == jobs
    assert check_records(shop) == ()
    assert not list((filed_folder(shop) / store.WRITER).glob("*.part"))


@pytest.mark.parametrize("when", ["before", "after", "half"])
@pytest.mark.parametrize("already", [0, 1, 3])
def test_killed_at_every_system_call_the_record_is_there_whole_or_not_at_all(
    tmp_path: Path, when: str, already: int
) -> None:
    before = [f"HP-{number}" for number in range(already)]
    count, status = 0, KILLED
    while status == KILLED:
        count += 1
        shop = tmp_path / str(count)
        shop.mkdir()
        for job in before:
            file_once(shop, job)

        def work(shop: Path = shop, count: int = count) -> None:
            dying_at(count, when)
            file_once(shop, "HP-X")

        status = in_child(work)
        left = [item.subject for item in read_records(shop).filed]
        assert left in (before, [*before, "HP-X"])
        if left:
            assert [item.kind for item in check_records(shop)] == []
        file_once(shop, "HP-X")  # the office tries again
        whole(shop, [*before, "HP-X"])
    assert status == 0
    assert count > 20  # it did die at every one of the calls on the way


def test_killed_at_random_moments_hundreds_of_times(tmp_path: Path) -> None:
    chance = random.Random(20261126)
    jobs = [f"HP-{number}" for number in range(40)]

    def work() -> None:
        for job in jobs:
            file_once(tmp_path, job)

    deaths = 0
    for _ in range(250):
        child = os.fork()
        if child == 0:
            work()
            os._exit(0)
        time.sleep(chance.uniform(0.0, 0.02))
        os.kill(child, signal.SIGKILL)
        deaths += os.WIFSIGNALED(os.waitpid(child, 0)[1])
        done = [item.subject for item in read_records(tmp_path).filed]
        assert done == jobs[: len(done)]
        if len(done) == len(jobs):
            for path in sorted(filed_folder(tmp_path).glob("*.json")):
                path.unlink()
            (tmp_path / witness.NAME).unlink(missing_ok=True)
    work()
    whole(tmp_path, jobs)
    assert deaths > 100


def test_two_people_filing_at_once_lose_nothing_and_double_nothing(tmp_path: Path) -> None:
    jobs = [f"HP-{number}" for number in range(30)]
    children = []
    for seed in range(4):
        child = os.fork()
        if child == 0:
            order = jobs.copy()
            random.Random(seed).shuffle(order)
            for job in order:
                file_once(tmp_path, job)
            os._exit(0)
        children.append(child)
    assert [os.waitstatus_to_exitcode(os.waitpid(child, 0)[1]) for child in children] == [0, 0, 0, 0]
    assert sorted(item.subject for item in read_records(tmp_path).filed) == sorted(jobs)
    assert check_records(tmp_path) == ()


@pytest.mark.parametrize("error", [errno.ENOSPC, errno.EDQUOT, errno.EIO])
@pytest.mark.parametrize("name", ["write", "fsync", "replace"])
def test_a_full_disk_leaves_no_half_record_and_the_next_try_succeeds(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, name: str, error: int
) -> None:
    file_once(tmp_path, "HP-1")
    real = getattr(os, name)

    def full(*args: Any, **kwargs: Any) -> Any:
        if name == "write":
            real(args[0], bytes(args[1])[:10])
        raise OSError(error, os.strerror(error))

    with monkeypatch.context() as patch:
        patch.setattr(os, name, full)
        with pytest.raises(OSError, match=os.strerror(error)):
            file_once(tmp_path, "HP-2")
    assert [item.subject for item in read_records(tmp_path).filed] == ["HP-1"]
    file_once(tmp_path, "HP-2")
    whole(tmp_path, ["HP-1", "HP-2"])


def test_a_disk_that_fills_up_after_the_record_is_written_does_not_unfile_it(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    file_once(tmp_path, "HP-1")
    real, named = os.write, list[Any]()

    def replace(*args: Any, **kwargs: Any) -> None:
        real_replace(*args, **kwargs)
        named.append(args)

    def write(file: int, content: bytes) -> int:
        if named:
            raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))
        return real(file, content)

    real_replace = os.replace
    with monkeypatch.context() as patch:
        patch.setattr(os, "replace", replace)
        patch.setattr(os, "write", write)
        file_once(tmp_path, "HP-2")
    file_once(tmp_path, "HP-3")
    whole(tmp_path, ["HP-1", "HP-2", "HP-3"])


def test_a_drive_without_hard_links_still_files_and_never_over_another(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def link(*args: Any, **kwargs: Any) -> None:
        raise OSError(errno.EPERM, os.strerror(errno.EPERM))

    monkeypatch.setattr(os, "link", link)
    file_once(tmp_path, "HP-1")
    file_once(tmp_path, "HP-2")
    whole(tmp_path, ["HP-1", "HP-2"])


def test_who_files_too_long_is_not_waited_for_forever(tmp_path: Path) -> None:
    with store.writing(tmp_path):
        pass
    other = os.open(filed_folder(tmp_path) / store.WRITER / "lock", os.O_RDWR)
    try:
        fcntl.flock(other, fcntl.LOCK_EX)
        started = time.monotonic()
        with pytest.raises(store.RecordsBusyError), store.writing(tmp_path, patience_seconds=0.2):
            pass
        assert time.monotonic() - started >= 0.2
    finally:
        os.close(other)
