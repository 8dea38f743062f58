"""Pages that a program drew and saved without loss: the same light all over, and no noise.

Where such a page was resampled, cells of one class differ by where the pixels happen to lie in
them. So places in a cell are looked at by the mean of just the area that they cover, parts of
pixels counting as parts.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from chartscan.reading.cells.sampling import ONE_COLOUR
from chartscan.reading.lattice.model import Lattice
from chartscan.reading.page.page import Page

Values = NDArray[np.float64]


@dataclass(frozen=True)
class ExportSettings:
    """What tells a drawn page from a scanned one, and what is a line in its cells.

    Attributes:
        rows: rows of pixels looked at.
        white: least channel (0..255) of paper, which scanners burn out and so don't count.
        small: levels up to which a step between neighbouring pixels is small.
        noisy: part of the steps off the paper that are small, and not nought, on a scanned page;
            on drawn ones, sharply resampled, it was a quarter at most.
        band: rows of cells looked at in one go.
        line: part of the places along an outer side of the grid that must have one colour for a
            frame to lie there.
        other: part of the places beside it that may have a line's colour.
        deep: part of a cell, from its side, that a frame may cover.
    """

    rows: int = 100
    white: int = 254
    small: int = 4
    noisy: float = 0.3
    band: int = 4
    line: float = 0.8
    other: float = 0.3
    deep: float = 0.3


def is_exported(page: Page, lattice: Lattice, settings: ExportSettings = ExportSettings()) -> bool:
    """Whether a program drew the page, and its pixels were kept."""
    if not page.lossless or not lattice.straight:
        return False
    stride = max(1, page.size[1] // settings.rows)
    rows = page.pixels[::stride].astype(np.int16)
    steps = np.abs(np.diff(rows, axis=1)).max(axis=2)
    paper = rows.min(axis=2) >= settings.white
    told = steps[~(paper[:, 1:] & paper[:, :-1])]
    small = np.count_nonzero((told > 0) & (told <= settings.small))
    return bool(small <= settings.noisy * max(1, told.size))


def mean_places(
    page: Page,
    lattice: Lattice,
    side: int,
    inset: float,
    settings: ExportSettings = ExportSettings(),
) -> Values:
    """Mean sRGB of ``side`` × ``side`` areas inside every cell: (rows, columns, side, side, 3).

    Args:
        page: the page.
        lattice: where its cells lie, straight.
        side: areas along each side of a cell.
        inset: part of the cell left out along each side.
        settings: what a line is; a frame that reaches farther in is taken out.
    """
    edges = inset + np.arange(side + 1) * (1 - 2 * inset) / side
    values = np.empty((lattice.rows, lattice.columns, side, side, 3))
    for top in range(0, lattice.rows, settings.band):
        rows = min(settings.band, lattice.rows - top)
        band = lattice.cut(0, top, lattice.columns, rows)
        values[top : top + rows] = _means(page, band, edges)
    for turned in (values, values.transpose(1, 0, 3, 2, 4)):
        _clear(turned, settings)
    return values


def _means(page: Page, lattice: Lattice, edges: Values) -> Values:
    """The means of the areas between ``edges`` (in cells) of all cells of a few rows."""
    width, height = page.size
    xs, left, right = _bounds(lattice.columns, lattice.homography[0], edges, width, 0)
    ys, top, bottom = _bounds(lattice.rows, lattice.homography[1], edges, height, 1)
    down = _between(page.pixels[top:bottom, left:right], ys - top)
    across = _between(np.moveaxis(down.reshape(-1, right - left, 3), 1, 0), xs - left)
    side = len(edges) - 1
    return across.reshape(lattice.columns, side, lattice.rows, side, 3).transpose(2, 0, 3, 1, 4)


def _bounds(
    cells: int, line: Values, edges: Values, length: int, axis: int
) -> tuple[Values, int, int]:
    """Pixel bounds of the areas of each cell along one axis, and the first and last pixel."""
    at = (np.arange(cells)[:, None] + edges) * line[axis] + line[2]
    at = np.clip(at, 0, length)
    low = min(int(at.min()), length - 1)
    return at, low, min(length, int(np.ceil(at.max())) + 1)


def _between(pixels: NDArray[np.uint8] | Values, bounds: Values) -> Values:
    """Means of ``pixels`` along axis 0 between neighbouring bounds, shape (cells, areas, ...)."""
    total = np.zeros((len(pixels) + 1, *pixels.shape[1:]))
    np.cumsum(pixels, axis=0, out=total[1:], dtype=np.float64)
    whole = np.minimum(bounds.astype(np.intp), len(pixels) - 1).ravel()
    part = (bounds.ravel() - whole).reshape(-1, *[1] * (pixels.ndim - 1))
    at = total[whole] + part * (total[whole + 1] - total[whole])
    sums = np.diff(at.reshape(*bounds.shape, *pixels.shape[1:]), axis=1)
    size = np.maximum(np.diff(bounds, axis=1), 1e-6)
    return np.asarray(sums / size.reshape(*size.shape, *[1] * (pixels.ndim - 1)))


def _clear(values: Values, settings: ExportSettings) -> None:
    """Take a frame out of the first and last row of ``values``, in place.

    It reaches into its cells by as much as it is thicker than the lines, and ends within a place
    that is part frame, part cell; what lies next to that is put instead. What is seen at the far
    side of the cells, too, or at the same side of the cells next to them, is no frame: a row of one
    colour has it all around its symbols.
    """
    side = values.shape[2]
    ends = ((0, range(side)), (len(values) - 1, range(side - 1, -1, -1)))
    for number, inward in ends:
        row = values[number]
        colour = np.median(row[:, inward[0]], axis=(0, 1))
        like = (np.abs(row - colour).max(axis=3) <= ONE_COLOUR).mean(axis=(0, 2))
        deep = int(settings.deep * side)
        reach = next((k for k in range(deep + 1) if like[inward[k]] < settings.line), 0)
        beside = values[number - 1 if number else 1, :, inward[0]]
        next_ = (np.abs(beside - colour).max(axis=2) <= ONE_COLOUR).mean()
        if reach and max(like[inward[reach + 1]], like[inward[-1]], next_) <= settings.other:
            row[:, inward[0] : inward[reach + 1] : inward.step] = row[:, [inward[reach + 1]]]
