"""Pictures out of a reopened chart: its page straightened, cells cut out, the mean of a class."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from chartscan.colour.contrast import WHITE
from chartscan.reading.cells.sampling import SHOWN_BY, take
from chartscan.reading.lattice.model import Lattice
from chartscan.reading.page.page import Page
from chartscan.reading.reopen.reopened import OpenPage, Reopened

Pixels = NDArray[np.uint8]


@dataclass(frozen=True)
class PictureSettings:
    """How pictures are made.

    Attributes:
        most_pixels: largest straightened page, in pixels.
        mesh: cells along each side of a piece that is straightened as if it were flat; over eight
            cells a page bends by a tenth of a pixel or less.
    """

    most_pixels: int = 40_000_000
    mesh: int = 8


def straightened(
    opened: OpenPage,
    cell: int | None = None,
    margin: int = 0,
    settings: PictureSettings = PictureSettings(),
) -> Pixels:
    """A page with its grid made straight and even, sRGB of shape (height, width, 3).

    Args:
        opened: the page.
        cell: pixels a cell; None for those that it has on the page.
        margin: cells around the grid that are shown too.
        settings: how it is made.
    """
    lattice = opened.lattice
    columns, rows = lattice.columns + 2 * margin, lattice.rows + 2 * margin
    wide = lattice.cut(-margin, -margin, columns, rows) if margin else lattice
    most = max(1, math.isqrt(settings.most_pixels // (columns * rows)))
    return _flat(opened.page, wide, min(cell or max(1, round(min(lattice.pitch))), most), settings)


def crop(opened: Reopened, row: int, column: int, around: int = 1, cell: int = 32) -> Pixels:
    """A cell and as many ``around`` it, straightened, ``cell`` pixels each: (side, side, 3).

    Raises:
        ValueError: the cell lies on no page.
    """
    page = opened.page_of(row, column)
    top, left = page.kept.origin
    side = 1 + 2 * around
    part = page.lattice.cut(column - left - around, row - top - around, side, side)
    along = (np.arange(side * cell) + MIDDLE) / cell
    return take(page.page, part, along, along)


def mean_picture(
    opened: Reopened,
    index: int,
    side: int = 32,
    settings: PictureSettings = PictureSettings(),
) -> Pixels | None:
    """What cells of a class look like on the mean, (side, side, 3); None where it fills none."""
    places = np.argwhere(opened.chart.cells == index)
    if not len(places):
        return None
    spread = places[:: -(-len(places) // SHOWN_BY)].tolist()
    crops = [crop(opened, row, column, around=0, cell=side) for row, column in spread]
    return np.asarray(np.round(np.mean(crops, axis=0)), dtype=np.uint8)


def _flat(page: Page, lattice: Lattice, cell: int, settings: PictureSettings) -> Pixels:
    """The part of a page under a lattice, made straight, ``cell`` pixels a cell."""
    from PIL import Image

    size = lattice.columns * cell, lattice.rows * cell
    picture = Image.fromarray(page.pixels)
    mesh = []
    for top in range(0, lattice.rows, settings.mesh):
        bottom = min(top + settings.mesh, lattice.rows)
        for left in range(0, lattice.columns, settings.mesh):
            right = min(left + settings.mesh, lattice.columns)
            corners = np.array([[left, top], [left, bottom], [right, bottom], [right, top]], float)
            quad = lattice.to_pixels(corners).ravel().tolist()
            mesh.append(((left * cell, top * cell, right * cell, bottom * cell), tuple(quad)))
    enlarged = cell > min(lattice.pitch)
    way = Image.Resampling.BILINEAR if enlarged else Image.Resampling.NEAREST
    return np.asarray(picture.transform(size, Image.Transform.MESH, mesh, way, fillcolor=WHITE))


MIDDLE = 0.5  # of a pixel
