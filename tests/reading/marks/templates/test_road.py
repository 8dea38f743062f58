"""The road of templates from a page to its marks, and its result in the terms of a chart."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from numpy.typing import NDArray

from chartscan.chart import ChartClass, Corner
from chartscan.reading.cells.glyphs import BLANK
from chartscan.reading.classes.classify import Told
from chartscan.reading.lattice.model import Lattice
from chartscan.reading.marks.marks import Marks
from chartscan.reading.marks.parts import Piece
from chartscan.reading.marks.templates import search_by_templates
from chartscan.reading.marks.templates.labels import Labels, label_cells
from chartscan.reading.marks.templates.pieces import Pieces
from chartscan.reading.marks.templates.result import Found, as_marks
from chartscan.reading.marks.templates.template import Template
from chartscan.reading.page.page import Page
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
    page_of,
    templates_of,
)
from tests.reading.staged import BLUE, RED, WHITE, YELLOW, Pixels, Rgb, straight

ROWS, COLUMNS = 14, 18
INK: Rgb = (0, 90, 200)
IN_ONE_INK = [cell(WHITE), cell(WHITE, ELL), cell(WHITE, TEE), cell(WHITE, BARS)]
ON_COLOUR = [cell(WHITE), cell(RED, ELL), cell(YELLOW, TEE), cell(BLUE, BARS, ink=WHITE)]
LATTICE = straight(COLUMNS, ROWS, SIDE)
NONE_UNSURE = np.zeros((ROWS, COLUMNS), np.bool_)


def cells_of(kinds: int = 4) -> Cells:
    """More bare cells than others, as on most charts."""
    found = np.random.default_rng(8).integers(-2, kinds, (ROWS, COLUMNS))
    return np.maximum(found, 0).astype(np.intp)


def given_of(cells: Cells) -> Marks:
    names = ("a", "b", "c")
    classes = (
        ChartClass(0, "empty", WHITE),
        *(ChartClass(k + 1, "stitch", WHITE, name) for k, name in enumerate(names)),
        ChartClass(4, "stitch", WHITE, "crossed"),
    )
    return Marks(cells.astype(np.int32), classes)


def stroke(x0: int, y0: int, x1: int, y1: int) -> Mask:
    """A line three samples thick along a grid line or the middles of cells, in half cells."""
    drawn = np.zeros((ROWS * SIDE, COLUMNS * SIDE), np.bool_)
    half_cell = SIDE // 2
    left, right = sorted((x0 * half_cell, x1 * half_cell))
    top, bottom = sorted((y0 * half_cell, y1 * half_cell))
    drawn[max(top - 1, 0) : bottom + 2, max(left - 1, 0) : right + 2] = True
    return drawn


def searched(
    page: Page, given: Marks, unsure: NDArray[np.bool_] = NONE_UNSURE, lattice: Lattice = LATTICE
) -> Marks | None:
    return search_by_templates(page, lattice, given, unsure, Told())


@pytest.mark.parametrize("pictures", [IN_ONE_INK, ON_COLOUR])
def test_a_page_that_its_classes_explain_has_no_marks(pictures: list[Pixels]) -> None:
    cells = cells_of()
    assert searched(page_of(cells, pictures), given_of(cells)) is None


@pytest.mark.parametrize("pictures", [IN_ONE_INK, ON_COLOUR])
def test_a_line_over_symbols_is_found_and_the_cells_below_keep_their_class(
    pictures: list[Pixels],
) -> None:
    """The reading took crossed cells for a class of their own."""
    cells = cells_of()
    way = stroke(5, 9, 21, 9)
    crossed = way.reshape(ROWS, SIDE, COLUMNS, SIDE).any(axis=(1, 3))
    given = given_of(np.where(crossed, 4, cells))
    found = searched(page_of(cells, pictures, drawn=way), given)
    assert found is not None
    assert [tuple(sorted(n.points)) for n in found.lines] == [((2.5, 4.5), (10.5, 4.5))]
    assert found.classes[found.lines[0].class_index].rgb == INK
    kinds = np.array([found.cells[cells == k][0] for k in range(4)])
    assert (found.cells == kinds[cells]).all()
    assert len(set(kinds.tolist())) == 4


@pytest.mark.parametrize("noise", [0, 6])
def test_on_a_page_stored_with_loss_a_line_is_found_among_the_edges_of_all_else(noise: int) -> None:
    cells = cells_of()
    way = stroke(5, 9, 21, 9) | np.roll(stroke(5, 9, 21, 9), 1, axis=0)  # four samples thick
    crossed = way.reshape(ROWS, SIDE, COLUMNS, SIDE).any(axis=(1, 3))
    page = page_of(cells, IN_ONE_INK, drawn=way)
    grain = np.random.default_rng(3).normal(0, noise, page.pixels.shape)
    pixels = np.clip(page.pixels + grain, 0, 255).astype(np.uint8)
    found = searched(Page(pixels, lossless=False), given_of(np.where(crossed, 4, cells)))
    assert found is not None
    assert [tuple(sorted(n.points)) for n in found.lines] == [((2.5, 4.5), (10.5, 4.5))]


def test_what_is_mirrored_is_read_so() -> None:
    cells = cells_of()
    way = stroke(5, 9, 21, 9) | stroke(8, 12, 8, 24)
    crossed = way.reshape(ROWS, SIDE, COLUMNS, SIDE).any(axis=(1, 3))
    page = page_of(cells, IN_ONE_INK, drawn=way)
    flipped = Page(np.ascontiguousarray(page.pixels[:, ::-1]), lossless=True)
    one = searched(page, given_of(np.where(crossed, 4, cells)))
    other = searched(flipped, given_of(np.where(crossed, 4, cells)[:, ::-1]))
    assert one is not None
    assert other is not None
    ends = {frozenset(n.points) for n in one.lines}
    mirrored = {frozenset((COLUMNS - x, y) for x, y in n.points) for n in other.lines}
    assert len(ends) == 2
    assert ends == mirrored
    assert (one.cells == other.cells[:, ::-1]).all()


def test_a_few_cells_that_nothing_explains_are_not_enough_to_look() -> None:
    """Two odd cells of 252; three are a line's least."""
    cells = cells_of()
    page = page_of(cells, IN_ONE_INK, {(5, 5): cell(WHITE, half("top left"))})
    assert searched(page, given_of(cells)) is None


