"""The colours that fill the cells, taken from the page's own samples."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from chartscan.reading.cells.sampling import rim_places
from chartscan.reading.classes.usual import FEW
from chartscan.reading.filters import quantile
from chartscan.reading.marks.patches import (
    CRISP,
    INSIDE,
    MIDDLE,
    Patches,
    Samples,
    difference,
    worst,
)

Mask = NDArray[np.bool_]

PACKED = np.array([1 << 16, 1 << 8, 1])  # makes one number of red, green and blue in whole levels
STEPS, COARSE = 3, np.array([1 << 10, 1 << 5, 1])  # the same in steps of eight levels: 2 ** 3
BLOCK = 4096  # colours held against all fills in one go: stays in the cache


@dataclass(frozen=True)
class FillSettings:
    """How cells are taken for filled.

    Attributes:
        quiet: share of the cells that are sure to be free of marks and symbols; their samples show
            the noise of the page. Where they spread more than samples of one colour may, on scans
            and photographs, marks aren't looked for.
        like: share of a column of samples that must look like its cells; below it, a grid line is
            drawn there. Part stitches and marks seldom change so much of a column.
        like_beside: the same right beside the edges of cells, where a line may be drawn in dots.
        shown: share of a cell's samples that must show a fill before it is believed.
        places: places along a side, at most, at which a cell is looked at for its fill.
        sides: how far from the edges of cells, in cells, dots of a line reach, and any line.
    """

    quiet: float = 0.2
    like: float = 0.6
    like_beside: float = 0.85
    shown: float = 0.25
    places: int = 8
    sides: tuple[float, float] = (0.12, 0.4)


@dataclass(frozen=True, eq=False)
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
        lossy: whether the page was stored with loss.
    """

    colours: NDArray[np.float64]
    classes: NDArray[np.intp]
    given: NDArray[np.intp]
    cells: NDArray[np.intp]
    rim_x: Mask
    rim_y: Mask
    tolerance: float
    lossy: bool


def find_fills(
    patches: Patches, cells: NDArray[np.int32], tolerance: float, settings: FillSettings
) -> Fills | None:
    """Take each cell's colour from its own samples; None where the page is too noisy for that.

    ``cells`` names the classes; a class that owns no plain cell is believed only where its own
    colour dominates its cells. ``tolerance``: difference up to which two samples are one colour.
    """
    inner = patches.by_cell(_thinned(patches.offsets(*INSIDE), settings.places))
    core = patches.by_cell(patches.offsets(*MIDDLE))
    span = (core.max(axis=2) - core.min(axis=2)).max(axis=-1)
    if quantile(span, settings.quiet) > tolerance:
        return None
    middle = np.median(core, axis=2)
    flat = np.rint(middle).astype(np.int16)
    rim_x, rim_y, plain = plain_cells(patches, flat, tolerance, settings)
    if not plain.any():
        return None
    colours, classes, given = _class_colours(middle, cells, plain)
    filled = given[cells]
    doubtful = (filled < 0) | ~plain
    label, share = _modal(inner[doubtful], colours, tolerance)
    lost = share < settings.shown
    if lost.any():
        known = set(np.flatnonzero(given >= 0).tolist())
        spoiled = inner[doubtful], middle[doubtful], cells[doubtful]
        added, names = _shy_classes(*spoiled, lost, known, tolerance)
        if len(names):
            colours, classes = np.vstack([colours, added]), np.append(classes, names)
            label, share = _modal(inner[doubtful], colours, tolerance)
    filled[doubtful] = label
    return Fills(colours, classes, given, filled, rim_x, rim_y, tolerance, tolerance > CRISP)


def _thinned(offsets: NDArray[np.intp], most: int) -> NDArray[np.intp]:
    """At most ``most`` of the offsets, spread evenly, both ends kept."""
    if len(offsets) <= most:
        return offsets
    return offsets[np.rint(np.linspace(0, len(offsets) - 1, most)).astype(np.intp)]


