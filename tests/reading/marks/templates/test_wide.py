"""Frames and bold lines that reach into their cells, told by where cells are off their class."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from numpy.typing import NDArray

from chartscan.reading.marks.templates.flat import Flat
from chartscan.reading.marks.templates.wide import WideSettings, without_wide_lines
from tests.reading.marks.templates.pictured import SIDE, cell, flat_of
from tests.reading.staged import WHITE

ROWS, COLUMNS, DEPTH = 6, 10, 2
Mask = NDArray[np.bool_]
FLAT = flat_of(np.zeros((ROWS, COLUMNS), np.intp), [cell(WHITE)])
SURE = np.ones(ROWS * COLUMNS, np.bool_)


def off(page: Mask) -> Mask:
    """Samples off their class, given as they lie on the page."""
    return np.asarray(FLAT.by_cell(page), np.bool_)


def blank() -> Mask:
    return np.zeros((ROWS * SIDE, COLUMNS * SIDE), np.bool_)


def wide(page: Mask, sure: Mask = SURE, **changed: float) -> tuple[list[int], list[int]]:
    """Rows and columns of samples that wide lines cover."""
    settings = replace(WideSettings(), **changed)  # type: ignore[arg-type]  # by name
    found: Flat = without_wide_lines(FLAT, off(page), sure, settings)
    if found.wide_y is None or found.wide_x is None:
        assert found is FLAT
        return [], []
    return np.flatnonzero(found.wide_y).tolist(), np.flatnonzero(found.wide_x).tolist()


def test_depth_is_what_lines_reach_on_every_page() -> None:
    assert (FLAT.side, FLAT.depth, FLAT.shape) == (SIDE, DEPTH, (ROWS, COLUMNS))


def test_a_bold_line_is_what_it_covers_beyond_that_depth() -> None:
    """Five samples at the top of the third row, three at the left of the fifth column."""
    page = blank()
    page[2 * SIDE : 2 * SIDE + 5] = True
    page[:, 4 * SIDE : 4 * SIDE + 3] = True
    assert wide(page) == ([2 * SIDE + k for k in (2, 3, 4)], [4 * SIDE + 2])


def test_a_line_reaches_into_the_cells_on_both_of_its_sides() -> None:
    page = blank()
    page[2 * SIDE - 4 : 2 * SIDE + 4] = True
    rows, columns = wide(page)
    assert rows == [2 * SIDE - 4, 2 * SIDE - 3, 2 * SIDE + 2, 2 * SIDE + 3]
    assert columns == []


def test_what_reaches_farther_than_three_tenths_of_a_cell_is_cut_there() -> None:
    page = blank()
    page[2 * SIDE : 3 * SIDE - 8] = True
    assert wide(page)[0] == [2 * SIDE + k for k in (2, 3, 4, 5)]


def test_with_a_gap_it_is_no_line() -> None:
    page = blank()
    page[2 * SIDE + 3 : 2 * SIDE + 5] = True  # the sample at the depth of other lines is clean
    assert wide(page) == ([], [])


@pytest.mark.parametrize(("cells", "seen"), [(8, True), (7, False)])
def test_four_in_five_cells_along_it_must_show_it(cells: int, seen: bool) -> None:
    page = blank()
    page[2 * SIDE : 2 * SIDE + 4, : cells * SIDE] = True
    assert bool(wide(page)[0]) is seen


@pytest.mark.parametrize(("samples", "seen"), [(13, True), (12, False)])
def test_and_four_in_five_samples_along_each(samples: int, seen: bool) -> None:
    """Of the 16 between the lines that cross it."""
    page = blank()
    for column in range(COLUMNS):
        start = column * SIDE + DEPTH
        page[2 * SIDE : 2 * SIDE + 4, start : start + samples] = True
    assert bool(wide(page)[0]) is seen


@pytest.mark.parametrize(("known", "seen"), [(4, True), (3, False)])
def test_only_cells_of_a_sure_class_tell_and_four_at_least(known: int, seen: bool) -> None:
    page = blank()
    page[2 * SIDE : 2 * SIDE + 4, : known * SIDE] = True
    sure = np.zeros((ROWS, COLUMNS), np.bool_)
    sure[:, :known] = True
    assert bool(wide(page, sure.ravel())[0]) is seen


def test_rows_and_columns_change_places_with_the_page() -> None:
    square = flat_of(np.zeros((8, 8), np.intp), [cell(WHITE)])
    page = np.random.default_rng(1).uniform(size=(8 * SIDE, 8 * SIDE)) < 0.2
    page[3 * SIDE : 3 * SIDE + 4] = True
    page[:, 5 * SIDE - 3 : 5 * SIDE] = True
    sure = np.ones(64, np.bool_)
    one = without_wide_lines(square, np.asarray(square.by_cell(page), np.bool_), sure)
    other = without_wide_lines(square, np.asarray(square.by_cell(page.T), np.bool_), sure)
    assert one.wide_x is not None and one.wide_y is not None  # noqa: PT018 - for the types
    assert one.wide_x.any() and one.wide_y.any()  # noqa: PT018 - both of them
    assert (one.wide_x == other.wide_y).all()
    assert (one.wide_y == other.wide_x).all()


def test_what_is_covered_is_left_out_of_the_inner_samples() -> None:
    page = blank()
    page[2 * SIDE : 2 * SIDE + 4] = True
    found = without_wide_lines(FLAT, off(page), SURE)
    covered = found.covered(np.arange(ROWS * COLUMNS))
    assert covered is not None
    by_row = covered.reshape(ROWS, COLUMNS, SIDE - 2 * DEPTH, SIDE - 2 * DEPTH)
    assert by_row[2, :, :2].all()
    assert by_row.sum() == COLUMNS * 2 * (SIDE - 2 * DEPTH)
    assert FLAT.covered(np.arange(3)) is None
