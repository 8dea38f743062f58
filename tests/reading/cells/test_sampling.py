"""What a cell of an exact page holds: its ground, how sure that is, and the ink on it."""

from __future__ import annotations

import numpy as np
import pytest
from numpy.typing import NDArray

from chartscan.reading.cells.sampling import look_into, luma, pack, rim_places, unpack
from chartscan.reading.lattice.model import FLAT, Lattice
from chartscan.reading.page.page import Page

ROWS, COLUMNS, PITCH = 6, 8, 16
Picture = NDArray[np.uint8]
PALE, BLUE, INK = (240, 230, 210), (40, 90, 160), (20, 20, 20)


def drawn() -> Picture:
    """Pale cells, the second row blue, between grey lines of a pixel."""
    page = np.full((ROWS * PITCH + 1, COLUMNS * PITCH + 1, 3), PALE, dtype=np.uint8)
    page[PITCH : 2 * PITCH] = BLUE
    page[::PITCH] = page[:, ::PITCH] = 150
    return page


def cell(page: Picture, row: int, column: int) -> Picture:
    """The pixels of a cell, a view."""
    top, left = row * PITCH, column * PITCH
    return page[top : top + PITCH, left : left + PITCH]


def lattice() -> Lattice:
    return Lattice(COLUMNS, ROWS, np.diag([PITCH, PITCH, 1.0]), FLAT, drawn=True)


def test_colours_come_back_from_the_numbers_that_they_are_packed_in() -> None:
    rgb = np.random.default_rng(2).integers(0, 256, (5, 4, 3), dtype=np.uint8)
    np.testing.assert_array_equal(unpack(pack(rgb)), rgb)
    assert len(np.unique(pack(np.eye(3, dtype=np.uint8)))) == 3


def test_plain_fills_are_their_ground_to_the_level_and_carry_no_ink() -> None:
    cells = look_into(Page(drawn(), lossless=True), lattice())
    assert cells.exact
    np.testing.assert_array_equal(cells.ground[0], np.tile(PALE, (COLUMNS, 1)))
    np.testing.assert_array_equal(cells.ground[1], np.tile(BLUE, (COLUMNS, 1)))
    assert not cells.ink.any()
    assert (cells.even == 1).all()


def test_a_glyph_is_ink_by_as_much_as_it_is_darker_and_only_where_it_stands() -> None:
    page = drawn()
    cell(page, 3, 5)[6:8, 5:12] = INK
    cells = look_into(Page(page, lossless=True), lattice())
    inked = cells.ink.any(axis=(2, 3))
    assert np.argwhere(inked).tolist() == [[3, 5]]
    depth = luma(np.array(INK)) - luma(np.array(PALE))
    assert set(np.round(np.unique(cells.ink[3, 5]), 2)) == {0.0, np.round(depth, 2)}


@pytest.mark.parametrize("side", ["top", "bottom", "left", "right"])
def test_a_glyph_that_reaches_a_side_leaves_the_ground_what_most_of_the_rim_is(side: str) -> None:
    """A bar along a side of one cell: the three others tell, and what part of the rim they are."""
    page = drawn()
    turns = {"top": 0, "left": 1, "bottom": 2, "right": 3}[side]
    np.rot90(cell(page, 4, 2), -turns)[1:6, 1:] = INK
    cells = look_into(Page(page, lossless=True), lattice())
    np.testing.assert_array_equal(cells.ground[4, 2], PALE)
    places = cells.ink.shape[2]
    dark = cells.ink[4, 2] < 0
    rim = rim_places(places)
    assert dark[rim].any()
    assert cells.even[4, 2] == pytest.approx(1 - dark[rim].mean())


def test_any_one_place_of_another_colour_on_its_rim_is_counted() -> None:
    """The second from the corner, where one starts to look, as well as the last."""
    places = look_into(Page(drawn(), lossless=True), lattice()).ink.shape[2]
    for down, across in ((0, 1), (places - 1, places - 1)):
        page = drawn()
        at = 0.13 + (np.array([down, across]) + 0.5) * (1 - 2 * 0.13) / places
        cell(page, 2, 2)[tuple((at * PITCH).astype(int))] = INK
        cells = look_into(Page(page, lossless=True), lattice())
        assert cells.even[2, 2] == pytest.approx(1 - 1 / rim_places(places).sum())


