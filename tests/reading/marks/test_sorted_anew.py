"""Cells that hang together by fills and symbols, are sorted by fills, or show repeated glyphs."""

from __future__ import annotations

import numpy as np
import pytest
from numpy.typing import NDArray

from chartscan.chart import ChartClass
from chartscan.reading.cells.glyphs import BLANK
from chartscan.reading.marks.fills import FillSettings
from chartscan.reading.marks.plain import hang_together, reach_out, sort_fills
from chartscan.reading.marks.repeats import repeated_glyphs
from tests.reading.marks.flat_page import patches_of
from tests.reading.staged import BLUE, RED, WHITE, YELLOW, Pixels, Rgb, tiled

SIDE, ROWS, COLUMNS = 16, 10, 12
TOLERANCE = 5.0
Cells = NDArray[np.int32]
FILLS = FillSettings()


def cell(
    ground: Rgb, *strokes: tuple[slice, slice], ink: Rgb = (0, 0, 0), grid: bool = True
) -> Pixels:
    picture = np.full((SIDE, SIDE, 3), ground, np.uint8)
    for stroke in strokes:
        picture[stroke] = ink
    if grid:
        picture[0] = picture[:, 0] = 120
    return picture


BAR = (slice(4, 13), slice(7, 10))
DASH = (slice(7, 10), slice(4, 13))
TWO_BARS = ((slice(4, 13), slice(4, 6)), (slice(4, 13), slice(10, 12)))
TWO_DASHES = ((slice(4, 6), slice(4, 13)), (slice(10, 12), slice(4, 13)))
ALL_ACROSS = (slice(7, 10), slice(0, SIDE))


def cells_of(kinds: int, seed: int = 3) -> Cells:
    return np.random.default_rng(seed).integers(0, kinds, (ROWS, COLUMNS)).astype(np.int32)


def classes(*entries: tuple[Rgb, str | None]) -> tuple[ChartClass, ...]:
    return tuple(
        ChartClass(k, "stitch" if k else "empty", rgb, symbol)
        for k, (rgb, symbol) in enumerate(entries)
    )


PLAIN = classes((WHITE, None), (RED, None), (BLUE, None))
SIGNED = classes((WHITE, None), (WHITE, "a"), (WHITE, "b"))


# --------------------------------------------------------------------- hanging together


def together(pixels: Pixels, cells: Cells, named: tuple[ChartClass, ...]) -> bool:
    return hang_together(patches_of(pixels, SIDE), cells, named, TOLERANCE, FILLS)


@pytest.mark.parametrize(("wrong", "good"), [(3, True), (4, False)])
def test_three_in_a_hundred_plain_cells_may_be_unlike_their_class(wrong: int, good: bool) -> None:
    """Of 120 cells three are 2.5 in a hundred, four 3.3."""
    cells = cells_of(3)
    pixels = tiled(cells, [cell(c) for c in (WHITE, RED, BLUE)])
    told = cells.copy()
    for place in np.argwhere(cells == 1)[:wrong]:
        told[tuple(place)] = 2
    assert together(pixels, told, PLAIN) is good


def test_cells_of_one_symbol_hang_together_and_those_shuffled_do_not() -> None:
    """Four symbols: each a class of its own, or two classes of which each holds all four."""
    cells = cells_of(5)
    drawn = [cell(WHITE, *strokes) for strokes in ((BAR,), (DASH,), TWO_BARS, TWO_DASHES)]
    pixels = tiled(cells, [cell(WHITE), *drawn])
    named = classes((WHITE, None), *((WHITE, letter) for letter in "abcd"))
    assert together(pixels, cells, named)
    mixed = np.where(cells > 0, cells_of(2, seed=9) + 1, 0).astype(np.int32)
    assert not together(pixels, mixed, SIGNED)


