"""The bare ground of a page with marks on it is told from the stitches."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from chartscan.reading.page.page import Page
from chartscan.reading.read import read_page
from tests.drawing.mark_recipes import draw_marked
from tests.drawing.marks import Marks
from tests.drawing.style import Design, Style

STYLE = Style(pitch=16, margin=(20, 20, 20, 20))
WHITE, SAND, ORANGE, PLUM = (255, 255, 255), (225, 194, 165), (255, 160, 47), (140, 30, 120)


def empty_colour(cells: np.ndarray, style: Style) -> tuple[int, int, int] | None:
    """The colour of the class read as empty; 0 in ``cells`` is white, 1 sand, 2 orange, 3 plum."""
    page = draw_marked(
        Design(cells, np.array([WHITE, SAND, ORANGE, PLUM], np.uint8)), style, Marks()
    )
    chart = read_page(Page(page.pixels, lossless=True)).chart
    return next((c.rgb for c in chart.classes if c.kind == "empty"), None)


def test_white_cells_are_bare_on_a_page_whose_tint_no_cell_has() -> None:
    cells = np.full((20, 30), 2, np.int32)
    cells[:, 15:] = 3
    cells[5:9, 5:9] = 0
    assert empty_colour(cells, replace(STYLE, paper=(233, 221, 234))) == WHITE


@pytest.mark.parametrize("white", [0.05, 0.25])
def test_white_inside_a_pale_border_is_bare_where_the_grid_fills_the_page(white: float) -> None:
    """Most outermost cells are of a pale colour; most of all cells are white."""
    rng = np.random.default_rng(3)
    cells = np.zeros((24, 30), np.int32)
    edge = np.ones(cells.shape, bool)
    edge[3:-3, 3:-3] = False
    share = [white, 0.7 - white, 0.3]
    cells[edge] = rng.choice(3, size=int(edge.sum()), p=share)
    assert empty_colour(cells, replace(STYLE, margin=(0, 0, 0, 0))) == WHITE
