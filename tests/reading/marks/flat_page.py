"""Pages laid flat, as the stages of marks take them: samples, fills, and lines of known places."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from chartscan.reading.marks.fills import Fills
from chartscan.reading.marks.patches import Patches, cut_patches
from chartscan.reading.page.page import Page
from tests.reading.staged import Pixels, Rgb, straight

Mask = NDArray[np.bool_]
Floats = NDArray[np.float64]


def patches_of(pixels: Pixels, side: int) -> Patches:
    """A page whose cells are ``side`` whole pixels, a sample a pixel."""
    rows, columns = (n // side for n in pixels.shape[:2])
    return cut_patches(Page(pixels, lossless=True), straight(columns, rows, side), side)


def fills_of(
    colours: Sequence[Rgb], cells: NDArray[np.intp], side: int, rim: int = 1, tolerance: float = 5.0
) -> Fills:
    """Fills that are known; grid lines cover ``rim`` samples at the top and left of cells."""
    number = np.arange(len(colours))
    along_x, along_y = (np.arange(n * side) % side < rim for n in cells.shape[::-1])
    return Fills(
        np.array(colours, np.float64), number, number, cells, along_x, along_y, tolerance, False
    )


def line_cover(
    ends: Floats, width: float, shape: tuple[int, int], side: int
) -> NDArray[np.float32]:
    """How much of each sample a line ``width`` cells wide covers, to a tenth or so.

    Exact for lines along the samples; ``ends``: x0, y0, x1, y1 in cells. Ends are round.
    """
    y, x = (np.indices(shape) + 0.5) / side
    start, way = ends[:2], ends[2:] - ends[:2]
    t = np.clip(((x - start[0]) * way[0] + (y - start[1]) * way[1]) / (way @ way), 0, 1)
    off = np.hypot(x - start[0] - t * way[0], y - start[1] - t * way[1]) * side
    return np.asarray(np.clip(width * side / 2 + 0.5 - off, 0, 1), np.float32)
