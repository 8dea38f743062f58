"""The road against lengths that are known: rows, singles, carries, orders, shares."""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np
import pytest

from chartscan.chart import Chart
from chartscan.yardage.geometry import Cell, carry_length
from chartscan.yardage.route import Road, route, working_order
from chartscan.yardage.stitches import list_stitches

RoadOf = Callable[..., Road]
MakeChart = Callable[[object], Chart]
R2 = math.sqrt(2)

# The upper half of a pattern that P. Sisak posted to the mailing list MathGroup (Mathematica) on
# 22 March 2012; the subject wasn't noted.
PUBLIC_PATTERN = "..X...X../..XX.XX../XX.X.X.XX/.XX.X.XX./...XXX..."


@pytest.mark.parametrize("n", [1, 2, 3, 4, 5, 6, 8, 37, 400])
def test_a_row_takes_its_front_legs_and_a_move_for_all_but_one(n: int, road_of: RoadOf) -> None:
    """2√2·n + (2n − 1) cells, out with one leg and back with the other.

    Worked in two lines: T. de Dillmont, Encyclopedia of Needlework (1886; Project Gutenberg
    20776), chapter 7.
    """
    road = road_of("X" * n)
    assert road.length == pytest.approx(2 * R2 * n + 2 * n - 1, abs=1e-9)
    assert road.least == pytest.approx(road.length, abs=1e-9)


@pytest.mark.parametrize(
    ("n", "least"),
    [(1, 3.828427), (2, 8.656854), (3, 13.485281), (4, 18.313708), (5, 23.142136), (6, 27.970563)],
)
def test_the_bound_of_few_crosses(n: int, least: float, road_of: RoadOf) -> None:
    """Computed by exhaustive search, see ``test_exact_minimum``."""
    assert road_of("X" * n).least == pytest.approx(least, abs=5e-7)


def test_cross_by_cross_takes_more_than_out_and_back(road_of: RoadOf) -> None:
    """2√2·n + n + √2·(n − 1), in the long run 5.2426 cells a cross."""
    n = 1000
    road = road_of("X" * n, "crosses")
    assert road.length == pytest.approx(2 * R2 * n + n + R2 * (n - 1), abs=1e-9)
    assert road.length / n == pytest.approx(5.2426, abs=2e-3)


@pytest.mark.parametrize(("gap", "extra"), [(1, 0), (2, 1), (3, 2), (5, 4)])
def test_a_carry_along_a_row_adds_the_gap_less_one(gap: int, extra: int, road_of: RoadOf) -> None:
    """Against two crosses side by side: max(0, g − 1) more."""
    road = road_of("X" + "." * gap + "X", carry=gap)
    assert road.length == pytest.approx(road_of("XX").length + extra, abs=1e-9)
    assert (road.areas, road.jumps, len(road.groups)) == (2, 1, 1)


def test_a_knights_move_is_carried_diagonally(road_of: RoadOf) -> None:
    """9.0711 cells with every ``/`` below, by exhaustive search."""
    assert road_of("X../..X", carry=3).length == pytest.approx(9.0711, abs=5e-5)
    assert road_of("..X/X..", carry=3).length == pytest.approx(9.0711, abs=5e-5)


def test_nothing_is_carried_beyond_the_limit(road_of: RoadOf) -> None:
    """A gap of the limit is carried over, a longer one begins a new stretch."""
    assert len(road_of("X...X", carry=3).groups) == 1
    far = road_of("X...X", carry=2.999)
    assert (len(far.groups), far.carries, far.jumps) == (2, 0, 0)
    assert len(road_of("X.X", carry=0).groups) == 2


def test_corners_are_passed_even_without_carries(road_of: RoadOf) -> None:
    """Areas that touch at corners hang together; each corner takes a straight move behind."""
    road = road_of("X../.X./..X", carry=0)
    assert (road.areas, road.jumps, len(road.groups)) == (1, 0, 1)
    assert road.back == pytest.approx(5)


