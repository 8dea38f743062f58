"""Grids of vector pages as programs draw them: in pieces, as thin boxes, bold, framed, gapped."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from chartscan.reading.vector.grid import (
    Grid,
    GridSettings,
    find_grid,
    fit_comb,
    is_box,
    is_rectangle,
)
from chartscan.reading.vector.objects import Drawn, PageObjects
from tests.reading.vector.drawing import RED, box, line, path, ruled

SETTINGS = GridSettings()


def grid_of(*drawn: Drawn, **changed: float) -> Grid | None:
    known = replace(SETTINGS, **changed)  # type: ignore[arg-type]  # by name
    return find_grid(PageObjects((600.0, 800.0), drawn, (), ()), known)


def said(grid: Grid | None) -> tuple[float, ...]:
    assert grid is not None
    return (grid.left, grid.top, grid.width, grid.height, grid.columns, grid.rows)


# -------------------------------------------------------------------------- lines


@settings(max_examples=30)
@given(
    st.floats(10, 80), st.floats(10, 80), st.floats(3, 15), st.floats(3, 15), st.integers(5, 30),
    st.integers(5, 30), st.integers(0, 10**6),
)  # fmt: skip
def test_a_ruled_grid_is_found_in_whatever_order_its_lines_come(
    left: float, top: float, wide: float, high: float, columns: int, rows: int, seed: int
) -> None:
    lines = ruled(left, top, wide, high, columns, rows)
    mixed = [lines[k] for k in np.random.default_rng(seed).permutation(len(lines))]
    assert said(grid_of(*mixed)) == pytest.approx((left, top, wide, high, columns, rows))


def test_lines_drawn_cell_by_cell_are_joined() -> None:
    pieces = [
        line(20 + 6 * x, 30 + 6 * y, 20 + 6 * (x + 1), 30 + 6 * y)
        for y in range(10) for x in range(12)
    ]  # fmt: skip
    pieces += [
        line(20 + 6 * x, 30 + 6 * y, 20 + 6 * x, 30 + 6 * (y + 1))
        for y in range(9) for x in range(13)
    ]  # fmt: skip
    assert said(grid_of(*pieces)) == pytest.approx((20, 30, 6, 6, 12, 9))


def test_lines_drawn_as_thin_boxes_are_lines() -> None:
    boxes = [box(20 + 8 * k - 0.3, 30, 20 + 8 * k + 0.3, 30 + 72) for k in range(11)]
    boxes += [box(20, 30 + 8 * k - 0.3, 20 + 80, 30 + 8 * k + 0.3) for k in range(10)]
    assert said(grid_of(*boxes)) == pytest.approx((20, 30, 8, 8, 10, 9))


@pytest.mark.parametrize(("thick", "seen"), [(2.4, True), (2.6, False)])
def test_a_box_is_a_line_up_to_so_many_points(thick: float, seen: bool) -> None:
    half = thick / 2
    boxes = [box(20 + 30 * k - half, 30, 20 + 30 * k + half, 30 + 240) for k in range(9)]
    boxes += [box(20, 30 + 30 * k - half, 20 + 240, 30 + 30 * k + half) for k in range(9)]
    assert (grid_of(*boxes) is not None) is seen


def test_bold_lines_drawn_over_thin_ones_are_the_same_lines() -> None:
    lines = ruled(20, 30, 6, 6, 20, 15)
    bold = ruled(20.1, 30.1, 30, 30, 4, 3)
    assert said(grid_of(*lines, *bold)) == pytest.approx((20, 30, 6, 6, 20, 15), abs=0.06)


@pytest.mark.parametrize(("slant", "seen"), [(0.14, True), (0.16, False)])
def test_a_line_may_be_off_level_by_less_than_two_lines_lie_apart(slant: float, seen: bool) -> None:
    lines = [line(20 + 6 * k, 30, 20 + 6 * k + slant, 84) for k in range(13)]
    lines += [line(20, 30 + 6 * k, 92, 30 + 6 * k) for k in range(10)]
    assert (grid_of(*lines) is not None) is seen


def test_lines_may_stand_out_over_the_frame_by_half_a_cell_and_no_more() -> None:
    assert grid_of(*ruled(20, 30, 10, 10, 12, 9, over=5.5)) is not None
    assert grid_of(*ruled(20, 30, 10, 10, 12, 9, over=6.5)) is None


def test_a_line_off_its_place_spoils_the_grid() -> None:
    lines = ruled(20, 30, 10, 10, 12, 9)
    for off, seen in ((0.8, True), (2.0, False)):
        moved = line(20 + 10 * 4 + off, 30, 20 + 10 * 4 + off, 120)
        found = grid_of(*lines[:4], moved, *lines[5:])
        assert (found is not None and found.columns == 12) is seen


def test_curves_are_no_lines() -> None:
    lines = [replace(each, curved=True) for each in ruled(20, 30, 10, 10, 12, 9)]
    assert grid_of(*lines) is None


def test_where_only_every_tenth_line_is_drawn_squares_tell_the_cells_between() -> None:
    lines = ruled(20, 30, 60, 60, 6, 5)
    places = ((3, 4), (7, 9), (12, 2), (33, 21), (40, 41), (18, 30), (25, 25))
    squares = [box(20 + 6 * x, 30 + 6 * y, 26 + 6 * x, 36 + 6 * y) for x, y in places]
    assert said(grid_of(*lines, *squares)) == pytest.approx((20, 30, 6, 6, 60, 50))
    assert said(grid_of(*lines, *squares[:5])) == pytest.approx((20, 30, 60, 60, 6, 5))


@pytest.mark.parametrize("parts", [2, 5, 7])
def test_squares_of_a_fraction_of_the_lines_tell_that_fraction(parts: int) -> None:
    side = 60 / parts
    rng = np.random.default_rng(2)
    places = {tuple(v) for v in rng.integers(0, 5 * parts, (20, 2)).tolist()}
    squares = [box(20 + side * x, 30 + side * y, 20 + side * (x + 1), 30 + side * (y + 1))
               for x, y in places]  # fmt: skip
    found = grid_of(*ruled(20, 30, 60, 60, 6, 5), *squares)
    assert said(found) == pytest.approx((20, 30, side, side, 6 * parts, 5 * parts))


# ------------------------------------------------------------------------- squares


def board(columns: int, rows: int, pitch: float = 8.0, gap: float = 0.0) -> list[Drawn]:
    """Every other square, each smaller by a gap that is left around it."""
    half = gap / 2
    return [
        box(20 + pitch * x + half, 30 + pitch * y + half, 20 + pitch * (x + 1) - half,
            30 + pitch * (y + 1) - half)
        for y in range(rows) for x in range(columns) if (x + y) % 2 == 0
    ]  # fmt: skip


@pytest.mark.parametrize("gap", [0.0, 0.6, 1.5])
def test_squares_with_gaps_between_them_lie_in_the_middles_of_cells(gap: float) -> None:
    found = grid_of(*board(11, 9, gap=gap))
    assert said(found) == pytest.approx((20, 30, 8, 8, 11, 9), abs=0.05)
    assert found is not None
    assert not found.drawn


def test_gaps_of_more_than_a_fifth_of_a_cell_make_no_lattice() -> None:
    assert grid_of(*board(11, 9, gap=1.8)) is None


def test_too_few_squares_are_no_chart() -> None:
    assert grid_of(*board(4, 9)) is None
    assert grid_of(*board(5, 5)) is not None


def test_swatches_of_a_key_beside_the_squares_are_left_out_if_few() -> None:
    swatches = [box(300, 33 + 13.7 * k, 317.3, 43 + 13.7 * k) for k in range(5)]
    found = grid_of(*board(11, 9), *swatches)
    assert said(found) == pytest.approx((20, 30, 8, 8, 11, 9), abs=0.05)
    many = [box(300, 33 + 13.7 * k, 317.3, 43 + 13.7 * k) for k in range(40)]
    other = grid_of(*board(11, 9), *many)
    assert other is None or other.width != pytest.approx(8)


def test_a_frame_around_the_squares_says_where_the_chart_ends() -> None:
    """Two columns at the left and three rows below are bare."""
    left, top, right, bottom = 20 - 16, 30, 20 + 88, 30 + 72 + 24
    frame = [line(left, y, right, y) for y in (top, bottom)]
    frame += [line(x, top, x, bottom) for x in (left, right)]
    found = grid_of(*board(11, 9), *frame)
    assert said(found) == pytest.approx((4, 30, 8, 8, 13, 12), abs=0.05)
    assert found is not None
    assert found.drawn
    astray = [line(left + 3, y, right, y) for y in (top, bottom)]
    astray += [line(x, top, x, bottom) for x in (left + 3, right)]
    unframed = grid_of(*board(11, 9), *astray)
    assert said(unframed) == pytest.approx((20, 30, 8, 8, 11, 9), abs=0.05)


# -------------------------------------------------------------------------- parts


@given(
    st.floats(-50, 50), st.floats(2, 20), st.sets(st.integers(1, 40), min_size=6, max_size=20),
)  # fmt: skip
def test_a_comb_is_fitted_through_all_positions_some_of_which_may_be_missing(
    first: float, pitch: float, teeth: set[int]
) -> None:
    """Those that are there tell it where two neighbours are among them."""
    places = sorted({0, 1, *teeth})
    at = first + pitch * np.array(places)
    found = fit_comb(at, pitch * 1.003, SETTINGS)
    assert found is not None
    assert (found.first, found.pitch, found.spaces) == pytest.approx((first, pitch, places[-1]))


def test_positions_that_are_not_even_make_no_comb() -> None:
    assert fit_comb(np.array([0.0, 10, 20, 33, 40, 50]), 10.0, SETTINGS) is None
    assert fit_comb(np.array([0.0, 50.0]), 10.0, SETTINGS) is None  # two lines, four missing


@pytest.mark.parametrize("closed", [True, False])
def test_a_box_is_upright_and_has_four_corners(closed: bool) -> None:
    corners = np.array([(0.0, 0), (4, 0), (4, 3), (0, 3)])
    tail = corners[:1] if closed else corners[:0]
    for turn in range(4):
        rolled = np.roll(corners, turn, axis=0)
        assert is_box(np.concatenate([rolled, rolled[:1] if closed else tail]))
        assert is_box(np.concatenate([rolled, rolled[:1] if closed else tail])[::-1])
    assert not is_box(corners[:3])
    leaning = corners + np.array([(0, 0), (0, 0), (0.02, 0), (0, 0)])
    assert not is_box(np.concatenate([leaning, leaning[:1] if closed else tail]))
    assert not is_box(np.concatenate([corners, corners[1:2]]))  # ends at another corner


def test_a_rectangle_is_one_box_without_curves() -> None:
    one = box(0, 0, 4, 3)
    assert is_rectangle(one)
    assert not is_rectangle(replace(one, curved=True))
    assert not is_rectangle(replace(one, outlines=one.outlines * 2))
    assert not is_rectangle(path((0, 0), (4, 0), (2, 3), fill=RED))
