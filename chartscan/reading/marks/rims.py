"""How the samples on and beside grid lines come about, fitted to the page."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from chartscan.reading.marks.fills import Fills, Mask
from chartscan.reading.marks.patches import Patches, Samples

Float = NDArray[np.float32]


@dataclass(frozen=True)
class RimSettings:
    """How grid lines are fitted, lengths in cells.

    Attributes:
        soft: reach beside a line of the ringing and softness that resampling leaves there.
        spilt: reach beside a line in which a mark on the line shows beside it.
        dashed: share of the cells along a line where it isn't as fitted, from which on it counts
            as broken.
        rows: cells along a line that are enough to fit how it is drawn.
        floors: least error, 0..255, that still counts in full, step by step of a fit.
    """

    soft: float = 0.1
    spilt: float = 0.25
    dashed: float = 0.5
    rows: int = 60
    floors: tuple[float, ...] = (60.0, 40.0, 25.0, 15.0, 8.0, 4.0, 2.0, 2.0)


@dataclass(frozen=True)
class Rims:
    """How the samples beside the grid lines of one direction come about.

    A sample there is ``base + before × fill before the line + after × fill after it``: an opaque
    line, a see-through line and the soft edge of either are all of this form.

    Attributes:
        where: positions of these samples across the page, shape (n,).
        line: the grid line each belongs to, 0 for the first, shape (n,).
        base, before, after: the coefficients, shapes (n, 3), (n,), (n,).
        spread: how far unmarked samples stray from the form, 0..255, shape (n,).
        dashed: whether the line is dashed, or too soft to fit: then ``base`` is its colour and any
            blend of that and a fill is the line.
    """

    where: NDArray[np.intp]
    line: NDArray[np.intp]
    base: Float
    before: Float
    after: Float
    spread: Float
    dashed: Mask


def find_rims(
    patches: Patches, fills: Fills, painted: Samples, settings: RimSettings
) -> tuple[Rims, Rims]:
    """How the samples on and beside vertical and horizontal grid lines come about."""
    turned = patches.pixels.swapaxes(0, 1), painted.swapaxes(0, 1)
    return (
        _rims(patches.pixels, painted, fills.rim_x, patches.side, fills.tolerance, settings),
        _rims(*turned, fills.rim_y, patches.side, fills.tolerance, settings),
    )


def _rims(
    pixels: Samples,
    painted: Samples,
    rim: Mask,
    side: int,
    tolerance: float,
    settings: RimSettings,
) -> Rims:
    """The rims of the vertical lines of ``pixels``; ``rim`` tells which columns lie on lines."""
    rows, last = pixels.shape[0] // side, pixels.shape[1] - 1
    step = max(1, rows // settings.rows)
    middle = np.arange(int(0.3 * side), max(int(0.3 * side) + 1, int(np.ceil(0.7 * side))))
    strips = pixels.reshape(rows, side, -1, 3)[::step, middle]
    fill = painted.reshape(rows, side, -1, 3)[::step, side // 2].astype(np.float64)
    across = np.arange(len(rim))
    depth = np.minimum(across % side, side - 1 - across % side)
    near = np.flatnonzero(~rim & (depth <= settings.spilt * side))
    marked = _marked(strips, fill, near, side, 5 * tolerance)
    where = np.flatnonzero(rim | (depth <= settings.soft * side + 1))
    line = (where + side // 2) // side
    left = fill[:, np.clip(line * side - 1, 0, last)]
    right = fill[:, np.clip(line * side, 0, last)]
    seen = strips[:, :, where]
    value = np.median(seen, axis=1).astype(np.float64)
    weight = np.where(marked[:, line], 0.001, 1.0)
    usual = _usual(where - line * side, rim[where], value, left, right, weight, settings.floors)
    base, before, after, spread = _fit(value, left, right, weight, usual, settings.floors)
    fitted = base + before[:, None] * left + after[:, None] * right
    stray = np.abs(seen - fitted[:, None]).max(axis=-1) > 2 * tolerance
    dashed = stray.any(axis=1).mean(axis=0) > settings.dashed
    if dashed.any():
        fills = left[:, None, dashed], right[:, None, dashed]
        base[dashed] = _line_colour(seen[:, :, dashed], fills, tolerance)
        spread[dashed] = 0
    return Rims(where, line, base, before, after, spread, dashed)


def _marked(
    strips: Samples,
    fill: NDArray[np.float64],
    near: NDArray[np.intp],
    side: int,
    tolerance: float,
) -> Mask:
    """Where the samples ``near`` a line differ from the fills, as beside a mark: (rows, lines)."""
    spilt = np.abs(np.median(strips[:, :, near], axis=1) - fill[:, near]).max(axis=-1) > tolerance
    marked = np.zeros((len(spilt), fill.shape[1] // side + 1), dtype=np.bool_)
    row, at = np.nonzero(spilt)
    marked[row, (near[at] + side // 2) // side] = True
    return marked


def _line_colour(
    seen: Samples, fills: tuple[NDArray[np.float64], ...], tolerance: float
) -> NDArray[np.float64] | float:
    """Colour of broken lines: the median of those samples that differ most from the fills.

    One colour for all of them, so that marks along one line don't pass for its colour.
    """
    apart = np.minimum(*(np.abs(seen - fill).max(axis=-1) for fill in fills))
    if not (apart > tolerance).any():
        return 0.0
    strong = apart >= np.median(apart[apart > tolerance])
    result: NDArray[np.float64] = np.median(seen[strong], axis=0)
    return result


def _weights(
    error: NDArray[np.float64], prior: NDArray[np.float64], floor: float
) -> NDArray[np.float64]:
    """Geman–McClure weights of (rows, n) errors on the scale of each column's median error."""
    scale = np.maximum(np.median(error, axis=0), floor)
    result: NDArray[np.float64] = prior / (1 + (error / scale) ** 2) ** 2
    return result


