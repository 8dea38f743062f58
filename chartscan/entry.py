"""Values out of decoded JSON, each checked; what is wrong is said in words, with its place."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

MOST = 2**53  # every whole number up to here is exact as a float; no count or length comes near


@dataclass(frozen=True)
class Entry:
    """One JSON object, and the words for it: ``""`` for the whole file, "class 3" for a part.

    Every method raises ValueError with a clause such as "class 3 has no 'kind'".
    """

    data: Mapping[str, Any]
    words: str = ""

    def need(self, key: str) -> Any:  # noqa: ANN401 - JSON may be any of its types
        """The value of ``key``, which must be there."""
        if key not in self.data:
            raise ValueError(f"{self.words or 'it'} has no {key!r}")
        return self.data[key]

    def whole(self, key: str) -> int:
        """The whole number ``key``."""
        return whole(self.need(key), self._place(key))

    def number(self, key: str) -> float:
        """The finite number ``key``."""
        return number(self.need(key), self._place(key))

    def choice(self, key: str, allowed: Sequence[str]) -> Any:  # noqa: ANN401 - a literal type
        """The text ``key``, which is one of ``allowed``."""
        value = self.need(key)
        if value not in allowed:
            raise ValueError(f"{self._place(key)} is {value!r}, none of {', '.join(allowed)}")
        return value

    def text_or_none(self, key: str) -> str | None:
        """The text ``key``; None where it is missing or null."""
        value = self.data.get(key)
        if value is not None and not isinstance(value, str):
            raise ValueError(f"{self._place(key)} isn't text")
        return value

    def object_or_empty(self, key: str) -> dict[str, Any]:
        """The object ``key``; an empty one where it is missing or null."""
        value = self.data.get(key)
        if value is not None and not isinstance(value, dict):
            raise ValueError(f"{self._place(key)} isn't an object")
        return value or {}

    def list_or_empty(self, key: str) -> list[Any]:
        """The list ``key``; an empty one where it is missing or null."""
        value = self.data.get(key)
        if value is not None and not isinstance(value, list):
            raise ValueError(f"{self._place(key)} isn't a list")
        return value or []

    def entries(self, key: str, noun: str) -> Iterator[Entry]:
        """The objects in the list ``key``, called "``noun`` 0" and so on."""
        for place, value in enumerate(self.list_or_empty(key)):
            if not isinstance(value, dict):
                raise ValueError(f"{noun} {place} isn't an object")
            yield Entry(value, f"{noun} {place}")

    def _place(self, key: str) -> str:
        return f"{key!r} of {self.words}" if self.words else repr(key)


def whole(value: object, words: str) -> int:
    """``value`` as a whole number; ValueError where it isn't one ("5", 5.0 and true aren't)."""
    if not isinstance(value, int) or isinstance(value, bool):
        raise ValueError(f"{words} isn't a whole number")
    if abs(value) > MOST:
        raise ValueError(f"{words} is a number too large to be meant")
    return value


def number(value: object, words: str) -> float:
    """``value`` as a finite number; ValueError where it isn't one."""
    if not isinstance(value, int | float) or isinstance(value, bool) or value != value:
        raise ValueError(f"{words} isn't a number")
    if abs(value) > MOST:
        raise ValueError(f"{words} is a number too large to be meant")
    return float(value)


def numbers(value: object, length: int, words: str) -> tuple[float, ...]:
    """``value`` as a list of ``length`` finite numbers; ValueError where it isn't one."""
    if not isinstance(value, list) or len(value) != length:
        raise ValueError(f"{words} isn't a list of {length} numbers")
    return tuple(number(one, words) for one in value)
