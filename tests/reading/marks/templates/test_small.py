"""Small glyphs in the halves of split cells, by copies of whole ones made small."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from chartscan.chart import Corner
from chartscan.reading.marks.parts import Piece
from chartscan.reading.marks.templates.flat import Flat
from chartscan.reading.marks.templates.small import (
    SmallSettings,
    split_on_one_ground,
    told_by_glyphs,
)
from chartscan.reading.marks.templates.template import Template
from tests.reading.marks.templates.pictured import (
    BARS,
    ELL,
    NONE,
    TEE,
    Cells,
    Mask,
    cell,
    flat_of,
    small,
    templates_of,
)  # fmt: skip
from tests.reading.staged import RED, WHITE, Pixels

ROWS, COLUMNS = 8, 10
SAME = 4.0
PICTURES = [cell(WHITE), cell(WHITE, ELL), cell(WHITE, TEE), cell(RED, BARS)]
AT = (3, 4)
CELL = AT[0] * COLUMNS + AT[1]
CORNERS: tuple[Corner, ...] = ("top left", "top right", "bottom left", "bottom right")
OPPOSITE = dict(zip(CORNERS, CORNERS[::-1], strict=True))


def laid(odd: Pixels) -> tuple[Flat, list[Template], Mask, Cells]:
    """A page of four classes, one odd cell among them, and its samples off the grid."""
    cells = np.random.default_rng(3).integers(0, 4, (ROWS, COLUMNS))
    cells[AT] = 0
    flat = flat_of(cells, PICTURES, {AT: odd})
    clean = cells.copy()
    clean[AT] = -1
    off_lines = np.ones((ROWS * COLUMNS, flat.side, flat.side), np.bool_)
    off_lines[:, 0] = off_lines[:, :, 0] = False
    return flat, templates_of(flat, clean, 4), off_lines, cells.ravel()


def told(odd: Pixels, *pieces: Piece, **changed: float) -> tuple[list[int], bool]:
    """The classes of the pieces, and whether the cell is left open."""
    flat, templates, off_lines, _ = laid(odd)
    settings = replace(SmallSettings(), **changed)  # type: ignore[arg-type]  # by name
    found, unsure = told_by_glyphs(flat, templates, pieces, off_lines, SAME, settings)
    assert [replace(p, fill=0) for p in found] == [replace(p, fill=0) for p in pieces]
    assert not np.delete(unsure, CELL).any()
    return [p.fill for p in found], bool(unsure[CELL])


def triangle(corner: Corner, fill: int) -> Piece:
    return Piece(*AT, "triangle", corner, fill)


@pytest.mark.parametrize("corner", CORNERS)
@pytest.mark.parametrize(("glyph", "number"), [(ELL, 1), (TEE, 2)])
def test_a_half_with_a_small_glyph_is_of_the_class_that_has_it(
    corner: Corner, glyph: Mask, number: int
) -> None:
    odd = cell(WHITE, small(glyph, corner))
    for first in (0, 1, 2):  # whichever class of that ground it was first taken for
        assert told(odd, triangle(corner, first)) == ([number], False)


@pytest.mark.parametrize("scale", [0.48, 0.55, 0.62])
def test_how_small_it_is_is_found(scale: float) -> None:
    odd = cell(WHITE, small(TEE, "top left", scale))
    assert told(odd, triangle("top left", 0))[0] == [2]


def test_a_piece_without_a_glyph_or_with_another_is_left_open() -> None:
    assert told(cell(WHITE), triangle("top left", 1)) == ([1], True)
    dots = np.zeros_like(NONE)
    dots[5:8:2, 5:8:2] = True
    assert told(cell(WHITE, dots), triangle("top left", 1), alike=0.9) == ([1], True)


def test_a_class_that_alone_has_its_ground_needs_no_glyph() -> None:
    assert told(cell(RED), triangle("top left", 3)) == ([3], False)
    assert told(cell(WHITE), triangle("top left", -1)) == ([-1], False)


def test_a_glyph_that_is_like_two_classes_is_left_open() -> None:
    odd = cell(WHITE, small(TEE, "top left"))
    assert told(odd, triangle("top left", 0), ahead=0.0) == ([2], False)
    assert told(odd, triangle("top left", 0), ahead=0.9) == ([2], True)


def test_each_half_is_told_by_what_lies_in_it() -> None:
    odd = cell(WHITE, small(TEE, "top left") | small(ELL, "bottom right"))
    pieces = triangle("top left", 0), triangle("bottom right", 0)
    assert told(odd, *pieces) == ([2, 1], False)


def test_grid_lines_are_no_glyph() -> None:
    odd = cell(WHITE)
    odd[0] = odd[:, 0] = 0
    assert told(odd, triangle("top left", 1)) == ([1], True)


# --------------------------------------------------------------- halves on one ground


def shared(odd: Pixels, ask: bool = True, **changed: float) -> set[Piece]:
    flat, templates, off_lines, which = laid(odd)
    mask = np.zeros(ROWS * COLUMNS, np.bool_)
    mask[CELL] = ask
    settings = replace(SmallSettings(), **changed)  # type: ignore[arg-type]  # by name
    return set(split_on_one_ground(flat, templates, which, mask, off_lines, SAME, settings))


@pytest.mark.parametrize("corner", CORNERS)
def test_two_small_glyphs_in_one_cell_are_two_halves(corner: Corner) -> None:
    odd = cell(WHITE, small(TEE, corner) | small(ELL, OPPOSITE[corner]))
    assert shared(odd, few=0) == {triangle(corner, 2), triangle(OPPOSITE[corner], 1)}


def test_a_bare_cell_is_no_split() -> None:
    assert not shared(cell(WHITE), few=0)


def test_only_cells_in_question_are_looked_at() -> None:
    odd = cell(WHITE, small(TEE, "top left") | small(ELL, "bottom right"))
    assert not shared(odd, ask=False, few=0)
    of_few = shared(odd, ask=False, few=1000)  # its class is of so few cells that it may be none
    assert of_few == {triangle("top left", 2), triangle("bottom right", 1)}


def test_both_halves_must_be_alike_enough() -> None:
    odd = cell(WHITE, small(TEE, "top left") | small(ELL, "bottom right"))
    assert not shared(odd, few=0, both=0.99)


def test_a_ground_that_no_two_classes_have_is_not_split() -> None:
    odd = cell(RED, small(TEE, "top left") | small(ELL, "bottom right"))
    assert not shared(odd, few=0)
