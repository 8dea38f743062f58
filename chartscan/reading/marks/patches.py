"""The grid cut out of the page and laid flat: the same number of samples in every cell."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TypeVar

import numpy as np
from numpy.typing import NDArray

from chartscan.reading.cells.sampling import meshed
from chartscan.reading.lattice.model import FLAT, Lattice
from chartscan.reading.page.page import Page

Samples = NDArray[np.int16]

Signed = TypeVar("Signed", np.int16, np.float32, np.float64)

_BAND = 32
"""Rows of samples held against others at a time: what comes of them stays in the cache."""

INSIDE = (0.14, 0.86)
"""From where to where in a cell, across or down, no line along its sides reaches."""

MIDDLE = (0.3, 0.7)
"""The same of what lies clear of marks along the sides, too."""

CRISP = 6.0
"""Greatest tolerance (0..255) of a page stored without loss."""

INKED = 2.0
"""Tolerances by which a sample differs from the ground of its cell where it is inked."""

OFF = 0.1
"""Pixels that a cell may be measured too wide: by less it is of whole pixels."""

_NEARLY = (1.2, 0.06)
"""Pixels, and cells, that a crossing may stray from straight lines for the page to lie square."""

_STRAIGHT = 0.25
"""Pixels that the far corner may stray from an axis-parallel grid before every sample is mapped."""


@dataclass(frozen=True, eq=False)
class Patches:
    """The page resampled to the grid, nearest pixel, nothing outside the grid.

    Attributes:
        pixels: sRGB 0..255, int16 so that differences fit, shape (rows × side, columns × side, 3).
        side: samples along the side of a cell.
        rows: rows of cells.
        columns: columns of cells.
        beside_x: pixels from the nearest grid line to the middle of the pixel that each column of
            samples shows, shape (columns × side,).
        beside_y: the same for the rows of samples.
    """

    pixels: Samples
    side: int
    rows: int
    columns: int
    beside_x: NDArray[np.float64]
    beside_y: NDArray[np.float64]

    @property
    def whole(self) -> bool:
        """Whether cells are whole pixels wide and high: then the page wasn't scaled."""
        fractions = (self.beside_x % 1, self.beside_y % 1)
        spread = [min(float(np.ptp(f)), float(np.ptp((f + 0.5) % 1))) for f in fractions]
        return max(spread) <= _STRAIGHT

    def offsets(self, low: float, high: float) -> NDArray[np.intp]:
        """The sample positions along a cell whose middles lie from ``low`` to ``high`` (0..1)."""
        middle = (np.arange(self.side) + 0.5) / self.side
        return np.flatnonzero((middle >= low) & (middle <= high))

    def by_cell(self, where: NDArray[np.intp]) -> Samples:
        """Samples at the positions ``where`` × ``where`` of each cell: (rows, columns, n², 3)."""
        grid = self.pixels.reshape(self.rows, self.side, self.columns, self.side, 3)
        chosen = grid[:, where][:, :, :, where].transpose(0, 2, 1, 3, 4)
        return chosen.reshape(self.rows, self.columns, len(where) ** 2, 3)


def difference(a: Samples, b: Samples) -> Samples:
    """Difference of samples (…, 3) and others, or one colour (3,), in the worst of the channels."""
    if b.ndim == 1:  # numpy's loops would be three long
        return worst(*(a[..., channel] - b[channel] for channel in range(3)))
    if a.shape != b.shape:
        apart = a - b
        return worst(*(apart[..., channel] for channel in range(3)))
    result = np.empty(a.shape[:-1], dtype=a.dtype)
    for first in range(0, len(a), _BAND):
        band = slice(first, first + _BAND)
        apart = a[band] - b[band]
        result[band] = worst(*(apart[..., channel] for channel in range(3)))
    return result


def worst(red: NDArray[Signed], green: NDArray[Signed], blue: NDArray[Signed]) -> NDArray[Signed]:
    """The greatest of three channels' differences, whatever their signs.

    Several times as fast as numpy's greatest along an axis of three.
    """
    result: NDArray[Signed] = np.abs(red)
    for channel in (green, blue):
        np.maximum(result, np.abs(channel), out=result)
    return result


