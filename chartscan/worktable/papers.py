"""Papers on their way to a frame or a tab: fetched once, by an address that can't be guessed.

A tab or frame that is opened can't show the key, so a screen lays a paper here with an act, and the
page opens the address that it gets back.
"""

from __future__ import annotations

import secrets
import threading
import time
from collections.abc import Callable

from chartscan.worktable.faults import Missing
from chartscan.worktable.settings import DEFAULTS, WorktableSettings

TICKET_BYTES = 24  # of chance: 192 bits
MOST_PAPERS = 16  # waiting at a time; the oldest goes first


class Papers:
    """HTML pages (kit sheet, labels, working chart) that wait to be fetched."""

    def __init__(
        self,
        settings: WorktableSettings = DEFAULTS,
        clock: Callable[[], float] = time.monotonic,
    ) -> None:
        self._settings = settings
        self._clock = clock
        self._lock = threading.Lock()
        self._waiting: dict[str, tuple[float, str]] = {}

    def lay(self, html: str) -> str:
        """The path under which ``html`` can be fetched once."""
        ticket = secrets.token_urlsafe(TICKET_BYTES)
        with self._lock:
            kept = list(self._waiting.items())[-MOST_PAPERS + 1 :]
            self._waiting = dict(kept)
            self._waiting[ticket] = (self._clock() + self._settings.paper_s, html)
        return f"/paper/{ticket}"

    def take(self, ticket: str) -> str:
        """The paper, which is gone then; Missing where there is none, or it is too old."""
        with self._lock:
            ends, html = self._waiting.pop(ticket, (0.0, ""))
        if ends <= self._clock():
            raise Missing(ticket)
        return html