def test_symbols_of_which_half_overlap_enough_hang_together() -> None:
    """A class of bars; in so many of its cells each shows a bar elsewhere."""
    cells = cells_of(2)
    for share, good in ((0.3, True), (0.7, False)):
        rng = np.random.default_rng(5)
        pictures = [cell(WHITE), cell(WHITE, BAR)]
        pictures += [cell(WHITE, (slice(k, k + 2), slice(3, 14))) for k in (2, 5, 8, 11, 13)]
        shown = np.where((cells == 1) & (rng.uniform(size=cells.shape) < share),
                         rng.integers(2, 7, cells.shape), cells)  # fmt: skip
        assert together(tiled(shown, pictures), cells, SIGNED[:2]) is good


# ------------------------------------------------------------------------ reaching out


def out(pixels: Pixels, cells: Cells, named: tuple[ChartClass, ...]) -> bool:
    return reach_out(patches_of(pixels, SIDE), cells, named, TOLERANCE)


def test_what_runs_to_the_sides_of_its_cells_is_lines_and_a_symbol_is_not() -> None:
    cells = cells_of(2)
    inside = tiled(cells, [cell(WHITE), cell(WHITE, DASH)])
    across = tiled(cells, [cell(WHITE), cell(WHITE, ALL_ACROSS)])
    assert not out(inside, cells, SIGNED[:2])
    assert out(across, cells, SIGNED[:2])


@pytest.mark.parametrize(("share", "lines"), [(0.9, True), (0.6, False)])
def test_four_in_five_cells_must_reach_out(share: float, lines: bool) -> None:
    cells = cells_of(2)
    rng = np.random.default_rng(7)
    shown = np.where((cells == 1) & (rng.uniform(size=cells.shape) > share), 2, cells)
    pixels = tiled(shown, [cell(WHITE), cell(WHITE, ALL_ACROSS), cell(WHITE, DASH)])
    assert out(pixels, cells, SIGNED[:2]) is lines


def test_symbols_on_a_ground_that_no_cell_shows_without_are_not_looked_at() -> None:
    cells = cells_of(2)
    pixels = tiled(cells, [cell(WHITE), cell(YELLOW, ALL_ACROSS)])
    assert not out(pixels, cells, classes((WHITE, None), (YELLOW, "a")))
    assert not out(pixels, cells, classes((WHITE, "a"), (YELLOW, "b")))
    near: Rgb = (YELLOW[0] - 5, YELLOW[1], YELLOW[2])
    assert out(pixels, cells, classes((near, None), (YELLOW, "a")))
    off: Rgb = (YELLOW[0] - 6, YELLOW[1], YELLOW[2])
    assert not out(pixels, cells, classes((off, None), (YELLOW, "a")))


def test_without_symbols_nothing_reaches_out() -> None:
    cells = cells_of(3)
    assert not out(tiled(cells, [cell(c) for c in (WHITE, RED, BLUE)]), cells, PLAIN)


# --------------------------------------------------------------------- sorting by fills


def test_cells_are_sorted_by_their_fills_whatever_lies_over_some_of_them() -> None:
    cells = cells_of(3)
    pictures = [cell(c) for c in (WHITE, RED, BLUE)]
    pictures += [cell(c, ALL_ACROSS) for c in (WHITE, RED, BLUE)]
    over = np.random.default_rng(1).uniform(size=cells.shape) < 0.3
    found = sort_fills(patches_of(tiled(cells + 3 * over, pictures), SIDE), TOLERANCE, FILLS)
    assert found is not None
    colours = np.array((WHITE, RED, BLUE))
    assert (found.colours[found.labels] == colours[cells]).all()
    counts = np.bincount(found.labels.ravel())
    assert counts.tolist() == sorted(counts.tolist(), reverse=True)
    assert (found.symbols == BLANK).all()
    assert not found.doubtful.any()


@pytest.mark.parametrize(("plain", "told"), [(25, True), (23, False)])
def test_a_fifth_of_the_cells_must_be_plain(plain: int, told: bool) -> None:
    """Of 120 cells 24 are a fifth; all others are black and white all over."""
    shown = np.ones((ROWS, COLUMNS), np.int32)
    shown.ravel()[:plain] = 0
    motley = cell(WHITE, *((slice(k, k + 2), slice(1, SIDE)) for k in range(1, SIDE, 4)))
    found = sort_fills(patches_of(tiled(shown, [cell(RED), motley]), SIDE), TOLERANCE, FILLS)
    assert (found is not None) is told


