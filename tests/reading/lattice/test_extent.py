"""The gridded rectangle ends where its frame does, also where dark colours hide its lines."""

from __future__ import annotations

import numpy as np

from chartscan.reading.lattice.extent import Extent, Sides, gridded

ROWS, COLUMNS, MARGIN = 30, 20, 6
CHART = Extent(MARGIN, MARGIN + COLUMNS, MARGIN, MARGIN + ROWS)


def drawn() -> Sides:
    """A grid with a margin all round."""
    rows, columns = ROWS + 2 * MARGIN, COLUMNS + 2 * MARGIN
    upright, level = np.zeros((rows, columns + 1)), np.zeros((rows + 1, columns))
    upright[CHART.top : CHART.bottom, CHART.left : CHART.right + 1] = 1
    level[CHART.top : CHART.bottom + 1, CHART.left : CHART.right] = 1
    return Sides(upright, level)


def hidden(sides: Sides) -> Sides:
    """The same with ten rows above the lowest line hidden, all but the frame."""
    upright, level = sides.upright.copy(), sides.level.copy()
    upright[CHART.bottom - 10 : CHART.bottom, CHART.left + 1 : CHART.right] = 0
    level[CHART.bottom - 10 : CHART.bottom, :] = 0
    return Sides(upright, level)


def test_rows_whose_lines_are_hidden_belong_where_the_frame_goes_round_them() -> None:
    assert gridded(hidden(drawn())) == CHART


def test_a_line_far_below_the_chart_is_no_frame_where_nothing_leads_to_it() -> None:
    sides = hidden(drawn())
    sides.upright[CHART.bottom - 10 : CHART.bottom, :] = 0
    found = gridded(sides)
    assert found is not None
    assert found.bottom == CHART.bottom - 10


def test_the_edge_of_the_paper_that_runs_on_is_no_frame() -> None:
    sides = drawn()
    sides.level[-2, :] = 1
    assert gridded(sides) == CHART


def test_the_edge_of_the_paper_that_ends_with_the_chart_is_no_frame_either() -> None:
    sides = drawn()
    sides.level[CHART.bottom + 3, CHART.left : CHART.right] = 1
    assert gridded(sides) == CHART


def test_cells_cut_narrow_by_the_edge_of_a_board_are_none() -> None:
    sides = drawn()
    sides.upright[CHART.bottom, [CHART.left, CHART.right]] = 1
    sides.level[CHART.bottom + 1, CHART.left : CHART.right] = 1
    assert gridded(sides) == CHART
