"""How far a chart without lines reaches: boxes of fills among letters, frames and rims."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from chartscan.reading.lattice.content import (
    ContentSettings,
    ground_of,
    margin_of,
    ruled,
    stitched,
)
from chartscan.reading.lattice.extent import Sides
from chartscan.reading.lattice.fine import fine
from chartscan.reading.page.page import Page
from tests.reading.staged import BLUE, RED, WHITE, YELLOW, Pixels, Rgb, straight

ROWS, COLUMNS, PITCH = 20, 26, 12
Box = tuple[int, int, int, int]  # left, right, top, bottom


def blank(ground: Rgb = WHITE) -> Pixels:
    return np.full((ROWS * PITCH, COLUMNS * PITCH, 3), ground, np.uint8)


def block(page: Pixels, box: Box, colour: Rgb = RED) -> Pixels:
    left, right, top, bottom = (PITCH * n for n in box)
    page[top:bottom, left:right] = colour
    return page


def sides_of(*frames: Box) -> Sides:
    """No side is an edge but those of frames."""
    sides = Sides(np.zeros((ROWS, COLUMNS + 1)), np.zeros((ROWS + 1, COLUMNS)))
    for left, right, top, bottom in frames:
        sides.upright[top:bottom, [left, right]] = 1
        sides.level[[top, bottom], left:right] = 1
    return sides


def box_of(page: Pixels, sides: Sides | None = None, **changed: float) -> Box | None:
    known = replace(ContentSettings(), **changed)  # type: ignore[arg-type]  # by name
    lattice = straight(COLUMNS, ROWS, PITCH, drawn=False)
    found = stitched(Page(page, lossless=True), lattice, sides or sides_of(), known)
    return None if found is None else (found.left, found.right, found.top, found.bottom)


INNER: Box = (6, 15, 4, 12)


@settings(max_examples=40)
@given(st.integers(1, 11), st.integers(13, COLUMNS - 1), st.integers(1, 9), st.integers(10, 19))
def test_the_box_is_that_of_all_that_is_filled(
    left: int, right: int, top: int, bottom: int
) -> None:
    assert box_of(block(blank(), (left, right, top, bottom))) == (left, right, top, bottom)


@pytest.mark.parametrize("ground", [WHITE, YELLOW, (30, 30, 30)])
def test_whatever_the_ground_is_it_is_told_by_the_rim(ground: Rgb) -> None:
    assert box_of(block(blank(ground), INNER, BLUE)) == INNER


def test_cells_that_lie_apart_are_all_taken_in() -> None:
    page = block(block(blank(), (3, 4, 5, 6)), (20, 22, 15, 18), BLUE)
    assert box_of(page) == (3, 22, 5, 18)


def test_letters_beside_the_chart_lie_across_cells_and_are_left_out() -> None:
    page = block(blank(), INNER)
    page[PITCH * 15 : PITCH * 15 + 9, PITCH * 3 + 4 : PITCH * 20 : 7] = 0
    page[PITCH * 15 : PITCH * 15 + 9, PITCH * 3 + 5 : PITCH * 20 : 7] = 0
    assert box_of(page) == INNER


def test_a_page_of_nothing_has_no_chart_and_one_without_a_ground_is_all_chart() -> None:
    assert box_of(blank()) is None
    rng = np.random.default_rng(3)
    cells = np.array([RED, BLUE, YELLOW, WHITE], np.uint8)[rng.integers(0, 4, (ROWS, COLUMNS))]
    assert box_of(np.kron(cells, np.ones((PITCH, PITCH, 1), np.uint8))) == (0, COLUMNS, 0, ROWS)


@pytest.mark.parametrize(("off", "seen"), [(12, False), (13, True)])
def test_a_fill_is_seen_from_thirteen_levels_off_the_ground_on(off: int, seen: bool) -> None:
    page = block(blank(), INNER, (255, 255 - off, 255))
    assert (box_of(page) == INNER) is seen
    assert (box_of(page) is None) is not seen


@pytest.mark.parametrize(("good", "seen"), [(0.85, True), (0.7, False)])
def test_four_in_five_cells_of_an_island_must_be_filled(good: float, seen: bool) -> None:
    """The others show two colours, half and half."""
    page = block(blank(), INNER)
    left, right, top, bottom = INNER
    places = [(r, c) for r in range(top, bottom) for c in range(left, right)]
    rng = np.random.default_rng(1)
    for k in rng.permutation(len(places))[: round((1 - good) * len(places))].tolist():
        row, column = places[k]
        page[PITCH * row : PITCH * row + 6, PITCH * column : PITCH * (column + 1)] = BLUE
    assert (box_of(page) == INNER) is seen


# -------------------------------------------------------------------------- frames

FRAME: Box = (3, 20, 2, 16)


def test_a_frame_around_all_stitches_is_where_the_chart_ends() -> None:
    page = block(blank(), INNER)
    assert box_of(page, sides_of(FRAME)) == FRAME
    assert box_of(page, sides_of(INNER)) == INNER


@pytest.mark.parametrize("side", range(4))
def test_three_sides_are_no_frame(side: int) -> None:
    sides = sides_of(FRAME)
    left, right, top, bottom = FRAME
    if side < 2:
        sides.upright[:, (left, right)[side]] = 0
    else:
        sides.level[(top, bottom)[side - 2]] = 0
    assert box_of(block(blank(), INNER), sides) == INNER


@pytest.mark.parametrize(("least", "framed"), [(0.87, True), (0.9, False)])
def test_a_frame_may_have_gaps_along_the_stitches_up_to_a_share(least: float, framed: bool) -> None:
    """Along eight rows of stitches one side of the frame is missing: seven are 0.875."""
    sides = sides_of(FRAME)
    sides.upright[INNER[2], FRAME[0]] = 0
    assert (box_of(block(blank(), INNER), sides, frame=least) == FRAME) is framed


def test_of_two_frames_the_outer_one_is_taken() -> None:
    outer: Box = (1, 24, 1, 18)
    assert box_of(block(blank(), INNER), sides_of(FRAME, outer)) == outer


# ------------------------------------------------------------------- ground and margin


@pytest.mark.parametrize(("part", "told"), [(0.55, True), (0.45, False)])
def test_the_ground_is_what_half_of_the_rim_has(part: float, told: bool) -> None:
    """Here the rest is of many colours: the middle of all is the ground's all the same."""
    page = blank((128, 128, 128))
    rng = np.random.default_rng(2)
    ring = np.zeros(page.shape[:2], np.bool_)
    ring[[0, -1]] = ring[:, [0, -1]] = True
    other = ring & (rng.uniform(size=ring.shape) > part)
    page[other] = np.where(rng.uniform(size=(other.sum(), 1)) < 0.5, 0, 255)
    found = ground_of(Page(page, lossless=True))
    assert (found is not None) is told
    if found is not None:
        assert found.tolist() == [128, 128, 128]


