"""The page laid flat for comparing pictures of cells, and what counts as alike on it."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from chartscan.reading.cells.light import LIT, Light
from chartscan.reading.lattice.model import Lattice
from chartscan.reading.marks.fills import Mask
from chartscan.reading.marks.patches import OFF, Patches, Samples, cut_patches, squared
from chartscan.reading.marks.sight import SightSettings
from chartscan.reading.marks.templates.resampled import at_each, where_crossing
from chartscan.reading.page.page import Page

Cells = NDArray[np.intp]
"""Numbers of cells, row by row, from 0."""


@dataclass(frozen=True)
class FlatSettings:
    """How the page is laid flat, and what alike means there.

    Attributes:
        side: least and greatest number of samples along a cell; in between it is the pitch rounded
            up, so that no pixel is lost.
        soft: greatest number where samples are interpolated: there is no more to be seen.
        whole: pixels by which the far side of the grid may stray from whole pixels a cell.
        tipping: part of a pixel below the middle between two at which sampling is kept off:
            rounding would tip to either side, and one glyph would have several pictures.
        sight: how far samples of one colour stray.
        scaled: difference (0..255, worst channel) up to which samples are one colour on scaled
            pages without loss, whose glyphs are sampled at other fractions of a pixel.
        alike: part of a cell's inner samples that may be off the picture of its class, on exact
            pages and on others. 3 % on exact pages would lose thin glyphs (2.3 % ink).
        odd: the same, from which on something lies over the cell.
        depth: part of the cell along each side where grid lines and their soft edges lie, and the
            least number of samples.
    """

    side: tuple[int, int] = (8, 32)
    soft: int = 24
    whole: float = 0.5
    tipping: float = 0.49
    sight: SightSettings = SightSettings()
    scaled: float = 12.0
    alike: tuple[float, float] = (0.005, 0.03)
    odd: tuple[float, float] = (0.015, 0.04)
    depth: tuple[float, int] = (0.1, 2)


@dataclass(frozen=True, eq=False)
class Flat:
    """The page laid flat.

    Attributes:
        patches: its samples; interpolated where the page is ``soft``.
        cells: the same cell by cell, shape (rows × columns, side, side, 3).
        soft: whether samples lie between pixels, so that pictures have soft edges.
        lossy: whether the page was stored with loss.
        tolerance: difference (0..255, worst channel) up to which two samples are one colour.
        alike: part of a cell's inner samples that may be off the picture of its class.
        odd: the same, from which on something lies over the cell.
        depth: samples along each side of a cell where grid lines may lie.
        inner: samples of a cell off those, shape (side, side).
        wide_x: columns of samples that wider lines cover besides, shape (columns × side,); None
            where there are none.
        wide_y: the same for the rows of samples.
    """

    patches: Patches
    cells: Samples
    soft: bool
    lossy: bool
    tolerance: float
    alike: float
    odd: float
    depth: int
    inner: Mask
    wide_x: Mask | None = None
    wide_y: Mask | None = None

    @property
    def side(self) -> int:
        """Samples along a cell."""
        return self.patches.side

    @property
    def shape(self) -> tuple[int, int]:
        """Rows and columns."""
        return self.patches.rows, self.patches.columns

    def covered(self, cells: Cells) -> Mask | None:
        """The inner samples (n, m) of the ``cells`` that wider lines cover; None without any."""
        if self.wide_x is None or self.wide_y is None:
            return None
        row, column = np.divmod(cells, self.shape[1])
        down = self.wide_y.reshape(-1, self.side)[row]
        across = self.wide_x.reshape(-1, self.side)[column]
        covered: Mask = (down[:, :, None] | across[:, None, :])[:, self.inner]
        return covered

    def by_cell(self, page: NDArray[np.generic]) -> NDArray[np.generic]:
        """An array (rows × side, columns × side, …) of samples cell by cell: (n, side, side, …)."""
        return to_cells(page, self.patches)

    def whole(self, cells: NDArray[np.generic]) -> NDArray[np.generic]:
        """What :meth:`by_cell` made, as it was."""
        rows, columns = self.shape
        side, rest = self.side, cells.shape[3:]
        grid = cells.reshape(rows, columns, side, side, *rest).swapaxes(1, 2)
        return grid.reshape(rows * side, columns * side, *rest)


def to_cells(page: NDArray[np.generic], patches: Patches) -> NDArray[np.generic]:
    """An array (rows × side, columns × side, …) of samples cell by cell: (n, side, side, …)."""
    side, rest = patches.side, page.shape[2:]
    grid = page.reshape(patches.rows, side, patches.columns, side, *rest).swapaxes(1, 2)
    return np.ascontiguousarray(grid).reshape(-1, side, side, *rest)


def is_exact(page: Page, lattice: Lattice, settings: FlatSettings = FlatSettings()) -> bool:
    """Whether cells are whole pixels on a page as a program drew it."""
    return page.lossless and _on_pixels(lattice, settings) is not lattice


def lay_flat(
    page: Page,
    lattice: Lattice,
    light: Light | None = None,
    settings: FlatSettings = FlatSettings(),
) -> Flat:
    """Lay ``page`` flat: pixel by pixel where cells are whole pixels, else by interpolation.

    Where the ``light`` on it is known, it is evened out.
    """
    low, high = settings.side
    square = squared(lattice) or lattice
    side = int(np.clip(np.ceil(max(square.pitch) - OFF), low, high))
    bent = bool(lattice.residual.size) or light is not None  # a camera keeps to no pixels
    patches = None if bent else cut_patches(page, _on_pixels(square, settings), side)
    soft = patches is None or not patches.whole
    if patches is None or soft:
        side = min(side, settings.soft)
        patches = interpolated(page, lattice, side, light)
    tolerance = settings.sight.tolerance(lossless=page.lossless)
    if page.lossless and soft:
        tolerance = settings.scaled
    exact = 0 if page.lossless and not soft else 1
    depth = max(settings.depth[1], int(np.ceil(settings.depth[0] * side)))
    inner = np.zeros((side, side), dtype=np.bool_)
    inner[depth : side - depth, depth : side - depth] = True
    cells = np.asarray(to_cells(patches.pixels, patches), dtype=np.int16)
    alike, odd = settings.alike[exact], settings.odd[exact]
    return Flat(patches, cells, soft, not page.lossless, tolerance, alike, odd, depth, inner)


def _on_pixels(lattice: Lattice, settings: FlatSettings) -> Lattice:
    """The lattice with samples in the middles of pixels, where a cell is whole pixels."""
    off = max(abs(p - round(p)) for p in lattice.pitch) * max(lattice.columns, lattice.rows)
    if not lattice.straight or off >= settings.whole:
        return lattice
    map_ = lattice.homography.copy()
    map_[0, 0], map_[1, 1] = np.rint(map_[0, 0]), np.rint(map_[1, 1])
    map_[:2, 2] = np.floor(map_[:2, 2] + settings.tipping)
    return replace(lattice, homography=map_)


def interpolated(page: Page, lattice: Lattice, side: int, light: Light | None) -> Patches:
    """The page resampled to ``side`` × ``side`` samples a cell by cubic splines, in even light."""
    x = (np.arange(lattice.columns * side) + 0.5) / side
    y = (np.arange(lattice.rows * side) + 0.5) / side
    place_x, place_y = (each - np.float32(0.5) for each in lattice.grid_to_pixels(x, y))
    pixels = np.empty((len(y), len(x), 3), dtype=np.int16)
    if light is not None:
        across = np.arange(lattice.columns, dtype=np.float64) + 0.5
        down = np.arange(lattice.rows, dtype=np.float64) + 0.5
        gain = (LIT / np.maximum(light.at(across, down), 1.0)).astype(np.float32)
    for channel in range(3):
        levels = page.pixels[..., channel]
        if lattice.straight:
            value = where_crossing(levels, place_y[:, 0], place_x[0])
        else:
            value = at_each(levels, place_y, place_x)
        if light is not None:
            value *= np.repeat(np.repeat(gain[..., channel], side, axis=0), side, axis=1)
        pixels[..., channel] = np.clip(np.rint(value), 0, 255)
    beside_x = (x - np.rint(x)) * lattice.pitch[0]
    beside_y = (y - np.rint(y)) * lattice.pitch[1]
    return Patches(pixels, side, lattice.rows, lattice.columns, beside_x, beside_y)
