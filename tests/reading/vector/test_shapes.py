"""Dots, triangles and quarter squares of a vector page, told by their corners alone."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.typing import NDArray
from skimage.measure import points_in_poly

from chartscan.chart import Corner
from chartscan.reading.vector.objects import Drawn
from chartscan.reading.vector.shapes import ShapeSettings, inside, is_dot, piece

Floats = NDArray[np.float64]
SETTINGS = ShapeSettings()
UNIT: Floats = np.array([(0.0, 0.0), (1.0, 0.0), (1.0, 1.0), (0.0, 1.0)])
CORNERS: tuple[Corner, ...] = ("top left", "top right", "bottom right", "bottom left")  # as UNIT
NAN_FREE = st.floats(0.05, 0.95)


def triangle(left_out: int, row: int = 0, column: int = 0) -> Floats:
    """The half of a cell that three of its corners go around, in the order of UNIT."""
    outline: Floats = np.delete(UNIT, left_out, axis=0) + np.array((column, row))
    return outline


def quarter(corner: int, row: int = 0, column: int = 0) -> Floats:
    """The quarter of a cell at a corner of UNIT."""
    outline: Floats = UNIT / 2 + UNIT[corner] / 2 + (column, row)
    return outline


def path(*outlines: Floats) -> Drawn:
    return Drawn(0, outlines, True, True, (0, 0, 0), None, 0.0, True)


def box_of(points: Floats) -> Floats:
    return np.concatenate([points.min(axis=0), points.max(axis=0)])


# ------------------------------------------------------------- the even-odd rule


@given(
    st.lists(st.tuples(NAN_FREE, NAN_FREE), min_size=3, max_size=9),
    st.integers(0, 2**32 - 1),
)
def test_one_outline_holds_the_points_that_another_library_finds_in_it(
    corners: list[tuple[float, float]], seed: int
) -> None:
    """scikit-image asks each point by itself; outlines may cross themselves."""
    outline = np.array(corners) + np.random.default_rng(seed).normal(0, 1e-3, (len(corners), 2))
    points = np.random.default_rng(seed + 1).uniform(0, 1, (60, 2))
    assert inside([outline], points).tolist() == points_in_poly(points, outline).tolist()


@given(st.integers(0, 2**32 - 1))
def test_points_within_two_outlines_lie_outside(seed: int) -> None:
    """ISO 32000-1, 8.5.3.3.3: an even number of sides to one side means outside."""
    rng = np.random.default_rng(seed)
    one, other = rng.uniform(0, 1, (2, 5, 2))
    points = rng.uniform(0, 1, (7, 8, 2))
    both = inside([one, other], points)
    assert both.shape == (7, 8)
    assert (both == (inside([one], points) ^ inside([other], points))).all()


@given(st.integers(0, 2**32 - 1), st.integers(0, 4), st.booleans())
def test_where_an_outline_starts_and_which_way_it_runs_says_nothing(
    seed: int, first: int, back: bool
) -> None:
    rng = np.random.default_rng(seed)
    outline, points = rng.uniform(0, 1, (5, 2)), rng.uniform(0, 1, (40, 2))
    other = np.roll(outline, first, axis=0)[:: -1 if back else 1]
    assert (inside([outline], points) == inside([other], points)).all()


def test_level_sides_and_the_order_of_points_are_no_matter() -> None:
    points = np.array([(0.5, 0.5), (-0.5, 0.5), (1.5, 0.5), (0.5, -0.5), (0.5, 1.5), (0.1, 0.9)])
    expected = np.array([True, False, False, False, False, True])
    for order in (np.arange(6), np.arange(6)[::-1], np.array([3, 0, 5, 1, 4, 2])):
        assert (inside([UNIT], points[order]) == expected[order]).all()
    assert not inside([], points).any()


# -------------------------------------------------------------------------- dots


@pytest.mark.parametrize(
    ("wide", "high", "dot"),
    [
        (0.5, 0.5, True),
        (0.5, 0.451, True),  # a tenth out of round
        (0.5, 0.449, False),
        (0.449, 0.5, False),
        (0.899, 0.899, True),  # no larger than a knot
        (0.901, 0.901, False),
    ],
)
def test_a_dot_is_round_and_no_larger_than_a_knot(wide: float, high: float, dot: bool) -> None:
    around = np.array([(wide / 2, 0), (wide, high / 2), (wide / 2, high), (0, high / 2)]) + 3.0
    assert is_dot(path(around), box_of(around), SETTINGS) is dot


def test_a_ring_of_two_outlines_is_no_dot() -> None:
    around = (UNIT - 0.5) * 0.6
    assert is_dot(path(around), box_of(around), SETTINGS)
    assert not is_dot(path(around, around / 2), box_of(around), SETTINGS)


# ------------------------------------------------------------------------ pieces


@given(
    st.integers(0, 3), st.integers(0, 40), st.integers(0, 40), st.integers(0, 2), st.booleans(),
    st.booleans(),
)  # fmt: skip
def test_a_triangle_is_named_by_its_right_angle_wherever_it_lies(
    left_out: int, row: int, column: int, first: int, back: bool, closed: bool
) -> None:
    outline = np.roll(triangle(left_out, row, column), first, axis=0)[:: -1 if back else 1]
    if closed:
        outline = np.concatenate([outline, outline[:1]])
    right_angle = CORNERS[(left_out + 2) % 4]
    assert piece(outline, SETTINGS) == (row, column, "triangle", right_angle)


@given(
    st.integers(0, 3), st.integers(0, 40), st.integers(0, 40), st.integers(0, 3), st.booleans(),
    st.booleans(),
)  # fmt: skip
def test_a_quarter_is_named_by_the_corner_that_it_shares(
    corner: int, row: int, column: int, first: int, back: bool, closed: bool
) -> None:
    outline = np.roll(quarter(corner, row, column), first, axis=0)[:: -1 if back else 1]
    if closed:
        outline = np.concatenate([outline, outline[:1]])
    assert piece(outline, SETTINGS) == (row, column, "quarter", CORNERS[corner])


@pytest.mark.parametrize("corner", range(3))
@pytest.mark.parametrize("axis", [0, 1])
def test_a_corner_of_a_triangle_may_lie_a_tenth_of_a_cell_astray(corner: int, axis: int) -> None:
    for off, taken in ((0.09, True), (-0.09, True), (0.11, False), (-0.11, False)):
        outline = triangle(1, 4, 7)
        outline[corner, axis] += off
        assert (piece(outline, SETTINGS) is not None) is taken


def test_a_triangle_of_another_size_than_the_cell_is_none() -> None:
    for size, taken in ((0.91, True), (1.09, True), (0.8, False), (1.21, False), (2.0, False)):
        assert (piece(triangle(0) * size, SETTINGS) is not None) is taken


def test_a_triangle_whose_corners_fall_together_is_none() -> None:
    assert piece(np.array([(0.0, 0.0), (1.0, 1.0), (1.02, 0.98)]), SETTINGS) is None


def test_a_triangle_over_two_cells_is_none() -> None:
    assert piece(np.array([(0.0, 0.0), (2.0, 0.0), (2.0, 1.0)]), SETTINGS) is None


def test_a_quarter_may_be_a_tenth_of_a_cell_too_large_and_no_more() -> None:
    for size, taken in ((0.41, True), (0.59, True), (0.39, False), (0.61, False)):
        assert (piece(UNIT * size, SETTINGS) is not None) is taken


@pytest.mark.parametrize("axis", [0, 1])
def test_a_quarter_away_from_the_corner_of_its_cell_is_none(axis: int) -> None:
    for off, taken in ((0.09, True), (0.11, False), (0.25, False), (0.39, False), (0.41, True)):
        outline = UNIT / 2
        outline[:, axis] += off
        assert (piece(outline, SETTINGS) is not None) is taken


def test_a_square_that_stands_on_its_corner_is_no_quarter() -> None:
    stood = np.array([(0.25, 0.0), (0.5, 0.25), (0.25, 0.5), (0.0, 0.25)])
    assert piece(stood, SETTINGS) is None


@pytest.mark.parametrize("sides", [2, 5, 6, 8])
def test_other_polygons_are_no_pieces(sides: int) -> None:
    turn = 2 * np.pi * np.arange(sides) / sides
    assert piece(np.stack([np.cos(turn), np.sin(turn)], axis=1) / 4 + 0.25, SETTINGS) is None
    assert piece(np.stack([np.cos(turn), np.sin(turn)], axis=1) / 2 + 0.5, SETTINGS) is None
