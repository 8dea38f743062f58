"""Few skeins: the best few threads for many colours.

Choosing N threads so that the differences, weighted by stitches, add up to the least is the
k-median problem. Threads are dropped one by one, each time the one that costs least, and then
exchanged one for one as long as that helps; such local search is never worse than five times the
best, and mostly finds it (V. Arya et al., "Local search heuristics for k-median and facility
location problems", SIAM J. Comput. 33(3), 2004).
"""

from __future__ import annotations

from collections.abc import Collection

import numpy as np
from numpy.typing import NDArray

from chartscan.errors import MatchError
from chartscan.remedies import Remedy

Array = NDArray[np.float64]
Index = NDArray[np.intp]

_GAIN = 1e-9  # an exchange must bring more than rounding does


def fewest(cost: Array, weights: Array, limit: int, fixed: Collection[int] = ()) -> Index:
    """The thread for each colour, out of ``limit`` at most, at the least sum of weighted ``cost``.

    Args:
        cost: cost of each thread for each colour, (colours, threads); infinity = not allowed.
        weights: stitches of each colour, above 0, (colours,).
        limit: how many threads may be used, those in ``fixed`` included.
        fixed: threads that are used in any case.

    Raises:
        MatchError: ``fixed`` alone is more than ``limit``, or no ``limit`` threads can do it.
    """
    if len(set(fixed)) > limit:
        raise MatchError(f"the key alone names {len(set(fixed))} threads, more than {limit}")
    used = sorted(set(fixed) | set(np.argmin(cost, axis=1).tolist()))
    weighted = cost * weights[:, None]
    while len(used) > limit:
        droppable = [t for t in used if t not in fixed]
        totals = [_total(weighted, [u for u in used if u != t]) for t in droppable]
        used.remove(droppable[int(np.argmin(totals))])
    used = _exchange(weighted, used, fixed)
    if not used or not np.isfinite(_total(weighted, used)):
        raise MatchError(f"no {limit} threads can work every colour", Remedy.ALLOW_MORE)
    chosen: Index = np.array(used, dtype=np.intp)[np.argmin(cost[:, used], axis=1)]
    return chosen


def _exchange(weighted: Array, used: list[int], fixed: Collection[int]) -> list[int]:
    """Exchange one thread for another while the total falls, the best exchange first."""
    total = _total(weighted, used)
    while True:
        best, swap = total, None
        for leaving in used:
            if leaving in fixed:
                continue
            rest = [u for u in used if u != leaving]
            base = weighted[:, rest].min(axis=1, initial=np.inf)
            totals = np.minimum(base[:, None], weighted).sum(axis=0)
            coming = int(np.argmin(totals))
            if not totals[coming] >= best - _GAIN:
                best, swap = float(totals[coming]), (leaving, coming)
        if swap is None:
            return used
        used = sorted({*used, swap[1]} - {swap[0]})
        total = best


def _total(weighted: Array, used: list[int]) -> float:
    return float(weighted[:, used].min(axis=1, initial=np.inf).sum())
