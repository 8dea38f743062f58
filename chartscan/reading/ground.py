"""What the page would look like without marks: the colour in each cell and the grid lines."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from chartscan.reading.patches import Patches, Samples, difference

_QUIET = 0.2
"""Share of the cells that are sure to be free of marks and symbols, and show the page's noise."""

_LIKE_CELL = 0.6
"""Share of a column of samples that must look like its cells; below it, a grid line is drawn there.
Part stitches and marks seldom change so much of a column."""

_LIKE_CELL_BESIDE = 0.85
"""The same right beside the edges of cells, where a line may be drawn in dots."""

_DASHED = 0.5
"""Share of the cells along a grid line where it isn't as fitted, from which on it counts as broken."""

_SOFT = 0.1
"""Reach beside a grid line, in cells, of the ringing and softness that resampling leaves there."""

_SPILT = 0.25
"""Reach beside a grid line, in cells, in which a mark on the line shows beside the line."""

_FLOORS = (60.0, 40.0, 25.0, 15.0, 8.0, 4.0, 2.0, 2.0)
"""Least error, 0..255, that still counts in full, step by step of a fit."""

_FITTED = 60
"""Cells along a grid line that are enough to fit how it is drawn."""

Mask = NDArray[np.bool_]
Float = NDArray[np.float32]


@dataclass(frozen=True)
class Fills:
    """The colours that fill cells, as they stand on the page.

    Attributes:
        colours: sRGB of each fill, shape (n, 3).
        classes: the class index that each fill stands for, shape (n,).
        given: the fill that each class was found to have, -1 for none, shape (classes,).
        cells: the fill of each cell, shape (rows, columns).
        rim_x: whether a column of samples belongs to a grid line, shape (columns × side,).
        rim_y: the same for the rows of samples.
        tolerance: difference (0..255, worst channel) up to which two samples are one colour.
    """

    colours: NDArray[np.float64]
    classes: NDArray[np.intp]
    given: NDArray[np.intp]
    cells: NDArray[np.intp]
    rim_x: Mask
    rim_y: Mask
    tolerance: float


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


@dataclass(frozen=True)
class Ground:
    """The page less its marks.

    Attributes:
        expected: sRGB of every sample, shape of ``Patches.pixels``.
        left: samples that differ from it, shape (rows × side, columns × side).
    """

    expected: Samples
    left: Mask


# ---------------------------------------------------------------------------- fills


def find_fills(
    patches: Patches, cells: NDArray[np.int32], least: float, equal: float, noise: float
) -> Fills | None:
    """Take each cell's colour from its own samples; None where cells vary by more than ``noise``.

    ``cells`` names the classes; a class that owns no plain cell is believed only where its own
    colour dominates its cells. ``least`` is the tolerance on a page without noise; classes whose
    colours differ by no more than ``equal`` are one.
    """
    inner = patches.by_cell(_thinned(patches.offsets(0.14, 0.86), 8))
    core = patches.by_cell(patches.offsets(0.3, 0.7))
    span = (core.max(axis=2) - core.min(axis=2)).max(axis=-1)
    if float(np.quantile(span, _QUIET)) > noise:
        return None
    tolerance = max(least, 1.2 * float(np.quantile(span, _QUIET)))
    middle = np.median(core, axis=2)
    rim_x, rim_y, plain = plain_cells(patches, np.rint(middle).astype(np.int16), tolerance)
    if not plain.any():
        return None
    colours, classes, given = _class_colours(middle, cells, plain, equal)
    filled = given[cells]
    stray = np.abs(middle - colours[filled]).max(axis=-1) > 1.5 * tolerance
    doubtful = (filled < 0) | stray | ~plain
    label, share = _modal(inner[doubtful], colours, tolerance)
    lost = share < 0.25
    if lost.any():
        known = set(np.flatnonzero(given >= 0).tolist())
        spoiled = inner[doubtful], cells[doubtful]
        added, names = _shy_classes(*spoiled, lost, known, tolerance)
        if len(names):
            colours, classes = np.vstack([colours, added]), np.append(classes, names)
            label, share = _modal(inner[doubtful], colours, tolerance)
    filled[doubtful] = label
    return Fills(colours, classes, given, filled, rim_x, rim_y, tolerance)


def _thinned(offsets: NDArray[np.intp], most: int) -> NDArray[np.intp]:
    """At most ``most`` of the offsets, spread evenly, both ends kept."""
    if len(offsets) <= most:
        return offsets
    return offsets[np.rint(np.linspace(0, len(offsets) - 1, most)).astype(np.intp)]


