"""Split cells: halves and quarters whose colours and corners are known."""

from __future__ import annotations

from dataclasses import replace
from typing import get_args

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray

from chartscan.chart import Corner, Shape
from chartscan.reading.marks.fills import Fills, paint
from chartscan.reading.marks.parts import (
    PartSettings,
    Piece,
    find_parts,
    piece_regions,
    with_bare_ground,
)
from tests.reading.marks.flat_page import fills_of, patches_of
from tests.reading.staged import BLUE, RED, WHITE, YELLOW, Pixels, Rgb

SIDE, ROWS, COLUMNS = 16, 5, 6
COLOURS: tuple[Rgb, ...] = (WHITE, RED, BLUE, YELLOW)
CORNERS: tuple[Corner, ...] = get_args(Corner)
Cells = NDArray[np.intp]
# Middles of the samples of a cell, from its top left corner, 0 to 1.
Y, X = (np.indices((SIDE, SIDE)) + 0.5) / SIDE


def triangle(corner: Corner) -> NDArray[np.bool_]:
    """The samples on the corner's side of the diagonal that it doesn't lie on."""
    right, low = "right" in corner, "bottom" in corner
    return np.asarray((1 - X if right else X) + (1 - Y if low else Y) < 1, np.bool_)


def quarter(corner: Corner) -> NDArray[np.bool_]:
    right, low = "right" in corner, "bottom" in corner
    return np.asarray(((X > 0.5) == right) & ((Y > 0.5) == low), np.bool_)


def page_of(cells: Cells, split: dict[tuple[int, int], Pixels] | None = None) -> Pixels:
    """Cells in their fills with grey lines at their top and left; some of them drawn otherwise."""
    pixels: Pixels = np.array(COLOURS, np.uint8)[np.kron(cells, np.ones((SIDE, SIDE), np.intp))]
    for (row, column), picture in (split or {}).items():
        pixels[row * SIDE : (row + 1) * SIDE, column * SIDE : (column + 1) * SIDE] = picture
    pixels[::SIDE] = pixels[:, ::SIDE] = 120
    return pixels


def halves(corner: Corner, here: int, there: int) -> Pixels:
    picture = np.array(COLOURS, np.uint8)[np.where(triangle(corner), here, there)]
    return np.asarray(picture, np.uint8)


def quarters(*fills: int) -> Pixels:
    """The quarters in the order of CORNERS."""
    index = np.zeros((SIDE, SIDE), np.intp)
    for corner, fill in zip(CORNERS, fills, strict=True):
        index[quarter(corner)] = fill
    return np.asarray(np.array(COLOURS, np.uint8)[index], np.uint8)


def bare() -> Cells:
    return np.zeros((ROWS, COLUMNS), np.intp)


def found(pixels: Pixels, cells: Cells, **changed: float) -> set[Piece]:
    patches, fills = patches_of(pixels, SIDE), fills_of(COLOURS, cells, SIDE)
    known = replace(PartSettings(), **changed)
    pieces, _ = find_parts(patches, fills, paint(fills, SIDE), known)
    assert len(pieces) == len(set(pieces))
    return set(pieces)


OPPOSITE = dict(zip(CORNERS, CORNERS[::-1], strict=True))


@pytest.mark.parametrize("corner", CORNERS)
def test_a_half_is_found_with_the_ground_that_shows_beside_it(corner: Corner) -> None:
    pixels = page_of(bare(), {(2, 3): halves(corner, 1, 0)})
    assert found(pixels, bare()) == {
        Piece(2, 3, "triangle", corner, 1),
        Piece(2, 3, "triangle", OPPOSITE[corner], 0),
    }


@pytest.mark.parametrize("corner", CORNERS)
@pytest.mark.parametrize("below", [0, 2])
def test_a_quarter_is_found_with_the_three_others(corner: Corner, below: int) -> None:
    drawn = [1 if c == corner else below for c in CORNERS]
    pixels = page_of(bare(), {(1, 4): quarters(*drawn)})
    assert found(pixels, bare()) == {
        Piece(1, 4, "quarter", c, fill) for c, fill in zip(CORNERS, drawn, strict=True)
    }


@settings(max_examples=30)
@given(st.lists(st.integers(0, 3), min_size=4, max_size=4))
def test_any_four_quarters_are_read_as_they_are(drawn: list[int]) -> None:
    """All alike are a whole cell; two and two are quarters all the same."""
    pixels = page_of(bare(), {(2, 2): quarters(*drawn)})
    pieces = found(pixels, bare())
    if len(set(drawn)) == 1:
        assert pieces == set()
    else:
        assert pieces == {
            Piece(2, 2, "quarter", c, fill) for c, fill in zip(CORNERS, drawn, strict=True)
        }


