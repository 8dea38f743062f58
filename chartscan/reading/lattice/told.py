"""The lattice where the stitcher tells it: the area it lies in, its corners, its size."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from chartscan.errors import GridError
from chartscan.progress import Progress, silent
from chartscan.reading.lattice.edges import find_edges
from chartscan.reading.lattice.locate import LocateSettings, locate
from chartscan.reading.lattice.located import Located
from chartscan.reading.lattice.model import FLAT, Lattice
from chartscan.reading.lattice.straight import StraightSettings, fit_axes
from chartscan.reading.page.page import Page
from chartscan.remedies import Remedy

Corners = Sequence[tuple[float, float]]
UNIT = np.array([[0.0, 0], [1, 0], [1, 1], [0, 1]])


@dataclass(frozen=True)
class ToldGrid:
    """What the stitcher says about the grid; None where she leaves it to the page.

    Attributes:
        size: columns and rows.
        area: x, y, width and height in px of the part of the page that holds it.
        corners: its outermost corners in px: top left, top right, bottom right, bottom left.
    """

    size: tuple[int, int] | None = None
    area: tuple[float, float, float, float] | None = None
    corners: Corners | None = None


def locate_told(
    page: Page,
    told: ToldGrid,
    progress: Progress = silent,
    settings: LocateSettings = LocateSettings(),
) -> Located:
    """The lattice of ``page``, with what the stitcher tells about it.

    Where none is found of the size that is told, it is what was found.

    Raises:
        GridError: no grid was found there.
    """
    if told.corners is not None:
        size = told.size or count_cells(page, told.corners)
        return Located(between(page, told.corners, size))
    if told.area is None:
        located = locate(page, progress, settings)
    else:
        located = within(page, told.area, progress, settings)
    lattice = located.lattice
    if told.size in (None, (lattice.columns, lattice.rows)):
        return located
    from chartscan.reading.lattice.sized import sized

    fitted = sized(page, lattice, told.size)
    return located if fitted is None else Located(fitted)


def within(
    page: Page,
    area: tuple[float, float, float, float],
    progress: Progress = silent,
    settings: LocateSettings = LocateSettings(),
) -> Located:
    """The lattice found in a part of the page, in pixels of the whole page."""
    x, y, width, height = (round(v) for v in area)
    part = page.pixels[y : y + height, x : x + width]
    if min(part.shape[:2]) < 1:
        raise GridError(
            f"{page.file}: the area lies off the page, which is {page.size[0]}×{page.size[1]} px"
        )
    located = locate(replace(page, pixels=np.ascontiguousarray(part)), progress, settings)
    move = np.array([[1.0, 0, x], [0, 1, y], [0, 0, 1]])
    moved = move @ located.lattice.homography
    lattice = replace(located.lattice, homography=moved / moved[2, 2])
    return replace(located, lattice=lattice)


def between(page: Page, corners: Corners, size: tuple[int, int]) -> Lattice:
    """The lattice of ``size`` cells with these outer corners, moved onto the lines it meets."""
    # Heavy, and seldom needed.
    from chartscan.reading.lattice.refine import refined
    from chartscan.reading.lattice.views import Views

    columns, rows = size
    roughly = Lattice(columns, rows, _map(UNIT * size, corners), FLAT, drawn=True)
    return refined(Views.at(page, "luma").grey, roughly).lattice


def count_cells(page: Page, corners: Corners) -> tuple[int, int]:
    """Columns and rows of the grid between four corners, from its pitch once straightened."""
    points = np.asarray(corners, dtype=np.float64)
    side = np.linalg.norm(np.roll(points, -1, axis=0) - points, axis=1)
    width, height = round((side[0] + side[2]) / 2), round((side[1] + side[3]) / 2)
    u, v = np.meshgrid((np.arange(width) + 0.5) / width, (np.arange(height) + 0.5) / height)
    flat = Lattice(1, 1, _map(UNIT, corners), FLAT, drawn=True)
    where = flat.to_pixels(np.stack([u, v], axis=-1)).astype(np.intp)
    x = np.clip(where[..., 0], 0, page.size[0] - 1)
    y = np.clip(where[..., 1], 0, page.size[1] - 1)
    straight = page.pixels[y, x]
    settings = StraightSettings()
    edges = [find_edges(p, settings.rows_sampled[-1]) for p in (straight, straight.swapaxes(0, 1))]
    axes = fit_axes(edges[0], edges[1], settings)
    if axes is None:
        raise GridError(
            f"{page.file}: between those corners no even grid is seen",
            Remedy.TELL_SIZE,
            Remedy.TELL_CORNERS,
        )
    return round(width / axes[0].pitch), round(height / axes[1].pitch)


def _map(grid: NDArray[np.float64], corners: Corners) -> NDArray[np.float64]:
    """The projective map that takes four points of the grid to the corners."""
    from chartscan.reading.lattice.projective import fit_homography

    return fit_homography(grid, np.asarray(corners, dtype=np.float64))
