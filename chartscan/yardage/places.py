"""Places that a needle goes to from the back, and how far it is from one to another."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from chartscan.yardage.geometry import Cell

Ints = NDArray[np.int64]
Floats = NDArray[np.float64]
HAIR_MM = 1e-4
ROW_APART = 7919  # a prime greater than the columns of charts
NOWHERE = -1  # what stands for the place before the first or after the last


@dataclass(frozen=True, eq=False)
class Places:
    """Cells at which a needle comes to an area or leaves it; arrays have one entry per place, (n,).

    Attributes:
        column, row: its cell.
        area: a number for the area that it lies in.
        group: a number for the areas that are reached from each other; no road leaves its group.
        within_mm: what a step of one cell costs from place to place of the same area.
        cell: the lengths of a cell's sides.
    """

    column: Ints
    row: Ints
    area: Ints
    group: Ints
    within_mm: Floats
    cell: Cell

    @property
    def number(self) -> int:
        """How many places there are."""
        return int(self.column.size)

    @cached_property
    def points_mm(self) -> Floats:
        """Where each lies, shape (n, 3); the third takes groups so far apart that none is near.

        Each is moved by a hair (by Roberts' R2 sequence), so that of several equally far none is
        nearest by the order in which they were looked up.
        """
        number = self.row * ROW_APART + self.column
        x = self.column * self.cell.across + HAIR_MM * (number * 0.7548776662466927 % 1)
        y = self.row * self.cell.down + HAIR_MM * (number * 0.5698402909980532 % 1)
        _, group = np.unique(self.group, return_inverse=True)
        apart = 4.0 * (1 + float(np.ptp(x)) + float(np.ptp(y)))
        return np.column_stack([x, y, group * apart])

    def ways(self, a: Ints, b: Ints) -> Floats:
        """The way behind, in mm, from each place of ``a`` to that of ``b``; 0 from or to nowhere.

        Between areas it is :func:`geometry.carry_length`, here for arrays. Within an area crosses
        are finished one by one along the way, with a diagonal move from each to the next where
        working out and back would take a straight one.
        """
        right = np.abs(self.column[a] - self.column[b])
        below = np.abs(self.row[a] - self.row[b])
        beside = np.hypot((right - 1) * self.cell.across, below * self.cell.down)
        above = np.hypot(right * self.cell.across, (below - 1) * self.cell.down)
        beside[beside == 0] = np.inf
        above[above == 0] = np.inf
        same = self.area[a] == self.area[b]
        ways: Floats = np.where(
            same, (right + below) * self.within_mm[a], np.minimum(beside, above)
        )
        ways[(a == NOWHERE) | (b == NOWHERE)] = 0.0
        return ways

    def measure(self) -> Measure:
        """The same for two places at a time, without arrays."""
        return Measure(
            self.column.tolist(),
            self.row.tolist(),
            self.area.tolist(),
            self.within_mm.tolist(),
            self.cell,
        )


@dataclass(frozen=True)
class Measure:
    """:meth:`Places.ways` from one place to another."""

    column: list[int]
    row: list[int]
    area: list[int]
    within_mm: list[float]
    cell: Cell

    def __call__(self, a: int, b: int) -> float:
        """The way in mm."""
        if NOWHERE in (a, b):
            return 0.0
        right = abs(self.column[a] - self.column[b])
        below = abs(self.row[a] - self.row[b])
        if self.area[a] == self.area[b]:
            return (right + below) * self.within_mm[a]
        beside = math.hypot((right - 1) * self.cell.across, below * self.cell.down)
        above = math.hypot(right * self.cell.across, (below - 1) * self.cell.down)
        return min(beside or math.inf, above or math.inf)
