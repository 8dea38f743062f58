"""Strokes, polygons and letters on the grid of a vector page, just inside and outside of limits."""

from __future__ import annotations

import numpy as np
import pytest

from chartscan.reading.vector.cells import Cells, Misfit, paint
from chartscan.reading.vector.objects import Drawn, Letter, PageObjects
from tests.reading.vector.drawing import BLUE, GRID, RED, path

Point = tuple[float, float]  # x, y in cells


def on_page(*points: Point) -> list[Point]:
    return [(50 + 10 * x, 60 + 10 * y) for x, y in points]


def stroke(*points: Point, closed: bool = False, curved: bool = False, width: float = 0.8) -> Drawn:
    return path(*on_page(*points), stroke=RED, closed=closed, curved=curved, width=width)


def filled(*points: Point, curved: bool = False) -> Drawn:
    return path(*on_page(*points), fill=RED, curved=curved)


def letter(
    left: float, top: float, wide: float = 0.5, high: float = 0.5, text: str = "X"
) -> Letter:
    (x, y), (right, bottom) = on_page((left, top), (left + wide, top + high))
    return Letter(10**6, text, "plain", 7.0, 0, (x, y, right, bottom), BLUE)


def painted(*things: Drawn | Letter) -> Cells:
    paths = tuple(thing for thing in things if isinstance(thing, Drawn))
    letters = tuple(thing for thing in things if isinstance(thing, Letter))
    return paint(PageObjects((200.0, 200.0), paths, letters, ()), GRID)


# ------------------------------------------------------------------------- strokes


def test_a_stroke_between_half_crossings_may_be_an_outline() -> None:
    cells = painted(stroke((1, 1), (2.5, 1), (3, 3.5)))
    ((style, runs),) = cells.strokes.items()
    assert style == (RED, 0.08)  # its width in cells
    assert [run.tolist() for run in runs] == [[[1, 1], [2.5, 1], [3, 3.5]]]


@pytest.mark.parametrize(("off", "taken"), [(0.09, True), (0.11, False)])
def test_its_points_may_lie_a_tenth_of_a_cell_beside_their_crossings(
    off: float, taken: bool
) -> None:
    long = stroke((1 + off, 1), (2, 4 - off))
    if taken:
        assert painted(long).strokes[RED, 0.08][0].tolist() == [[1, 1], [2, 4]]
        return
    with pytest.raises(Misfit, match="neither along it nor between its crossings"):
        painted(long)


def test_a_closed_stroke_comes_back_to_where_it_began() -> None:
    (run,) = painted(stroke((1, 1), (3, 1), (2, 3), closed=True)).strokes[RED, 0.08]
    assert run.tolist() == [[1, 1], [3, 1], [2, 3], [1, 1]]


def test_the_outline_of_a_cell_draws_the_grid_square_by_square() -> None:
    assert not painted(stroke((1, 1), (2, 1), (2, 2), (1, 2), closed=True)).strokes
    assert painted(stroke((1, 1), (3, 1), (3, 2), (1, 2), closed=True)).strokes


def test_a_stroke_that_keeps_to_its_cell_is_a_sign_in_it() -> None:
    cells = painted(stroke((2.2, 1.3), (2.7, 1.8)), stroke((3.2, 1.3), (3.7, 1.8), curved=True))
    assert set(cells.symbols) == {(1, 2), (1, 3)}
    assert not cells.strokes
    one, other = (cells.symbols[place][0] for place in ((1, 2), (1, 3)))
    assert np.allclose(np.array(one[1]), [(0.2, 0.3), (0.7, 0.8)])
    assert np.allclose(np.array(one[1]), np.array(other[1]))
    assert cells.inks[1, 2] == [RED]


@pytest.mark.parametrize("long", [True, False])
def test_a_line_along_the_whole_grid_is_the_grids_and_a_shorter_one_is_not(long: bool) -> None:
    """Nine tenths of the six columns are 5.4."""
    cells = painted(stroke((0, 2), (5.5 if long else 5.0, 2)))
    assert bool(cells.strokes) is not long


def test_the_rim_of_what_is_filled_in_the_same_path_is_no_line() -> None:
    both = path(*on_page((2.2, 1.3), (2.7, 1.3), (2.5, 1.8)), fill=BLUE, stroke=RED)
    cells = painted(both)
    assert [mark[0] for mark in cells.symbols[1, 2]] == ["fill"]
    assert cells.inks[1, 2] == [BLUE]
    square = path(*on_page((2, 1), (3, 1), (3, 2), (2, 2)), fill=BLUE, stroke=RED)
    assert not painted(square).strokes


# ------------------------------------------------------------------------ polygons


