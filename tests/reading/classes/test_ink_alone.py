"""Whether symbols are printed in one ink, by glyphs on paper, on tints and reversed."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from numpy.typing import NDArray

from chartscan.chart import Chart, ChartClass
from chartscan.reading.cells.light import Light
from chartscan.reading.classes.one_ink import InkSettings, in_one_ink
from chartscan.reading.page.page import Page
from tests.reading.staged import BLUE, WHITE, YELLOW, Pixels, Rgb, fill, straight, tiled

SIDE, ROWS, COLUMNS = 20, 10, 12
BLACK: Rgb = (0, 0, 0)
Cells = NDArray[np.int32]


def cell(ground: Rgb, ink: Rgb = BLACK, part: float = 0.5) -> Pixels:
    """A glyph over so much of each side of the cell, clear of thin grey lines."""
    picture = fill(ground, SIDE)
    half = round(part * SIDE / 2)
    picture[10 - half : 10 + half, 10 - half : 10 + half] = ink
    picture[0] = picture[:, 0] = 120
    return picture


def cells_of(kinds: int = 3) -> Cells:
    return np.random.default_rng(5).integers(0, kinds, (ROWS, COLUMNS)).astype(np.int32)


def chart_of(*symbols: str | None, rgb: Rgb = (120, 120, 120)) -> Chart:
    """The first class empty; all others in some grey, with those symbols."""
    listed = [ChartClass(0, "empty", WHITE)]
    listed += [ChartClass(k, "stitch", rgb, name) for k, name in enumerate(symbols, start=1)]
    return Chart(cells_of(len(listed)), tuple(listed))


def colours(
    pictures: list[Pixels], chart: Chart, light: Light | None = None, **changed: float
) -> list[Rgb | None]:
    page = Page(tiled(chart.cells, pictures), lossless=True)
    known = replace(InkSettings(), **changed)  # type: ignore[arg-type]  # by name
    found = in_one_ink(page, straight(COLUMNS, ROWS, SIDE), chart, light, known)
    assert (found.cells == chart.cells).all()
    return [c.rgb for c in found.classes[1:]]


GREY: Rgb = (120, 120, 120)


def test_symbols_on_paper_have_no_colour_and_one_on_a_tint_gives_all_of_them_theirs() -> None:
    chart = chart_of("a", "b")
    bare = [fill(WHITE, SIDE), cell(WHITE), cell(WHITE, part=0.7)]
    assert colours(bare, chart) == [None, None]
    tinted = [fill(WHITE, SIDE), cell(WHITE), cell(YELLOW)]
    assert colours(tinted, chart) == [GREY, GREY]


def test_a_reversed_symbol_stands_on_ink_and_is_in_one_ink_all_the_same() -> None:
    chart = chart_of("a", "b")
    reversed_ = cell(BLACK, WHITE)
    assert colours([fill(WHITE, SIDE), cell(WHITE), reversed_], chart) == [None, None]
    other = cell(BLUE, WHITE)
    assert colours([fill(WHITE, SIDE), cell(WHITE), other], chart) == [GREY, GREY]


def test_where_no_symbol_stands_on_paper_there_is_no_ink_alone() -> None:
    chart = chart_of("a", "b")
    assert colours([fill(WHITE, SIDE), cell(YELLOW), cell(BLUE)], chart) == [GREY, GREY]


def test_classes_without_a_symbol_keep_their_colour() -> None:
    chart = chart_of("a", None)
    assert colours([fill(WHITE, SIDE), cell(WHITE), fill(BLUE, SIDE)], chart) == [None, GREY]


@pytest.mark.parametrize(("tint", "bare"), [(7.0, True), (9.0, False)])
def test_a_ground_is_paper_up_to_eight_of_its_difference(tint: float, bare: bool) -> None:
    """Greys of L* 100 and so much less: 7 lighter is 235, 9 is 229 (IEC 61966-2-1)."""
    level = {7.0: 235, 9.0: 229}[tint]
    shade: Rgb = (level, level, level)
    found = colours([fill(WHITE, SIDE), cell(WHITE), cell(shade)], chart_of("a", "b"))
    assert (found == [None, None]) is bare


def test_paper_is_what_bare_cells_have_and_white_where_there_are_none() -> None:
    cream: Rgb = (244, 232, 208)
    chart = chart_of("a", "b")
    assert colours([fill(cream, SIDE), cell(cream), cell(cream)], chart) == [None, None]
    stitched = replace(chart, classes=tuple(replace(c, kind="stitch") for c in chart.classes))
    assert colours([fill(cream, SIDE), cell(cream), cell(cream)], stitched) == [GREY, GREY]


def test_where_light_is_known_to_fall_off_paper_is_paper_in_the_dark_too() -> None:
    """The page darkens to 0.6 from left to right; the light says so (in logarithms of levels)."""
    chart = chart_of("a", "b")
    pictures = [fill(WHITE, SIDE), cell(WHITE), cell(WHITE, part=0.7)]
    pixels = tiled(chart.cells, pictures).astype(float)
    flat = Page(np.round(pixels * 0.6).astype(np.uint8), lossless=True)
    lattice = straight(COLUMNS, ROWS, SIDE)
    told = Light(np.vstack([np.full(3, np.log(0.6 * 255)), np.zeros((5, 3))]), (COLUMNS, ROWS))
    stitched = replace(chart, classes=tuple(replace(c, kind="stitch") for c in chart.classes))
    dark = in_one_ink(flat, lattice, stitched)
    lit = in_one_ink(flat, lattice, stitched, told)
    assert [c.rgb for c in dark.classes[1:]] == [GREY, GREY]
    assert [c.rgb for c in lit.classes[1:]] == [None, None]


def test_symbols_that_shared_a_name_get_names_of_their_own() -> None:
    chart = chart_of("a", "a", "symbol 1")
    pictures = [fill(WHITE, SIDE), cell(WHITE), cell(WHITE, part=0.7), cell(WHITE, part=0.3)]
    page = Page(tiled(chart.cells, pictures), lossless=True)
    found = in_one_ink(page, straight(COLUMNS, ROWS, SIDE), chart)
    assert [c.symbol for c in found.classes] == [None, "a", "symbol 2", "symbol 1"]
    assert [c.rgb for c in found.classes] == [WHITE, None, None, None]


def test_a_class_whose_cells_are_gone_says_nothing() -> None:
    chart = chart_of("a", "b")
    gone = replace(chart, classes=(*chart.classes, ChartClass(3, "stitch", GREY, "c")))
    page = Page(tiled(chart.cells, [fill(WHITE, SIDE), cell(WHITE), cell(WHITE)]), lossless=True)
    found = in_one_ink(page, straight(COLUMNS, ROWS, SIDE), gone)
    assert [c.rgb for c in found.classes[1:]] == [None, None, None]
