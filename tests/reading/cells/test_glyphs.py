"""Whether any cell shows more than its ground."""

from __future__ import annotations

import numpy as np
import pytest

from chartscan.reading.cells.glyphs import (
    has_symbols,
    inked_cells,
    is_bare,
    is_disc,
    stands_free,
)
from chartscan.reading.cells.sampling import Cells
from chartscan.reading.lattice.model import FLAT, Lattice
from chartscan.reading.page.page import Page

ROWS, COLUMNS, SIDE = 20, 30, 6


def cells_of(ink: np.ndarray) -> Cells:
    """Cells of two grounds with ``ink`` on them and noise of 3 levels all over."""
    noise = np.random.default_rng(1).normal(0, 3, (ROWS, COLUMNS, SIDE, SIDE))
    ground = np.full((ROWS, COLUMNS, 3), 200.0)
    ground[:, ::2] = (90, 120, 160)
    return Cells(ground, (ink + noise).astype(np.float32), np.zeros((ROWS, COLUMNS)), exact=False)


def test_plain_fills_with_noise_are_bare() -> None:
    assert is_bare(cells_of(np.zeros((ROWS, COLUMNS, SIDE, SIDE))))


@pytest.mark.parametrize("depth", [-60.0, 60.0])
def test_one_cell_with_a_mark_is_not(depth: float) -> None:
    ink = np.zeros((ROWS, COLUMNS, SIDE, SIDE))
    ink[7, 12, 2:4, 2:4] = depth
    assert not is_bare(cells_of(ink))


def test_a_faint_glyph_in_all_cells_of_a_ground_is_seen_in_their_mean() -> None:
    """Eight levels are less than the noise of a place, but not of the mean of 300."""
    ink = np.zeros((ROWS, COLUMNS, SIDE, SIDE))
    ink[:, ::2, 2:4, 2:4] = -8
    assert not is_bare(cells_of(ink))


def test_few_places_tell_nothing() -> None:
    few = Cells(np.zeros((5, 5, 3)), np.zeros((5, 5, 3, 3), np.float32), np.zeros((5, 5)), False)
    assert not is_bare(few)


# --------------------------------------------------------------------------- shapes


def shape(*rows: str) -> np.ndarray:
    return np.array([[sign == "#" for sign in row] for row in rows])


DISC = shape("........", "..####..", ".######.", ".######.", ".######.", ".######.", "..####..")
RING = shape("........", "..####..", ".######.", ".##..##.", ".##..##.", ".######.", "..####..")
CROSS = shape("........", ".##..##.", "..####..", "...##...", "..####..", ".##..##.")
WEDGE = shape("........", ".#......", ".##.....", ".###....", ".####...", ".#####..")
SPLIT = shape("........", ".##.###.", ".##.###.", ".##.###.", ".##.###.", ".##.###.")


@pytest.mark.parametrize("turns", range(4))
def test_a_disc_is_told_from_rings_crosses_wedges_and_parted_shapes(turns: int) -> None:
    """A knot is a disc; taken for a glyph it would be a class of its own."""
    assert is_disc(np.rot90(DISC, turns))
    for glyph in (RING, CROSS, WEDGE, SPLIT):
        assert not is_disc(np.rot90(glyph, turns))


def test_a_disc_stays_one_wherever_in_its_cell_it_lies() -> None:
    for down, across in ((0, 0), (5, 1), (2, 6)):
        cell = np.zeros((14, 15), dtype=bool)
        cell[down : down + 7, across : across + 8] = DISC
        assert is_disc(cell)


def test_ink_is_seen_inside_a_cell_where_it_is_more_than_dust() -> None:
    """More than two of a hundred places; soft edges of a neighbour at the rim are none."""
    ink = np.zeros((1, 5, 12, 12), dtype=np.float32)
    ink[0, 1, 5, 5:7] = -150  # 2 of 100 places
    ink[0, 2, 5, 5:8] = -150
    ink[0, 3, 5, 5:8] = 150  # a light glyph
    ink[0, 4, 0] = ink[0, 4, :, 0] = -150
    cells = Cells(np.full((1, 5, 3), 200.0), ink, np.ones((1, 5)), exact=True)
    assert inked_cells(cells).tolist() == [[False, False, True, True, False]]


@pytest.mark.parametrize(
    ("inked", "symbols"),
    [
        ([0, 0, 0], False),
        ([100, 0, 0], True),  # a quarter of the commonest ground and more
        ([10, 0, 0], False),  # a line of backstitch over it
        ([10, 55, 0], True),  # nearly all cells of one colour
        ([10, 30, 20], False),  # half of them: marks
    ],
)
def test_symbols_stand_in_every_cell_of_a_kind(inked: list[int], symbols: bool) -> None:
    """Of grounds with 200, 60 and 40 cells so many carry ink."""
    sizes = (200, 60, 40)
    grounds = np.repeat(np.arange(3), sizes)[None]
    ink = np.concatenate([np.arange(size) < n for size, n in zip(sizes, inked, strict=True)])[None]
    assert has_symbols(grounds, ink) is symbols


@pytest.mark.parametrize(
    ("glyph", "number", "free"),
    [(CROSS, 12, True), (CROSS, 11, False), (DISC, 30, False), (None, 30, False)],
)
def test_glyphs_keep_clear_of_the_sides_and_backstitch_does_not(
    glyph: np.ndarray | None, number: int, free: bool
) -> None:
    pitch, across = 16, 10
    page = np.full((4 * pitch, across * pitch, 3), 230, dtype=np.uint8)
    inked = (np.arange(4 * across) < number).reshape(4, across)
    for row, column in np.argwhere(inked):
        cell = page[row * pitch :, column * pitch :][:pitch, :pitch]
        if glyph is None:
            cell[8] = 20
        else:
            cell[4 : 4 + glyph.shape[0], 4 : 4 + glyph.shape[1]][glyph] = 20
    lattice = Lattice(across, 4, np.diag([pitch, pitch, 1.0]), FLAT, drawn=True)
    assert bool(stands_free(Page(page, lossless=True), lattice, inked)) is free