def cut_patches(page: Page, lattice: Lattice, side: int) -> Patches:
    """Resample ``page`` to ``side`` × ``side`` samples a cell."""
    x = (np.arange(lattice.columns * side) + 0.5) / side
    y = (np.arange(lattice.rows * side) + 0.5) / side
    if is_square(lattice):
        column, row = pixel_columns(page, lattice, x), pixel_rows(page, lattice, y)
        pixels = meshed(page, row, column).astype(np.int16)
        beside_x = column + 0.5 - _column_pixels(lattice, np.rint(x))
        beside_y = row + 0.5 - _row_pixels(lattice, np.rint(y))
    else:
        width, height = page.size
        pixels = np.empty((len(y), len(x), 3), dtype=np.int16)
        for first in range(0, len(y), 256):
            points = np.stack(np.meshgrid(x, y[first : first + 256]), axis=-1)
            place = np.floor(lattice.to_pixels(points)).astype(np.intp)
            column = np.clip(place[..., 0], 0, width - 1)
            row = np.clip(place[..., 1], 0, height - 1)
            pixels[first : first + 256] = page.pixels[row, column]
        beside_x = (x - np.rint(x)) * lattice.pitch[0]
        beside_y = (y - np.rint(y)) * lattice.pitch[1]
    return Patches(pixels, side, lattice.rows, lattice.columns, beside_x, beside_y)


def pixel_columns(page: Page, lattice: Lattice, x: NDArray[np.float64]) -> NDArray[np.intp]:
    """The pixel columns at ``x``, in cells, of a grid that lies square on the page."""
    pixels = np.floor(_column_pixels(lattice, x)).astype(np.intp)
    return np.clip(pixels, 0, page.size[0] - 1)


def pixel_rows(page: Page, lattice: Lattice, y: NDArray[np.float64]) -> NDArray[np.intp]:
    """The pixel rows at ``y``, in cells, of a grid that lies square on the page."""
    pixels = np.floor(_row_pixels(lattice, y)).astype(np.intp)
    return np.clip(pixels, 0, page.size[1] - 1)


def _column_pixels(lattice: Lattice, x: NDArray[np.float64]) -> NDArray[np.float64]:
    """How far across the page ``x``, in cells, lies at half the grid's height."""
    return lattice.to_pixels(np.stack([x, np.full_like(x, lattice.rows / 2)], axis=-1))[:, 0]


def _row_pixels(lattice: Lattice, y: NDArray[np.float64]) -> NDArray[np.float64]:
    """How far down the page ``y``, in cells, lies at half the grid's width."""
    return lattice.to_pixels(np.stack([np.full_like(y, lattice.columns / 2), y], axis=-1))[:, 1]


def squared(lattice: Lattice) -> Lattice | None:
    """The lattice made square on the page, if it nearly is; None for a skewed or bent page.

    On a page stored with loss it is traced, and wanders by a part of a pixel.
    """
    if lattice.straight:
        return lattice
    column, row = np.arange(lattice.columns + 1.0), np.arange(lattice.rows + 1.0)
    crossings = lattice.to_pixels(np.stack(np.meshgrid(column, row), axis=-1))
    middle = np.median(crossings[..., 0], axis=0), np.median(crossings[..., 1], axis=1)
    across, down = np.polyfit(column, middle[0], 1), np.polyfit(row, middle[1], 1)
    stray = max(
        np.abs(crossings[..., 0] - np.polyval(across, column)).max(),
        np.abs(crossings[..., 1] - np.polyval(down, row)[:, None]).max(),
    )
    if stray > min(_NEARLY[0], _NEARLY[1] * min(lattice.pitch)):
        return None
    homography = np.array([[across[0], 0, across[1]], [0, down[0], down[1]], [0, 0, 1.0]])
    return replace(lattice, homography=homography, residual=FLAT)


def is_square(lattice: Lattice) -> bool:
    """Whether the grid lies square on the page, so that rows and columns are read on their own."""
    if lattice.residual.size:
        return False
    ends = np.array([(0, 0), (1, 0), (0, 1), (1, 1)]) * (lattice.columns, lattice.rows)
    a, b, c, d = lattice.to_pixels(ends.astype(np.float64))
    stray = [a[1] - b[1], a[0] - c[0], b[0] - d[0], c[1] - d[1]]
    return bool(np.abs(stray).max() < _STRAIGHT)
