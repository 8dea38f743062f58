"""The stages between a page and its marks, each by itself."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.typing import NDArray

from chartscan.reading.cells.light import Light
from chartscan.reading.lattice.model import FLAT, Lattice
from chartscan.reading.marks.templates.candidates import choose_classes, find_candidates
from chartscan.reading.marks.templates.crossing import Clear, blended, clear_of_lines, crosses
from chartscan.reading.marks.templates.flat import Flat, lay_flat
from chartscan.reading.marks.templates.labels import label_cells, label_under
from chartscan.reading.marks.templates.verdict import Sighted, VerdictSettings
from chartscan.reading.page.page import Page

SIDE, ROWS, COLUMNS = 12, 8, 10
INK = np.array([[0, 90, 200]], np.float64)
Picture = NDArray[np.uint8]


def cell(*strokes: tuple[slice, slice]) -> Picture:
    """A white cell with black strokes and a grey grid line at its top and left."""
    picture = np.full((SIDE, SIDE, 3), 255, np.uint8)
    for stroke in strokes:
        picture[stroke] = 0
    picture[0] = picture[:, 0] = 150
    return picture


PLUS = cell((slice(4, 9), slice(6, 7)), (slice(6, 7), slice(4, 9)))
MINUS = cell((slice(6, 7), slice(4, 9)))
BARE = cell()


def flat_of(cells: NDArray[np.intp], pictures: list[Picture], drawn: NDArray[np.bool_]) -> Flat:
    """A page of those pictures, blue where ``drawn``, laid flat."""
    page = np.concatenate([np.concatenate([pictures[k] for k in row], 1) for row in cells], 0)
    page[drawn] = INK[0].astype(np.uint8)
    rows, columns = cells.shape
    lattice = Lattice(columns, rows, np.diag([SIDE, SIDE, 1.0]), FLAT, True)
    return lay_flat(Page(page, lossless=True), lattice)


def checked(seed: int = 1) -> tuple[NDArray[np.intp], NDArray[np.bool_]]:
    """Random cells of three kinds, and a line two pixels wide across a row of them."""
    cells = np.random.default_rng(seed).integers(0, 3, (ROWS, COLUMNS))
    drawn = np.zeros((ROWS * SIDE, COLUMNS * SIDE), np.bool_)
    drawn[3 * SIDE + 5 : 3 * SIDE + 7, 2 * SIDE : 7 * SIDE] = True
    return cells, drawn


def test_a_photograph_is_soft_though_its_cells_seem_to_be_whole_pixels() -> None:
    page = Page(np.full((ROWS * SIDE, COLUMNS * SIDE, 3), 240, np.uint8), False)
    lattice = Lattice(COLUMNS, ROWS, np.diag([SIDE, SIDE, 1.0]), FLAT, True)
    even = Light(np.vstack([np.full(3, 5.4), np.zeros((5, 3))]), (COLUMNS, ROWS))
    assert lay_flat(page, lattice, even).soft
    assert not lay_flat(page, lattice).soft


@pytest.mark.parametrize(("cells", "sure"), [(25, 3), (81, 3), (200, 8), (300, 12), (10_000, 12)])
def test_the_fewer_cells_the_fewer_make_a_class(cells: int, sure: int) -> None:
    assert VerdictSettings().sure(cells) == sure


@pytest.mark.parametrize(
    ("off", "odd", "bears"),
    [(40, 40, True), (40, 41, False), (40, 0, False), (5, 20, True), (5, 21, False)],
)
def test_marks_explain_no_page_of_which_most_cells_look_like_no_class(
    off: int, odd: int, bears: bool
) -> None:
    """Nor one of which many times as many as were off at first do."""
    cells, drawn = checked()
    flat = flat_of(cells, [BARE, PLUS, MINUS], drawn)
    number = np.arange(ROWS * COLUMNS)
    assert Sighted(flat, number < off).bears(number < odd, VerdictSettings()) is bears


def test_a_page_laid_out_by_cells_comes_back_as_it_was() -> None:
    cells, drawn = checked()
    flat = flat_of(cells, [BARE, PLUS, MINUS], drawn)
    assert np.array_equal(flat.whole(flat.by_cell(drawn)), drawn)
    assert np.array_equal(flat.whole(flat.cells), flat.patches.pixels)


@given(st.integers(0, 40), st.integers(0, 9), st.integers(0, 2**32 - 1))
def test_what_is_blended_hangs_on_no_other_sample_or_ink(
    samples: int, inks: int, seed: int
) -> None:
    rng = np.random.default_rng(seed)
    flat = flat_of(checked()[0], [BARE, PLUS, MINUS], checked()[1])
    below, seen = rng.integers(0, 256, (2, samples, 3)).astype(np.int16)
    colours = rng.uniform(0, 255, (inks, 3))
    seen[::2] = np.rint(below[::2] * 0.5 + (colours[0] if inks else 0) * 0.5)
    alone = [
        any(blended(flat, b[None], s[None], ink[None])[0] for ink in colours)
        for b, s in zip(below, seen, strict=True)
    ]
    assert blended(flat, below, seen, colours).tolist() == alone
    assert not inks or blended(flat, below, seen, colours)[::2].all()


def test_a_line_comes_in_over_the_side_and_a_glyph_does_not() -> None:
    clear = Clear(1, SIDE - 1)
    line, glyph = np.zeros((2, SIDE, SIDE), np.bool_)
    line[5:7] = True
    glyph[4:9, 5:8] = True
    assert crosses(line, clear)
    assert not crosses(glyph, clear)
    assert not crosses(line | glyph | np.ones_like(line), clear), "another ground is no line"


@given(st.floats(0, 1), st.integers(0, 255), st.integers(0, 255))
def test_any_blend_with_an_ink_is_one_and_a_colour_beside_it_is_none(
    share: float, grey: int, red: int
) -> None:
    cells, drawn = checked()
    flat = flat_of(cells, [BARE, PLUS, MINUS], drawn)
    below = np.array([[grey, grey, grey]], np.int16)
    seen = np.rint(below + share * (INK - below)).astype(np.int16)
    assert blended(flat, below, seen, INK).all()
    aside = seen + np.array([[60, -60, 0]], np.int16)
    assert not blended(flat, below, aside, INK).any()


def test_cells_under_a_line_make_no_class_and_keep_their_own() -> None:
    """The line hides the bar of the minus; what it leaves of the plus still tells the two."""
    cells, drawn = checked()
    flat = flat_of(cells, [BARE, PLUS, MINUS], drawn)
    found = find_candidates(flat, np.zeros(cells.size, np.intp))
    templates = choose_classes(flat, found, clear_of_lines(flat))
    assert len(templates) == 3
    plain = label_cells(flat, templates)
    assert (plain.off > flat.odd).sum() == 5
    under = label_under(flat, templates, plain, np.asarray(flat.by_cell(drawn), np.bool_), INK)
    assert not (under.off > flat.odd).any()
    number = [under.which[np.flatnonzero(cells.ravel() == k)] for k in range(3)]
    assert len({int(n[0]) for n in number}) == 3
    sure = ~under.tied(flat)
    for kind, numbers in enumerate(number):
        mine = sure[cells.ravel() == kind]
        assert (numbers[mine] == numbers[mine][0]).all()


@pytest.mark.parametrize("copies", [1, 4])
def test_a_drawing_clear_of_the_sides_is_a_class_from_three_cells_on(copies: int) -> None:
    cells, drawn = checked()
    cells[cells == 2] = 0
    cells.ravel()[:copies] = 2
    flat = flat_of(cells, [BARE, PLUS, MINUS], drawn)
    found = find_candidates(flat, np.zeros(cells.size, np.intp))
    assert len(choose_classes(flat, found, clear_of_lines(flat))) == (3 if copies >= 3 else 2)