@pytest.mark.parametrize("quarters", range(4))
def test_the_ground_is_told_by_all_four_sides(quarters: int) -> None:
    """One long side is black and white; the other three have the ground's colour."""
    page = np.full((300, 100, 3), 200, np.uint8)
    page[::2, 0], page[1::2, 0] = 0, 255
    found = ground_of(Page(np.ascontiguousarray(np.rot90(page, quarters)), lossless=True))
    assert found is not None
    assert found.tolist() == [200, 200, 200]


def test_the_margin_is_looked_at_a_cell_beside_the_grid() -> None:
    page = block(blank((250, 240, 230)), INNER, BLUE)
    left, right, top, bottom = INNER
    lattice = straight(right - left, bottom - top, PITCH, PITCH * left, PITCH * top)
    found = margin_of(Page(page, lossless=True), lattice)
    assert found is not None
    assert found.tolist() == [250, 240, 230]


@pytest.mark.parametrize("side", range(4))
def test_a_frame_half_a_cell_wide_is_not_the_margin(side: int) -> None:
    """Nor is what lies beyond one of the four sides alone."""
    page = block(blank((250, 240, 230)), INNER, BLUE)
    left, right, top, bottom = (PITCH * n for n in INNER)
    page[top - 6 : bottom + 6, left - 6 : right + 6] = 0
    every = slice(None)
    beyond: list[tuple[slice, slice]] = [
        (slice(None, top - 6), every),
        (slice(bottom + 6, None), every),
        (every, slice(None, left - 6)),
        (every, slice(right + 6, None)),
    ]
    page[beyond[side]] = RED
    lattice = straight((right - left) // PITCH, (bottom - top) // PITCH, PITCH, left, top)
    found = margin_of(Page(page, lossless=True), lattice)
    assert found is not None
    assert found.tolist() == [250, 240, 230]


@pytest.mark.parametrize("drawn", [True, False])
def test_a_grid_that_fills_its_page_has_no_margin(drawn: bool) -> None:
    """Where no line is drawn its rim tells the ground; beside drawn lines it may be stitches."""
    page = Page(block(blank(), INNER), lossless=True)
    found = margin_of(page, straight(COLUMNS, ROWS, PITCH, drawn=drawn))
    assert (found is None) is drawn
    assert drawn or (found is not None and found.tolist() == [255, 255, 255])


# ---------------------------------------------------------------------- drawn or not


@pytest.mark.parametrize(("share", "lines"), [(0.6, True), (0.4, False)])
def test_lines_are_drawn_where_half_of_the_sides_between_equal_cells_are_edges(
    share: float, lines: bool
) -> None:
    rng = np.random.default_rng(4)
    sides = Sides(
        (rng.uniform(size=(ROWS, COLUMNS + 1)) < share).astype(float),
        (rng.uniform(size=(ROWS + 1, COLUMNS)) < share).astype(float),
    )
    page = Page(blank(), lossless=True)
    assert ruled(page, straight(COLUMNS, ROWS, PITCH), sides) is lines


def test_sides_between_unlike_cells_tell_nothing() -> None:
    cells = np.array([RED, BLUE], np.uint8)[np.indices((ROWS, COLUMNS)).sum(axis=0) % 2]
    page = Page(np.kron(cells, np.ones((PITCH, PITCH, 1), np.uint8)), lossless=True)
    every = Sides(np.ones((ROWS, COLUMNS + 1)), np.ones((ROWS + 1, COLUMNS)))
    assert not ruled(page, straight(COLUMNS, ROWS, PITCH), every)
    assert ruled(Page(blank(), lossless=True), straight(COLUMNS, ROWS, PITCH), every)


def test_of_a_large_chart_the_middle_is_looked_at() -> None:
    sides = Sides(np.zeros((ROWS, COLUMNS + 1)), np.zeros((ROWS + 1, COLUMNS)))
    sides.upright[7:13, 9:18] = sides.level[7:14, 10:16] = 1
    page, lattice = Page(blank(), lossless=True), straight(COLUMNS, ROWS, PITCH)
    assert not ruled(page, lattice, sides)
    assert ruled(page, lattice, sides, replace(ContentSettings(), looked_at=6))


# ------------------------------------------------------------------------------ fine


@pytest.mark.parametrize(
    ("wide", "high", "factor"),
    [(5, 5, 1), (14, 14, 1), (14.1, 14.1, 2), (28, 40, 2), (40, 28.1, 4), (56, 56, 4), (57, 57, 8)],
)
def test_a_page_is_made_smaller_by_halves_until_the_smaller_side_of_a_cell_is_14_px(
    wide: float, high: float, factor: int
) -> None:
    lattice = straight(10, 10, 1.0)
    scaled = replace(lattice, homography=np.diag([wide, high, 1.0]))
    assert fine(scaled) == factor
    assert fine(replace(lattice, homography=np.diag([high, wide, 1.0]))) == factor
