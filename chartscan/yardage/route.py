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

What touches at a corner only is worked along with the rest, for a move of the same length, see
:mod:`areas`. All moves of one kind are equally long, so that counting them sums the road hole by
hole, exactly. From area to area the needle goes along the back, in an order that :mod:`path` finds;
each of those moves has its own length. A move that is longer than a carry may be is slipped under
earlier stitches on its way; where ending and beginning again takes less, that is done instead.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from chartscan.yardage.areas import Areas, Floats, join_areas
from chartscan.yardage.geometry import Cell, least_road
from chartscan.yardage.path import walk
from chartscan.yardage.settings import Order
from chartscan.yardage.stitches import Ints, Stitches
from chartscan.yardage.turning import one_way_round

SLACK_MM = 1e-9  # a carry of just the limit is one


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
        slips: those of them that are slipped under earlier stitches.
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
    slips: int = 0

    @property
    def length(self) -> float:
        """The whole road."""
        return self.front + self.back + self.carries


def route(
    stitches: Stitches,
    cell: Cell,
    order: Order,
    carry_mm: float,
    restart_mm: float = math.inf,
    crosswise: frozenset[int] = frozenset(),
) -> list[Road]:
    """The road of each thread of ``stitches.keys``, in that order.

    Args:
        stitches: what is worked.
        cell: the sides of a cell.
        order: the working order within areas.
        carry_mm: the longest carry over bare cloth.
        restart_mm: what ending and beginning again takes.
        crosswise: classes that are worked cross by cross, whatever the order.
    """
    order = working_order(cell, order)
    turned = one_way_round(stitches, cell)
    stitches = turned.stitches
    areas = join_areas(turned, cell, carry_mm)
    legs = stitches.full + stitches.half
    front = stitches.full * cell.diagonal + stitches.half * (cell.diagonal / 2) + stitches.extra_mm
    back = _moves(stitches, areas, cell, order)
    if crosswise:
        by_key_crosswise = np.array([key.class_index in crosswise for key in stitches.keys])
        singly = _moves(stitches, areas, cell, "crosses")
        back = np.where(by_key_crosswise[stitches.key], singly, back)
    between = _between(areas, carry_mm, restart_mm)
    number = len(stitches.keys)

    def by_key(values: Floats | Ints) -> Floats:
        return np.asarray(np.bincount(stitches.key, values, number), dtype=np.float64)

    is_area = areas.area == np.arange(areas.area.size)
    front_by, back_by = by_key(front), by_key(back + between.within)
    carries_by, full_by, half_by = (
        by_key(some) for some in (between.carries, stitches.full, stitches.half)
    )
    legs_by, areas_by, jumps_by, slips_by = (
        by_key(some).astype(np.int64) for some in (legs, is_area, between.jumps, between.slips)
    )
    groups = _groups(stitches, between.stretch, front + back + between.within + between.carries)
    return [
        Road(
            front=float(front_by[k]),
            back=float(back_by[k]),
            carries=float(carries_by[k]),
            groups=groups[k],
            least=least_road(cell, int(full_by[k]), int(half_by[k])),
            legs=int(legs_by[k]),
            moves=int(legs_by[k] - areas_by[k]),
            areas=int(areas_by[k]),
            jumps=int(jumps_by[k]),
            slips=int(slips_by[k]),
        )
        for k in range(number)
    ]


@dataclass(frozen=True, eq=False)
class _Between:
    """What lies between areas, told to the stitches that stand for them; arrays of shape (n,).

    Attributes:
        carries: mm of the carry that leads to the area.
        within: mm from where an area is come to, to where it is left.
        jumps: carries that lead to the area.
        slips: those of them that are slipped under earlier stitches.
        stretch: a number for the stretch that each stitch is worked in.
    """

    carries: Floats
    within: Floats
    jumps: Ints
    slips: Ints
    stretch: Ints


def _between(areas: Areas, carry_mm: float, restart_mm: float) -> _Between:
    """Walk from area to area."""
    places, size = areas.places, areas.area.size
    order = walk(places)
    here, there = order[:-1], order[1:]
    ways = places.ways(here, there)
    joined = places.group[here] == places.group[there]
    elsewhere = places.area[here] != places.area[there]
    cut = ~joined | (elsewhere & (ways > restart_mm))
    carried = elsewhere & ~cut
    to = places.area[there]

    def told(some: NDArray[np.bool_], values: Floats) -> Floats:
        return np.asarray(np.bincount(to[some], values[some], size), dtype=np.float64)

    one = np.ones(ways.size)
    # An area belongs to the stretch in which the needle first comes to it; one that no carry leads
    # to is a stretch of its own.
    of_area = np.arange(size) + order.size
    run = np.concatenate([[0], np.cumsum(cut)]) if order.size else order
    np.minimum.at(of_area, places.area[order], run)
    return _Between(
        carries=told(carried, ways),
        within=told(joined & ~elsewhere, ways),
        jumps=told(carried, one).astype(np.int64),
        slips=told(carried & (ways > carry_mm + SLACK_MM), one).astype(np.int64),
        stretch=of_area[areas.area],
    )


def working_order(cell: Cell, order: Order) -> Order:
    """``order``, with "shortest" told as rows, or columns where their moves are shorter."""
    if order != "shortest":
        return order
    return "rows" if cell.down <= cell.across else "columns"


def _moves(stitches: Stitches, areas: Areas, cell: Cell, order: Order) -> Floats:
    """Moves behind, in mm, told to each stitch: one per leg, less one where an area begins."""
    legs = stitches.full + stitches.half
    is_area, is_block = (some == np.arange(some.size) for some in (areas.area, areas.block))
    narrow = areas.narrow * (cell.diagonal - cell.shortest)
    if order == "crosses":
        within = np.maximum(legs - 1, 0) * cell.shortest
        onwards = np.where(is_block, cell.shortest, cell.diagonal)
        moves: Floats = within + np.where(is_area, 0.0, onwards) + narrow
        return moves
    step = cell.down if order == "rows" else cell.across
    return np.asarray((legs - is_area) * step + narrow, dtype=np.float64)


def _groups(stitches: Stitches, stretch: Ints, road: Floats) -> list[Floats]:
    """Road of every stretch, by key; no stretch has two keys."""
    _, first, of = np.unique(stretch, return_index=True, return_inverse=True)
    lengths = np.bincount(of, weights=road, minlength=first.size)
    keys = stitches.key[first]
    return [np.asarray(lengths[keys == k], dtype=np.float64) for k in range(len(stitches.keys))]
