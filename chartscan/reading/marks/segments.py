"""Straight segments between half positions of the grid: which contain, which touch each other."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Ends = NDArray[np.int32]
"""Segments as (x0, y0, x1, y1) in half cells, shape (n, 4)."""


def maximal(ends: Ends) -> Ends:
    """Segments that no longer one on the same straight line contains."""
    if not len(ends):
        return ends
    way, line, low, high = on_lines(ends)
    order = np.lexsort((-high, low, line, way[:, 1], way[:, 0]))
    key = np.stack([way[order, 0], way[order, 1], line[order]], axis=-1)
    fresh = np.r_[True, (np.diff(key, axis=0) != 0).any(axis=1)]
    group = np.cumsum(fresh)
    span = int(high.max() - low.min()) + 2
    top = high[order] - low.min() + group * span
    before = np.r_[-1, np.maximum.accumulate(top)[:-1]]
    result: Ends = ends[order[fresh | (top > before)]]
    return result


def on_lines(
    ends: Ends,
) -> tuple[NDArray[np.int_], NDArray[np.int_], NDArray[np.int_], NDArray[np.int_]]:
    """Direction in lowest terms, the line it lies on, and from where to where on it."""
    delta = (ends[:, 2:] - ends[:, :2]).astype(np.int64)
    way = delta // np.gcd(delta[:, 0], delta[:, 1])[:, None]
    way *= np.where((way[:, 0] < 0) | ((way[:, 0] == 0) & (way[:, 1] < 0)), -1, 1)[:, None]
    line = ends[:, 0] * way[:, 1] - ends[:, 1] * way[:, 0]
    a = (ends[:, :2] * way).sum(axis=1)
    b = (ends[:, 2:] * way).sum(axis=1)
    return way, line, np.minimum(a, b), np.maximum(a, b)


def join(ends: Ends) -> Ends:
    """Join segments on one straight line that touch or overlap."""
    way, line, low, high = on_lines(ends)
    order = np.lexsort((low, line, way[:, 1], way[:, 0]))
    joined: list[list[int]] = []
    last: tuple[int, ...] = ()
    for i in order:
        key = (int(way[i, 0]), int(way[i, 1]), int(line[i]))
        start, stop = _ordered(ends[i], way[i])
        if key == last and low[i] <= joined[-1][4]:
            if high[i] > joined[-1][4]:
                joined[-1][2:] = [*stop, int(high[i])]
        else:
            joined.append([*start, *stop, int(high[i])])
        last = key
    return np.array(joined, dtype=np.int32)[:, :4]


def _ordered(
    ends: NDArray[np.int32], way: NDArray[np.int_]
) -> tuple[tuple[int, int], tuple[int, int]]:
    """Both ends of a segment, the one that comes first along ``way`` first."""
    a, b = (int(ends[0]), int(ends[1])), (int(ends[2]), int(ends[3]))
    return (a, b) if a[0] * way[0] + a[1] * way[1] <= b[0] * way[0] + b[1] * way[1] else (b, a)
