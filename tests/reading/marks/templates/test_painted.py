"""A page painted with its templates: what is left are the marks, and split cells are split."""

from __future__ import annotations

import numpy as np
import pytest

from chartscan.chart import Corner
from chartscan.reading.marks.parts import Piece
from chartscan.reading.marks.templates.crossing import clear_of_lines
from chartscan.reading.marks.templates.flat import Flat
from chartscan.reading.marks.templates.labels import Labels, label_cells
from chartscan.reading.marks.templates.leftover import LeftoverSettings, find_leftovers
from chartscan.reading.marks.templates.painted import Painted, paint_templates
from chartscan.reading.marks.templates.template import Template
from tests.reading.marks.templates.pictured import (
    BARS,
    ELL,
    SIDE,
    TEE,
    Cells,
    Mask,
    cell,
    flat_of,
    half,
    halves,
    small,
    templates_of,
)  # fmt: skip
from tests.reading.staged import BLUE, RED, WHITE, YELLOW, Pixels

ROWS, COLUMNS = 9, 12
ON_COLOUR = [cell(WHITE), cell(RED, ELL), cell(YELLOW, TEE), cell(BLUE, ELL, ink=WHITE)]
IN_ONE_INK = [cell(WHITE), cell(WHITE, ELL), cell(WHITE, TEE)]
CORNERS: tuple[Corner, ...] = ("top left", "top right", "bottom left", "bottom right")
OPPOSITE = dict(zip(CORNERS, CORNERS[::-1], strict=True))
Odd = dict[tuple[int, int], Pixels]


def cells_of(kinds: int) -> Cells:
    return np.random.default_rng(6).integers(0, kinds, (ROWS, COLUMNS))


def laid(
    pictures: list[Pixels], odd: Odd | None = None, drawn: Mask | None = None
) -> tuple[Flat, list[Template], Labels]:
    """The page laid flat, its classes from the cells as they are, and its cells by them."""
    cells = cells_of(len(pictures))
    for place in odd or {}:
        cells[place] = 0
    flat = flat_of(cells, pictures, odd, drawn)
    clean = cells.copy()
    for place in odd or {}:
        clean[place] = -1
    templates = templates_of(flat, clean, len(pictures))
    return flat, templates, label_cells(flat, templates)


def painted(pictures: list[Pixels], odd: Odd | None = None, drawn: Mask | None = None) -> Painted:
    return paint_templates(*laid(pictures, odd, drawn))


def off_lines(page: Painted) -> Mask:
    return np.asarray(~(page.fills.rim_y[:, None] | page.fills.rim_x), np.bool_)


def line() -> Mask:
    """Three samples thick through the middles of five cells, between grid lines."""
    drawn = np.zeros((ROWS * SIDE, COLUMNS * SIDE), np.bool_)
    drawn[4 * SIDE + 9 : 4 * SIDE + 12, 2 * SIDE + 5 : 7 * SIDE + 5] = True
    return drawn


@pytest.mark.parametrize("pictures", [ON_COLOUR, IN_ONE_INK])
def test_a_page_without_marks_is_painted_as_it_is(pictures: list[Pixels]) -> None:
    page = painted(pictures)
    assert not page.ground.left.any()
    assert page.pieces.pieces == ()
    assert not page.pieces.cells.any()


@pytest.mark.parametrize("pictures", [ON_COLOUR, IN_ONE_INK])
def test_what_is_left_is_the_line_that_was_drawn(pictures: list[Pixels]) -> None:
    page = painted(pictures, drawn=line())
    there = off_lines(page)
    assert (page.ground.left & there <= line()).all()
    assert (page.ground.left & there).sum() >= 0.9 * (line() & there).sum()


def test_lines_of_the_grid_are_at_the_sides_of_cells_alone() -> None:
    page = painted(ON_COLOUR)
    for rim, number in ((page.fills.rim_x, COLUMNS), (page.fills.rim_y, ROWS)):
        assert np.flatnonzero(rim).tolist() == [SIDE * k for k in range(number)]


def test_fills_are_the_grounds_of_the_classes_and_not_their_inks() -> None:
    page = painted(ON_COLOUR)
    assert page.fills.colours.tolist() == [list(map(float, c)) for c in (WHITE, RED, YELLOW, BLUE)]
    assert (page.fills.cells == cells_of(4)).all()


# ------------------------------------------------------------------------ split cells


@pytest.mark.parametrize("corner", CORNERS)
def test_a_cell_shared_by_two_grounds_is_split(corner: Corner) -> None:
    page = painted(ON_COLOUR, {(3, 5): halves(corner, cell(RED), cell(YELLOW))})
    assert set(page.pieces.pieces) == {
        Piece(3, 5, "triangle", corner, 1),
        Piece(3, 5, "triangle", OPPOSITE[corner], 2),
    }
    assert np.flatnonzero(page.pieces.cells).tolist() == [3 * COLUMNS + 5]
    assert not (page.ground.left & off_lines(page)).any()