@settings(max_examples=30)
@given(
    st.dictionaries(
        st.tuples(st.integers(0, ROWS - 1), st.integers(0, COLUMNS - 1)),
        st.tuples(st.sampled_from(CORNERS), st.permutations(range(4)).map(lambda p: p[:2])),
        max_size=8,
    )
)
def test_halves_anywhere_in_any_two_fills_come_back(
    drawn: dict[tuple[int, int], tuple[Corner, list[int]]],
) -> None:
    split = {place: halves(corner, *fills) for place, (corner, fills) in drawn.items()}
    expected = set()
    for (row, column), (corner, (here, there)) in drawn.items():
        expected.add(Piece(row, column, "triangle", corner, here))
        expected.add(Piece(row, column, "triangle", OPPOSITE[corner], there))
    assert found(page_of(bare(), split), bare()) == expected


def test_whole_cells_of_another_fill_than_they_were_given_are_no_parts() -> None:
    cells = bare()
    cells[1, 1] = 2
    assert found(page_of(cells), bare()) == set()
    assert found(page_of(cells), cells) == set()


def test_what_is_painted_is_what_is_seen_but_on_the_grid_and_the_divider() -> None:
    split = {(1, 1): halves("top left", 1, 2), (3, 4): quarters(1, 2, 3, 0)}
    pixels = page_of(bare(), split)
    patches, fills = patches_of(pixels, SIDE), fills_of(COLOURS, bare(), SIDE)
    before = paint(fills, SIDE)
    _, painted = find_parts(patches, fills, before, PartSettings())
    grid = fills.rim_y[:, None] | fills.rim_x
    assert (painted[~grid] == pixels[~grid]).all()
    changed = (painted != before).any(axis=-1).reshape(ROWS, SIDE, COLUMNS, SIDE).any(axis=(1, 3))
    assert np.argwhere(changed).tolist() == [[1, 1], [3, 4]]


def test_a_soft_divider_is_expected_to_be_a_blend() -> None:
    """Half of each colour along the diagonal, as smoothing leaves it; a third colour is a mark."""
    picture = halves("top left", 1, 2)
    diagonal = np.abs(X + Y - 1) < 0.5 / SIDE
    picture[diagonal] = (np.array(RED) + np.array(BLUE)) // 2
    marked = picture.copy()
    marked[diagonal & (X < 0.5)] = (20, 220, 20)
    for drawn, left in ((picture, 0), (marked, int((diagonal & (X < 0.5)).sum()) - 1)):
        pixels = page_of(bare(), {(2, 2): drawn})
        patches, fills = patches_of(pixels, SIDE), fills_of(COLOURS, bare(), SIDE)
        pieces, painted = find_parts(patches, fills, paint(fills, SIDE), PartSettings())
        assert len(pieces) == 2
        inside = ~(fills.rim_y[:, None] | fills.rim_x)
        off = np.abs(painted - pixels.astype(np.int16)).max(axis=-1) > fills.tolerance
        assert int((off & inside).sum()) == left


# -------------------------------------------------------------------- thresholds


INSIDE = (np.arange(SIDE) > 0) & (np.arange(SIDE) > 0)[:, None]  # off the grid lines


def test_a_cell_is_looked_at_from_a_share_of_spoiled_samples_on() -> None:
    """A quarter at the lower right is 64 samples of the 225 off the grid."""
    assert quarter("bottom right")[INSIDE].sum() / INSIDE.sum() == 64 / 225
    pixels = page_of(bare(), {(0, 0): quarters(0, 0, 0, 1)})
    assert found(pixels, bare(), spoiled=64 / 225 - 0.001)
    assert not found(pixels, bare(), spoiled=64 / 225)


@pytest.mark.parametrize("share", [0.02, 0.05, 0.07])
def test_a_split_may_leave_a_share_of_what_shows_unexplained(share: float) -> None:
    """Counted well inside the halves, off the grid."""
    picture = halves("top left", 1, 2)
    wrong = np.random.default_rng(3).uniform(size=(SIDE, SIDE)) < share
    picture[wrong] = YELLOW
    pixels = page_of(bare(), {(2, 2): picture})
    regions = piece_regions(SIDE)
    clear = (regions["triangle", "top left"] | regions["triangle", "bottom right"]) & INSIDE
    left = wrong[clear].mean()
    assert found(pixels, bare(), unexplained=left + 0.001)
    assert not found(pixels, bare(), unexplained=left - 0.001)
    assert found(pixels, bare())


def test_a_split_must_leave_much_less_than_the_whole_cell_does() -> None:
    """A fifth of a cell in another fill: whole it leaves that, split next to nothing of it."""
    picture = halves("top left", 1, 2)
    picture[Y > 0.95] = RED
    pixels = page_of(bare(), {(2, 2): picture})
    assert found(pixels, bare(), unexplained=1.0)
    assert not found(pixels, bare(), unexplained=1.0, better=0.05)


