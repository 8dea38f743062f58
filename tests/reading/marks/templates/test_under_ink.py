"""Templates that are another one under an ink, and glyphs that lines can't be."""

from __future__ import annotations

import numpy as np
import pytest

from chartscan.chart import ChartClass
from chartscan.reading.marks.marks import Marks
from chartscan.reading.marks.templates.crossing import Clear
from chartscan.reading.marks.templates.dissolve import dissolved
from chartscan.reading.marks.templates.glyphs import shows_glyphs
from chartscan.reading.marks.templates.labels import label_cells
from chartscan.reading.marks.templates.template import template_of
from tests.reading.marks.templates.test_stages import BARE, INK, MINUS, PLUS, SIDE, cell, flat_of

BLACK = np.zeros((1, 3))
BARRED = cell((slice(6, 7), slice(4, 9)), (slice(4, 5), slice(0, SIDE)))  # MINUS, a line over it
UNDERLINED = cell((slice(6, 7), slice(4, 9)), (slice(8, 9), slice(4, 9)))  # MINUS, and another
BLOT = BARE.copy()
BLOT[4:8, 4:8] = INK[0]
Picture = np.ndarray[tuple[int, ...], np.dtype[np.uint8]]


@pytest.mark.parametrize(
    ("under", "over", "ink", "gone"),
    [
        (BARE, PLUS, INK, False),  # black isn't that ink
        (BARE, BLOT, INK, True),  # no glyph is drawn in it
        (MINUS, BARRED, BLACK, True),  # the glyph is drawn in it, but it comes in over the sides
        (MINUS, UNDERLINED, BLACK, False),  # of one ink and clear of the sides: another symbol
        (MINUS, BARRED, INK, False),
    ],
)
def test_a_class_is_another_one_under_an_ink_of_none_of_its_glyphs_or_over_its_sides(
    under: Picture,
    over: Picture,
    ink: np.ndarray[tuple[int, int], np.dtype[np.float64]],
    gone: bool,
) -> None:
    """Else a symbol would be counted with another, or a class be made of where a line runs."""
    cells = np.zeros((6, 8), np.intp)
    cells[5, :3] = 1
    flat = flat_of(cells, [under, over], np.zeros((6 * SIDE, 8 * SIDE), np.bool_))
    templates = [template_of(flat, np.flatnonzero(cells == kind)) for kind in (0, 1)]
    labels = label_cells(flat, templates)
    assert dissolved(flat, templates, labels, ink, Clear(1, SIDE - 1)) == ({1} if gone else set())


def shown(picture: Picture, copies: int, others: int = 0) -> bool:
    """Of a page with a class in so many cells, others under its name being bare."""
    cells = np.zeros((6, 8), np.intp)
    cells.ravel()[: copies + others] = 1
    drawn = cells.copy()
    drawn.ravel()[copies : copies + others] = 0
    flat = flat_of(drawn, [BARE, picture], np.zeros((6 * SIDE, 8 * SIDE), np.bool_))
    classes = (ChartClass(0, "empty"), ChartClass(1, "stitch", symbol="symbol 1"))
    return shows_glyphs(flat, Marks(cells.astype(np.int32), classes))


@pytest.mark.parametrize(
    ("first", "last", "glyph"), [(4, 9, True), (3, 9, True), (2, 9, False), (3, 10, False)]
)
def test_what_keeps_clear_of_the_sides_is_a_glyph(first: int, last: int, glyph: bool) -> None:
    """Two samples along each side are the grid's; in the next a line would show."""
    upright, arm = (slice(first, last), slice(6, 7)), (slice(5, 6), slice(4, 9))
    assert shown(cell(upright, arm), 5) == glyph


def test_a_disc_is_a_knot_and_no_glyph() -> None:
    y, x = np.mgrid[:SIDE, :SIDE]
    disc = BARE.copy()
    disc[np.hypot(y - 5.5, x - 5.5) < 3] = 0
    assert not shown(disc, 5)


@pytest.mark.parametrize(
    ("copies", "others", "glyphs"), [(3, 0, False), (4, 0, True), (7, 3, True), (6, 4, False)]
)
def test_glyphs_are_told_by_four_cells_of_which_seven_in_ten_look_alike(
    copies: int, others: int, glyphs: bool
) -> None:
    assert shown(PLUS, copies, others) == glyphs
