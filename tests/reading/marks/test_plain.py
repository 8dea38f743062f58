"""Lines over few stitches, or none at all, are lines and no symbols."""

from __future__ import annotations

import numpy as np
import pytest

from chartscan.chart import Line
from chartscan.reading.page.page import Page
from chartscan.reading.read import read_page
from tests.drawing.mark_recipes import draw_marked
from tests.drawing.marks import Marks
from tests.drawing.style import Design, Style

COLOURS = np.array([(255, 255, 255), (222, 80, 166)], np.uint8)
STYLE = Style(pitch=14, margin=(16, 16, 16, 16))
INK = (108, 100, 255)


def zigzags(rows: int, columns: int) -> list[tuple[tuple[float, float], ...]]:
    """Slanting and upright runs all over the ground, as in blackwork."""
    runs: list[tuple[tuple[float, float], ...]] = []
    for top in range(2, rows - 4, 4):
        for left in range(1, columns - 4, 5):
            runs.append(((left, top), (left + 3, top + 3)))
            runs.append(((left + 3, top + 3), (left + 4, top + 1)))
            runs.append(((left, top + 1), (left, top + 3)))
    return runs


@pytest.mark.parametrize("stitched", [0, 3])
@pytest.mark.parametrize("ink", [INK, (0, 0, 0)])
def test_blackwork_is_read_as_lines_on_empty_ground(
    stitched: int, ink: tuple[int, int, int]
) -> None:
    cells = np.zeros((26, 32), np.int32)
    cells[10 : 10 + stitched, 12:16] = 1
    runs = zigzags(*cells.shape)
    marks = Marks(lines=tuple(Line(2, r) for r in runs), colours=(("line", ink),), width=0.16)
    page = draw_marked(Design(cells, COLOURS), STYLE, marks)
    chart = read_page(Page(page.pixels, lossless=True)).chart
    assert [c.kind for c in chart.classes] == ["empty", "stitch", "line"][:: 1 if stitched else 2]
    assert np.array_equal(chart.cells, cells)
    assert not chart.doubtful
    assert sorted(tuple(sorted(line.points)) for line in chart.lines) == sorted(
        tuple(sorted(run)) for run in runs
    )
