"""What was worked out lately, so that moving a control doesn't work it out again."""

from __future__ import annotations

import threading
from collections.abc import Callable, Hashable
from typing import Any, TypeVar

T = TypeVar("T")

MOST = 12  # values kept: a chart in its threads and on each of the fabrics beside one another


class Lately:
    """The last few values by what they were worked out from."""

    def __init__(self) -> None:
        self._lock = threading.Lock()
        self._values: dict[Hashable, Any] = {}

    def get(self, key: Hashable, make: Callable[[], T]) -> T:
        """The value of ``key``; made where it isn't known, or isn't any more."""
        with self._lock:
            if key in self._values:
                value: T = self._values.pop(key)
                self._values[key] = value
                return value
        made = make()
        with self._lock:
            self._values[key] = made
            while len(self._values) > MOST:
                del self._values[next(iter(self._values))]
        return made
