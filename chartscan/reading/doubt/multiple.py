"""Whether each cell of the page was read as several: then what a cell is hangs on where it lies."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from chartscan.reading.lattice.located import Located, Rival, SizeOdds
from chartscan.reading.scale import LEAST_CELLS, SEVERAL


@dataclass(frozen=True)
class MultipleSettings:
    """When each cell of a page was read as several.

    Attributes:
        told: how far its place in its block tells what a cell is from which on that is so, if the
            judge, too, holds the coarser grid likelier. The truth of 287 drawn charts has 0.28 at
            most; four plates that were read so (seeds 900008, 1162001, 1163012, 1220002) had 0.35
            to 0.5 and more, and the judge held theirs likelier by 0.5 to 1.1 nats: too little to
            overrule what grew by itself.
    """

    told: float = 0.3


@dataclass(frozen=True)
class Blocks:
    """Blocks of cells in which the place of a cell tells most of what it is.

    Attributes:
        told: how far it tells that, 0 to 1.
        side: cells along a side of such a block.
    """

    told: float
    side: int


def blocks_of(cells: NDArray[np.int32], sides: Sequence[int]) -> Blocks:
    """The blocks of some of these ``sides`` that tell most of (rows, columns) classes.

    Only such as the grid divides into without a rest: fields that alternate hang on their place,
    too, and the cells of a whole grid come in whole blocks.
    """
    whole = [side for side in sides if not any(length % side for length in cells.shape)]
    told, side = max(((told_by_place(cells, side), side) for side in whole), default=(0.0, 1))
    return Blocks(told, side)


def as_one(
    located: Located, cells: NDArray[np.int32], settings: MultipleSettings = MultipleSettings()
) -> Located | None:
    """The same grid in cells as wide as several, where each was read as several; None elsewhere.

    Args:
        located: the grid, and which other sizes were judged.
        cells: class of each of its cells, shape (rows, columns).
        settings: when each was read as several.
    """
    odds, lattice = located.odds, located.lattice
    if odds.log_odds is None or (odds.margin or 0.0) >= 0:
        return None  # exact, told, or at least as likely as every other size
    blocks = blocks_of(cells, SEVERAL)
    size = (lattice.columns // blocks.side, lattice.rows // blocks.side)
    likelier = next((r for r in odds.rivals if (r.columns, r.rows) == size), None)
    if likelier is None or likelier.log_odds <= odds.log_odds:
        return None
    if blocks.told < settings.told or min(size) < LEAST_CELLS:
        return None
    read = Rival(lattice.columns, lattice.rows, odds.log_odds)
    others = (read, *(rival for rival in odds.rivals if rival != likelier))
    rivals = tuple(sorted(others, key=lambda rival: -rival.log_odds))
    anew = SizeOdds(likelier.log_odds, rivals, votes=0.0, decided=odds.decided)
    return Located(lattice.in_cells(blocks.side), anew)


def told_by_place(cells: NDArray[np.int32], times: int) -> float:
    """How far its place within blocks of ``times`` × ``times`` cells tells what a cell is, 0 to 1.

    The uncertainty coefficient of H. Theil (On the estimation of relationships involving
    qualitative variables, 1970) between class and place, less what chance alone gives it
    (G. A. Miller, Note on the bias of information estimates, 1955); titles from memory.

    Args:
        cells: class of each cell, shape (rows, columns).
        times: cells along a side of a block, 2 or more.
    """
    row, column = np.indices(cells.shape)
    places, classes = times * times, int(cells.max()) + 1
    place = row % times * times + column % times
    count = np.bincount((place * classes + cells).ravel(), minlength=places * classes)
    both = count.reshape(places, classes) / cells.size
    of_class = _entropy(both.sum(axis=0))
    if of_class == 0:
        return 0.0
    shared = of_class + _entropy(both.sum(axis=1)) - _entropy(both.ravel())
    by_chance = (places - 1) * (np.count_nonzero(both.sum(axis=0)) - 1) / (2 * cells.size)
    return float(np.clip((shared - by_chance) / of_class, 0, 1))


def _entropy(part: NDArray[np.float64]) -> float:
    """The entropy (nats) of parts of a whole, of shape (n,)."""
    some = part[part > 0]
    return float(-(some * np.log(some)).sum())