def _usual(
    offset: NDArray[np.intp],
    ruled: Mask,
    value: NDArray[np.float64],
    left: NDArray[np.float64],
    right: NDArray[np.float64],
    weight: NDArray[np.float64],
    floors: tuple[float, ...],
) -> NDArray[np.float64]:
    """For each column of samples (of n) what fits all columns as far off their lines: (n, 5).

    It stands in where the fills along one line don't tell. Where lines lie at different fractions
    of a pixel it fits badly, and then hardly counts. Where nothing tells, samples that are
    ``ruled`` are taken for an opaque line, others for bare fill; so are those that are ruled on
    a few, bold, lines only.
    """
    result = np.empty((len(offset), 5))
    for one in np.unique(offset):
        mine = np.flatnonzero(offset == one)
        pooled, before_, after_ = (v[:, mine].reshape(-1, 1, 3) for v in (value, left, right))
        guess = np.array([[one < 0, one >= 0, 0, 0, 0]], dtype=np.float64)
        if ruled[mine].mean() > 0.5:
            guess = np.append((0.0, 0.0), np.median(pooled, axis=0))[None]
        prior = weight[:, mine].reshape(-1, 1)
        base, before, after, _ = _fit(pooled, before_, after_, prior, guess, floors)
        result[mine] = (before[0], after[0], *base[0])
        if ruled[mine].mean() <= 0.5:
            bold = mine[ruled[mine]]
            result[bold, :2], result[bold, 2:] = 0, np.median(value[:, bold], axis=0)
    return result


def _pairs(
    left: NDArray[np.float64], right: NDArray[np.float64], value: NDArray[np.float64]
) -> tuple[tuple[NDArray[np.float64], NDArray[np.float64]], ...]:
    """What the normal equations of a fit multiply: left and right by themselves and the value."""
    return (left, left), (left, right), (right, right), (left, value), (right, value)


def _error(
    value: NDArray[np.float64],
    left: NDArray[np.float64],
    right: NDArray[np.float64],
    solved: NDArray[np.float64],
) -> NDArray[np.float64]:
    """How far (rows, n) values lie from before·left + after·right + base, worst channel."""
    apart = np.abs(solved[:, :1] * left + solved[:, 1:2] * right + solved[:, 2:] - value)
    result: NDArray[np.float64] = np.maximum(
        np.maximum(apart[..., 0], apart[..., 1]), apart[..., 2]
    )
    return result


def _normal(
    left: NDArray[np.float64],
    right: NDArray[np.float64],
    value: NDArray[np.float64],
    products: list[NDArray[np.float64]],
    weight: NDArray[np.float64],
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """The weighted normal equations of each of n columns: (n, 5, 5) and (n, 5)."""
    n = weight.shape[1]
    normal, target = np.zeros((n, 5, 5)), np.zeros((n, 5))
    ll, lr, rr, lv, rv = ((weight * p).sum(axis=0) for p in products)
    normal[:, 0, 0], normal[:, 0, 1], normal[:, 1, 0], normal[:, 1, 1] = ll, lr, lr, rr
    target[:, 0], target[:, 1] = lv, rv
    for unknown, fill in enumerate((left, right)):
        summed = (weight[..., None] * fill).sum(axis=0)
        normal[:, unknown, 2:] = normal[:, 2:, unknown] = summed
    normal[:, (2, 3, 4), (2, 3, 4)] = weight.sum(axis=0)[:, None]
    target[:, 2:] = (weight[..., None] * value).sum(axis=0)
    return normal, target


def _fit(
    value: NDArray[np.float64],
    left: NDArray[np.float64],
    right: NDArray[np.float64],
    prior: NDArray[np.float64],
    usual: NDArray[np.float64],
    floors: tuple[float, ...],
) -> tuple[Float, Float, Float, Float]:
    """Fit ``value = base + before·left + after·right`` per column of (rows, n, 3), robustly.

    Iteratively reweighted least squares with Geman–McClure weights (Geman and McClure 1987) on a
    falling scale (graduated non-convexity, Blake and Zisserman 1987), so that rows with a mark on
    the line don't count, and rows of rare fills do; ``prior`` (rows, n) weighs rows beforehand.
    ``usual`` (n, 5), before, after and base, is leant on where the rows leave the answer open.
    """
    products = [(a * b).sum(axis=-1) for a, b in _pairs(left, right, value)]
    lean = np.array([2.0, 2.0, 5e-4, 5e-4, 5e-4])
    solved = usual
    error = _error(value, left, right, solved)
    weight = _weights(error, prior, floors[0])
    for floor in floors:
        normal, target = _normal(left, right, value, products, weight)
        normal[:, range(5), range(5)] += lean
        target += usual * lean
        solved = np.linalg.solve(normal, target[..., None])[..., 0].astype(np.float64)
        error = _error(value, left, right, solved)
        weight = _weights(error, prior, floor)
    spread = np.median(error, axis=0)
    return (
        solved[:, 2:].astype(np.float32),
        solved[:, 0].astype(np.float32),
        solved[:, 1].astype(np.float32),
        spread.astype(np.float32),
    )