def plain_cells(patches: Patches, middle: Samples, tolerance: float) -> tuple[Mask, Mask, Mask]:
    """Columns and rows of samples that grid lines change, and cells that are plain between them.

    A column of samples belongs to a line where few of its samples look like the middle of their
    cell; it is looked at halfway between the horizontal lines only.
    """
    side = patches.side
    painted = np.repeat(np.repeat(middle, side, axis=0), side, axis=1)
    same = difference(patches.pixels, painted) <= tolerance
    half = patches.offsets(0.3, 0.7)
    grid = same.reshape(patches.rows, side, patches.columns, side)
    offset = np.arange(side)
    depth = np.minimum(offset, side - 1 - offset)
    like = np.where(depth < 0.4 * side - 0.5, _LIKE_CELL, 0.0)
    like[depth < 0.12 * side] = _LIKE_CELL_BESIDE
    rim_x = grid[:, half].mean(axis=(0, 1)) < like
    rim_y = grid[:, :, :, half].mean(axis=(2, 3)) < like
    rim = rim_y[:, :, None, None] | rim_x
    plain = (grid | rim).all(axis=(1, 3))
    return rim_x.ravel(), rim_y.ravel(), plain


def _class_colours(
    middle: NDArray[np.float64], cells: NDArray[np.int32], plain: Mask, equal: float
) -> tuple[NDArray[np.float64], NDArray[np.intp], NDArray[np.intp]]:
    """Usual colour of the plain cells of each class that owns any, most plain cells first.

    A class of the very colour (to ``equal``) of a larger one is that one. Returns the colours, the
    class each stands for, and the number of its colour for each class (-1 for none).
    """
    names, count = np.unique(cells[plain], return_counts=True)
    number = np.full(int(cells.max()) + 1, -1, dtype=np.intp)
    colours: list[NDArray[np.float64]] = []
    classes: list[int] = []
    for name in names[np.argsort(-count, kind="stable")].tolist():
        colour = most_common(middle[plain & (cells == name)])
        apart = [float(np.abs(colour - other).max()) for other in colours]
        if apart and min(apart) <= equal:
            number[name] = int(np.argmin(apart))
        else:
            number[name] = len(classes)
            colours.append(colour)
            classes.append(name)
    return np.array(colours), np.array(classes, dtype=np.intp), number


def most_common(
    samples: NDArray[np.floating] | NDArray[np.integer],
) -> NDArray[np.float64]:
    """Median of those of the samples (n, 3) that fall together in steps of eight."""
    coarse = (samples.astype(np.int64) >> 3) @ np.array([1 << 10, 1 << 5, 1])
    values, counts = np.unique(coarse, return_counts=True)
    result: NDArray[np.float64] = np.median(samples[coarse == values[counts.argmax()]], axis=0)
    return result


def _modal(
    samples: Samples, colours: NDArray[np.float64], tolerance: float
) -> tuple[NDArray[np.intp], NDArray[np.float64]]:
    """The fill that most ``samples`` (n, m, 3) of a cell show, and the share that show it."""
    n, m, _ = samples.shape
    label, near = nearest(samples.reshape(-1, 3), colours, tolerance)
    row = np.repeat(np.arange(n), m)
    count = np.bincount(row[near] * len(colours) + label[near], minlength=n * len(colours))
    count = count.reshape(n, len(colours))
    return count.argmax(axis=1), count.max(axis=1) / m


def nearest(
    samples: NDArray[np.integer] | NDArray[np.floating],
    colours: NDArray[np.float64],
    tolerance: float,
) -> tuple[NDArray[np.intp], Mask]:
    """The colour nearest to each sample (n, 3), worst channel, and whether it is near enough."""
    packed = samples.astype(np.int64) @ np.array([1 << 16, 1 << 8, 1])
    values, back = np.unique(packed, return_inverse=True)
    rgb = np.stack([values >> 16, (values >> 8) & 255, values & 255], axis=-1).astype(np.float32)
    label = np.empty(len(rgb), dtype=np.intp)
    distance = np.empty(len(rgb), dtype=np.float32)
    for first in range(0, len(rgb), 4096):
        part = slice(first, first + 4096)
        apart = np.abs(rgb[part, None] - colours.astype(np.float32)).max(axis=-1)
        label[part] = apart.argmin(axis=1)
        distance[part] = apart.min(axis=1)
    return label[back], (distance <= tolerance)[back]


