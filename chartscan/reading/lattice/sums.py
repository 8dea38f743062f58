"""Means over rectangles of an array, each from four values of one table (Crow, 1984)."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class Sums:
    """Sums of all values above and to the left of each corner, shape (rows + 1, columns + 1)."""

    table: Floats

    @staticmethod
    def of(values: NDArray[np.floating]) -> Sums:
        """The table of ``values``, shape (rows, columns)."""
        table = np.zeros((values.shape[0] + 1, values.shape[1] + 1))
        np.cumsum(values, axis=0, out=table[1:, 1:])
        np.cumsum(table[1:, 1:], axis=1, out=table[1:, 1:])
        return Sums(table)

    def total(self, rows: slice, columns: slice) -> float:
        """The sum over a rectangle."""
        table, top, bottom = self.table, rows.start, rows.stop
        left, right = columns.start, columns.stop
        corners = table.item(top, left) + table.item(bottom, right)
        return corners - table.item(top, right) - table.item(bottom, left)

    def mean(self, rows: slice, columns: slice) -> float:
        """The mean over a rectangle."""
        number: int = (rows.stop - rows.start) * (columns.stop - columns.start)
        return self.total(rows, columns) / number

    def by_column(self, rows: slice, columns: slice) -> Floats:
        """The mean over each column of a rectangle."""
        ends = slice(columns.start, columns.stop + 1)
        sums = np.diff(self.table[rows.stop, ends] - self.table[rows.start, ends])
        return np.asarray(sums / (rows.stop - rows.start))

    def by_row(self, rows: slice, columns: slice) -> Floats:
        """The mean over each row of a rectangle."""
        ends = slice(rows.start, rows.stop + 1)
        sums = np.diff(self.table[ends, columns.stop] - self.table[ends, columns.start])
        return np.asarray(sums / (columns.stop - columns.start))
