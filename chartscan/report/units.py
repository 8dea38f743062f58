"""Lengths and amounts as a stitcher reads them: metric first, imperial beside it."""

from __future__ import annotations

import math

from chartscan.lengths import ROUNDING, to_cut

MM_PER_INCH = 25.4
MM_PER_YARD = 914.4
MM_PER_METRE = 1000


def metres(mm: float) -> str:
    """``mm`` as metres: ``"12.3 m"``, ``"0.08 m"``, ``"1,020 m"``."""
    return f"{_short(mm / 1000)} m"


def yards(mm: float) -> str:
    """``mm`` as yards: ``"13.5 yd"``, ``"0.09 yd"``, ``"1,115 yd"``."""
    return f"{_short(mm / MM_PER_YARD)} yd"


def length(mm: float) -> str:
    """``mm`` both ways: ``"12.3 m (13.5 yd)"``."""
    return f"{metres(mm)} ({yards(mm)})"


def size_cm(size_mm: tuple[float, float]) -> str:
    """Width and height in cm: ``"25.4 × 20.3 cm"``."""
    return "{:.1f} × {:.1f} cm".format(*(mm / 10 for mm in size_mm))


def size_inches(size_mm: tuple[float, float]) -> str:
    """Width and height in inches: ``"10.0 × 8.0 in"``."""
    return "{:.1f} × {:.1f} in".format(*(mm / MM_PER_INCH for mm in size_mm))


def size(size_mm: tuple[float, float]) -> str:
    """Width and height both ways: ``"25.4 × 20.3 cm (10.0 × 8.0 in)"``."""
    return f"{size_cm(size_mm)} ({size_inches(size_mm)})"


def cut_cm(size_mm: tuple[float, float]) -> str:
    """What to cut, in cm: never less than ``size_mm``."""
    return size_cm(_as_cut(size_mm))


def cut_inches(size_mm: tuple[float, float]) -> str:
    """What to cut, in inches: never less than in cm."""
    return size_inches(_as_cut(_as_cut(size_mm), MM_PER_INCH / 10))


def cut(size_mm: tuple[float, float]) -> str:
    """What to cut both ways, as :func:`size`, but never less than ``size_mm``."""
    return f"{cut_cm(size_mm)} ({cut_inches(size_mm)})"


def _as_cut(size_mm: tuple[float, float], step_mm: float = 1.0) -> tuple[float, float]:
    return to_cut(size_mm[0], step_mm), to_cut(size_mm[1], step_mm)


def amount(value: float) -> str:
    """A number of skeins or the like: whole without decimals, else one: ``"2"``, ``"1.5"``."""
    return f"{value:.0f}" if math.isclose(value, round(value), abs_tol=0.005) else f"{value:.1f}"


def at_hand(skeins: float) -> str:
    """Skeins at hand, opened ones in fractions, never more than there are: ``"2"``, ``"0.31"``."""
    hundredths = math.floor(skeins * 100 + ROUNDING)
    return f"{hundredths / 100:.2f}".rstrip("0").rstrip(".")


def counted(number: int, one: str, many: str | None = None) -> str:
    """``number`` and its noun: ``"1 skein"``, ``"2 skeins"``."""
    return f"{number:,} {one if number == 1 else many or one + 's'}"


SINGULAR = {"skeins": "skein", "pieces": "piece", "copies": "copy"}


def in_unit(value: float, unit: str, *, sign: bool = False) -> str:
    """A number and its unit in the stash: ``"2 skeins"``, ``"1 piece"``, ``"+1 piece"``."""
    word = SINGULAR.get(unit, unit) if abs(value) == 1 else unit
    return f"{value:{'+' if sign else ''}g} {word}".strip()


def _short(value: float) -> str:
    """Three figures or so: no decimals from 100, one from 1, two below."""
    return f"{value:,.{0 if value >= 99.95 else 1 if value >= 0.995 else 2}f}"


def duration(seconds: float) -> str:
    """A time of work in the two largest units that matter: "3 h 20 min", "4 min", "20 s"."""
    minutes, hours = seconds / 60, seconds / 3600
    if hours >= 1:
        return f"{int(hours)} h {int(minutes % 60)} min"
    return f"{minutes:.0f} min" if minutes >= 2 else f"{seconds:.0f} s"
