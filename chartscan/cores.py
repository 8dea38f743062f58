"""Work on large arrays shared over the cores of this machine, in the order it was given.

numpy, Pillow and zlib let go of Python's lock while they work on large arrays, so that threads work
on different parts of a page at a time. Nothing is shared in a process that was told to keep to one
thread (``OMP_NUM_THREADS``): workers of an archive are, since each has a core of its own.
"""

from __future__ import annotations

import os
from collections import deque
from collections.abc import Callable, Sequence
from contextlib import suppress
from contextvars import ContextVar, copy_context
from typing import TypeVar

Part = TypeVar("Part")
Result = TypeVar("Result")

LIMIT = "OMP_NUM_THREADS"  # by which programs are commonly told how many threads to use (OpenMP)

_sharing: ContextVar[bool] = ContextVar("sharing", default=False)


def available_cores() -> int:
    """Cores that this process may use, where the system tells; else those of the machine."""
    told = getattr(os, "sched_getaffinity", None)
    return len(told(0)) if told is not None else os.cpu_count() or 1


def usable_threads() -> int:
    """Threads that work is shared over: one a core, or as few as the process was told."""
    told = os.environ.get(LIMIT, "")
    most = int(told) if told.isdecimal() else 0
    return min(most, available_cores()) if most else available_cores()


def mapped(function: Callable[[Part], Result], parts: Sequence[Part]) -> list[Result]:
    """What ``function`` makes of each part, in their order, several parts at a time.

    Parts may not hang on one another. The caller's own thread takes parts too, so that a machine
    which is busy elsewhere, or starts no more threads, loses nothing; all others have ended when
    this returns. Work that is shared already isn't shared again.

    Raises:
        BaseException: what ``function`` raised first, by the order of parts; no further part is
            begun then.
    """
    helpers = min(usable_threads(), len(parts)) - 1
    if helpers < 1 or _sharing.get():
        return [function(part) for part in parts]
    return _shared(function, parts, helpers)


def _shared(
    function: Callable[[Part], Result], parts: Sequence[Part], helpers: int
) -> list[Result]:
    """The same with so many threads more."""
    from threading import Thread  # one small page doesn't need it

    results: dict[int, Result] = {}
    faults: dict[int, BaseException] = {}
    left = deque(enumerate(parts))

    def work() -> None:
        _sharing.set(True)
        while True:
            try:
                place, part = left.popleft()
            except IndexError:
                return
            try:
                results[place] = function(part)
            except BaseException as error:  # noqa: BLE001 - raised again by the caller's thread
                faults[place] = error
                left.clear()

    threads: list[Thread] = []
    with suppress(RuntimeError):  # no more threads are to be had
        for _ in range(helpers):
            # In a copy of the caller's context: what numpy was told of divisions by nought holds.
            thread = Thread(target=copy_context().run, args=(work,), daemon=True)
            thread.start()
            threads.append(thread)
    copy_context().run(work)
    for thread in threads:
        thread.join()
    if faults:
        raise faults[min(faults)]
    return [results[place] for place in range(len(parts))]
