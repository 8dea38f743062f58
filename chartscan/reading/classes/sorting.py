"""Cells sorted by what they look like."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Labels = NDArray[np.intp]


@dataclass(frozen=True, eq=False)
class Sorted:
    """Cells sorted by what they look like, before the classes are named.

    Attributes:
        labels: number per cell, shape (rows, columns), commonest first.
        colours: sRGB of the ground of each number, shape (numbers, 3).
        symbols: number of the glyph of each, or BLANK, shape (numbers,).
        doubtful: cells that might as well be another, shape (rows, columns).
    """

    labels: Labels
    colours: NDArray[np.float64]
    symbols: Labels
    doubtful: NDArray[np.bool_]
