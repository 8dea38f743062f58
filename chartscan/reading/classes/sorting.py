"""Cells sorted by what they look like, and how they were looked at for that."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

if TYPE_CHECKING:
    from chartscan.reading.cells.light import Light
    from chartscan.reading.classes.heaps import Heap
    from chartscan.reading.lattice.model import Lattice

Labels = NDArray[np.intp]

UNLIKE = "unlike every class"
REASONS = (
    "",
    "as near to another class as to its own",
    UNLIKE,
    "one of very few of its class",
)
"""Why a cell is unsure, by :attr:`Unsure.reason`."""


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
class Unsure:
    """Cells that might as well be of another class.

    Attributes:
        reason: why, as a place in :data:`REASONS`, 0 where a cell is sure: (rows, columns).
        second: the class that comes second for each cell, shape (rows, columns).
        chance: how likely that one is the right one, 0 to 1, shape (rows, columns).
    """

    reason: NDArray[np.uint8]
    second: Labels
    chance: NDArray[np.float64]

    @property
    def cells(self) -> NDArray[np.bool_]:
        """Which cells are unsure, shape (rows, columns)."""
        return np.asarray(self.reason > 0, dtype=np.bool_)


@dataclass(frozen=True, eq=False)
class Sorted:
    """Cells sorted by what they look like, before the classes are named.

    Attributes:
        labels: number per cell, shape (rows, columns), commonest first.
        colours: sRGB of the ground of each number, shape (numbers, 3).
        symbols: number of the glyph of each, or BLANK, shape (numbers,).
        doubtful: cells that might as well be another, shape (rows, columns).
        ink: CIELAB lightness printed in the cells of each, the root mean square over them; None
            where nothing is.
        unsure: why, and what they may be; None where that isn't known.
        alike: chance that two of the numbers are one, for every two that may: (one, other, chance).
        heaps: parts of numbers that may be a class of their own.
        sight: how they were looked at; None where the colour of their middle tells all.
    """

    labels: Labels
    colours: NDArray[np.float64]
    symbols: Labels
    doubtful: NDArray[np.bool_]
    ink: NDArray[np.float64] | None = None
    unsure: Unsure | None = None
    alike: tuple[tuple[int, int, float], ...] = ()
    heaps: tuple[Heap, ...] = ()
    sight: Sight | None = None
