"""Amounts of thread as people write them: "2", "0,5", "1/2", "1 1/2 skeins", "3.2 m", "4 yd"."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

MM_PER = {
    **dict.fromkeys(("mm",), Fraction(1)),
    **dict.fromkeys(("cm",), Fraction(10)),
    **dict.fromkeys(("m", "metre", "metres", "meter", "meters"), Fraction(1000)),
    **dict.fromkeys(("yd", "yds", "yard", "yards"), Fraction(9144, 10)),
    **dict.fromkeys(("ft", "foot", "feet"), Fraction(3048, 10)),
    **dict.fromkeys(("in", '"', "inch", "inches"), Fraction(254, 10)),
}  # the international yard of 1959 is exactly 0.9144 m
SKEIN = frozenset({"sk", "skein", "skeins"})
MOST = 1_000_000  # skeins, or metres of thread; more is a slip of the finger
LIKE = "2, 1/2, 1 1/2 skeins, 3.2 m or 4 yd"

_SIGNS = {"½": "1/2", "¼": "1/4", "¾": "3/4", "⅓": "1/3", "⅔": "2/3"}
_TERM = re.compile(
    r"(?:(?P<whole>\d{1,9})\s+)?(?P<top>\d{1,9})\s*/\s*(?P<bottom>\d{1,9})\s*(?P<of>[a-z\"]*)"
    r"|(?P<number>\d{1,9}(?:[.,]\d{1,9})?|[.,]\d{1,9})\s*(?P<unit>[a-z\"]*)"
)


@dataclass(frozen=True)
class ThreadAmount:
    """An amount of thread.

    Attributes:
        skeins: in skeins, each as it was told: two halves may be two opened skeins.
        lengths_mm: in mm of put-up, likewise.
    """

    skeins: tuple[Fraction, ...] = ()
    lengths_mm: tuple[int, ...] = ()

    @property
    def whole(self) -> int | None:
        """Whole skeins, where it is nothing else; None where it is."""
        total = sum(self.skeins, Fraction(0))
        return int(total) if total.denominator == 1 and not self.lengths_mm else None

    def in_stock(self, putup_mm: int) -> tuple[int, tuple[int, ...]]:
        """Unopened skeins, and the lengths of part skeins in mm, of put-ups of ``putup_mm``.

        Thirds add up: rests are rounded so that all of them together are what was told.
        """
        whole, parts, told, given = 0, list[int](), Fraction(0), 0
        for amount in self.skeins:
            whole += int(amount)
            told += (amount - int(amount)) * putup_mm
            part = round(told) - given
            given += part
            if part:
                parts.append(part)
        return whole, (*parts, *(length for length in self.lengths_mm if length))

    def __add__(self, other: ThreadAmount) -> ThreadAmount:
        return ThreadAmount(self.skeins + other.skeins, self.lengths_mm + other.lengths_mm)


def whole_skeins(number: int) -> ThreadAmount:
    """So many unopened skeins."""
    return ThreadAmount((Fraction(number),))


def parse_amount(text: str, bare: str = "skeins") -> ThreadAmount:
    """The amount that ``text`` says; several are joined by ``+``.

    Args:
        text: as typed.
        bare: the unit of a number without one; "" where every number must have its own.

    Raises:
        ValueError: it is no amount, or nobody can mean it.
    """
    found = ThreadAmount()
    for part in text.split("+"):
        found += _term(part, text, bare)
    return found


def total(amounts: Sequence[ThreadAmount]) -> ThreadAmount:
    """Several amounts as one."""
    found = ThreadAmount()
    for amount in amounts:
        found += amount
    return found


def _term(part: str, text: str, bare: str) -> ThreadAmount:
    told = part.strip().lower()
    for sign, words in _SIGNS.items():
        told = told.replace(sign, f" {words}").strip()
    match = _TERM.fullmatch(told)
    if match is None or (match["bottom"] and not int(match["bottom"])):
        raise ValueError(f"{text!r} isn't an amount like {LIKE}")
    unit = match["of"] or match["unit"] or bare
    if not unit:
        raise ValueError(f"{text!r}: {part.strip()} of what? Write {part.strip()} m or sk")
    number = _number(match)
    if unit in SKEIN:
        if number > MOST:
            raise ValueError(f"{text!r} is more skeins than anybody has")
        return ThreadAmount(skeins=(number,))
    if unit not in MM_PER:
        raise ValueError(f"{text!r}: {unit!r} is no unit of thread; write {LIKE}")
    length = number * MM_PER[unit]
    if length > MOST * 1000:
        raise ValueError(f"{text!r} is more thread than anybody has")
    return ThreadAmount(lengths_mm=(round(length),))


def _number(match: re.Match[str]) -> Fraction:
    if match["number"]:
        return Fraction("0" + match["number"].replace(",", "."))
    return int(match["whole"] or 0) + Fraction(int(match["top"]), int(match["bottom"]))
