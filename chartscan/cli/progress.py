"""A progress bar on standard error, for work that a person is waiting for."""

from __future__ import annotations

import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from typing import TYPE_CHECKING

from chartscan.progress import Progress, silent

if TYPE_CHECKING:
    from rich.progress import Progress as Bar
    from rich.progress import TaskID

PATIENCE = 2.0  # seconds of silence before a bar appears; most pages are read by then


@contextmanager
def shown_progress() -> Iterator[Progress]:
    """A :class:`Progress` that draws a bar once work takes long; silent where no one watches."""
    if not sys.stderr.isatty():
        yield silent
        return
    bar = _LateBar(time.monotonic() + PATIENCE)
    try:
        yield bar
    finally:
        bar.close()


class _LateBar:
    """Waits until ``due``, then loads and starts the bar."""

    def __init__(self, due: float) -> None:
        self._due = due
        self._bar: Bar | None = None
        self._task: TaskID | None = None

    def __call__(self, step: str, done: float) -> None:
        if self._bar is None:
            if time.monotonic() < self._due:
                return
            self._start()
        if self._bar is not None and self._task is not None:
            self._bar.update(self._task, description=step, completed=done)

    def _start(self) -> None:
        from rich.console import Console
        from rich.progress import Progress as Bar

        self._bar = Bar(console=Console(stderr=True), transient=True)
        self._task = self._bar.add_task("", total=1.0)
        self._bar.start()

    def close(self) -> None:
        """Take the bar off the screen, if one was drawn."""
        if self._bar is not None:
            self._bar.stop()
