"""Discs of ink: where knots may lie, how round and how alike they are, and lines beside them."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray

from chartscan.reading.marks.inks import Ink
from chartscan.reading.marks.knots import Dots, KnotSettings, find_dots
from tests.reading.marks.flat_page import line_cover

SIDE, ROWS, COLUMNS = 14, 8, 10
SHAPE = (ROWS * SIDE, COLUMNS * SIDE)
Cover = NDArray[np.float32]
Place = tuple[float, float]


def ellipse(x: float, y: float, wide: float, high: float) -> Cover:
    """A filled ellipse of half axes in cells, its edge a sample soft."""
    down, across = (np.indices(SHAPE) + 0.5) / SIDE
    far = np.hypot((across - x) / wide, (down - y) / high)
    return np.asarray(np.clip((1 - far) * min(wide, high) * SIDE + 0.5, 0, 1), np.float32)


def disc(x: float, y: float, radius: float = 0.25) -> Cover:
    return ellipse(x, y, radius, radius)


def over(*covers: Cover) -> Cover:
    found = np.zeros(SHAPE, np.float32)
    for cover in covers:
        np.maximum(found, cover, out=found)
    return found


def dots_of(cover: Cover, hidden: NDArray[np.bool_] | None = None, **changed: float) -> Dots:
    ink = Ink(np.zeros(3), cover, np.zeros(SHAPE, np.bool_) if hidden is None else hidden)
    return find_dots(ink, SIDE, KnotSettings(**changed))  # type: ignore[arg-type]  # by name


def places(dots: Dots) -> set[Place]:
    return {(x, y) for x, y in dots.places.tolist()}


HALVES = st.tuples(st.integers(1, 2 * COLUMNS - 1), st.integers(1, 2 * ROWS - 1))


@settings(max_examples=40)
@given(st.sets(HALVES, min_size=1, max_size=6), st.sampled_from([0.15, 0.22, 0.3]))
def test_knots_at_any_half_positions_are_found_where_they_are(
    drawn: set[tuple[int, int]], radius: float
) -> None:
    apart = [(a, b) for a in drawn for b in drawn if a < b and np.hypot(*np.subtract(a, b)) < 2]
    if apart:
        return  # nearer than a cell: they run into each other
    truth = {(x / 2, y / 2) for x, y in drawn}
    dots = dots_of(over(*(disc(x, y, radius) for x, y in truth)))
    assert places(dots) == truth
    assert dots.radius == pytest.approx(radius, abs=0.5 / SIDE)


def test_no_ink_no_knots() -> None:
    dots = dots_of(np.zeros(SHAPE, np.float32))
    assert dots.places.shape == (0, 2)
    assert not dots.body.any()


@pytest.mark.parametrize(
    ("radius", "seen"), [(0.08, False), (0.12, True), (0.5, True), (0.6, False)]
)
def test_a_knot_is_no_smaller_and_no_larger_than_one(radius: float, seen: bool) -> None:
    assert bool(len(dots_of(disc(4, 4, radius)).places)) is seen


@pytest.mark.parametrize(("high", "seen"), [(0.29, True), (0.2, False)])
def test_a_knot_is_round(high: float, seen: bool) -> None:
    """The ratio of the moments is that of the axes squared: 0.29 to 0.32 is 0.82, 0.2 is 0.39."""
    assert bool(len(dots_of(ellipse(4, 4, 0.32, high)).places)) is seen
    assert bool(len(dots_of(ellipse(4, 4, high, 0.32)).places)) is seen


def test_a_ring_is_no_knot() -> None:
    ring = over(disc(4, 4, 0.35)) - disc(4, 4, 0.2)
    assert not len(dots_of(np.clip(ring, 0, 1)).places)


@pytest.mark.parametrize(("off", "seen"), [(0.12, True), (0.19, False)])
def test_a_single_knot_may_lie_beside_its_place_by_a_part_of_a_cell(off: float, seen: bool) -> None:
    assert bool(len(dots_of(disc(4 + off, 4)).places)) is seen


def test_knots_that_all_lie_aside_are_moved_back_together() -> None:
    """As whoever rounds all of them to one side draws them."""
    truth = [(2.0, 2.0), (5.5, 4.0), (8.0, 6.5), (3.5, 6.0)]
    dots = dots_of(over(*(disc(x + 0.1, y - 0.08) for x, y in truth)))
    assert places(dots) == set(truth)


def test_knots_on_a_line_are_found_on_it_and_its_ends_are_none() -> None:
    line = line_cover(np.array((1.0, 4.0, 9.0, 4.0)), 0.16, SHAPE, SIDE)
    lone = [disc(2, 1), disc(5, 1), disc(7, 6)]
    on_it = disc(4, 4)
    assert places(dots_of(over(line, on_it, *lone))) == {(2, 1), (5, 1), (7, 6), (4, 4)}


def test_pieces_of_dotted_lines_are_no_knots() -> None:
    """Dots hardly wider than the lines in the same ink, and fewer than three of them."""
    lines = [line_cover(np.array((1.0, y, 9.0, y)), 0.3, SHAPE, SIDE) for y in (2.0, 6.0)]
    assert not len(dots_of(over(*lines, disc(4, 4, 0.17))).places)
    assert places(dots_of(over(*lines, disc(4, 4, 0.3)))) == {(4, 4)}


def test_a_thick_line_alone_is_no_row_of_knots() -> None:
    line = line_cover(np.array((1.0, 4.0, 9.0, 4.0)), 0.4, SHAPE, SIDE)
    assert not len(dots_of(line).places)


def test_of_discs_of_two_sizes_those_that_are_most_are_the_knots() -> None:
    few = [disc(2, 2, 0.45)]
    many = [disc(x, 5, 0.2) for x in (2, 4, 6, 8)]
    dots = dots_of(over(*few, *many))
    assert dots.radius == pytest.approx(0.2, abs=0.02)
    assert {(2, 5), (4, 5), (6, 5), (8, 5)} <= places(dots)


def test_a_knot_half_under_another_ink_is_told_by_the_half_that_shows() -> None:
    cover = over(disc(2, 2), disc(5, 2), disc(8, 2), disc(5, 5))
    hidden = np.zeros(SHAPE, np.bool_)
    hidden[4 * SIDE : 6 * SIDE, 4 * SIDE : 5 * SIDE - 1] = True
    cover[hidden] = 0
    assert places(dots_of(cover, hidden)) == {(2, 2), (5, 2), (8, 2), (5, 5)}


def test_bodies_cover_the_discs_and_their_soft_edges_and_no_more() -> None:
    cover = over(disc(2, 2), disc(5.5, 4))
    dots = dots_of(cover)
    assert dots.body[cover > 0].all()
    assert not dots.body[over(disc(2, 2, 0.45), disc(5.5, 4, 0.45)) == 0].any()


def test_it_is_the_same_on_its_side() -> None:
    cover = over(disc(2, 2), disc(5.5, 4), disc(8, 6.5))
    ink = Ink(np.zeros(3), np.ascontiguousarray(cover.T), np.zeros(SHAPE[::-1], np.bool_))
    found = find_dots(ink, SIDE, KnotSettings())
    assert {(y, x) for x, y in found.places.tolist()} == places(dots_of(cover))