def plain_cells(
    patches: Patches, middle: Samples, tolerance: float, settings: FillSettings
) -> tuple[Mask, Mask, Mask]:
    """Columns and rows of samples that grid lines change, and cells that are plain between them.

    A column of samples belongs to a line where few of its samples look like the middle of their
    cell; it is looked at halfway between the horizontal lines only.
    """
    side = patches.side
    painted = np.repeat(np.repeat(middle, side, axis=0), side, axis=1)
    same = difference(patches.pixels, painted) <= tolerance
    half = patches.offsets(*MIDDLE)
    grid = same.reshape(patches.rows, side, patches.columns, side)
    offset = np.arange(side)
    depth = np.minimum(offset, side - 1 - offset)
    like = np.where(depth < settings.sides[1] * side - 0.5, settings.like, 0.0)
    like[depth < settings.sides[0] * side] = settings.like_beside
    rim_x = grid[:, half].mean(axis=(0, 1)) < like
    rim_y = grid[:, :, :, half].mean(axis=(2, 3)) < like
    rim = rim_y[:, :, None, None] | rim_x
    plain = (grid | rim).all(axis=(1, 3))
    return rim_x.ravel(), rim_y.ravel(), plain


def _class_colours(
    middle: NDArray[np.float64], cells: NDArray[np.int32], plain: Mask
) -> tuple[NDArray[np.float64], NDArray[np.intp], NDArray[np.intp]]:
    """Usual colour of the plain cells of each class that owns any, most plain cells first.

    A class of the very colour, to a level, of a larger one is that one. Returns the colours, the
    class each stands for, and the number of its colour for each class (-1 for none).
    """
    names, count = np.unique(cells[plain], return_counts=True)
    number = np.full(int(cells.max()) + 1, -1, dtype=np.intp)
    colours: list[NDArray[np.float64]] = []
    classes: list[int] = []
    for name in names[np.argsort(-count, kind="stable")].tolist():
        colour = most_common(middle[plain & (cells == name)])
        apart = [float(np.abs(colour - other).max()) for other in colours]
        if apart and min(apart) <= 1:
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
    coarse = (samples.astype(np.int64) >> STEPS) @ COARSE
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
    flat = np.bincount(row[near] * len(colours) + label[near], minlength=n * len(colours))
    count = flat.reshape(n, len(colours))
    return count.argmax(axis=1), count.max(axis=1) / m


def unpacked(packed: NDArray[np.int64]) -> NDArray[np.float32]:
    """The colours (n, 3) that were made one number each, see ``PACKED``."""
    colours: NDArray[np.float32] = (packed[:, None] // PACKED % PACKED[1]).astype(np.float32)
    return colours


def nearest(
    samples: NDArray[np.integer] | NDArray[np.floating],
    colours: NDArray[np.float64],
    tolerance: float,
) -> tuple[NDArray[np.intp], Mask]:
    """The colour nearest to each sample (n, 3), worst channel, and whether it is near enough."""
    packed = samples.astype(np.int64) @ PACKED
    values, back = np.unique(packed, return_inverse=True)
    rgb = unpacked(values)
    label = np.empty(len(rgb), dtype=np.intp)
    distance = np.empty(len(rgb), dtype=np.float32)
    known = colours.T.astype(np.float32)
    for first in range(0, len(rgb), BLOCK):
        part = slice(first, first + BLOCK)
        apart = worst(*(rgb[part, k, None] - known[k] for k in range(3)))
        label[part] = apart.argmin(axis=1)
        distance[part] = apart.min(axis=1)
    return label[back], (distance <= tolerance)[back]


def _shy_classes(
    samples: Samples,
    middle: NDArray[np.float64],
    cells: NDArray[np.int32],
    lost: Mask,
    known: set[int],
    tolerance: float,
) -> tuple[NDArray[np.float64], NDArray[np.intp]]:
    """Classes without a plain cell, found by the colour that most of their cells show.

    ``samples`` is (n, m², 3), of all cells that aren't plain, and ``middle`` (n, 3) the colour of
    their middles; those ``lost`` show no known fill. Marks leave the outermost ring, as a knot
    fills a cell's middle; coding smears that over where cells are small, but no middles of many.
    """
    side = round(samples.shape[1] ** 0.5)
    ring = rim_places(side).ravel()
    colours, names = [], []
    for name in sorted(set(cells[lost].tolist()) - known):
        own = lost & (cells == name)
        pools = [samples[own][:, ring].reshape(-1, 3)]
        if own.sum() > FEW:
            pools.append(middle[own])
        for pool in pools:
            core = most_common(pool)
            if (np.abs(pool - core).max(axis=1) <= tolerance).mean() >= 0.5:
                colours.append(core)
                names.append(name)
                break
    return np.array(colours).reshape(-1, 3), np.array(names, dtype=np.intp)


def paint(fills: Fills, side: int) -> Samples:
    """Every sample in the colour of its cell, as though no grid were drawn."""
    block = np.rint(fills.colours).astype(np.int16)[fills.cells]
    return np.repeat(np.repeat(block, side, axis=0), side, axis=1)