def test_on_a_scaled_page_only_suspects_are_looked_at() -> None:
    """Where cells aren't whole pixels nothing is searched unless cells are unsure, or few."""
    cells = cells_of()
    way = stroke(5, 9, 21, 9)
    page = page_of(cells, IN_ONE_INK, drawn=way)
    scaled = np.asarray(page.pixels[:, : COLUMNS * SIDE - 9])
    squeezed = straight(COLUMNS, ROWS, SIDE)
    squeezed = replace(squeezed, homography=np.diag([SIDE - 0.5, SIDE, 1.0]))
    assert searched(Page(scaled, lossless=True), given_of(cells), lattice=squeezed) is None


# ------------------------------------------------------------------------- its result


def result_of(
    pieces: tuple[Piece, ...] = (), unread: tuple[int, ...] = (), tied: tuple[int, ...] = ()
) -> tuple[Marks, Cells]:
    """What is made of classes that are known: the templates of the cells as they are."""
    cells = cells_of()
    flat = flat_of(cells, ON_COLOUR)
    templates: list[Template] = templates_of(flat, cells, 4)
    labels = label_cells(flat, templates)
    ahead = labels.ahead.copy()
    ahead[list(tied)] = 0
    split = np.zeros(cells.size, np.bool_)
    for piece in pieces:
        split[piece.row * COLUMNS + piece.column] = True
    open_ = np.zeros(cells.size, np.bool_)
    open_[list(unread)] = True
    found = Found(
        templates,
        Labels(labels.which, labels.off, ahead),
        [],
        Pieces(pieces, flat.patches.pixels, split, np.zeros_like(split)),
        open_,
    )
    assert found.count == split.sum()
    assert (found.over(flat) == split).all()
    page = page_of(cells, ON_COLOUR)
    return as_marks(page, LATTICE, flat, found, Told(), None), cells


def test_classes_are_named_by_their_ground_and_their_glyph() -> None:
    found, cells = result_of()
    by_kind = {int(k): found.classes[int(found.cells[cells == k][0])] for k in range(4)}
    assert [by_kind[k].rgb for k in range(4)] == [WHITE, RED, YELLOW, BLUE]
    assert by_kind[0].kind == "empty"
    assert by_kind[0].symbol is None
    assert len({by_kind[k].symbol for k in (1, 2, 3)}) == 3
    assert found.anew is not None
    assert BLANK in found.anew.found.symbols
    assert found.settled == tuple(np.ndindex(ROWS, COLUMNS))


def test_cells_that_nothing_explains_or_that_are_tied_are_doubtful() -> None:
    found, _ = result_of(unread=(7, 40), tied=(100,))
    assert set(found.doubtful) == {divmod(k, COLUMNS) for k in (7, 40, 100)}
    assert result_of()[0].doubtful == ()


def test_pieces_become_parts_of_their_classes_and_their_cells_empty() -> None:
    corners: tuple[Corner, Corner] = ("top left", "bottom right")
    pieces = tuple(
        Piece(3, 4, "triangle", c, fill) for c, fill in zip(corners, (1, 0), strict=True)
    )
    found, cells = result_of(pieces, tied=(3 * COLUMNS + 4,))
    (part,) = found.parts  # the other half is bare
    assert (part.row, part.column, part.shape, part.corner) == (3, 4, "triangle", "top left")
    assert found.classes[part.class_index].rgb == RED
    assert found.cells[3, 4] == next(c.index for c in found.classes if c.kind == "empty")
    assert (3, 4) not in found.doubtful
    assert cells.shape == found.cells.shape
