"""The needle's road through the cells: every leg in front and every move behind, counted by kind.

Within an area joined by sides the order is one that people use:

rows
    Out along a row with the lower legs, back with the upper; where rows lie against each other,
    the next row is worked out and back from the hole where the needle stands, before it goes on.
    Out, each lower leg is followed by a move straight down behind to the next one's beginning; the
    same on the way back. A row of n crosses takes 2n legs and 2n − 1 such moves. A row that hangs
    on another replaces one of its moves by two of the same length and brings its own, so that an
    area of n crosses takes 2n − 1 moves of one cell down, whatever its shape.
columns
    The same turned by a quarter: moves of one cell across.
crosses
    Each cross is finished before the next: a move straight behind within each, a diagonal one
    to the next.

Part stitches go along with the crosses of their area, a move behind for each leg. Where warp and
weft differ, a row that is entered in its middle has moves across that are counted as moves down. An
area of half crosses alone is counted like one of crosses; if it branches it takes a little more,
since there is no way back to work the branches on.

All moves of one kind are equally long, so that counting them sums the road hole by hole, exactly.
Between areas the needle goes over a corner or along the back, see :mod:`areas`; each of those moves
has its own length.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from chartscan.yardage.areas import Areas, Floats, join_areas
from chartscan.yardage.geometry import Cell, least_road
from chartscan.yardage.settings import Order
from chartscan.yardage.stitches import Stitches


@dataclass(frozen=True)
class Road:
    """The road of one thread in the needle, in mm of road; strands aren't counted in.

    Attributes:
        front: what lies in front.
        back: moves behind within areas, corners included.
        carries: moves along the back from area to area.
        groups: road of each stretch that is worked without cutting the thread, shape (g,);
            its sum is front + back + carries.
        least: proven lower bound for any road.
        legs: legs in front, stitches of a line, or knots.
        moves: moves behind within areas.
        areas: areas joined by sides or corners.
        jumps: carries.
    """

    front: float
    back: float
    carries: float
    groups: Floats
    least: float
    legs: int
    moves: int
    areas: int
    jumps: int

    @property
    def length(self) -> float:
        """The whole road."""
        return self.front + self.back + self.carries


def route(stitches: Stitches, cell: Cell, order: Order, carry_mm: float) -> list[Road]:
    """The road of each thread of ``stitches.keys``, in that order."""
    areas = join_areas(stitches, cell, carry_mm)
    legs = stitches.full + stitches.half
    front = stitches.full * cell.diagonal + stitches.half * (cell.diagonal / 2) + stitches.extra_mm
    is_area = areas.area == np.arange(areas.area.size)
    back = _moves(stitches, is_area, cell, order) + areas.corner_mm
    keys, number = stitches.key, len(stitches.keys)
    sums = [
        np.bincount(keys, weights=values, minlength=number)
        for values in (front, back, areas.carry_mm, stitches.full, stitches.half)
    ]
    areas_by_key, jumps, legs_by_key = (
        np.bincount(keys, weights=values, minlength=number).astype(np.int64)
        for values in (is_area & (areas.corner_mm == 0), areas.carry_mm > 0, legs)
    )
    groups = _groups(stitches, areas, front + back + areas.carry_mm)
    return [
        Road(
            front=float(sums[0][k]),
            back=float(sums[1][k]),
            carries=float(sums[2][k]),
            groups=groups[k],
            least=least_road(cell, int(sums[3][k]), int(sums[4][k])),
            legs=int(legs_by_key[k]),
            moves=int(legs_by_key[k] - areas_by_key[k]),
            areas=int(areas_by_key[k]),
            jumps=int(jumps[k]),
        )
        for k in range(number)
    ]


def working_order(cell: Cell, order: Order) -> Order:
    """``order``, with "shortest" told as rows, or columns where their moves are shorter."""
    if order != "shortest":
        return order
    return "rows" if cell.down <= cell.across else "columns"


def _moves(stitches: Stitches, is_area: np.ndarray, cell: Cell, order: Order) -> Floats:
    """Moves behind, in mm, told to each stitch: one per leg, less one where an area begins."""
    legs = stitches.full + stitches.half
    order = working_order(cell, order)
    if order == "crosses":
        within = np.maximum(legs - 1, 0) * cell.shortest
        moves: Floats = within + np.where(is_area, 0.0, cell.diagonal)
        return moves
    step = cell.down if order == "rows" else cell.across
    return np.asarray((legs - is_area) * step, dtype=np.float64)


def _groups(stitches: Stitches, areas: Areas, road: Floats) -> list[Floats]:
    """Road of every group, by key."""
    heads = np.nonzero(areas.group == np.arange(areas.group.size))[0]
    lengths = np.bincount(areas.group, weights=road, minlength=road.size)[heads]
    bounds = np.searchsorted(stitches.key[heads], np.arange(len(stitches.keys) + 1))
    return [np.asarray(lengths[a:b], dtype=np.float64) for a, b in pairwise(bounds.tolist())]