def test_the_public_pattern_of_37_crosses_has_its_known_minimum(road_of: RoadOf) -> None:
    """74·√2 + 73 = 177.6518 cells, on 14 per inch 322.3 mm; the road is just that."""
    whole = _with_mirror_below(PUBLIC_PATTERN)
    road = road_of(whole)
    assert road.legs == 74
    assert road.least == pytest.approx(177.6518, abs=5e-5)
    assert road.least * 25.4 / 14 == pytest.approx(322.3, abs=0.05)
    assert road.length == pytest.approx(road.least, abs=1e-9)


def _with_mirror_below(pattern: str) -> str:
    """The pattern with its upper rows mirrored below its last."""
    rows = pattern.split("/")
    return "/".join(rows + rows[-2::-1])


def test_a_carry_is_never_a_move_of_no_length() -> None:
    """Side by side the nearest hole would be the same one: the needle goes diagonally."""
    square = Cell(1, 1)
    assert carry_length(square, 1, 0) == pytest.approx(R2)
    assert carry_length(square, 1, 1) == pytest.approx(1)
    assert carry_length(square, 3, 0) == pytest.approx(2)
    assert carry_length(square, 2, 2) == pytest.approx(math.sqrt(5))


def test_a_weave_that_is_not_square_has_its_own_moves_in_each_direction(road_of: RoadOf) -> None:
    """Rows move down behind, columns across; the shortest order takes the shorter of the two."""
    cell = Cell(across=2.0, down=1.5)
    front = 8 * 2.5
    assert road_of("XX/XX", "rows", cell=cell).length == pytest.approx(front + 7 * 1.5)
    assert road_of("XX/XX", "columns", cell=cell).length == pytest.approx(front + 7 * 2.0)
    assert road_of("XX/XX", "shortest", cell=cell).length == pytest.approx(front + 7 * 1.5)
    turned = Cell(across=1.5, down=2.0)
    assert road_of("XX/XX", "shortest", cell=turned).length == pytest.approx(front + 7 * 1.5)
    assert road_of("XX/XX", "rows", cell=cell).least == pytest.approx(front + 7 * 1.5)


def test_the_needle_goes_from_area_to_area_and_branches_nowhere(road_of: RoadOf) -> None:
    """Three singles in a triangle are passed along its two short sides, not its long one."""
    road = road_of("X...X/...../..X..", carry=9)
    assert road.jumps == 2
    assert road.carries == pytest.approx(2 * math.hypot(1, 2))


def test_a_way_back_is_slipped_under_stitches_or_saved_by_a_new_start(road_of: RoadOf) -> None:
    """Of three arms round a cross one is reached by the way back, longer than a carry may be."""
    star = "...X.../......./......./X..X..X"
    slipped = road_of(star, carry=2.0)
    assert (slipped.jumps, slipped.slips, len(slipped.groups)) == (3, 1, 1)
    begun = road_of(star, carry=2.0, restart=2.5)
    assert (begun.jumps, begun.slips, len(begun.groups)) == (2, 0, 2)
    assert begun.length < slipped.length


def test_threads_do_not_hang_together(make_chart: MakeChart) -> None:
    """Crosses of another colour between two areas join nothing."""
    stitches = list_stitches(make_chart("121"), {}, "three-quarter", lambda _, __: 1)
    split, whole = route(stitches, Cell(1, 1), "rows", 0.0)
    assert (split.areas, whole.areas) == (2, 1)


@pytest.mark.parametrize("side", [20, 25, 40])
def test_a_solid_area_is_within_three_per_cent_of_the_bound(side: int, road_of: RoadOf) -> None:
    """In every order but cross by cross, which is known to take 8.6 % more."""
    square = np.ones((side, side), dtype=int)
    for order in ("rows", "columns", "shortest"):
        assert road_of(square, order).length <= 1.03 * road_of(square).least
    assert road_of(square, "crosses").length / road_of(square).least == pytest.approx(
        1.086, abs=3e-3
    )


def test_even_fabric_is_worked_in_rows_and_tall_cells_in_columns_only_where_that_is_shorter() -> (
    None
):
    """Rows are what she is used to: columns save nothing where threads lie alike both ways."""
    assert working_order(Cell(2, 2), "shortest") == "rows"
    assert working_order(Cell(2, 1.9), "shortest") == "rows"
    assert working_order(Cell(1.9, 2), "shortest") == "columns"
    assert working_order(Cell(1, 2), "rows") == "rows"
