"""The colours that fill cells, from the samples of a page whose fills and lines are known."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays
from numpy.typing import NDArray

from chartscan.reading.marks.fills import (
    Fills,
    FillSettings,
    find_fills,
    most_common,
    nearest,
    paint,
    plain_cells,
)
from tests.reading.marks.flat_page import patches_of
from tests.reading.staged import BLUE, RED, WHITE, YELLOW, Pixels, Rgb, fill, tiled

SIDE, ROWS, COLUMNS = 14, 10, 12
COLOURS: tuple[Rgb, ...] = (WHITE, RED, BLUE, YELLOW)
LEAST = 5.0
Cells = NDArray[np.int32]


def cells_of(kinds: int = 4) -> Cells:
    return np.random.default_rng(3).integers(0, kinds, (ROWS, COLUMNS)).astype(np.int32)


def page_of(cells: Cells, rim: int = 1, colours: tuple[Rgb, ...] = COLOURS) -> Pixels:
    pixels = tiled(cells, [fill(c, SIDE) for c in colours])
    for k in range(rim):
        pixels[k::SIDE] = pixels[:, k::SIDE] = 110
    return pixels


def found(pixels: Pixels, cells: Cells, least: float = LEAST, **changed: float) -> Fills | None:
    settings = replace(FillSettings(), **changed)  # type: ignore[arg-type]  # by name
    return find_fills(patches_of(pixels, SIDE), cells, least, settings)


# ----------------------------------------------------------------------------- fills


def test_fills_are_the_colours_of_the_cells_and_lines_lie_where_they_were_drawn() -> None:
    cells = cells_of()
    fills = found(page_of(cells), cells)
    assert fills is not None
    assert (fills.colours[fills.cells] == np.array(COLOURS)[cells]).all()
    assert (fills.classes[fills.given] == np.arange(4)).all()
    for rim, number in ((fills.rim_x, COLUMNS), (fills.rim_y, ROWS)):
        assert np.flatnonzero(rim).tolist() == [SIDE * k for k in range(number)]
    assert fills.tolerance == LEAST
    assert not fills.lossy


def test_fills_come_with_that_of_most_plain_cells_first() -> None:
    cells = cells_of()
    fills = found(page_of(cells), cells)
    assert fills is not None
    counts = [(cells == name).sum() for name in fills.classes]
    assert counts == sorted(counts, reverse=True)


def test_a_cell_under_a_mark_has_the_fill_that_most_of_it_shows() -> None:
    cells = cells_of()
    pixels = page_of(cells)
    wrong = cells.copy()
    for row, column in [(2, 3), (5, 5), (7, 9)]:
        y, x = row * SIDE, column * SIDE
        pixels[y + 5 : y + 9, x + 1 : x + SIDE] = (10, 90, 10)
        wrong[row, column] = (cells[row, column] + 1) % 4
    fills = found(pixels, wrong)
    assert fills is not None
    assert (fills.classes[fills.cells] == cells).all()


def test_a_class_of_the_very_colour_of_a_larger_one_is_that_one() -> None:
    cells = cells_of()
    near: Rgb = (RED[0] + 1, RED[1], RED[2])
    fills = found(page_of(cells, colours=(WHITE, RED, BLUE, near)), cells)
    assert fills is not None
    assert len(fills.colours) == 3
    assert fills.given[1] == fills.given[3]
    other: Rgb = (RED[0] + 2, RED[1], RED[2])
    more = found(page_of(cells, colours=(WHITE, RED, BLUE, other)), cells)
    assert more is not None
    assert len(more.colours) == 4


def test_a_class_whose_every_cell_is_marked_is_told_by_what_shows_all_around() -> None:
    cells = cells_of(3)
    cells[4, 4:7] = 3
    pixels = page_of(cells)
    for column in (4, 5, 6):
        y, x = 4 * SIDE, column * SIDE
        pixels[y + 4 : y + 11, x + 4 : x + 11] = (10, 90, 10)
    fills = found(pixels, cells)
    assert fills is not None
    assert {tuple(map(int, c)) for c in fills.colours} == set(COLOURS)
    assert (fills.classes[fills.cells[4, 4:7]] == 3).all()


@pytest.mark.parametrize(("number", "told"), [(9, True), (3, False)])
def test_a_class_whose_rims_are_all_smeared_is_told_by_its_middles(number: int, told: bool) -> None:
    """Where there are few, what fills their middles might as well be knots."""
    cells, rng = cells_of(3), np.random.default_rng(1_440_040)
    cells[4, 1 : 1 + number] = 3
    pixels = page_of(cells)
    for column in range(1, 1 + number):
        cell = pixels[4 * SIDE + 1 : 5 * SIDE, column * SIDE + 1 : (column + 1) * SIDE]
        middle = cell[3:10, 3:10].copy()
        cell[:] = rng.integers(0, 256, cell.shape)
        cell[3:10, 3:10] = middle
    fills = found(pixels, cells)
    assert fills is not None
    assert (3 in fills.classes) is told
    seen = fills.colours[fills.cells[4, 1 : 1 + number]]
    assert (seen == YELLOW).all() == told


@pytest.mark.parametrize(
    ("noise", "least", "told"), [(2, 5.0, True), (8, 5.0, False), (8, 14.0, True)]
)
def test_a_page_that_is_too_noisy_has_no_fills(noise: int, least: float, told: bool) -> None:
    """Samples of the quietest fifth of the cells may spread over six levels."""
    cells = cells_of()
    rng = np.random.default_rng(4)
    grain = rng.integers(-noise, noise + 1, (ROWS * SIDE, COLUMNS * SIDE, 1))
    pixels = np.clip(page_of(cells).astype(int) + grain, 0, 255).astype(np.uint8)
    fills = found(pixels, cells, least)
    assert (fills is not None) is told
    if fills is not None:
        assert fills.tolerance >= least
        assert (fills.classes[fills.cells] == cells).all()


def test_a_page_stored_with_loss_is_known_by_its_tolerance() -> None:
    cells = cells_of()
    lossy = found(page_of(cells), cells, 14.0)
    assert lossy is not None
    assert lossy.lossy
    assert lossy.tolerance == 14.0


@given(st.integers(2, 9))
def test_painting_gives_every_sample_the_colour_of_its_cell(side: int) -> None:
    cells = cells_of().astype(np.intp)
    number = np.arange(4)
    rim = np.zeros(1, np.bool_)
    fills = Fills(np.array(COLOURS, float) + 0.4, number, number, cells, rim, rim, 5.0, False)
    painted = paint(fills, side)
    assert painted.shape == (ROWS * side, COLUMNS * side, 3)
    expected = np.kron(cells, np.ones((side, side), np.intp))
    assert (painted == np.array(COLOURS)[expected]).all()


# ----------------------------------------------------------------------------- plain


@pytest.mark.parametrize("rim", [0, 1, 2, 4])
def test_as_many_columns_belong_to_lines_as_were_drawn(rim: int) -> None:
    cells = cells_of()
    patches = patches_of(page_of(cells, rim), SIDE)
    middle = np.array(COLOURS, np.int16)[cells]
    rim_x, rim_y, plain = plain_cells(patches, middle, LEAST, FillSettings())
    lines = [k for k in range(COLUMNS * SIDE) if k % SIDE < rim]
    assert np.flatnonzero(rim_x).tolist() == lines
    assert np.flatnonzero(rim_y).tolist() == [k for k in lines if k < ROWS * SIDE]
    assert plain.all()


def test_a_column_in_the_middle_of_cells_is_no_line_and_spoils_them() -> None:
    cells = cells_of()
    pixels = page_of(cells)
    pixels[:, 7::SIDE] = 110
    middle = np.array(COLOURS, np.int16)[cells]
    rim_x, _, plain = plain_cells(patches_of(pixels, SIDE), middle, LEAST, FillSettings())
    assert np.flatnonzero(rim_x).tolist() == [SIDE * k for k in range(COLUMNS)]
    assert not plain.any()


@pytest.mark.parametrize(("dotted", "line"), [(0.3, True), (0.1, False)])
def test_a_line_in_dots_is_one_beside_the_edges_of_cells(dotted: float, line: bool) -> None:
    """There fifteen in a hundred samples off their cells are a line."""
    cells = cells_of()
    pixels = page_of(cells, rim=0)
    rng = np.random.default_rng(5)
    for x in range(0, COLUMNS * SIDE, SIDE):
        pixels[rng.uniform(size=ROWS * SIDE) < dotted, x] = 110
    middle = np.array(COLOURS, np.int16)[cells]
    rim_x, _, _ = plain_cells(patches_of(pixels, SIDE), middle, LEAST, FillSettings())
    share = rim_x[::SIDE].mean()
    assert share == 1.0 if line else share < 0.5
    assert not rim_x.reshape(COLUMNS, SIDE)[:, 1:].any()


# ---------------------------------------------------------------------- on colours

SHADES = arrays(np.int16, st.tuples(st.integers(1, 30), st.just(3)), elements=st.integers(0, 255))


@given(SHADES, arrays(np.int16, st.tuples(st.integers(1, 6), st.just(3)),
                      elements=st.integers(0, 255)), st.integers(0, 80))  # fmt: skip
def test_the_nearest_colour_is_that_of_least_difference_in_the_worst_channel(
    samples: NDArray[np.int16], colours: NDArray[np.int16], tolerance: int
) -> None:
    label, near = nearest(samples, colours.astype(np.float64), float(tolerance))
    apart = np.abs(samples[:, None].astype(int) - colours.astype(int)).max(axis=2)
    assert (label == apart.argmin(axis=1)).all()
    assert (near == (apart.min(axis=1) <= tolerance)).all()


@given(SHADES, st.integers(0, 10**6))
def test_the_commonest_colour_hangs_on_no_order_and_is_that_of_most(
    samples: NDArray[np.int16], seed: int
) -> None:
    mixed = np.random.default_rng(seed).permutation(samples)
    assert (most_common(samples) == most_common(mixed)).all()
    most = np.concatenate([samples, np.full((len(samples) + 1, 3), 77, np.int16)])
    assert np.abs(most_common(most) - 77).max() <= 7


def test_it_is_the_median_of_what_falls_together_in_steps_of_eight() -> None:
    samples = np.array([(16, 0, 0), (18, 0, 0), (23, 0, 0), (24, 0, 0), (31, 0, 0)])
    assert most_common(samples).tolist() == [18, 0, 0]
