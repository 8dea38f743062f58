"""How a long step tells its caller how far it is, without printing anything itself."""

from __future__ import annotations

from typing import Protocol


class Progress(Protocol):
    """Called by a stage now and then; the command line shows it, a library user may ignore it."""

    def __call__(self, step: str, done: float) -> None:
        """Say which ``step`` is under way and what part of the whole (0 to 1) is ``done``."""


def silent(step: str, done: float) -> None:
    """Show nothing: the default for library use."""
