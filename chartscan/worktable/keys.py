"""Keys: one in the address, used once; one a tab, kept by the tab; one for a second start.

No cookie: cookies aren't kept apart by port (RFC 6265, 8.5), so any other server on this machine
would get them.
"""

from __future__ import annotations

import hmac
import secrets
import threading
import time
from collections.abc import Callable

from chartscan.worktable.settings import DEFAULTS, WorktableSettings

KEY_BYTES = 32  # of chance in a key: 256 bits, not to be guessed


class Keys:
    """Every key that is valid now."""

    def __init__(
        self,
        settings: WorktableSettings = DEFAULTS,
        clock: Callable[[], float] = time.monotonic,
    ) -> None:
        self._settings = settings
        self._clock = clock
        self._lock = threading.Lock()
        self._single: dict[str, float] = {}  # key of an address -> when it ends
        self._tabs: list[str] = []
        self.door = secrets.token_urlsafe(KEY_BYTES)
        """What a second start of the program shows to get a key for an address."""

    def new_address_key(self) -> str:
        """A key for the fragment of an address: works once, and for a minute."""
        key = secrets.token_urlsafe(KEY_BYTES)
        with self._lock:
            self._single[key] = self._clock() + self._settings.key_s
        return key

    def exchange(self, key: str) -> str | None:
        """A tab's own key for that of the address; None where that is wrong, used or too old."""
        with self._lock:
            now = self._clock()
            found = next((k for k in self._single if _same(k, key)), None)
            ends = self._single.pop(found) if found else now
            self._single = {k: end for k, end in self._single.items() if end > now}
            if ends <= now:
                return None
            tab = secrets.token_urlsafe(KEY_BYTES)
            self._tabs = [*self._tabs[-self._settings.most_tabs + 1 :], tab]
            return tab

    def is_tab(self, key: str) -> bool:
        """Whether ``key`` is that of a tab."""
        with self._lock:
            return any([_same(tab, key) for tab in self._tabs])  # noqa: C419 - as long for all

    def is_door(self, key: str) -> bool:
        """Whether ``key`` is that of this start, which only its owner can read."""
        return _same(self.door, key)


def _same(one: str, other: str) -> bool:
    return hmac.compare_digest(one.encode(), other.encode("utf-8", "replace"))
