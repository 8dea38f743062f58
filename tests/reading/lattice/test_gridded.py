"""How far a grid reaches by the sides that are drawn, and maps between planes from known points."""

from __future__ import annotations

from dataclasses import fields

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray

from chartscan.reading.lattice.extent import Extent, ExtentSettings, Sides, gridded
from chartscan.reading.lattice.model import project
from chartscan.reading.lattice.projective import fit_homography
from chartscan.reading.lattice.weights import TERMS, VerifySettings

ROWS, COLUMNS = 30, 36
Floats = NDArray[np.float64]


def sides_of(*boxes: Extent, shape: tuple[int, int] = (ROWS, COLUMNS)) -> Sides:
    """All sides of the cells of some boxes are drawn, and no others."""
    rows, columns = shape
    sides = Sides(np.zeros((rows, columns + 1)), np.zeros((rows + 1, columns)))
    for box in boxes:
        sides.upright[box.top : box.bottom, box.left : box.right + 1] = 1
        sides.level[box.top : box.bottom + 1, box.left : box.right] = 1
    return sides


BOXES = st.builds(
    lambda left, top, wide, high: Extent(left, left + wide, top, top + high),
    st.integers(0, 12), st.integers(0, 10), st.integers(5, 24), st.integers(5, 20),
)  # fmt: skip


@settings(max_examples=30)
@given(BOXES)
def test_a_grid_reaches_as_far_as_its_lines(box: Extent) -> None:
    assert gridded(sides_of(box)) == box
    assert (box.columns, box.rows) == (box.right - box.left, box.bottom - box.top)


@settings(max_examples=40)
@given(BOXES, st.integers(0, 10**6))
def test_one_side_in_ten_may_be_hidden_anywhere(box: Extent, seed: int) -> None:
    rng = np.random.default_rng(seed)
    sides = sides_of(box)
    shown = Sides(
        sides.upright * (rng.uniform(size=sides.upright.shape) > 0.1),
        sides.level * (rng.uniform(size=sides.level.shape) > 0.1),
    )
    if min(box.columns, box.rows) >= 8:  # of fewer an outermost line may lose half
        assert gridded(shown) == box


@settings(max_examples=30)
@given(BOXES)
def test_rows_and_columns_change_places_with_the_page(box: Extent) -> None:
    sides = sides_of(box)
    found = gridded(Sides(sides.level.T, sides.upright.T))
    assert found == Extent(box.top, box.bottom, box.left, box.right)


def test_no_sides_are_no_grid() -> None:
    assert gridded(sides_of()) is None


def test_stray_edges_beside_the_grid_do_not_belong_to_it() -> None:
    box = Extent(5, 25, 6, 22)
    rng = np.random.default_rng(3)
    sides = sides_of(box)
    noisy = Sides(
        np.maximum(sides.upright, rng.uniform(size=sides.upright.shape) < 0.15),
        np.maximum(sides.level, rng.uniform(size=sides.level.shape) < 0.15),
    )
    assert gridded(noisy) == box


@pytest.mark.parametrize(("cover", "seen"), [(0.61, True), (0.59, False)])
def test_a_side_is_drawn_from_six_tenths_of_it_on(cover: float, seen: bool) -> None:
    sides = sides_of(Extent(5, 25, 6, 22))
    found = gridded(Sides(cover * sides.upright, cover * sides.level))
    assert (found is not None) is seen


def test_of_two_grids_on_one_page_the_larger_is_taken_where_they_lie_one_above_the_other() -> None:
    chart, key = Extent(4, 30, 2, 18), Extent(4, 9, 24, 28)
    assert gridded(sides_of(chart, key)) == chart


def test_a_frame_two_rows_out_is_where_the_chart_ends() -> None:
    box = Extent(5, 25, 6, 22)
    sides = sides_of(box)
    sides.level[24, 5:25] = 1
    sides.upright[22:24, [5, 25]] = 1
    sides.upright[22:24, 8:20:4] = 1
    assert gridded(sides) == Extent(5, 25, 6, 24)


def test_the_sides_of_a_part_are_those_of_the_whole() -> None:
    rng = np.random.default_rng(1)
    whole = Sides(rng.uniform(size=(ROWS, COLUMNS + 1)), rng.uniform(size=(ROWS + 1, COLUMNS)))
    part = whole.within(Extent(3, 9, 4, 8))
    assert part.upright.shape == (4, 7)
    assert part.level.shape == (5, 6)
    assert (part.upright == whole.upright[4:8, 3:10]).all()
    assert (part.level == whole.level[4:9, 3:9]).all()


# ------------------------------------------------------------------------------ maps

CORNERS: Floats = np.array([(0.0, 0), (1, 0), (1, 1), (0, 1)])
AWRY = st.lists(st.floats(-0.2, 0.2), min_size=8, max_size=8).map(
    lambda off: CORNERS + np.array(off).reshape(4, 2)
)


@settings(max_examples=15)
@given(AWRY, st.floats(1, 3000), st.floats(-500, 500))
def test_four_points_are_met(quad: Floats, scale: float, shift: float) -> None:
    target = scale * quad + shift
    found = fit_homography(CORNERS, target)
    assert found[2, 2] == pytest.approx(1.0)
    np.testing.assert_allclose(project(found, CORNERS), target, atol=1e-6 * scale)


@settings(max_examples=20)
@given(AWRY, st.integers(0, 10**6))
def test_many_points_of_one_map_give_that_map(quad: Floats, seed: int) -> None:
    true = fit_homography(CORNERS, 800 * quad)
    source = np.random.default_rng(seed).uniform(0, 1, (25, 2))
    found = fit_homography(source, project(true, source))
    np.testing.assert_allclose(project(found, CORNERS), 800 * quad, atol=1e-4)


def test_noise_is_spread_over_all_points() -> None:
    """The least-squares map is off by far less than any of its 400 points is."""
    rng = np.random.default_rng(4)
    true = np.array([[20.0, 1.0, 50.0], [-1.5, 21.0, 30.0], [1e-4, -2e-4, 1.0]])
    source = rng.uniform(0, 40, (400, 2))
    seen = project(true, source) + rng.normal(0, 1.0, (400, 2))
    off = project(fit_homography(source, seen), source) - project(true, source)
    assert np.sqrt((off**2).mean()) < 0.3


# --------------------------------------------------------------------------- weights


def test_every_term_has_its_weight_its_middle_and_its_spread() -> None:
    known = VerifySettings()
    assert len(set(TERMS)) == len(TERMS)
    for numbers in (known.weights, known.middles, known.spreads):
        assert len(numbers) == len(TERMS)
    assert min(known.spreads) > 0
    assert len(known.odds) == len(known.edges) + 1
    assert list(known.edges) == sorted(known.edges)


def test_more_evidence_of_a_side_speaks_for_a_line_more() -> None:
    """But for the middle, where next to nothing is seen: by a hundredth of a nat."""
    steps = np.diff(VerifySettings().odds)
    assert (steps > -0.02).all()


def test_parts_of_a_cell_are_parts() -> None:
    known = ExtentSettings()
    parts = [getattr(known, f.name) for f in fields(known) if f.name != "reach"]
    assert all(0 < part < 1 for part in parts)
