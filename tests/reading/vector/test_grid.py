"""The grid that lines and filled squares of a vector page form."""

from __future__ import annotations

from itertools import count

import numpy as np
import pytest

from chartscan.reading.vector.grid import Grid, find_grid
from chartscan.reading.vector.objects import Drawn, PageObjects

_order = count()


def line(x0: float, y0: float, x1: float, y1: float) -> Drawn:
    points = np.array([(x0, y0), (x1, y1)], dtype=np.float64)
    return Drawn(next(_order), (points,), False, False, None, (0, 0, 0), 0.5, True)


def ruled(left: float, top: float, pitch: float, columns: int, rows: int) -> list[Drawn]:
    right, bottom = left + pitch * columns, top + pitch * rows
    uprights = [line(left + pitch * k, top, left + pitch * k, bottom) for k in range(columns + 1)]
    return uprights + [line(left, top + pitch * k, right, top + pitch * k) for k in range(rows + 1)]


def frame(left: float, top: float, right: float, bottom: float) -> list[Drawn]:
    across = [line(left, y, right, y) for y in (top, bottom)]
    return across + [line(x, top, x, bottom) for x in (left, right)]


def squares(left: float, top: float, pitch: float, columns: int, rows: int) -> list[Drawn]:
    """Filled squares on every other cell of a lattice, as on a draughtboard."""
    found = []
    for row, column in np.argwhere(np.indices((rows, columns)).sum(axis=0) % 2 == 0).tolist():
        corners = np.array([(0, 0), (1, 0), (1, 1), (0, 1), (0, 0)])
        outline = np.array((left, top)) + pitch * (corners + np.array((column, row)))
        found.append(Drawn(next(_order), (outline,), False, True, (9, 90, 9), None, 0, True))
    return found


def grid_of(*drawn: list[Drawn]) -> Grid | None:
    paths = tuple(path for some in drawn for path in some)
    return find_grid(PageObjects((400.0, 300.0), paths, (), ()))


def test_of_two_ruled_grids_the_chart_is_the_larger_wherever_it_stands() -> None:
    """The other is a table of the key, of as many points but fewer cells."""
    chart, key = ruled(20, 30, 6, 20, 15), ruled(200, 30, 12, 10, 8)
    for found in (grid_of(chart, key), grid_of(key, chart)):
        assert found is not None
        assert (found.columns, found.rows) == (20, 15)
        assert (found.left, found.top, found.width, found.height) == pytest.approx((20, 30, 6, 6))
        assert found.drawn


def test_four_cells_are_no_chart_and_five_are() -> None:
    assert grid_of(ruled(20, 30, 6, 4, 9)) is None
    found = grid_of(ruled(20, 30, 6, 5, 9))
    assert found is not None
    assert (found.columns, found.rows) == (5, 9)


def test_lines_that_end_elsewhere_than_at_each_other_are_no_grid() -> None:
    uprights, levels = ruled(20, 30, 6, 12, 9)[:13], ruled(60, 30, 6, 12, 9)[13:]
    assert grid_of(uprights, levels) is None


def test_squares_without_lines_are_the_chart_from_the_first_to_the_last() -> None:
    found = grid_of(squares(20, 30, 8, 11, 9))
    assert found is not None
    assert (found.left, found.top, found.width, found.height) == pytest.approx((20, 30, 8, 8))
    assert (found.columns, found.rows, found.drawn) == (11, 9, False)


def test_a_frame_with_bare_cells_around_the_squares_is_the_charts_edge() -> None:
    found = grid_of(squares(20, 30, 8, 11, 9), frame(4, 14, 124, 110))
    assert found is not None
    assert (found.left, found.top) == pytest.approx((4, 14))
    assert (found.columns, found.rows, found.drawn) == (15, 12, True)


def test_of_two_frames_the_one_with_middle_lines_is_the_charts() -> None:
    """The other goes round the page, three cells farther out by chance."""
    middles = [line(60, 14, 60, 110), line(4, 62, 124, 62)]
    found = grid_of(
        squares(20, 30, 8, 11, 9), frame(4, 14, 124, 110), middles, frame(-20, -10, 148, 134)
    )
    assert found is not None
    assert (found.columns, found.rows) == (15, 12)


def test_a_frame_off_the_squares_lattice_is_not_the_charts() -> None:
    found = grid_of(squares(20, 30, 8, 11, 9), frame(1, 11, 127, 113))
    assert found is not None
    assert (found.columns, found.rows, found.drawn) == (11, 9, False)
