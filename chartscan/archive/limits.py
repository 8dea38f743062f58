"""Holding a worker to its limits of time and memory, and ending it when its master is gone.

Limits are those of the process: a worker examines one page at a time.
"""

from __future__ import annotations

import faulthandler
import os
import signal
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

from chartscan.archive.values import Limits
from chartscan.progress import Cancelled

THREADS = ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS", "VECLIB_MAXIMUM_THREADS")


class OutOfTime(Cancelled):
    """A page took longer than it may."""


@contextmanager
def limited(limits: Limits) -> Iterator[Clock]:
    """Hold the block to ``limits``: its clock is asked between steps, the system does the rest.

    Where a step looks at no clock, the process ends; where it asks for too much memory, MemoryError
    is raised (on Linux; elsewhere memory isn't limited).
    """
    with Path(os.devnull).open("w") as nowhere, _less_memory(limits.memory_bytes):
        faulthandler.dump_traceback_later(
            limits.seconds * limits.grace, exit=True, file=nowhere
        )  # a thread of C, which no Python code can hold up
        try:
            yield Clock(time.monotonic() + limits.seconds)
        finally:
            faulthandler.cancel_dump_traceback_later()


class Clock:
    """A progress that raises :class:`OutOfTime` when the time is over."""

    def __init__(self, end: float) -> None:
        self._end = end

    def __call__(self, step: str, done: float) -> None:
        """Go on, unless the time is over."""
        if time.monotonic() > self._end:
            raise OutOfTime(step)


@contextmanager
def _less_memory(most: int | None) -> Iterator[None]:
    """Allow this process no more than ``most`` bytes of address space in the block."""
    try:
        import resource
    except ImportError:  # Windows
        yield
        return
    before, hard = resource.getrlimit(resource.RLIMIT_AS)
    limits = [n for n in (most, before, hard) if n is not None and n != resource.RLIM_INFINITY]
    if most is not None:
        with suppress(ValueError, OSError):  # macOS takes no such limit
            resource.setrlimit(resource.RLIMIT_AS, (min(limits), hard))
    try:
        yield
    finally:
        with suppress(ValueError, OSError):
            resource.setrlimit(resource.RLIMIT_AS, (before, hard))


def begin_worker() -> None:
    """Make a process of the pool a good worker: one thread, deaf to Ctrl-C, gone with its master.

    Ctrl-C is for the process that books. A pool's process waits for work on a pipe that it holds
    open itself, so it would wait for ever for a master that was killed.
    """
    for name in THREADS:
        os.environ.setdefault(name, "1")  # before anything loads an array
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    threading.Thread(target=_end_with_master, daemon=True).start()


def _end_with_master() -> None:
    import multiprocessing

    master = multiprocessing.parent_process()
    if master is not None:
        master.join()
        os._exit(1)