def _shy_classes(
    samples: Samples, cells: NDArray[np.int32], lost: Mask, known: set[int], tolerance: float
) -> tuple[NDArray[np.float64], NDArray[np.intp]]:
    """Classes whose every cell is marked, found by the colour most of those cells show all around.

    ``samples`` is (n, m², 3), of all marked cells; those ``lost`` show no known fill. Only the
    outermost ring counts: a knot fills a cell's middle. A colour that lies over more cells of
    known fills than it fills itself is an ink.
    """
    side = round(samples.shape[1] ** 0.5)
    ring = np.ones((side, side), dtype=np.bool_)
    ring[1:-1, 1:-1] = False
    colours, names = [], []
    for name in sorted(set(cells[lost].tolist()) - known):
        own = lost & (cells == name)
        pool = samples[own][:, ring.ravel()].reshape(-1, 3)
        core = most_common(pool)
        share = (np.abs(pool - core).max(axis=1) <= tolerance).mean()
        over = (np.abs(samples[~lost] - core).max(axis=2) <= tolerance).mean(axis=1) > 0.05
        if share >= 0.5 and over.sum() <= own.sum():
            colours.append(core)
            names.append(name)
    return np.array(colours).reshape(-1, 3), np.array(names, dtype=np.intp)


def paint(fills: Fills, side: int) -> Samples:
    """Every sample in the colour of its cell, as though no grid were drawn."""
    block = np.rint(fills.colours).astype(np.int16)[fills.cells]
    return np.repeat(np.repeat(block, side, axis=0), side, axis=1)


# ---------------------------------------------------------------------------- grid lines


def find_rims(patches: Patches, fills: Fills, painted: Samples) -> tuple[Rims, Rims]:
    """How the samples on and beside vertical and horizontal grid lines come about."""
    turned = patches.pixels.swapaxes(0, 1), painted.swapaxes(0, 1)
    return (
        _rims(patches.pixels, painted, fills.rim_x, patches.side, fills.tolerance),
        _rims(*turned, fills.rim_y, patches.side, fills.tolerance),
    )


