"""How one reading lies over another: by the page where both are of one picture, else by cells."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from chartscan.chart import Chart
from chartscan.chart.corrections.overlay import Overlay, overlay_by_cells
from chartscan.errors import ChartError
from chartscan.reading.kept import KeptPage, kept_pages
from chartscan.reading.page.page import QUARTER_TURN

Points = NDArray[np.float64]


def overlay(old: Chart, new: Chart) -> Overlay | None:
    """How the reading of ``old`` lies over ``new``; None where nothing tells it for sure."""
    old_read, new_read = old.as_read or old, new.as_read or new
    by_page = _by_page(old_read, new_read)
    return overlay_by_cells(old_read, new_read) if by_page is None else by_page


def _by_page(old: Chart, new: Chart) -> Overlay | None:
    """The overlay where every page of the old chart is one of the new; None where one isn't."""
    try:
        before, after = kept_pages(old), kept_pages(new)
    except ChartError:
        return None
    nodes = np.full((old.rows + 1, old.columns + 1, 2), np.nan)
    for page in before:
        same = [other for other in after if _is_same(page, other)]
        if not same:
            return None
        row, column = page.origin
        here = _across(page, same[0])
        spot = nodes[row : row + here.shape[0], column : column + here.shape[1]]
        missing = np.isnan(spot)
        spot[missing] = here[: spot.shape[0], : spot.shape[1]][missing]
    return None if np.isnan(nodes).any() else Overlay(nodes, new.columns, new.rows)


def _is_same(page: KeptPage, other: KeptPage) -> bool:
    """Whether two pages are one picture; turned ones must say how large they are."""
    one = bool(page.sha256) and (page.sha256, page.number) == (other.sha256, other.number)
    return one and (page.turn == other.turn or None not in (page.size, other.size))


def _across(page: KeptPage, other: KeptPage) -> Points:
    """Corners of a page's cells in cells of the other reading, shape (rows + 1, columns + 1, 2)."""
    u, v = np.meshgrid(np.arange(page.lattice.columns + 1.0), np.arange(page.lattice.rows + 1.0))
    pixels = page.lattice.to_pixels(np.stack([u, v], axis=-1))
    turn = (other.turn - page.turn) % (4 * QUARTER_TURN)
    if page.size is not None:
        pixels, size = turned(pixels, page.size, turn)
        if other.size is not None:  # a PDF may have been rendered at another scale
            pixels = pixels * (np.array(other.size) / np.array(size))
    return np.asarray(other.lattice.to_cells(pixels) + np.array(other.origin[::-1]))


def turned(points: Points, size: tuple[int, int], degrees: int) -> tuple[Points, tuple[int, int]]:
    """Points of a picture of ``size`` once it is turned clockwise, and its size then."""
    x, y = points[..., 0], points[..., 1]
    width, height = size
    for _ in range(degrees // QUARTER_TURN):
        x, y = height - y, x
        width, height = height, width
    return np.stack([x, y], axis=-1), (width, height)
