"""Whether each cell of the page was read as several: then what a cell is hangs on where it lies."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray


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
    """The blocks of some of these ``sides`` that tell most of (rows, columns) classes."""
    told, side = max((told_by_place(cells, side), side) for side in sides)
    return Blocks(told, side)


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
