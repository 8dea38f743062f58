"""The box of everything stitched: marks move with it, and where it lies is no matter."""

from __future__ import annotations

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from chartscan.chart import Chart, ChartClass, Knot, Line, Part
from chartscan.reading.vector.chart import cropped

RED = (200, 40, 60)


def marked(top: int, left: int) -> Chart:
    """A block of 2 × 3 stitches with a part, a line and a knot beside it."""
    cells = np.zeros((12, 14), np.int32)
    cells[top : top + 2, left : left + 3] = 1
    classes = (ChartClass(0, "empty"), ChartClass(1, "stitch", RED), ChartClass(2, "line", RED))
    return Chart(
        cells,
        (*classes, ChartClass(3, "knot", RED)),
        parts=(Part(top + 3, left + 4, "triangle", "top left", 1),),
        lines=(Line(2, ((left, top), (left + 1.5, top + 2.0))),),
        knots=(Knot(3, left + 0.5, top + 1.0),),
    )


@given(st.integers(0, 8), st.integers(0, 9))
def test_the_box_of_all_stitches_is_the_same_wherever_they_lie(top: int, left: int) -> None:
    small, row, column = cropped(marked(top, left))
    assert (row, column) == (top, left)
    assert small == cropped(marked(0, 0))[0]
    assert small.cells.tolist() == [[1, 1, 1, 0, 0]] * 2 + [[0] * 5] * 2


def test_a_chart_that_fills_its_grid_or_holds_no_stitch_is_left_as_it_is() -> None:
    for cells in (np.ones((4, 5), np.int32), np.zeros((4, 5), np.int32)):
        chart = Chart(cells, (ChartClass(0, "empty"), ChartClass(1, "stitch", RED)))
        assert cropped(chart) == (chart, 0, 0)
