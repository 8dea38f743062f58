"""Marks on pages that were stored with loss, where the grid is only nearly square."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from chartscan.chart import Line
from chartscan.reading.lattice.model import FLAT, Lattice
from chartscan.reading.marks.patches import squared
from chartscan.reading.read import read_pages
from tests.drawing.mark_recipes import draw_marked
from tests.drawing.marks import Marks
from tests.drawing.style import Design, Style

COLOURS = np.array([(255, 255, 255), (198, 40, 60), (40, 120, 190)], np.uint8)
STYLE = Style(pitch=17, margin=(20, 20, 20, 20))


@pytest.mark.parametrize("quality", [85, 94])
def test_lines_on_a_jpeg_are_found_nearly_whole_and_leave_little_doubt_about_cells(
    tmp_path: Path, quality: int
) -> None:
    cells = np.zeros((24, 30), np.int32)
    cells[4:15, 5:18] = 1
    cells[9:21, 14:26] = 2
    ends = [((2.0, 2.0), (2.0, 8.0)), ((5.0, 5.0), (12.0, 12.0)), ((18.0, 2.0), (27.0, 5.0))]
    ends += [((4.0, 22.0), (11.0, 22.0)), ((16.0, 11.0), (23.0, 18.0))]
    lines = tuple(Line(3, end) for end in ends)
    marks = Marks(lines=lines, colours=(("line", (20, 110, 40)),), width=0.22)
    page = draw_marked(Design(cells, COLOURS), STYLE, marks)
    path = tmp_path / "page.jpg"
    Image.fromarray(page.pixels).save(path, quality=quality)
    chart = read_pages([path]).chart
    assert np.array_equal(chart.cells > 0, cells > 0)
    assert len(chart.doubtful) <= 0.01 * cells.size
    assert [c.kind for c in chart.classes].count("line") == 1
    wanted = sum(line.length for line in lines)
    assert sum(line.length for line in chart.lines) == pytest.approx(wanted, rel=0.15)


def test_a_grid_that_wanders_by_a_part_of_a_pixel_is_square_and_a_skewed_one_is_not() -> None:
    def grid(skew: float) -> Lattice:
        homography = np.array([[17.0, 0, 20], [skew, 17, 20], [0, 0, 1]])
        return Lattice(30, 24, homography, FLAT, True)

    assert squared(grid(0.0)) is not None
    nearly = squared(grid(0.02))
    assert nearly is not None
    assert nearly.straight
    assert squared(grid(0.2)) is None
