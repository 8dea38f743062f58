"""Bold lines: every tenth or fifth, from where on they are counted, and when there are none."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from chartscan.reading.lattice.blocks import main_piece, pieces_of
from chartscan.reading.lattice.bold import Bold, BoldSettings, find_bold
from chartscan.reading.page.page import Page
from tests.reading.staged import BLUE, RED, WHITE, YELLOW, Pixels, straight

PITCH, ROWS, COLUMNS, MARGIN = 16, 34, 42, 12
FILLS = np.array([WHITE, RED, BLUE, YELLOW], np.uint8)


def page_of(
    every: int, first: int = 0, thick: int = 3, shade: int = 60, plain: int = 1, seed: int = 0
) -> Pixels:
    """Fills by chance with lines, every so many of them thicker, both ways."""
    cells = np.random.default_rng(seed).integers(0, 4 if seed else 1, (ROWS, COLUMNS))
    grid = np.kron(FILLS[cells], np.ones((PITCH, PITCH, 1), np.uint8))
    page = np.pad(grid, ((MARGIN,) * 2, (MARGIN,) * 2, (0, 0)), constant_values=255)
    for count, turned in ((COLUMNS, page), (ROWS, page.swapaxes(0, 1))):
        for k in range(count + 1):
            wide = thick if every and k % every == first else plain
            at = MARGIN + k * PITCH - wide // 2
            turned[MARGIN:-MARGIN, at : at + wide] = shade
    return page


def bold_of(page: Pixels, axis: int = 0, **changed: float) -> Bold | None:
    known = replace(BoldSettings(), **changed)  # type: ignore[arg-type]  # by name
    lattice = straight(COLUMNS, ROWS, PITCH, MARGIN, MARGIN)
    return find_bold(Page(page, lossless=True), lattice, axis, known)


@pytest.mark.parametrize("every", [5, 10])
@pytest.mark.parametrize("axis", [0, 1])
@pytest.mark.parametrize("seed", [0, 4])
def test_the_count_starts_where_the_first_bold_line_lies(every: int, axis: int, seed: int) -> None:
    for first in range(0, every, 3):
        assert bold_of(page_of(every, first, seed=seed), axis) == Bold(every, first)


def test_where_all_lines_are_alike_none_is_bold() -> None:
    assert bold_of(page_of(0)) is None
    assert bold_of(page_of(0, seed=4)) is None


def test_a_bold_frame_alone_is_no_count() -> None:
    page = page_of(0)
    page[:, MARGIN - 2 : MARGIN + 2] = page[:, -MARGIN - 2 : -MARGIN + 2] = 60
    assert bold_of(page) is None


def test_one_bold_line_within_the_grid_is_no_count() -> None:
    page = page_of(0)
    at = MARGIN + 20 * PITCH
    page[MARGIN:-MARGIN, at - 2 : at + 2] = 60
    assert bold_of(page) is None
    at = MARGIN + 10 * PITCH
    page[MARGIN:-MARGIN, at - 2 : at + 2] = 60
    assert bold_of(page) is None  # the fourth tenth lies within the grid, and isn't bold
    for k in (30, 40):
        at = MARGIN + k * PITCH
        page[MARGIN:-MARGIN, at - 2 : at + 2] = 60
    assert bold_of(page) == Bold(10, 0)


def test_every_fourth_line_is_not_one_that_charts_count_by() -> None:
    assert bold_of(page_of(4)) is None


def test_the_ways_are_told_each_by_itself() -> None:
    page = page_of(10, 3)
    other = page_of(5, 2)
    mixed = page.copy()
    for k in range(ROWS + 1):
        y = MARGIN + k * PITCH
        mixed[y - 1 : y + 2] = other[y - 1 : y + 2]
    assert bold_of(mixed, 1) == Bold(5, 2)


@pytest.mark.parametrize(("shade", "seen"), [(225, True), (240, False)])
def test_a_line_is_seen_from_24_levels_below_what_lies_beside_it(shade: int, seen: bool) -> None:
    assert (bold_of(page_of(10, shade=shade)) is not None) is seen


# -------------------------------------------------------------------- pieces of blocks

MASKS = st.integers(0, 10**6).map(lambda s: np.random.default_rng(s).uniform(size=(9, 12)) < 0.15)


@settings(max_examples=25)
@given(MASKS, st.integers(0, 2))
def test_pieces_are_those_that_another_library_finds(
    fits: np.ndarray[tuple[int, int], np.dtype[np.bool_]], bridge: int
) -> None:
    """SciPy labels the mask made wider by so many blocks, aslant too; sides join."""
    from scipy import ndimage

    square = np.ones((3, 3))
    wide = ndimage.binary_dilation(fits, square, iterations=bridge) if bridge else fits
    label, _ = ndimage.label(wide)
    found = pieces_of(fits, bridge)
    assert ((found == 0) == ~fits).all()
    pairs = set(zip(found[fits].tolist(), label[fits].tolist(), strict=True))
    assert len(pairs) == len({a for a, _ in pairs}) == len({b for _, b in pairs})


def test_the_main_piece_is_that_of_most_blocks() -> None:
    fits = np.zeros((6, 12), np.bool_)
    fits[1:3, 1:3] = fits[1:5, 7:11] = True
    main = main_piece(fits, 0)
    assert np.argwhere(main).min(axis=0).tolist() == [1, 7]
    assert main.sum() == 16
    assert main_piece(fits, 2).sum() == 20  # two blocks on either side are leapt over
    assert not main_piece(np.zeros((3, 3), np.bool_), 1).any()
