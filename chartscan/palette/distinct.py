"""A thread of its own for every class, at the smallest total difference, and how sure that is.

The assignment is scipy's (a shortest augmenting path method: D. F. Crouse, "On implementing 2D
rectangular assignment algorithms", IEEE Trans. Aerosp. Electron. Syst. 52(4), 2016).
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from chartscan.errors import MatchError
from chartscan.remedies import Remedy

Array = NDArray[np.float64]
Index = NDArray[np.intp]


def assign(cost: Array) -> Index:
    """The column for each row that makes the sum of ``cost`` (rows, columns) least, each used once.

    Entries of infinity are forbidden.

    Raises:
        MatchError: there are too few columns, or what is forbidden leaves no assignment.
    """
    from scipy.optimize import linear_sum_assignment

    rows, columns = cost.shape
    if rows > columns:
        raise MatchError(
            f"{rows} colours can't each have a thread of their own out of {columns}",
            Remedy.LARGER_RANGE,
            Remedy.SHARE_THREADS,
        )
    try:
        return np.asarray(linear_sum_assignment(cost)[1], dtype=np.intp)
    except ValueError as error:
        raise MatchError(
            "no way to give each colour a thread of its own out of those that may be used",
            Remedy.LARGER_RANGE,
            Remedy.SHARE_THREADS,
        ) from error


def gaps(cost: Array, chosen: Index) -> Array:
    """By how much the total rises, at least, if a row may not have its ``chosen`` column: (rows,).

    Exact, for all rows at once. With its column forbidden, a row takes the column of another row,
    that one a third's, and so on, until one takes a free column or, in a circle, the column that
    was given up. In the first case the column given up may be worth moving to for another row,
    whose own column may be worth it for the next. All three are shortest paths between rows, had
    from the Floyd-Warshall recurrence; no circle of swaps is below 0, as the assignment is the
    best. Two paths that cross needn't be told apart: the circle that is part of them is no dearer.
    Infinity where there is no other assignment.
    """
    rows = len(cost)
    if not rows:
        return np.empty(0)
    own = cost[np.arange(rows), chosen]
    swap = cost[:, chosen] - own  # swap[r, s]: r takes the column of s, and s loses it
    np.fill_diagonal(swap, np.inf)
    free = np.ones(cost.shape[1], dtype=bool)
    free[chosen] = False
    outside = cost[:, free].min(axis=1, initial=np.inf)
    path = swap.copy()
    np.fill_diagonal(path, 0.0)
    for middle in range(rows):
        np.minimum(path, path[:, middle, None] + path[None, middle], out=path)
    to_free = (path + outside[None]).min(axis=1) - own
    moved_in = (path - own[:, None]).min(axis=0) + own
    in_circle = (path + swap.T).min(axis=1)
    gap: Array = np.minimum(to_free + moved_in, in_circle)
    return np.maximum(gap, 0.0)  # rounding can leave a hair below 0
