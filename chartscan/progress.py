"""How a long step tells its caller how far it is, without printing anything itself.

Whoever wants to stop a step raises :class:`Cancelled` from the progress that it is given: stages
call it between their steps, let it through, and leave nothing behind.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Protocol


class Progress(Protocol):
    """Called by a stage now and then; the command line shows it, a library user may ignore it."""

    def __call__(self, step: str, done: float) -> None:
        """Say which ``step`` is under way and what part of the whole (0 to 1) is ``done``.

        Raises:
            Cancelled: the caller wants no more of it.
        """


class Cancelled(Exception):
    """Work was stopped because its caller asked for that; nothing is half done."""


def silent(step: str, done: float) -> None:
    """Show nothing: the default for library use."""


def untold() -> None:
    """Count nothing: the default where nobody counts tries (:func:`without_end`)."""


def part_of(progress: Progress, first: float, last: float) -> Progress:
    """A progress for a part of the work: its 0 to 1 are ``first`` to ``last`` of the whole."""

    def partly(step: str, done: float) -> None:
        progress(step, first + (last - first) * min(max(done, 0.0), 1.0))

    return partly


def without_end(progress: Progress, step: str, half: int) -> Callable[[], None]:
    """A call for each try of work of which nobody knows how many it takes.

    After ``half`` of them half the way is said to be done, after as many again half of the rest.
    """
    tries = 0

    def tried() -> None:
        nonlocal tries
        tries += 1
        progress(step, 1 - 0.5 ** (tries / half))

    return tried