def _rims(pixels: Samples, painted: Samples, rim: Mask, side: int, tolerance: float) -> Rims:
    """The rims of the vertical lines of ``pixels``; ``rim`` tells which columns lie on lines."""
    middle = np.arange(int(0.3 * side), max(int(0.3 * side) + 1, int(np.ceil(0.7 * side))))
    across = np.arange(len(rim))
    depth = np.minimum(across % side, side - 1 - across % side)
    where = np.flatnonzero(rim | (depth <= _SOFT * side + 1))
    line = (where + side // 2) // side
    last = pixels.shape[1] - 1
    left, right = np.clip(line * side - 1, 0, last), np.clip(line * side, 0, last)
    rows = pixels.shape[0] // side
    step = max(1, rows // _FITTED)
    strips = pixels.reshape(rows, side, -1, 3)[::step, middle]
    fill = painted.reshape(rows, side, -1, 3)[::step, side // 2].astype(np.float64)
    near = np.flatnonzero(~rim & (depth <= _SPILT * side))
    spilt = (
        np.abs(np.median(strips[:, :, near], axis=1) - fill[:, near]).max(axis=-1) > 5 * tolerance
    )
    marked = np.zeros((len(spilt), len(rim) // side + 1), dtype=np.bool_)
    rows_at, at = np.nonzero(spilt)
    marked[rows_at, (near[at] + side // 2) // side] = True
    seen = strips[:, :, where]
    value = np.median(seen, axis=1).astype(np.float64)
    weight = np.where(marked[:, line], 0.001, 1.0)
    usual = _usual(where - line * side, value, fill[:, left], fill[:, right], weight)
    base, before, after, spread = _fit(value, fill[:, left], fill[:, right], weight, usual)
    fitted = base + before[:, None] * fill[:, left] + after[:, None] * fill[:, right]
    stray = np.abs(seen - fitted[:, None]).max(axis=-1) > 2 * tolerance
    dashed = stray.any(axis=1).mean(axis=0) > _DASHED
    if dashed.any():
        fills = fill[:, None, left[dashed]], fill[:, None, right[dashed]]
        base[dashed] = _line_colour(seen[:, :, dashed], fills, tolerance)
        spread[dashed] = 0
    return Rims(where, line, base, before, after, spread, dashed)


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
    value: NDArray[np.float64],
    left: NDArray[np.float64],
    right: NDArray[np.float64],
    weight: NDArray[np.float64],
) -> NDArray[np.float64]:
    """For each column of samples (of n) what fits all columns as far off their lines: (n, 5).

    It stands in where the fills along one line don't tell. Where lines lie at different fractions
    of a pixel it fits badly, and then hardly counts.
    """
    result = np.empty((len(offset), 5))
    for one in np.unique(offset):
        mine = np.flatnonzero(offset == one)
        pools = [v[:, mine].reshape(-1, 1, 3) for v in (value, left, right)]
        bare = np.array([[one < 0, one >= 0, 0, 0, 0]], dtype=np.float64)
        base, before, after, _ = _fit(*pools, weight[:, mine].reshape(-1, 1), bare)
        result[mine] = (before[0], after[0], *base[0])
    return result


def _fit(
    value: NDArray[np.float64],
    left: NDArray[np.float64],
    right: NDArray[np.float64],
    prior: NDArray[np.float64],
    usual: NDArray[np.float64],
) -> tuple[Float, Float, Float, Float]:
    """Fit ``value = base + before·left + after·right`` per column of (rows, n, 3), robustly.

    Iteratively reweighted least squares with Geman–McClure weights (Geman and McClure 1987) on a
    falling scale (graduated non-convexity, Blake and Zisserman 1987), so that rows with a mark on
    the line don't count, and rows of rare fills do; ``prior`` (rows, n) weighs rows beforehand.
    ``usual`` (n, 5), before, after and base, is leant on where the rows leave the answer open.
    """
    rows, n, _ = value.shape
    design = np.zeros((rows, n, 3, 5))
    design[..., 0], design[..., 1] = left, right
    design[..., [0, 1, 2], [2, 3, 4]] = 1
    start = np.abs(np.einsum("rnci,ni->rnc", design, usual) - value).max(axis=-1)
    weight = _weights(start, prior, _FLOORS[0])
    lean = np.diag([20.0, 20.0, 5e-4, 5e-4, 5e-4])
    error = np.zeros((rows, n))
    solved = usual
    for floor in _FLOORS:
        weighted = design * weight[..., None, None]
        normal = np.einsum("rnci,rncj->nij", weighted, design) + lean
        target = np.einsum("rnci,rnc->ni", weighted, value) + usual @ lean
        solved = np.linalg.solve(normal, target[..., None])[..., 0]
        error = np.abs(np.einsum("rnci,ni->rnc", design, solved) - value).max(axis=-1)
        weight = _weights(error, prior, floor)
    spread = np.median(error, axis=0)
    return (
        solved[:, 2:].astype(np.float32),
        solved[:, 0].astype(np.float32),
        solved[:, 1].astype(np.float32),
        spread.astype(np.float32),
    )


# ---------------------------------------------------------------------------- the page less marks


def lay_ground(patches: Patches, fills: Fills, painted: Samples, rims: tuple[Rims, Rims]) -> Ground:
    """Draw the grid lines over the ``painted`` fills and see which samples differ."""
    vertical, horizontal = rims
    pixels = patches.pixels
    expected = painted.copy()
    side = patches.side
    upright = _drawn(painted, pixels, vertical, side, fills.tolerance)
    turned = painted.swapaxes(0, 1), pixels.swapaxes(0, 1)
    level = _drawn(*turned, horizontal, side, fills.tolerance).swapaxes(0, 1)
    expected[:, vertical.where] = upright
    expected[horizontal.where] = level
    crossing = np.ix_(horizontal.where, vertical.where)
    lines = upright[horizontal.where], level[:, vertical.where]
    expected[crossing] = _crossings(pixels[crossing], painted[crossing], *lines)
    allowed = np.full(pixels.shape[:2], fills.tolerance, dtype=np.float32)
    allowed[:, vertical.where] += 4 * vertical.spread
    allowed[horizontal.where] += 4 * horizontal.spread[:, None]
    left = difference(pixels, expected) > allowed
    _admit_edges(left, expected, pixels, painted, vertical, side, fills.tolerance)
    turned = [a.swapaxes(0, 1) for a in (left, expected, pixels, painted)]
    _admit_edges(*turned, horizontal, side, fills.tolerance)
    return Ground(expected, left)


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
    left[y[close], x[close]] = False
    expected[y[close], x[close]] = there[close]


def _drawn(painted: Samples, pixels: Samples, rims: Rims, side: int, tolerance: float) -> Samples:
    """The samples of vertical lines as ``rims`` have it, over ``painted``: (height, n, 3)."""
    last = painted.shape[1] - 1
    left = painted[:, np.clip(rims.line * side - 1, 0, last)]
    right = painted[:, np.clip(rims.line * side, 0, last)]
    value = rims.base + rims.before[:, None] * left + rims.after[:, None] * right
    result = np.clip(np.rint(value), 0, 255).astype(np.int16)
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
        share = np.clip(((there - fill) * way).sum(axis=-1) / length, 0, 1)
        value = fill + share[..., None] * way
        apart = np.abs(there - value).max(axis=-1)
        nearer = apart < least
        best[nearer], least[nearer] = value[nearer], apart[nearer]
    close = least <= tolerance
    best[close] = there[close]
    result: Samples = np.rint(best).astype(np.int16)
    return result


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
