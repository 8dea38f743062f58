"""What the page would look like without marks, and which samples differ from that."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from chartscan.reading.marks.blendfit import Float
from chartscan.reading.marks.fills import Fills, Mask
from chartscan.reading.marks.patches import Patches, Samples, difference
from chartscan.reading.marks.rims import Rims
from chartscan.reading.marks.smear import with_smear

_SHARE = (-0.25, 1.35)
"""How much of a broken line there may be in a sample: sharp scaling leaves it darker in places than
its usual colour, and what is beside it lighter than the fill."""

_COVER = 0.1
"""Least part of a sample that a line covers where its colour is told from it."""

_HALFWAY = 0.35
"""How far from half of each fill a blend may be that is the edge between them, and no line."""

_FOREIGN = 1.5
"""Tolerances by which a sample is off all blends of a grid line from which on it is none."""


@dataclass(frozen=True)
class Ground:
    """The page less its marks.

    Attributes:
        expected: sRGB of every sample, shape of ``Patches.pixels``.
        left: samples that differ from it, shape (rows × side, columns × side).
        open: samples off the grid lines and not next to them, of the same shape.
    """

    expected: Samples
    left: Mask
    open: Mask


def lay_ground(patches: Patches, fills: Fills, painted: Samples, rims: tuple[Rims, Rims]) -> Ground:
    """Draw the grid lines over the ``painted`` fills and see which samples differ."""
    vertical, horizontal = rims
    pixels = patches.pixels
    expected = painted.copy()
    side = patches.side
    upright = _drawn(painted, pixels, vertical, side, fills.tolerance)
    level = _drawn(
        painted.swapaxes(0, 1), pixels.swapaxes(0, 1), horizontal, side, fills.tolerance
    ).swapaxes(0, 1)
    if fills.lossy:
        upright = with_smear(upright, pixels, vertical, fills.cells, side)
        turned_ = level.swapaxes(0, 1), pixels.swapaxes(0, 1)
        level = with_smear(*turned_, horizontal, fills.cells.T, side).swapaxes(0, 1)
    expected[:, vertical.where] = upright
    expected[horizontal.where] = level
    crossing = np.ix_(horizontal.where, vertical.where)
    lines = upright[horizontal.where], level[:, vertical.where]
    expected[crossing] = _crossings(pixels[crossing], painted[crossing], *lines)
    _carry_on(expected, pixels, upright, vertical.where, horizontal.where, fills.tolerance)
    turned = expected.swapaxes(0, 1), pixels.swapaxes(0, 1), level.swapaxes(0, 1)
    _carry_on(*turned, horizontal.where, vertical.where, fills.tolerance)
    allowed = np.full(pixels.shape[:2], fills.tolerance, dtype=np.float32)
    allowed[:, vertical.where] += _spare(vertical)
    allowed[horizontal.where] += _spare(horizontal)[:, None]
    left = difference(pixels, expected) > allowed
    if not fills.lossy:  # there smears are expected, which are of other colours too
        left |= _foreign(pixels, expected, painted, rims, side, fills.tolerance)
    _admit_edges(left, expected, pixels, painted, vertical, side, fills.tolerance)
    _admit_edges(
        left.T,
        expected.swapaxes(0, 1),
        pixels.swapaxes(0, 1),
        painted.swapaxes(0, 1),
        horizontal,
        side,
        fills.tolerance,
    )
    open_ = np.ones(left.shape, dtype=np.bool_)
    open_[:, vertical.where] = open_[horizontal.where] = False
    return Ground(expected, left, open_)


def _foreign(
    pixels: Samples,
    expected: Samples,
    painted: Samples,
    rims: tuple[Rims, Rims],
    side: int,
    tolerance: float,
) -> Mask:
    """Samples on grid lines that differ from what is expected, and not as the lines themselves do.

    A line that wavers is lighter here and darker there: its samples stray far, but towards its own
    colour or that of the fills beside it.
    """
    vertical, horizontal = rims
    other = np.zeros(pixels.shape[:2], dtype=np.bool_)
    other[:, vertical.where] = True
    other[horizontal.where] = True
    turned = pixels.swapaxes(0, 1), expected.swapaxes(0, 1), painted.swapaxes(0, 1)
    other[:, vertical.where] &= _astray(pixels, expected, painted, vertical, side, tolerance)
    other.T[:, horizontal.where] &= _astray(*turned, horizontal, side, tolerance)
    return other


def _astray(
    pixels: Samples, expected: Samples, painted: Samples, rims: Rims, side: int, tolerance: float
) -> Mask:
    """Which samples of vertical lines stray off the ways from line to fills: (height, n)."""
    limit = _FOREIGN * tolerance
    result: Mask = difference(pixels[:, rims.where], expected[:, rims.where]) > limit
    y, i = np.nonzero(result)
    x, edge = rims.where[i], rims.line[i] * side
    last = painted.shape[1] - 1
    left = painted[y, np.clip(edge - 1, 0, last)].astype(np.float32)
    right = painted[y, np.clip(edge, 0, last)].astype(np.float32)
    line = _line_colours(rims)[i]
    stray = (pixels[y, x] - expected[y, x]).astype(np.float32)
    least = np.full(len(stray), np.inf, dtype=np.float32)
    for way in (line - left, line - right, left - right):
        length = np.maximum((way * way).sum(axis=-1), 1.0)
        share = (stray * way).sum(axis=-1) / length
        np.minimum(least, np.abs(stray - share[:, None] * way).max(axis=-1), out=least)
    result[y, i] = least > limit
    return result


def _line_colours(rims: Rims) -> Float:
    """The colour of the line that each sample belongs to, where it covers most: (n, 3)."""
    cover = 1 - rims.before - rims.after
    colour = np.clip(rims.base / np.maximum(cover, _COVER)[:, None], 0, 255)
    result = np.empty_like(rims.base)
    for number in np.unique(rims.line):
        mine = np.flatnonzero(rims.line == number)
        result[mine] = colour[mine[cover[mine].argmax()]]
    return result


def _spare(rims: Rims) -> Float:
    """How much more than elsewhere samples may differ beside lines, 0..255: (n,).

    Where a line is sharpened, white beside it can't become whiter, and the fit falls short.
    """
    return np.asarray(4 * rims.spread + 255 * np.maximum(rims.before + rims.after - 1, 0))


def _admit_edges(
    left: Mask,
    expected: Samples,
    pixels: Samples,
    painted: Samples,
    rims: Rims,
    side: int,
    tolerance: float,
) -> None:
    """Expect any blend of two neighbouring fills right on the edge between them, in place.

    Along a line where nearly all cells are alike, the few edges tell too little for a fit.
    """
    offset = rims.where - rims.line * side
    mine = np.flatnonzero((offset >= -2) & (offset <= 1))
    y, i = np.nonzero(left[:, rims.where[mine]])
    x, line = rims.where[mine][i], rims.line[mine][i]
    last = painted.shape[1] - 1
    a = painted[y, np.clip(line * side - 1, 0, last)].astype(np.float32)
    way = painted[y, np.clip(line * side, 0, last)] - a
    there = pixels[y, x]
    share = ((there - a) * way).sum(axis=1) / np.maximum((way * way).sum(axis=1), 1.0)
    blend = a + np.clip(share, 0, 1)[:, None] * way
    close = (np.abs(there - blend).max(axis=1) <= tolerance + 2) & (way != 0).any(axis=1)
    # A soft edge is two samples wide at most; more of one blend is a line drawn along it.
    halfway = close & (np.abs(share - 0.5) < _HALFWAY)
    run = np.zeros((left.shape[0], int(rims.line.max()) + 1), dtype=np.uint8)
    np.add.at(run, (y[halfway], line[halfway]), 1)
    close &= run[y, line] <= 2
    left[y[close], x[close]] = False
    expected[y[close], x[close]] = there[close]


def _drawn(painted: Samples, pixels: Samples, rims: Rims, side: int, tolerance: float) -> Samples:
    """The samples of vertical lines as ``rims`` have it, over ``painted``: (height, n, 3)."""
    last = painted.shape[1] - 1
    left = painted[:, np.clip(rims.line * side - 1, 0, last)]
    right = painted[:, np.clip(rims.line * side, 0, last)]
    value = rims.base + rims.before[:, None] * left + rims.after[:, None] * right
    result: Samples = np.clip(np.rint(value), 0, 255).astype(np.int16)
    broken = np.flatnonzero(rims.dashed)
    if len(broken):
        there = pixels[:, rims.where[broken]]
        result[:, broken] = _blended(
            there, (left[:, broken], right[:, broken]), rims.base[broken], 3 * tolerance
        )
    return result


def _blended(there: Samples, fills: tuple[Samples, ...], line: Float, tolerance: float) -> Samples:
    """Of the blends of a fill and the ``line``, the one nearest to what is ``there``.

    Where that is within ``tolerance``, it is what is there.
    """
    best = np.empty(there.shape, dtype=np.float32)
    least = np.full(there.shape[:2], np.inf, dtype=np.float32)
    for fill in fills:
        way = line - fill
        length = np.maximum((way * way).sum(axis=-1), 1.0)
        share = np.clip(((there - fill) * way).sum(axis=-1) / length, *_SHARE)
        value = fill + share[..., None] * way
        apart = np.abs(there - value).max(axis=-1)
        nearer = apart < least
        best[nearer], least[nearer] = value[nearer], apart[nearer]
    close = least <= tolerance
    best[close] = there[close]
    result: Samples = np.rint(best).astype(np.int16)
    return result


def _carry_on(
    expected: Samples,
    pixels: Samples,
    upright: Samples,
    columns: NDArray[np.intp],
    rows: NDArray[np.intp],
    tolerance: float,
) -> None:
    """Where a mark runs along an upright line and over a crossing, expect that line, in place.

    The sample at the crossing then looks like the one next to it, before or after the crossing,
    where the ``upright`` line (height, columns, 3) is what the mark covers.
    """
    crossing = np.ix_(rows, columns)
    there, lines = pixels[crossing], upright[rows]
    odd = difference(there, expected[crossing]) > tolerance
    free = np.setdiff1d(np.arange(len(pixels)), rows)
    after = np.searchsorted(free, rows)
    for next_ in (after - 1, after):
        near = pixels[np.ix_(free[np.clip(next_, 0, len(free) - 1)], columns)]
        runs_on = odd & (difference(there, near) <= tolerance)
        block = expected[crossing]
        block[runs_on] = lines[runs_on]
        expected[crossing] = block


def _crossings(there: Samples, painted: Samples, upright: Samples, level: Samples) -> Samples:
    """Where lines cross either may lie on top, or soft edges add up: expect what is nearest."""
    both = np.clip(upright + level - painted, 0, 255)
    best, least = upright, difference(there, upright)
    for other in (level, both, np.minimum(upright, level), np.maximum(upright, level)):
        apart = difference(there, other)
        nearer = apart < least
        best = np.where(nearer[..., None], other, best)
        least = np.where(nearer, apart, least)
    return best
