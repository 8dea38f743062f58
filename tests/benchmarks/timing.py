"""Timing shared by the benchmarks of decoding and reading.

Processor time, not that of the clock: others may be at work on the machine.
"""

from __future__ import annotations

import os
import statistics
import time
from collections.abc import Callable
from pathlib import Path

from PIL import Image


def medians(rounds: int, *calls: Callable[[], object]) -> list[float]:
    """Median time of each call, the calls taking turns so that noise falls on all alike."""
    taken: list[list[float]] = [[] for _ in calls]
    for _ in range(rounds):
        for times, call in zip(taken, calls, strict=True):
            start = time.perf_counter()
            call()
            times.append(time.perf_counter() - start)
    return [statistics.median(times) for times in taken]


def medians_of_cpu(rounds: int, *calls: Callable[[], object]) -> list[float]:
    """Median processor time of each call and of the processes that it waits for, by turns."""
    taken: list[list[float]] = [[] for _ in calls]
    for _ in range(rounds):
        for times, call in zip(taken, calls, strict=True):
            start = _cpu()
            call()
            times.append(_cpu() - start)
    return [statistics.median(times) for times in taken]


def _cpu() -> float:
    """Processor time so far, in seconds; what other processes took is known to 10 ms only."""
    of_others = os.times()
    return time.process_time() + of_others.children_user + of_others.children_system


def decode(path: Path) -> None:
    """Decode a picture with Pillow, the cost that all else is measured by."""
    with Image.open(path) as image:
        image.load()
