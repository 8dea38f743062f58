"""One way round for a chart and its mirror images and turns, so that all of them need the same.

A road that is found by trying depends on what is tried first, and so does which of two equal links
is made. So the stitches of each thread are taken in the order they have in that of the eight ways
round whose list of cells comes first, whichever way round the chart was given.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from itertools import pairwise, product

import numpy as np

from chartscan.yardage.geometry import Cell
from chartscan.yardage.stitches import Ints, Stitches


@dataclass(frozen=True, eq=False)
class Turned:
    """Stitches in an order that doesn't depend on how the chart lies.

    Attributes:
        stitches: the same stitches, thread by thread, reordered.
        column, row: where each lies in its thread's own way round, shape (n,).
        cell: the sides of a cell that way round.
    """

    stitches: Stitches
    column: Ints
    row: Ints
    cell: Cell


def one_way_round(stitches: Stitches, cell: Cell) -> Turned:
    """Turn the stitches of each thread by itself; cells that aren't square lie on a long side."""
    square, upright = math.isclose(cell.across, cell.down), cell.across < cell.down
    swaps = (False, True) if square else (upright,)
    column, row = stitches.column.copy(), stitches.row.copy()
    order = np.arange(stitches.key.size)
    bounds = np.searchsorted(stitches.key, np.arange(len(stitches.keys) + 1)).tolist()
    for start, end in pairwise(bounds):
        some = slice(start, end)
        row[some], column[some] = _first_way(stitches.row[some], stitches.column[some], swaps)
        order[some] = start + np.lexsort((column[some], row[some]))
    turned = replace(
        stitches,
        row=stitches.row[order],
        column=stitches.column[order],
        full=stitches.full[order],
        half=stitches.half[order],
        extra_mm=stitches.extra_mm[order],
    )
    lying = Cell(cell.down, cell.across) if upright and not square else cell
    return Turned(turned, column[order], row[order], lying)


def _first_way(rows: Ints, columns: Ints, swaps: tuple[bool, ...]) -> tuple[Ints, Ints]:
    """Rows and columns the way round whose sorted list of cells comes first."""
    rows, columns = rows - rows.min(), columns - columns.min()
    best: tuple[list[int], bytes, Ints, Ints] | None = None
    for swapped, down, right in product(swaps, (False, True), (False, True)):
        row = rows.max() - rows if down else rows
        column = columns.max() - columns if right else columns
        row, column = (column, row) if swapped else (row, column)
        size = [int(row.max()), int(column.max())]
        cells = np.sort(row * (size[1] + 1) + column).astype(">i8").tobytes()
        if best is None or (size, cells) < best[:2]:
            best = size, cells, row, column
    assert best is not None
    return best[2], best[3]
