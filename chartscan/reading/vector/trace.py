"""A chart read exactly from what a vector PDF draws, and checked against its rendered picture."""

from __future__ import annotations

from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from chartscan.chart import Chart
from chartscan.reading.lattice.model import FLAT, Lattice
from chartscan.reading.page.page import Page, PageSettings, load_page
from chartscan.reading.page.pdf import MOST_OBJECTS, fitting_scale, opened_page
from chartscan.reading.vector.cells import FIVE_POINTS, Cells, Misfit, paint
from chartscan.reading.vector.chart import cropped, to_chart
from chartscan.reading.vector.grid import Grid, find_grid
from chartscan.reading.vector.objects import PageObjects, list_objects

# In cells: a cross of five points and another turned by 45°, so that no symbol hides them all.
NINE_POINTS = np.concatenate(
    [FIVE_POINTS, 0.5 + np.array([(0, -0.3), (0, 0.3), (-0.3, 0), (0.3, 0)])]
)


@dataclass(frozen=True)
class VectorSettings:
    """How a vector page is rendered and checked.

    Attributes:
        cell: pixels per cell of the rendered page: enough for every symbol.
        most_pixels: ... but no more pixels than this in all (A4 at 600 dpi).
        level: how far a rendered colour may differ from the one listed, of 255.
        points: how many of nine points in a cell must agree; lines and symbols hide some.
    """

    cell: float = 20.0
    most_pixels: int = 36_000_000
    level: int = 3
    points: int = 2


@dataclass(frozen=True)
class Traced:
    """A vector page: its rendered picture, where the grid lies on it, and the chart.

    Attributes:
        page: rendered so that cells are some 20 pixels wide.
        lattice: the grid that its path objects say, exactly.
        chart: the exact reading, or None where something on the grid doesn't fit one.
        misfit: what didn't fit; "" where a chart was read.
    """

    page: Page
    lattice: Lattice
    chart: Chart | None
    misfit: str = ""


def trace(
    path: Path,
    number: int | None = None,
    limits: PageSettings = PageSettings(),
    empty: tuple[int, int, int] | None = None,
    no_empty: bool = False,
    settings: VectorSettings = VectorSettings(),
) -> Traced | None:
    """Read page ``number`` of a PDF from its path objects.

    Args:
        path: the PDF.
        number: page, from 1; None for the first.
        limits: of rendering.
        empty: sRGB of the ground that isn't stitched; None to find it.
        no_empty: every cell is stitched.
        settings: how the page is rendered and checked.

    Returns:
        None where the page's lines and squares form no grid: it is a scan, or not a chart.

    Raises:
        PageError: as :func:`chartscan.reading.page.page.load_page`.
    """
    with opened_page(path, number) as (page, _, _):
        objects = list_objects(page, MOST_OBJECTS)
        grid = find_grid(objects) if objects is not None else None
        if objects is None or grid is None:
            return None
        wanted = settings.cell / min(grid.width, grid.height)
        scale = fitting_scale(page, wanted, min(limits.max_pixels, settings.most_pixels))
    rendered = load_page(path, replace(limits, pdf_scale=scale), number)
    lattice = _lattice(grid, rendered, objects)
    try:
        cells = paint(objects, grid)
        _check_against(rendered, lattice, cells, settings)
        chart = to_chart(cells, empty, no_empty)
    except Misfit as misfit:
        return Traced(rendered, lattice, None, str(misfit))
    if not grid.drawn:
        # Without lines nothing says where bare rows and columns end: the stitches do.
        chart, top, left = cropped(chart)
        moved = lattice.homography @ np.array([[1.0, 0, left], [0, 1, top], [0, 0, 1]])
        lattice = Lattice(chart.columns, chart.rows, moved, FLAT, drawn=False)
    return Traced(rendered, lattice, chart)


def _lattice(grid: Grid, page: Page, objects: PageObjects) -> Lattice:
    """The grid in pixels of the rendered page."""
    across, down = page.size[0] / objects.size[0], page.size[1] / objects.size[1]
    homography = np.array(
        [
            [grid.width * across, 0.0, grid.left * across],
            [0.0, grid.height * down, grid.top * down],
            [0.0, 0.0, 1.0],
        ]
    )
    return Lattice(grid.columns, grid.rows, homography, FLAT, grid.drawn)


def _check_against(page: Page, lattice: Lattice, cells: Cells, settings: VectorSettings) -> None:
    """Raise Misfit where the rendered page shows another colour in a cell than was painted.

    Clipping, blending, patterns and whatever else the list of objects doesn't tell show up here.
    """
    rows, columns = cells.painted.shape
    corners = np.stack(np.meshgrid(np.arange(columns), np.arange(rows)), axis=-1)
    at = lattice.to_pixels(corners[:, :, None, :] + NINE_POINTS).astype(int)
    shown = page.pixels[
        np.clip(at[..., 1], 0, page.size[1] - 1), np.clip(at[..., 0], 0, page.size[0] - 1)
    ].astype(np.int16)
    off: NDArray[np.int16] = np.abs(shown - cells.ground[:, :, None, :].astype(np.int16))
    agreeing = (off.max(axis=-1) <= settings.level).sum(axis=-1)
    wrong = agreeing < settings.points
    for row, column in cells.pieces:
        wrong[row, column] = False  # shared by two colours
    if wrong.any():
        row, column = np.argwhere(wrong)[0]
        raise Misfit(f"the cell at row {row}, column {column} looks otherwise when rendered")
