"""Which stitches hang together: areas joined by sides, corners, and carries along the back.

Joined by sides, an area is worked in one go. Corners and carries link areas one by one, shortest
first, until every link that is allowed and needed is made (Kruskal's spanning tree): no road that
visits all the areas has shorter carries.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from chartscan.yardage.geometry import Cell, carry_length
from chartscan.yardage.stitches import Ints, Stitches

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class Areas:
    """How the stitches hang together; every array has one entry per stitch, shape (n,).

    Attributes:
        area: a number for the area joined by sides that the stitch belongs to.
        group: a number for the areas that are worked without cutting the thread.
        corner_mm: at one stitch of each area that a corner links to another, that move; else 0.
        carry_mm: the same for carries.
    """

    area: Ints
    group: Ints
    corner_mm: Floats
    carry_mm: Floats


def join_areas(stitches: Stitches, cell: Cell, carry_mm: float) -> Areas:
    """Join stitches of the same thread by sides, by corners, and by carries up to ``carry_mm``.

    Time is linear in stitches times the cells that a carry can reach, memory in stitches.
    """
    grid = _Grid(stitches)
    parent = np.arange(stitches.key.size)
    for right, below in ((1, 0), (0, 1)):
        for first, second in grid.pairs(right, below):
            parent, _ = hook(parent, first, second)
    area = parent
    corner = np.zeros(parent.size)
    carry = np.zeros(parent.size)
    groups = np.count_nonzero(parent == np.arange(parent.size))
    number_of_keys = len(stitches.keys)
    for length, right, below in links(cell, carry_mm):
        if groups == number_of_keys:
            break
        is_corner = abs(right) == 1 and below == 1
        for first, second in grid.pairs(right, below):
            # Each area that is hooked on another stops being a root once, by the link that did it.
            parent, hooked = hook(parent, first, second)
            (corner if is_corner else carry)[hooked] = length
            groups -= hooked.size
    return Areas(area, parent, corner, carry)


def links(cell: Cell, carry_mm: float) -> list[tuple[float, int, int]]:
    """(length, columns right, rows below) of every link to try, shortest first.

    A corner is always passed, diagonally behind. An exhaustive search over all patterns of up to
    six crosses finds none where the corners cost more than that.
    """
    corner = [(cell.diagonal, right, 1) for right in (1, -1)]
    reach_across = int(carry_mm / cell.across) + 2
    reach_down = int(carry_mm / cell.down) + 2
    carries = [
        (carry_length(cell, right, below), right, below)
        for below in range(reach_down + 1)
        for right in range(-reach_across, reach_across + 1)
        if (below > 0 or right > 0) and max(abs(right), below) > 1
    ]
    return sorted(corner + [link for link in carries if link[0] <= carry_mm + 1e-9])


def hook(parent: Ints, first: Ints, second: Ints) -> tuple[Ints, Ints]:
    """Union of sets: join every pair ``first``, ``second``.

    Args:
        parent: root of each member, itself flat (``parent[parent] == parent``), shape (n,).
        first: members, shape (m,).
        second: what each is joined with, shape (m,).

    Returns:
        The new roots, flat, and those that were roots before and no longer are.
    """
    a, b = parent[first], parent[second]
    apart = a != b
    a, b = a[apart], b[apart]
    if a.size == 0:
        return parent, a
    parent = parent.copy()
    rounds = []
    while a.size:
        upper = np.maximum(a, b)
        parent[upper] = np.minimum(a, b)  # always downwards, so no ring can close
        rounds.append(upper)
        _flatten(parent, upper)
        a, b = parent[a], parent[b]
        apart = a != b
        a, b = a[apart], b[apart]
    hooked = np.unique(np.concatenate(rounds))
    _flatten(parent, hooked)
    return parent[parent], hooked


def _flatten(parent: Ints, some: Ints) -> None:
    """Let ``some`` point to their roots, where only they may point to others than roots."""
    while True:
        above = parent[parent[some]]
        if np.array_equal(above, parent[some]):
            return
        parent[some] = above


class _Grid:
    """Looks up, for a step of so many cells, the pairs of stitches of one thread that it joins.

    One stitch of each cell lies in a dense grid, where a step is a shift; the others of cells that
    are shared by part stitches are found by their number in sorted order.
    """

    def __init__(self, stitches: Stitches) -> None:
        self.stitches = stitches
        rows = int(stitches.row.max(initial=0)) + 1
        self.dense = np.full((rows, stitches.columns), -1, dtype=np.int32)
        number = np.arange(stitches.key.size)
        self.dense[stitches.row, stitches.column] = number
        keys = np.append(stitches.key, -1).astype(np.int32)  # the last for a cell with nothing
        self.key = keys[self.dense]
        self.shared = np.nonzero(self.dense[stitches.row, stitches.column] != number)[0]
        self.code = self._code(stitches.key, stitches.row, stitches.column)

    def _code(self, key: Ints, row: Ints, column: Ints) -> Ints:
        """Number of a place, in the order that stitches are sorted in."""
        rows, columns = self.dense.shape
        return np.asarray((key * rows + row) * columns + column, dtype=np.int64)

    def pairs(self, right: int, below: int) -> Iterator[tuple[Ints, Ints]]:
        """Pairs of stitches ``right`` columns and ``below`` rows apart, ``below`` 0 or more."""
        rows, columns = self.dense.shape
        if below >= rows or abs(right) >= columns:
            return
        width = columns - abs(right)
        left, shifted = max(0, -right), max(0, right)
        here = (slice(0, rows - below), slice(left, left + width))
        there = (slice(below, rows), slice(shifted, shifted + width))
        same = (self.key[here] == self.key[there]) & (self.key[here] >= 0)
        yield self.dense[here][same].astype(np.int64), self.dense[there][same].astype(np.int64)
        if self.shared.size:
            yield self._beside(self.shared, right, below)
            yield self._beside(self.shared, -right, -below)

    def _beside(self, some: Ints, right: int, below: int) -> tuple[Ints, Ints]:
        s = self.stitches
        row, column = s.row[some] + below, s.column[some] + right
        rows, columns = self.dense.shape
        inside = (row >= 0) & (row < rows) & (column >= 0) & (column < columns)
        some = some[inside]
        wanted = self._code(s.key[some], row[inside], column[inside])
        place = np.minimum(np.searchsorted(self.code, wanted), self.code.size - 1)
        found = self.code[place] == wanted
        return some[found], place[found].astype(np.int64)
