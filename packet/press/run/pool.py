"""Work spread over processes: what befalls one piece never stops the others, and Ctrl-C leaves nothing half done."""

import contextlib
import multiprocessing
import os
import threading
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import Future, ProcessPoolExecutor, as_completed
from concurrent.futures.process import BrokenProcessPool
from multiprocessing import forkserver
from types import TracebackType
from typing import TypeVar

from packet.press.run.work import begin
from packet.press.scratch import own_temporary_folder

Task = TypeVar("Task")
Done = TypeVar("Done")
# what each worker is a copy of: the libraries that set type are loaded once, not once a worker
WARM = ["packet.press.run.warm"]
# the libraries that set type keep a little of every packet: workers are made anew before that becomes much
PACKETS_A_LIFE = 100
# what starting a process raises when it, or what it is copied from, is gone
NO_POOL = (BrokenProcessPool, OSError, EOFError)


def warm_up(count: int) -> None:
    """Begin to load what workers are copied from, where there will be any: whoever asks goes on meanwhile."""
    if count > 1 and "forkserver" in multiprocessing.get_all_start_methods():
        own_temporary_folder()
        multiprocessing.get_context("forkserver").set_forkserver_preload(WARM)
        with contextlib.suppress(OSError):  # told when the workers are asked for
            forkserver.ensure_running()


class Workers:
    """Processes to hand work to; with one worker the work is done here, without any."""

    def __init__(self, count: int, language: str) -> None:
        self.count = count
        self.language = language
        self.pool: ProcessPoolExecutor | None = None

    def __enter__(self) -> "Workers":
        if self.count > 1:
            own_temporary_folder()
            self.pool = self._started(self.count)
        return self

    def __exit__(
        self, kind: type[BaseException] | None, _error: BaseException | None, _trace: TracebackType | None
    ) -> None:
        if self.pool is None:
            return
        if kind is not None:
            for process in list(self.pool._processes.values()):
                process.terminate()
        self.pool.shutdown(wait=True, cancel_futures=True)

    def _started(self, count: int) -> ProcessPoolExecutor:
        # where there is no forkserver every worker loads the libraries for itself
        if "forkserver" not in multiprocessing.get_all_start_methods():
            return ProcessPoolExecutor(count, multiprocessing.get_context("spawn"), begin, (self.language,))
        warm_up(self.count)
        return ProcessPoolExecutor(count, multiprocessing.get_context("forkserver"), begin, (self.language,))

    def each(
        self, work: Callable[[Task], Done], tasks: Sequence[Task], *, here_too: bool = False
    ) -> Iterator[tuple[Task, Done | Exception]]:
        """Every task with what came of it, as they are done. A worker that dies costs its own task only.

        here_too: until a worker has begun, the work is done in this process, which has nothing else to do. When a process
        dies, those whose work it may have been are tried once more, one at a time.
        """
        if self.pool is None:
            for task in tasks:
                yield task, _tried(work, task)
            return
        if here_too:
            began = threading.Thread(target=_begun, args=(self.pool,), daemon=True)
            began.start()
            while tasks and began.is_alive():
                *tasks, task = tasks
                yield task, _tried(work, task)
        share = PACKETS_A_LIFE * self.count
        for start in range(0, len(tasks), share):
            if start:
                self.pool.shutdown()
                self.pool = self._started(self.count)
            yield from self._share(self.pool, work, tasks[start : start + share])

    def _share(
        self, pool: ProcessPoolExecutor, work: Callable[[Task], Done], tasks: Sequence[Task]
    ) -> Iterator[tuple[Task, Done | Exception]]:
        left = list(tasks)
        futures: dict[Future[Done], Task] = {}
        try:
            for task in tasks:
                futures[pool.submit(work, task)] = task
        except NO_POOL:
            pass  # what was handed in is told below; the rest is tried one at a time
        for future in as_completed(futures):
            error = future.exception()
            if not isinstance(error, BrokenProcessPool):
                left.remove(futures[future])
                yield futures[future], error if isinstance(error, Exception) else future.result()
        if left:
            _abandon(pool)
            yield from self._one_at_a_time(work, left)
            self.pool = self._started(self.count)

    def _one_at_a_time(
        self, work: Callable[[Task], Done], tasks: list[Task]
    ) -> Iterator[tuple[Task, Done | Exception]]:
        for task in tasks:
            alone = self._started(1)
            try:
                error = (future := alone.submit(work, task)).exception()
            except NO_POOL:
                # no process can be had at all (what they are copied from was killed): done here, then
                _abandon(alone)
                yield task, _tried(work, task)
                continue
            yield task, error if isinstance(error, Exception) else future.result()
            _abandon(alone)


def _begun(pool: ProcessPoolExecutor) -> None:
    """Wait until a worker does something."""
    with contextlib.suppress(*NO_POOL):  # told with the work that it then does not do
        pool.submit(int).result()


def _abandon(pool: ProcessPoolExecutor) -> None:
    """Leave a pool that broke, or is done with: nothing waits for a process that may never end."""
    for process in list((pool._processes or {}).values()):
        process.kill()
    pool.shutdown(wait=False, cancel_futures=True)


def _tried(work: Callable[[Task], Done], task: Task) -> Done | Exception:
    try:
        return work(task)
    except Exception as error:
        return error


def cores() -> int:
    """The cores this process may use."""
    return len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1
