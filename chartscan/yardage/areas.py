"""Which stitches hang together: areas joined by sides and corners, and carries along the back.

Joined by sides or corners, stitches are one area: an exhaustive search over all patterns of up to
six crosses finds that a corner costs no more than a side, but for what :func:`_narrow` counts.
Carries link areas one by one, shortest first, until every link that is allowed and needed is made
(Kruskal's spanning tree). The tree says which areas can be reached from each other and where a
needle would leave one for another; it is no road, since a needle can't branch: that is for
:mod:`path` to find.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import groupby

import numpy as np
from numpy.typing import NDArray

from chartscan.yardage.geometry import Cell, carry_length
from chartscan.yardage.places import Places
from chartscan.yardage.stitches import Ints, Stitches
from chartscan.yardage.turning import Turned

Floats = NDArray[np.float64]

# Within an area of up to so many crosses it costs something to come in at one end and leave at the
# other; in a larger one the work itself leads there, and it costs less the more there is of it. An
# assumption: exact searches reach to six crosses, where it costs all of it.
SMALL_AREA = 12

SIDES = ((1, 0), (0, 1))
CORNERS = ((1, 1), (-1, 1))


@dataclass(frozen=True, eq=False)
class Areas:
    """How the stitches hang together; arrays with one entry per stitch have shape (n,).

    Attributes:
        block: a number for the stitches joined by sides that the stitch belongs to, shape (n,).
        area: the same for those joined by sides and corners, shape (n,).
        group: the same for areas that can be reached from each other by carries, shape (n,).
        narrow: how often corners cost more than sides in the area, told to one of its stitches.
        places: where carries may begin and end; their areas and groups are numbered as here.
    """

    block: Ints
    area: Ints
    group: Ints
    narrow: Ints
    places: Places


def join_areas(turned: Turned, cell: Cell, carry_mm: float) -> Areas:
    """Join stitches of the same thread by sides, by corners, and by carries up to ``carry_mm``.

    Numbers are those of ``turned.stitches``. Of equal links those between stitches that come first
    are made.

    Time is linear in stitches times the cells that a carry can reach, memory in stitches.
    """
    stitches = turned.stitches
    grid = _Grid(stitches)
    block = _join(grid, np.arange(stitches.key.size), SIDES)
    area = _join(grid, block, CORNERS)
    group = area
    groups = np.count_nonzero(area == np.arange(area.size))
    ends: list[Ints] = []
    for _, equal in groupby(links(cell, carry_mm), key=lambda link: round(link[0], 9)):
        if groups == len(stitches.keys):
            break
        first, second = _apart(group, [grid.pairs(right, below) for _, right, below in equal])
        group, linking = hook(group, first, second)
        ends += [first[linking], second[linking]]
        groups -= linking.size
    places = _places(turned, area, group, ends)
    return Areas(block, area, group, _narrow(grid, block, area), places)


def _apart(group: Ints, steps: list[Iterator[tuple[Ints, Ints]]]) -> tuple[Ints, Ints]:
    """Of all pairs those that join two groups, in the order of their stitches."""
    found = [np.zeros((2, 0), dtype=np.int64)]
    for pairs in steps:
        for first, second in pairs:
            joins = group[first] != group[second]
            ends = np.stack([first[joins], second[joins]])
            found.append(np.sort(ends, axis=0))
    first, second = np.concatenate(found, axis=1)
    order = np.lexsort((second, first))[::-1]  # the last of equal ones is hooked
    return first[order], second[order]


def _join(grid: _Grid, parent: Ints, steps: tuple[tuple[int, int], ...]) -> Ints:
    for right, below in steps:
        for first, second in grid.pairs(right, below):
            parent, _ = hook(parent, first, second)
    return parent


def _places(turned: Turned, area: Ints, group: Ints, ends: list[Ints]) -> Places:
    """The stitches that links begin or end at."""
    at = np.unique(np.concatenate([np.zeros(0, dtype=np.int64), *ends]))
    sizes = np.bincount(area, minlength=1)
    share = np.minimum(1.0, SMALL_AREA / np.maximum(sizes[area[at]], 1))
    return Places(
        column=turned.column[at],
        row=turned.row[at],
        area=area[at],
        group=group[at],
        within_mm=share * (turned.cell.diagonal - turned.cell.shortest),
        cell=turned.cell,
    )


def _narrow(grid: _Grid, block: Ints, area: Ints) -> Ints:
    """Pairs side by side from both of which two corners or more lead straight on, outwards.

    They are told to the first stitch of the pair, shape (n,). By the exact search these are the
    only patterns of up to six crosses, with every lower leg below its upper, where a corner takes a
    diagonal move instead of a straight one: eight of 3,832.
    """
    found = np.zeros(area.size, dtype=np.int64)
    if not (block != area).any():
        return found
    in_pairs = np.bincount(block, minlength=block.size)[block] == 2
    for right, below in SIDES:
        for first, second in grid.pairs(right, below):
            alone = in_pairs[first]
            first, second = first[alone], second[alone]
            outward = [
                grid.leads(some, -sign * right, -sign * below)
                for some, sign in ((first, 1), (second, -1))
            ]
            found[first[outward[0] & outward[1]]] += 1
    return found


def links(cell: Cell, carry_mm: float) -> list[tuple[float, int, int]]:
    """(length, columns right, rows below) of every carry to try, shortest first."""
    reach_across = int(carry_mm / cell.across) + 2
    reach_down = int(carry_mm / cell.down) + 2
    carries = [
        (carry_length(cell, right, below), right, below)
        for below in range(reach_down + 1)
        for right in range(-reach_across, reach_across + 1)
        if (below > 0 or right > 0) and max(abs(right), below) > 1
    ]
    return sorted(link for link in carries if link[0] <= carry_mm + 1e-9)


def hook(parent: Ints, first: Ints, second: Ints) -> tuple[Ints, Ints]:
    """Union of sets: join every pair ``first``, ``second``.

    Args:
        parent: root of each member, itself flat (``parent[parent] == parent``), shape (n,).
        first: members, shape (m,).
        second: what each is joined with, shape (m,).

    Returns:
        The new roots, flat, and the pairs that joined two sets each, as indices.
    """
    a, b = parent[first], parent[second]
    pair = np.nonzero(a != b)[0]
    if pair.size == 0:
        return parent, pair
    a, b, parent = a[pair], b[pair], parent.copy()
    joining, hooked = [], []
    by = np.empty_like(parent)
    while pair.size:
        upper = np.maximum(a, b)
        by[upper] = pair  # of several pairs that hook the same root the last one does it
        made = by[upper] == pair
        parent[upper[made]] = np.minimum(a, b)[made]  # always downwards, so no ring can close
        joining.append(pair[made])
        hooked.append(upper[made])
        _flatten(parent, upper)
        a, b = parent[a], parent[b]
        apart = a != b
        a, b, pair = a[apart], b[apart], pair[apart]
    _flatten(parent, np.concatenate(hooked))
    return parent[parent], np.concatenate(joining)


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
        self.sorted = np.argsort(self.code)

    def _code(self, key: Ints, row: Ints, column: Ints) -> Ints:
        """Number of a place."""
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

    def leads(self, some: Ints, right: int, below: int) -> NDArray[np.bool_]:
        """Whether two corners lead from each of ``some`` straight on, to that side, shape (m,)."""
        across = ((right, 1), (right, -1)) if right else ((1, below), (-1, below))
        one, other = (self._has(some, x, y) & self._has(some, 2 * x, 2 * y) for x, y in across)
        return one | other

    def _has(self, some: Ints, right: int, below: int) -> NDArray[np.bool_]:
        """Whether the same thread works the cell so far from each of ``some``, shape (m,)."""
        row, column = self.stitches.row[some] + below, self.stitches.column[some] + right
        rows, columns = self.dense.shape
        inside = (row >= 0) & (row < rows) & (column >= 0) & (column < columns)
        there = self.key[np.where(inside, row, 0), np.where(inside, column, 0)]
        return np.asarray(inside & (there == self.stitches.key[some]))

    def _beside(self, some: Ints, right: int, below: int) -> tuple[Ints, Ints]:
        s = self.stitches
        row, column = s.row[some] + below, s.column[some] + right
        rows, columns = self.dense.shape
        inside = (row >= 0) & (row < rows) & (column >= 0) & (column < columns)
        some = some[inside]
        wanted = self._code(s.key[some], row[inside], column[inside])
        found_at = np.searchsorted(self.code, wanted, sorter=self.sorted)
        place = self.sorted[np.minimum(found_at, self.code.size - 1)]
        found = self.code[place] == wanted
        return some[found], place[found].astype(np.int64)