@pytest.mark.parametrize(("covered", "split"), [(0.8, True), (0.95, False)])
def test_a_piece_that_can_hardly_be_seen_is_not_believed(covered: float, split: bool) -> None:
    """Under ink of no fill: at least fifteen in a hundred of a half must show."""
    picture = halves("top left", 1, 2)
    hidden = triangle("top left") & (np.random.default_rng(5).uniform(size=(SIDE, SIDE)) < covered)
    picture[hidden] = (20, 220, 20)
    assert bool(found(page_of(bare(), {(2, 2): picture}), bare())) is split


def test_on_a_scaled_page_a_half_may_stray_further_where_no_other_fill_is_near() -> None:
    """Ten levels off: twice the tolerance, and a quarter of the way to no other fill."""
    picture = halves("top left", 1, 2)
    picture[triangle("top left")] = np.array(RED) + 10
    pixels = page_of(bare(), {(2, 2): picture})
    patches, fills = patches_of(pixels, SIDE), fills_of(COLOURS, bare(), SIDE)
    painted = paint(fills, SIDE)
    uneven = replace(patches, beside_x=np.linspace(0, 8, COLUMNS * SIDE))
    assert patches.whole
    assert not uneven.whole
    assert find_parts(patches, fills, painted, PartSettings())[0] == ()
    assert len(find_parts(uneven, fills, painted, PartSettings())[0]) == 2
    close = fills_of((WHITE, RED, BLUE, (RED[0] - 12, *RED[1:])), bare(), SIDE)
    assert find_parts(uneven, close, painted, PartSettings())[0] == ()


# ------------------------------------------------------------------- bare ground


def stitched(ground: Rgb, cells: int = 4) -> tuple[Pixels, Fills]:
    """All cells red but that some show, in their top left half, a colour that no cell has."""
    grid = np.ones((ROWS, COLUMNS), np.intp)
    picture = halves("top left", 0, 1)
    picture[triangle("top left")] = ground
    split = {(k // COLUMNS, k % COLUMNS): picture for k in range(cells)}
    fills = fills_of(COLOURS[1:3], grid - 1, SIDE)
    return page_of(grid, split), fills


@pytest.mark.parametrize(
    ("ground", "added"),
    [(WHITE, True), ((200, 230, 215), True), ((199, 230, 215), False), (YELLOW, False)],
)
def test_a_light_ground_that_shows_in_split_cells_alone_is_added(ground: Rgb, added: bool) -> None:
    pixels, fills = stitched(ground)
    patches = patches_of(pixels, SIDE)
    more = with_bare_ground(patches, fills, paint(fills, SIDE), PartSettings())
    assert more.classes.tolist() == ([0, 1, -1] if added else [0, 1])
    if added:
        assert more.colours[-1].tolist() == list(ground)
        pieces, _ = find_parts(patches, more, paint(more, SIDE), PartSettings())
        assert {p.fill for p in pieces} == {0, 2}
        assert len(pieces) == 8


def test_a_ground_that_hardly_shows_or_is_near_a_fill_is_not_added() -> None:
    pixels, fills = stitched(WHITE, cells=1)
    patches = patches_of(pixels, SIDE)
    settings_ = replace(PartSettings(), ground=0.35)  # a half is 91 of 256 samples
    assert len(with_bare_ground(patches, fills, paint(fills, SIDE), settings_).colours) == 3
    settings_ = replace(PartSettings(), ground=0.36)
    assert with_bare_ground(patches, fills, paint(fills, SIDE), settings_) is fills
    near = replace(fills, colours=np.array([RED, (246, 250, 250)], np.float64))
    assert with_bare_ground(patches, near, paint(fills, SIDE), PartSettings()) is near


# ------------------------------------------------------------------------ pieces


@pytest.mark.parametrize("side", [8, 15, 24])
def test_pieces_lie_on_the_side_of_their_corner_and_clear_of_dividers(side: int) -> None:
    """Half or a quarter of the cell less a strip along its divider; the middle is at 1/3 or 1/4."""
    regions = piece_regions(side)
    shapes: tuple[Shape, ...] = get_args(Shape)
    assert set(regions) == {(shape, corner) for shape in shapes for corner in CORNERS}
    y, x = (np.indices((side, side)) + 0.5) / side
    for (shape, corner), region in regions.items():
        third = 1 / 3 if shape == "triangle" else 1 / 4
        middle = [1 - third if word in corner.split() else third for word in ("right", "bottom")]
        assert abs(x[region].mean() - middle[0]) < 1.2 / side
        assert abs(y[region].mean() - middle[1]) < 1.2 / side
        assert 0 < (0.5 if shape == "triangle" else 0.25) - region.mean() < 2.0 / side
    for shape in shapes:
        total = sum(regions[shape, corner].astype(int) for corner in CORNERS)
        assert np.max(total) == (2 if shape == "triangle" else 1)
