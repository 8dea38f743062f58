"""Cells sorted by what they look like, and how they were looked at for that."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from chartscan.reading.cells.light import Light
from chartscan.reading.lattice.model import Lattice

Labels = NDArray[np.intp]


@dataclass(frozen=True, eq=False)
class Sight:
    """How the cells of a page were looked at: what later stages need not guess again.

    Attributes:
        lattice: where the cells lie, moved by their glyphs where that made them more alike.
        light: what white paper looks like there; None where it is even, or not seen.
        patches: CIELAB of even places inside every cell, light balanced, shape
            (rows, columns, n, n, 3).
        coded: CIELAB difference of grounds that the file's coding makes by itself.
    """

    lattice: Lattice
    light: Light | None
    patches: NDArray[np.floating]
    coded: float


@dataclass(frozen=True, eq=False)
class Sorted:
    """Cells sorted by what they look like, before the classes are named.

    Attributes:
        labels: number per cell, shape (rows, columns), commonest first.
        colours: sRGB of the ground of each number, shape (numbers, 3).
        symbols: number of the glyph of each, or BLANK, shape (numbers,).
        doubtful: cells that might as well be another, shape (rows, columns).
        sight: how they were looked at; None where the colour of their middle tells all.
    """

    labels: Labels
    colours: NDArray[np.float64]
    symbols: Labels
    doubtful: NDArray[np.bool_]
    sight: Sight | None = None
