"""Small filters of image analysis in numpy alone.

To load ``scipy.ndimage`` takes a fifth of a second, more than all that these do on a page.
"""

from __future__ import annotations

from functools import cache
from typing import Any, Literal

import numpy as np
from numpy.typing import NDArray

Mode = Literal["symmetric", "edge", "constant"]
"""What lies beyond an array, as ``numpy.pad`` says it: its mirror image, its last value, nought."""

REACH = 4.0  # standard deviations at which a Gaussian is cut off: 6e-5 of it lies beyond


def quantile(values: NDArray[Any], part: float) -> float:
    """The value that ``part`` of all are below, between neighbours as they lie.

    ``numpy.quantile`` gives the same, but loads numpy's masked arrays, as ``numpy.median`` does: it
    takes as long as to read a small chart.
    """
    place = part * (values.size - 1)
    below = int(place)
    above = min(below + 1, values.size - 1)
    low, high = np.partition(values, (below, above), axis=None)[[below, above]].astype(np.float64)
    return float(low + (high - low) * (place - below))


def median(values: NDArray[Any], axis: int | None = None) -> NDArray[Any]:
    """The middle one of all values, or of those along ``axis``; of two the mean.

    Many rows of a few fractions are sorted four times as fast as ``numpy.median`` parts them;
    bytes are, as fractions, too.
    """
    row = values.ravel() if axis is None else np.moveaxis(values, axis, -1)
    middle = (row.shape[-1] - 1) // 2, row.shape[-1] // 2
    if axis is not None and values.dtype == np.uint8:
        levels = np.sort(row.astype(np.float32), axis=-1)[..., middle]
        return np.asarray(levels.mean(axis=-1, dtype=np.float64))
    if axis is not None and np.issubdtype(values.dtype, np.floating):
        return np.asarray(np.sort(row, axis=-1)[..., middle].mean(axis=-1))
    return np.asarray(np.partition(row, middle, axis=-1)[..., middle].mean(axis=-1))


def squared(colours: NDArray[Any]) -> NDArray[Any]:
    """The squared length of colours (..., 3): (...). So short an axis is slow to sum by itself."""
    squares = colours**2
    total: NDArray[Any] = squares[..., 0] + squares[..., 1]
    total += squares[..., 2]
    return total


@cache
def _weights(deviation: float) -> NDArray[np.float64]:
    """A Gaussian that sums to one, from its middle out to ``REACH``, both ways."""
    radius = int(REACH * deviation + 0.5)
    values = np.exp(-0.5 * (np.arange(-radius, radius + 1) / deviation) ** 2)
    weights: NDArray[np.float64] = values / values.sum()
    weights.setflags(write=False)
    return weights


def smoothing(length: int, deviation: float, mode: Mode = "symmetric") -> NDArray[np.float64]:
    """The square matrix that smooths ``length`` values by a Gaussian of ``deviation`` places."""
    weights = _weights(deviation)
    radius = len(weights) // 2
    source: NDArray[np.float64] = np.eye(length)
    wide = np.pad(source, ((radius, radius), (0, 0)), mode=mode)
    windows = np.lib.stride_tricks.sliding_window_view(wide, len(weights), axis=0)
    return np.asarray(windows @ weights, dtype=np.float64)


def smoothed(
    values: NDArray[Any], deviation: float, axis: int = 0, mode: Mode = "symmetric"
) -> NDArray[Any]:
    """``values`` smoothed along one axis by a Gaussian of ``deviation`` places, in their type."""
    matrix = smoothing(values.shape[axis], deviation, mode).astype(values.real.dtype)
    moved = np.moveaxis(values, axis, 0)
    flat = moved.reshape(len(moved), -1)
    return np.moveaxis((matrix @ flat).reshape(moved.shape), 0, axis)


def blurred(blocks: NDArray[Any], axes: tuple[int, ...] = (0, 1)) -> NDArray[Any]:
    """Each value with those beside it along ``axes``, by 1, 2, 1; nought lies beyond."""
    for axis in axes:
        moved = np.moveaxis(blocks, axis, 0)
        wide = 2 * moved
        wide[1:] += moved[:-1]
        wide[:-1] += moved[1:]
        blocks = np.moveaxis(wide, 0, axis)
    return blocks


def highest(values: NDArray[Any], side: int) -> NDArray[Any]:
    """The highest value in the square of ``side`` (odd) places around each; none lies beyond."""
    return _extreme(values, side, np.maximum)


def closed(values: NDArray[Any], side: int) -> NDArray[Any]:
    """Grey closing: the highest value in a square of ``side``, then the lowest of those."""
    return _extreme(_extreme(values, side, np.maximum), side, np.minimum)


def _extreme(values: NDArray[Any], side: int, better: np.ufunc) -> NDArray[Any]:
    """``better`` over the square of ``side`` places around each value; the edge is repeated."""
    for axis in (0, 1):
        moved = np.moveaxis(values, axis, 0)
        length, reach = len(moved), side // 2
        wide = np.concatenate([moved[:1]] * reach + [moved] + [moved[-1:]] * reach)
        done = 1  # values that each entry of ``wide`` speaks for, from its own on
        while done < side:
            more = min(done, side - done)
            wide = better(wide[:-more], wide[more:])
            done += more
        values = np.moveaxis(wide[:length], 0, axis)
    return values


def dilated(mask: NDArray[np.bool_], reach: int) -> NDArray[np.bool_]:
    """Where any of the places up to ``reach`` away, aslant too, is set."""
    return highest(mask, 2 * reach + 1)


def pieces(mask: NDArray[np.bool_]) -> NDArray[np.intp]:
    """A number from 1 for each piece of set places that touch side by side, else nought.

    Pieces are numbered as they begin, row by row.
    """
    wide = np.zeros((mask.shape[0], mask.shape[1] + 1), dtype=np.int8)  # no run goes on past a row
    wide[:, :-1] = mask
    steps = np.diff(wide.ravel(), prepend=0)
    starts, ends = np.flatnonzero(steps > 0), np.flatnonzero(steps < 0)
    below = starts + wide.shape[1], ends + wide.shape[1]  # where each run would lie a row lower
    first = np.searchsorted(ends, below[0], side="right").tolist()
    last = np.searchsorted(starts, below[1], side="left").tolist()
    roots = list(range(len(starts)))
    for run in roots.copy():
        for other in range(first[run], last[run]):
            one, two = _root(roots, run), _root(roots, other)
            roots[max(one, two)] = min(one, two)
    numbers = np.unique([_root(roots, run) for run in range(len(roots))], return_inverse=True)[1]
    found = np.zeros(mask.shape, dtype=np.intp)
    found[mask] = np.repeat(numbers + 1, ends - starts)
    return found


def _root(roots: list[int], run: int) -> int:
    """The first run of the piece that a run is known to belong to; the way there is cut short."""
    while roots[run] != run:
        roots[run] = roots[roots[run]]
        run = roots[run]
    return run
