"""Workers that are processes of this machine."""

from __future__ import annotations

import multiprocessing
from collections.abc import Iterator
from concurrent.futures import BrokenExecutor, Executor, ProcessPoolExecutor
from contextlib import contextmanager

from chartscan.archive.limits import begin_worker
from chartscan.cores import available_cores


class Processes:
    """A crew of processes; a fresh pool takes the place of one that lost a process."""

    def __init__(self, workers: int) -> None:
        self.workers = workers
        self._pool = self._begun()

    @property
    def executor(self) -> Executor:
        """The pool."""
        return self._pool

    def lost(self, error: BaseException) -> bool:
        """Whether a process of the pool ended over its work."""
        return isinstance(error, BrokenExecutor)

    def renew(self) -> None:
        """Begin a new pool."""
        self._pool.shutdown(wait=False)
        self._pool = self._begun()

    def check(self) -> None:
        """Nothing to look after: a pool notices by itself what becomes of its processes."""

    def close(self, *, finished: bool) -> None:
        """End all processes; those of a run that isn't ``finished`` are not waited for."""
        self._pool.shutdown(wait=finished, cancel_futures=True)

    def _begun(self) -> ProcessPoolExecutor:
        # Spawned, as on macOS and Windows: a fork would copy whatever threads and locks there are.
        spawned = multiprocessing.get_context("spawn")
        return ProcessPoolExecutor(self.workers, mp_context=spawned, initializer=begin_worker)


@contextmanager
def processes(workers: int | None = None) -> Iterator[Processes]:
    """A crew of ``workers`` processes, one for each core where None is told."""
    crew = Processes(workers or available_cores())
    finished = False
    try:
        yield crew
        finished = True
    finally:
        crew.close(finished=finished)