@pytest.mark.parametrize("corner", CORNERS)
def test_small_glyphs_in_the_halves_are_expected_there(corner: Corner) -> None:
    odd = halves(corner, cell(RED, small(ELL, corner)), cell(YELLOW, small(TEE, OPPOSITE[corner])))
    page = painted(ON_COLOUR, {(3, 5): odd})
    assert {(p.corner, p.fill) for p in page.pieces.pieces} == {
        (corner, 1),
        (OPPOSITE[corner], 2),
    }
    block = page.pieces.painted[3 * SIDE : 4 * SIDE, 5 * SIDE : 6 * SIDE]
    y, x = np.nonzero((block != odd).any(axis=-1)[2:-2, 2:-2])
    beside = x - y if "top right" in (corner, OPPOSITE[corner]) else x + y - SIDE + 5
    assert len(y) <= 3  # where a glyph meets the divider
    assert (np.abs(beside) <= 1).all()


def test_bare_ground_beside_a_half_is_a_piece_of_the_bare_class() -> None:
    page = painted(ON_COLOUR, {(2, 2): halves("top left", cell(BLUE), cell(WHITE))})
    assert {p.fill for p in page.pieces.pieces} == {0, 3}


def test_on_a_page_in_one_ink_no_cell_is_split_by_grounds() -> None:
    """A glyph that is half black is no part stitch there."""
    page = painted(IN_ONE_INK, {(2, 2): cell(WHITE, half("top left"))})
    assert page.pieces.pieces == ()


def test_a_line_across_a_cell_does_not_split_it() -> None:
    page = painted(ON_COLOUR, drawn=line())
    assert page.pieces.pieces == ()


# -------------------------------------------------------------------------- left over


def leftovers(
    odd: Odd, pictures: list[Pixels] | None = None, hidden: Mask | None = None
) -> list[list[int]]:
    """The cells of each new class; ``hidden``: samples of every cell that marks lie over."""
    flat, templates, labels = laid(pictures or ON_COLOUR, odd)
    seen = np.ones(flat.cells.shape[:3], np.bool_)
    if hidden is not None:
        seen[:, hidden] = False
    found = find_leftovers(
        flat, labels.off > flat.odd, seen, templates, clear_of_lines(flat), LeftoverSettings()
    )
    return [t.members.tolist() for t in found]


PLACES = [(2, 2), (5, 9)]
AT = [row * COLUMNS + column for row, column in PLACES]


def test_cells_of_a_picture_that_no_class_has_are_a_class_even_if_one() -> None:
    fresh = cell(YELLOW, BARS)
    assert leftovers({PLACES[0]: fresh}) == [AT[:1]]
    assert leftovers(dict.fromkeys(PLACES, fresh)) == [AT]


def test_two_new_pictures_are_two_classes() -> None:
    odd = {PLACES[0]: cell(YELLOW, BARS), PLACES[1]: cell(WHITE, BARS)}
    assert leftovers(odd) == [AT[:1], AT[1:]]


def test_what_is_crossed_by_a_line_is_none() -> None:
    crossed = cell(YELLOW, TEE)
    crossed[12:15] = (0, 90, 200)
    assert leftovers({PLACES[0]: crossed}) == []


def test_a_cell_on_two_grounds_is_none() -> None:
    assert leftovers({PLACES[0]: halves("top left", cell(RED), cell(YELLOW))}) == []


def test_what_marks_hide_most_of_is_none() -> None:
    """Inner samples are 16 by 16: with five of their rows hidden three tenths are."""
    hidden = np.zeros((SIDE, SIDE), np.bool_)
    fresh = {PLACES[0]: cell(YELLOW, BARS)}
    hidden[2:6] = True
    assert leftovers(fresh, hidden=hidden) == [AT[:1]]
    hidden[2:7] = True
    assert leftovers(fresh, hidden=hidden) == []


def test_what_differs_only_where_it_is_hidden_is_the_class_that_it_was() -> None:
    nearly = cell(YELLOW, TEE)
    nearly[3:5, 3:9] = WHITE
    hidden = np.zeros((SIDE, SIDE), np.bool_)
    hidden[2:6, 2:10] = True
    assert leftovers({PLACES[0]: nearly}, hidden=hidden) == []


def test_cells_that_are_hidden_each_elsewhere_are_alike_where_both_are_seen() -> None:
    """Ink lies over a fifth of either, and shows through where it isn't known to lie."""
    odd = {place: cell(YELLOW, BARS) for place in PLACES}
    spots = [np.s_[3:9, 3:9], np.s_[11:17, 11:17]]
    for place, spot in zip(PLACES, spots, strict=True):
        odd[place][spot] = (0, 90, 200)
    flat, templates, labels = laid(ON_COLOUR, odd)
    clear = clear_of_lines(flat)
    seen = np.ones(flat.cells.shape[:3], np.bool_)
    for at, spot in zip(AT, spots, strict=True):
        seen[at][spot] = False
    found = find_leftovers(flat, labels.off > flat.odd, seen, templates, clear)
    assert [t.members.tolist() for t in found] == [AT]
    assert (found[0].picture[2:-2, 2:-2] == cell(YELLOW, BARS)[2:-2, 2:-2]).all()
    shown = np.ones_like(seen)
    assert len(find_leftovers(flat, labels.off > flat.odd, shown, templates, clear)) != 1