def test_of_a_rim_in_three_colours_the_commonest_is_the_ground() -> None:
    """Whichever number it has among them: the least, the middle one or the greatest."""
    for most, some, few in (((9, 9, 9), PALE, BLUE), (PALE, (9, 9, 9), BLUE), (BLUE, PALE, INK)):
        page = drawn()
        inside = cell(page, 2, 2)
        inside[1:, 1:] = most
        inside[1:5, 1:8] = some
        inside[12:, 9:] = few
        cells = look_into(Page(page, lossless=True), lattice())
        np.testing.assert_array_equal(cells.ground[2, 2], most)
        assert 0.5 < cells.even[2, 2] < 0.8


@pytest.mark.parametrize("corner", [(0, 0), (0, 1), (1, 0), (1, 1)])
def test_a_lone_cell_that_rings_all_round_has_the_colour_of_its_middle(
    corner: tuple[int, int],
) -> None:
    """Its rim is of many levels; what is off the middle half, in any corner, doesn't count."""
    page = drawn()
    inside = cell(page, 3, 3)
    rng = np.random.default_rng(7)
    inside[1:, 1:] = rng.integers(100, 140, (PITCH - 1, PITCH - 1, 3))
    inside[5:12, 5:12] = BLUE
    down, across = (slice(12, 14) if way else slice(3, 5) for way in corner)
    inside[down, across] = INK
    cells = look_into(Page(page, lossless=True), lattice())
    np.testing.assert_array_equal(cells.ground[3, 3], BLUE)
    assert cells.even[3, 3] == 1


@pytest.mark.parametrize("turns", [0, 1])
@pytest.mark.parametrize("line", [slice(0, 4), slice(-4, None)])
def test_beside_a_bold_line_a_symbol_all_along_it_stays_and_the_line_is_gone(
    line: slice, turns: int
) -> None:
    """Two strokes at both sides of the middle, in every cell of one column (or row)."""
    page = drawn()
    fills = [PALE, PALE, (190, 30, 40), PALE, BLUE, BLUE, (20, 120, 60), (20, 120, 60)]
    for k, fill in enumerate(fills):
        page[:, k * PITCH : (k + 1) * PITCH] = fill
    page[::PITCH] = page[:, ::PITCH] = 150
    column = page[:, 3 * PITCH : 4 * PITCH]
    column[:, [6, 9]] = INK
    column[:, line] = 150
    turned = np.ascontiguousarray(page.swapaxes(0, 1)) if turns else page
    there = Lattice(
        *((ROWS, COLUMNS) if turns else (COLUMNS, ROWS)), lattice().homography, FLAT, True
    )
    cells = look_into(Page(turned, lossless=True), there)
    assert cells.exact
    dark = (cells.ink < 0).swapaxes(0, 1).swapaxes(2, 3) if turns else cells.ink < 0
    assert np.flatnonzero(dark[:, 3].all(axis=(0, 1))).tolist() == [3, 5]
    assert dark.sum() == dark[:, 3, :, [3, 5]].sum()
    ground = cells.ground.swapaxes(0, 1) if turns else cells.ground
    assert (ground == np.array(fills)).all()


def test_a_page_on_which_stitches_of_few_cells_are_noise_is_not_exact() -> None:
    """They are asked alone where they are more than one in fifty: of 48 cells six."""
    page = drawn()
    page[PITCH : 2 * PITCH] = PALE
    noise = np.random.default_rng(4).integers(0, 256, (PITCH, 6 * PITCH, 3), dtype=np.uint8)
    page[2 * PITCH : 3 * PITCH, PITCH : 7 * PITCH] = noise
    page[::PITCH] = page[:, ::PITCH] = 150
    assert not look_into(Page(page, lossless=True), lattice()).exact


def test_places_of_a_rim_are_those_along_the_sides() -> None:
    assert rim_places(4).sum() == 12
    assert rim_places(3, 5).tolist() == [[True] * 5, [True, False, False, False, True], [True] * 5]
