"""What paths put into the cells of a vector page's grid, a path or two at a time."""

from __future__ import annotations

from itertools import count

import numpy as np
import pytest

from chartscan.colour.contrast import WHITE
from chartscan.reading.vector.cells import Cells, Misfit, paint
from chartscan.reading.vector.grid import Grid
from chartscan.reading.vector.objects import Drawn, Letter, PageObjects, Rgb

GRID = Grid(50.0, 60.0, 10.0, 10.0, 6, 5, drawn=True)  # six columns, five rows of 10 points
RED, BLUE = (200, 40, 60), (30, 90, 160)
_order = count()


def drawn(
    *corners: tuple[float, float],
    fill: Rgb | None = RED,
    stroke: Rgb | None = None,
    curved: bool = False,
    opaque: bool = True,
) -> Drawn:
    """A closed path by its corners (row, column) in cells."""
    points = np.array([(50 + 10 * x, 60 + 10 * y) for y, x in (*corners, corners[0])])
    return Drawn(next(_order), (points,), curved, True, fill, stroke, 0.5, opaque)


def box(top: float, left: float, bottom: float, right: float, fill: Rgb = RED) -> Drawn:
    return drawn((top, left), (top, right), (bottom, right), (bottom, left), fill=fill)


def dot(row: float, column: float, across: float) -> Drawn:
    """A circle by the four points between its curves."""
    half = across / 2
    around = ((row - half, column), (row, column + half), (row + half, column))
    return drawn(*around, (row, column - half), curved=True)


def letter(text: str, row: float, column: float, wide: float = 0.5) -> Letter:
    left, top = 50 + 10 * column, 60 + 10 * row
    box = (left, top, left + 10 * wide, top + 5)
    return Letter(next(_order), text, "plain", 7.0, 0, box, (0, 0, 0))


def painted(*things: Drawn | Letter) -> Cells:
    paths = tuple(thing for thing in things if isinstance(thing, Drawn))
    letters = tuple(thing for thing in things if isinstance(thing, Letter))
    return paint(PageObjects((200.0, 200.0), paths, letters, ()), GRID)


@pytest.mark.parametrize("short", [(1, 0, 5, 6), (0, 1, 5, 6), (0, 0, 4, 6), (0, 0, 5, 5)])
def test_a_block_that_leaves_one_side_free_is_stitches_and_no_cloth(
    short: tuple[int, int, int, int],
) -> None:
    cells = painted(box(*short))
    top, left, bottom, right = short
    assert cells.tint == WHITE
    assert cells.painted.sum() == (bottom - top) * (right - left)
    assert cells.painted[top:bottom, left:right].all()


def test_a_block_over_the_whole_grid_is_cloth_and_hides_what_was_there() -> None:
    cells = painted(box(1, 1, 2, 2, BLUE), letter("X", 3.2, 3.2), box(0, 0, 5, 6), box(4, 4, 5, 5))
    assert cells.tint == RED
    assert np.argwhere(cells.painted).tolist() == [[4, 4]]
    assert (cells.ground == RED).all()
    assert not cells.symbols


def test_what_is_painted_over_is_gone_and_nothing_beside_it() -> None:
    around = [letter("X", row + 0.2, column + 0.2) for row in (0, 1, 2) for column in (0, 1, 2, 3)]
    cells = painted(*around, box(1, 1, 2, 3))
    assert sorted(cells.symbols) == [
        (row, column) for row in (0, 1, 2) for column in (0, 1, 2, 3)
        if not (row == 1 and column in (1, 2))
    ]  # fmt: skip
    assert set(cells.inks) == set(cells.symbols)


def test_a_dot_has_its_middle_and_its_diameter() -> None:
    (found,) = painted(dot(2, 3.5, 0.4)).dots
    assert (found.x, found.y, found.across) == pytest.approx((3.5, 2.0, 0.4))
    assert found.fill == RED


@pytest.mark.parametrize(
    ("thing", "said"),
    [
        (box(1, 1, 2, 2.6), "ends inside a cell"),
        (drawn((1, 1), (1, 2), (2, 2), (2, 1), opaque=False), "see-through"),
        (letter("M", 1.2, 1.6, wide=1.0), "'M' stands across cells"),
        (letter("", 1.2, 1.2), "which sign it is"),
        (drawn((0, 0), (0, 3), (3, 3), (3, 0), curved=True), "lies across cells"),
    ],
)
def test_what_no_chart_consists_of_is_refused(thing: Drawn | Letter, said: str) -> None:
    with pytest.raises(Misfit, match=said):
        painted(thing)


@pytest.mark.parametrize(
    "thing",
    [
        box(-3, -3, -1, -1),  # a swatch of the key
        letter("10", -0.8, 2.2),  # a number along the edge
        box(-2, 0, 0.05, 6),  # a heading that touches the frame
        box(2.96, 0, 3.04, 6),  # a line drawn as a thin rectangle
        drawn((-1, -1), (-1, 7), (6, 7), (6, -1), fill=None, stroke=RED),  # the page's frame
        drawn((0, 0), (0, 6), (5, 6), (5, 0), fill=None, stroke=RED),  # the grid's own
    ],
)
def test_what_lies_beside_the_grid_or_draws_it_puts_nothing_into_cells(
    thing: Drawn | Letter,
) -> None:
    cells = painted(thing)
    found = (cells.symbols, cells.strokes, cells.dots, cells.pieces)
    assert not cells.painted.any()
    assert not any(found)


def test_a_square_inside_its_cell_fills_it_and_a_small_one_is_a_sign_in_it() -> None:
    cells = painted(box(1.15, 1.15, 1.85, 1.85), box(3.25, 2.25, 3.75, 2.75))
    assert np.argwhere(cells.painted).tolist() == [[1, 1]]
    assert list(cells.symbols) == [(3, 2)]