def test_a_polygon_over_whole_cells_fills_those_that_it_holds() -> None:
    ell = filled((1, 1), (4, 1), (4, 2), (2, 2), (2, 4), (1, 4))
    cells = painted(ell)
    expected = np.zeros((5, 6), np.bool_)
    expected[1, 1:4] = expected[1:4, 1] = True
    assert (cells.painted == expected).all()
    assert (cells.ground[expected] == RED).all()


def test_a_polygon_that_cuts_through_a_cell_is_refused() -> None:
    with pytest.raises(Misfit, match="cuts through a cell"):
        painted(filled((1, 1), (4, 1), (4, 3), (1.4, 3)))


def test_a_shape_that_is_open_or_curved_and_lies_across_cells_is_refused() -> None:
    with pytest.raises(Misfit, match="lies across cells"):
        painted(filled((1, 1), (4, 1), (4, 3), curved=True))
    opened = path(*on_page((1, 1), (4, 1), (4, 3), (1, 3.0)), fill=RED, closed=False)
    cells = painted(opened)  # four corners of a box are one, closed or not
    assert cells.painted.sum() == 6


def test_a_polygon_that_reaches_over_the_edge_fills_what_lies_on_the_grid() -> None:
    cells = painted(filled((-1, -1), (2, -1), (2, 1), (1, 1), (1, 2), (-1, 2)))
    assert np.argwhere(cells.painted).tolist() == [[0, 0], [0, 1], [1, 0]]


@pytest.mark.parametrize(("inset", "taken"), [(0.19, True), (0.21, False)])
def test_a_block_may_stay_inside_its_cells_by_a_fifth(inset: float, taken: bool) -> None:
    block = filled((1 + inset, 1), (4, 1), (4, 3), (1 + inset, 3))
    if taken:
        assert painted(block).painted.sum() == 6
        return
    with pytest.raises(Misfit, match="ends inside a cell"):
        painted(block)


@pytest.mark.parametrize(("side", "fills"), [(0.61, True), (0.59, False)])
def test_a_square_fills_its_cell_from_six_tenths_of_it_on(side: float, fills: bool) -> None:
    low, high = 1.5 - side / 2, 1.5 + side / 2
    cells = painted(filled((low, low), (high, low), (high, high), (low, high)))
    assert bool(cells.painted.any()) is fills
    assert bool(cells.symbols) is not fills


def test_part_stitches_are_kept_with_their_colour() -> None:
    cells = painted(filled((2, 1), (3, 1), (2, 2)), filled((4, 3), (4.5, 3), (4.5, 3.5), (4, 3.5)))
    assert cells.pieces[1, 2] == [("triangle", "top left", RED)]
    assert cells.pieces[3, 4] == [("quarter", "top left", RED)]
    beside = painted(filled((5.95, 1), (6.95, 1), (5.95, 2)))
    assert not beside.pieces


# ------------------------------------------------------------------------- letters


@pytest.mark.parametrize(
    ("left", "taken"), [(1.86, True), (1.84, False), (2.64, True), (2.66, False)]
)
def test_a_letter_may_reach_over_its_cell_by_a_part_of_it(left: float, taken: bool) -> None:
    """Half a cell wide and 0.15 over either side of the third column."""
    if taken:
        assert list(painted(letter(left, 1.2)).symbols) == [(1, 2)] or left < 2
        return
    wide = letter(left, 1.2) if left > 2 else letter(left, 1.2, wide=1.2)
    with pytest.raises(Misfit, match="stands across cells"):
        painted(wide)


def test_letters_of_one_cell_are_kept_in_order_with_their_inks() -> None:
    cells = painted(letter(1.1, 1.2, wide=0.3, text="a"), letter(1.5, 1.2, wide=0.3, text="b"))
    assert [mark[1] for mark in cells.symbols[1, 1]] == ["a", "b"]
    assert cells.inks[1, 1] == [BLUE, BLUE]


def test_a_letter_is_known_by_its_font_its_size_and_its_turn() -> None:
    signs = set()
    for font, size, turn in (
        ("plain", 7.0, 0),
        ("bold", 7.0, 0),
        ("plain", 7.5, 0),
        ("plain", 7.0, 90),
    ):
        one = letter(1.1, 1.2)
        other = Letter(one.order, "X", font, size, turn, one.box, BLUE)
        signs.add(tuple(painted(other).symbols[1, 1]))
    assert len(signs) == 4


def test_a_picture_on_the_grid_is_refused_and_one_beside_it_is_not() -> None:
    for right, taken in ((50.5, True), (52.0, False)):
        objects = PageObjects((200.0, 200.0), (), (), ((10.0, 60.0, right, 90.0),))
        if taken:
            assert not paint(objects, GRID).painted.any()
            continue
        with pytest.raises(Misfit, match="a picture lies on the grid"):
            paint(objects, GRID)