@pytest.mark.parametrize(("colours", "told"), [(28, True), (32, False)])
def test_a_page_of_almost_as_many_colours_as_cells_is_shaded_not_filled(
    colours: int, told: bool
) -> None:
    """Four plain cells a colour, of 120."""
    cells = (np.arange(ROWS * COLUMNS) % colours).reshape(ROWS, COLUMNS)
    pictures = [cell((8 * k, 255 - 8 * k, 100)) for k in range(colours)]
    found = sort_fills(patches_of(tiled(cells, pictures), SIDE), TOLERANCE, FILLS)
    assert (found is not None) is told


# --------------------------------------------------------------------------- repeating


def repeated(pixels: Pixels) -> set[tuple[int, int]]:
    mask = repeated_glyphs(patches_of(pixels, SIDE), TOLERANCE)
    return {(int(r), int(c)) for r, c in np.argwhere(mask)}


def some(number: int) -> Cells:
    cells = np.zeros((ROWS, COLUMNS), np.int32)
    cells.ravel()[np.random.default_rng(2).permutation(ROWS * COLUMNS)[:number]] = 1
    return cells


@pytest.mark.parametrize(("copies", "seen"), [(12, True), (11, False)])
def test_a_drawing_that_stands_in_twelve_cells_is_a_glyph(copies: int, seen: bool) -> None:
    cells = some(copies)
    found = repeated(tiled(cells, [cell(WHITE), cell(WHITE, *TWO_BARS)]))
    assert found == ({(int(r), int(c)) for r, c in np.argwhere(cells)} if seen else set())


def test_what_reaches_the_sides_of_its_cell_is_no_glyph_however_often_it_stands() -> None:
    assert not repeated(tiled(some(40), [cell(WHITE), cell(WHITE, ALL_ACROSS)]))


def test_a_disc_may_be_a_knot() -> None:
    y, x = np.indices((SIDE, SIDE)) - SIDE // 2
    for shape, seen in ((np.hypot(x, y) < 4, False), (np.abs(np.hypot(x, y) - 3.5) < 1, True)):
        picture = cell(WHITE)
        picture[shape] = 0
        assert bool(repeated(tiled(some(20), [cell(WHITE), picture]))) is seen


@pytest.mark.parametrize(("samples", "seen"), [(4, True), (3, False)])
def test_a_glyph_inks_a_fiftieth_of_what_is_looked_at(samples: int, seen: bool) -> None:
    """Four samples of the 14 × 14 inside of the cell are one in 49."""
    speck = cell(WHITE, (slice(6, 7), slice(6, 8)), (slice(9, 10), slice(6, 4 + samples)))
    assert bool(repeated(tiled(some(20), [cell(WHITE), speck]))) is seen


def test_copies_may_differ_in_a_fifth_of_their_ink() -> None:
    """Bars of 36 samples; every copy lacks some of them, each others."""
    cells = some(40)
    for lacking, seen in ((7, True), (8, False)):
        rng = np.random.default_rng(4)
        pictures = [cell(WHITE), cell(WHITE, *TWO_BARS)]
        for _ in range(10):
            torn = cell(WHITE, *TWO_BARS)
            where = np.argwhere((torn == 0).all(axis=2))
            for place in rng.permutation(where)[:lacking]:
                torn[tuple(place)] = 255
            pictures.append(torn)
        numbers = np.where(cells == 1, rng.integers(2, 12, cells.shape), 0)
        numbers.ravel()[np.flatnonzero(cells)[:8]] = 1
        assert (len(repeated(tiled(numbers, pictures))) == 40) is seen


def test_two_glyphs_are_each_found_on_whatever_ground() -> None:
    cells = cells_of(5)
    pictures = [cell(WHITE), *(cell(g, *s) for g in (WHITE, RED) for s in (TWO_BARS, TWO_DASHES))]
    expected = {(int(r), int(c)) for r, c in np.argwhere(cells > 0)}
    assert repeated(tiled(cells, pictures)) == expected
