"""Lines on borders, of fills, the grid and the page, aren't taken for what is drawn there."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from chartscan.chart import Line
from chartscan.reading.page.page import Page
from chartscan.reading.read import read_page
from tests.drawing.mark_recipes import draw_marked
from tests.drawing.marks import Marks
from tests.drawing.style import Design, Rule, Style

COLOURS = np.array([(255, 255, 255), (0, 30, 105), (170, 40, 10)], np.uint8)
INK = (142, 156, 190)
BARE = Style(pitch=27, minor=None, bold=None, margin=(20, 20, 20, 20))
RULED = Style(pitch=19, minor=Rule(1, (0, 0, 0)))
Ends = tuple[tuple[float, float], tuple[float, float]]


def lines_read(style: Style, *ends: Ends) -> list[Ends]:
    """The lines found on a page of two blocks on bare ground, with lines at those ``ends``."""
    cells = np.zeros((20, 26), np.int32)
    cells[4:14, 3:13] = 1
    cells[8:17, 15:23] = 2
    cells[16:20, :12] = np.indices((4, 12)).sum(axis=0) % 2
    lines = tuple(Line(3, end) for end in ends)
    marks = Marks(lines=lines, colours=(("line", INK),))
    page = draw_marked(Design(cells, COLOURS), style, marks)
    chart = read_page(Page(page.pixels, lossless=True)).chart
    assert np.array_equal(chart.cells, cells)
    return sorted((line.points[0], line.points[-1]) for line in chart.lines)


def test_a_line_along_a_whole_side_of_a_block_is_a_line_where_no_grid_is_drawn() -> None:
    long = ((3.0, 14.0), (13.0, 14.0))
    other = ((15.0, 3.0), (18.0, 6.0))
    assert lines_read(BARE, long, other) == sorted([long, other])


def test_lines_over_more_than_half_of_a_grid_line_are_lines() -> None:
    along = [((float(x), 8.0), (x + 5.0, 8.0)) for x in (0, 7, 19)]
    assert lines_read(replace(RULED, margin=(20, 20, 20, 20)), *along) == along


@pytest.mark.parametrize("end", [((0.0, 11.0), (0.0, 15.0)), ((4.0, 0.0), (9.0, 0.0))])
def test_a_line_on_the_edge_of_the_page_is_found_though_half_of_it_is_cut_off(end: Ends) -> None:
    others = [((10.0, 3.0), (14.0, 1.0)), ((18.0, 2.0), (22.0, 2.0))]
    frame = replace(RULED, frame=Rule(2, (0, 0, 0)), margin=(0, 0, 0, 0))
    assert lines_read(frame, end, *others) == sorted([end, *others])
