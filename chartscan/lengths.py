"""Lengths as people write them: millimetres, centimetres, metres, inches, yards."""

from __future__ import annotations

import math
import re

ROUNDING = 1e-6  # of a step: what sums of lengths gain, or lose, as floating point numbers
UNITS_MM = {"": 1.0, "mm": 1.0, "cm": 10.0, "m": 1000.0, "in": 25.4, '"': 25.4, "yd": 914.4}

_LENGTH = re.compile(r'\s*(-?\d+(?:[.,]\d+)?|-?[.,]\d+)\s*(mm|cm|m|in|yd|"|)\s*')


def parse_length(text: str, bare: str = "mm") -> float:
    """``75``, ``75mm``, ``7.5 cm`` or ``3in`` in mm; of a number alone the unit is ``bare``.

    Raises:
        ValueError: it isn't a length.
    """
    match = _LENGTH.fullmatch(text)
    if not match:
        raise ValueError(f"{text!r} isn't a length like 75, 7.5cm or 3in")
    return float(match[1].replace(",", ".")) * UNITS_MM[match[2] or bare]


def to_cut(mm: float, step_mm: float = 1.0) -> float:
    """A side of fabric as it is cut: never less than ``mm``, in whole steps (mm of a ruler).

    What floating point sums add is no reason for another step.
    """
    return math.ceil(mm / step_mm - ROUNDING) * step_mm
