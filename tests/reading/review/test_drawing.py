"""Cells, symbols and marks drawn on a straight grid, looked up pixel by pixel; pages laid flat."""

from __future__ import annotations

import io
from dataclasses import replace
from typing import get_args

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray
from PIL import Image

from chartscan.chart import Chart, ChartClass, Corner, Knot, Line, Part, Shape
from chartscan.colour.contrast import BLACK, WHITE
from chartscan.reading.evidence import Evidence
from chartscan.reading.lattice.model import FLAT, Lattice
from chartscan.reading.page.page import Page
from chartscan.reading.review.drawing import (
    INSIDE,
    Pen,
    class_tile,
    glyph_mask,
    over,
    part_outline,
    read_cells,
)
from chartscan.reading.review.falsecolour import PATTERNS, Paint, Pattern, paints
from chartscan.reading.review.straighten import StraightenSettings, straighten
from tests.reading.staged import BLUE, RED, YELLOW, Rgb, classes, evidence, fill, tiled

CELL = 20
Pixels = NDArray[np.uint8]


def chart_of(**marks: object) -> Chart:
    cells = np.array([[0, 1, 2], [2, 0, 1]], np.int32)
    listed = (*classes(WHITE, RED, BLUE), ChartClass(3, "line", BLACK), ChartClass(4, "knot", RED))
    return replace(Chart(cells, listed), **marks)  # type: ignore[arg-type]  # by name


OWN = (Paint(WHITE), Paint(RED), Paint(BLUE), Paint(BLACK), Paint(RED))

# ------------------------------------------------------------------------- cells


@given(st.tuples(*[st.integers(0, 255)] * 3))
def test_what_lies_over_a_colour_is_black_on_light_and_white_on_dark(colour: Rgb) -> None:
    """Luma as ITU-R BT.601 weighs it; black from 140 of 255 on, the grey of L* 58."""
    luma = 0.299 * colour[0] + 0.587 * colour[1] + 0.114 * colour[2]
    if abs(luma - 140) > 1:
        assert over(colour) == (BLACK if luma > 140 else WHITE)


@pytest.mark.parametrize("side", [1, 7, 20])
def test_every_cell_is_painted_in_its_class(side: int) -> None:
    picture = np.asarray(read_cells(chart_of(), OWN, side))
    expected = np.array([p.rgb for p in OWN])[np.kron(chart_of().cells, np.ones((side, side), int))]
    assert (picture == expected).all()


def glyph(dark: tuple[slice, slice]) -> bytes:
    picture = np.full((32, 32), 255, np.uint8)
    picture[dark] = 0
    stream = io.BytesIO()
    Image.fromarray(picture).save(stream, "PNG")
    return stream.getvalue()


def test_a_symbol_is_drawn_where_its_picture_has_ink_in_what_is_seen_on_its_colour() -> None:
    left = glyph((slice(None), slice(0, 16)))
    for rgb, ink in ((YELLOW, BLACK), (BLUE, WHITE)):
        tile = class_tile(ChartClass(1, "stitch", rgb, "a", picture=left), Paint(rgb), 16)
        assert np.abs(tile[:, :6].astype(int) - ink).max() < 30  # resampling rings beside an edge
        assert np.abs(tile[:, 10:].astype(int) - rgb).max() < 30
    knot = class_tile(ChartClass(1, "knot", RED, picture=left), Paint(RED), 16)
    assert (knot == RED).all()  # only stitches fill a cell with their symbol


def test_a_mask_is_full_where_the_picture_is_black() -> None:
    mask = np.asarray(glyph_mask(glyph((slice(0, 16), slice(None))), 32))
    assert (mask[:14] == 255).all()
    assert (mask[18:] == 0).all()


@pytest.mark.parametrize("pattern", PATTERNS[1:])
def test_each_pattern_is_another_and_leaves_most_of_the_colour(pattern: Pattern) -> None:
    entry = ChartClass(1, "stitch", RED)
    tiles = {p: class_tile(entry, Paint(RED, p), 24) for p in PATTERNS}
    own = (tiles[pattern] != RED).any(axis=-1)
    assert 0 < own.mean() < 0.3
    assert all(p == pattern or (tiles[p] != tiles[pattern]).any() for p in PATTERNS)


def test_classes_without_colours_of_their_own_get_false_ones_each_another() -> None:
    alike = classes(WHITE, *[(100 + k, 100, 100) for k in range(40)])
    chart = Chart(np.zeros((2, 2), np.int32), alike)
    found, false = paints(chart)
    assert false
    assert found[0] == Paint(WHITE)
    assert len(set(found)) == 41
    assert [p.pattern for p in found[1:]] == [PATTERNS[k // 16] for k in range(40)]


# ------------------------------------------------------------------------- marks


def drawn(chart: Chart) -> Pixels:
    """The marks alone, on grey, a cell's width around."""
    image = Image.new("RGB", (5 * CELL, 4 * CELL), (128, 128, 128))
    Pen(image, CELL, (CELL, CELL)).marks(chart, OWN)
    return np.asarray(image)


def at(picture: Pixels, x: float, y: float) -> Rgb:
    """The colour at a place in cells."""
    red, green, blue = picture[int(CELL * (1 + y)), int(CELL * (1 + x))].tolist()
    return red, green, blue


def test_a_line_runs_between_its_points_with_a_rim_that_shows() -> None:
    picture = drawn(chart_of(lines=(Line(3, ((0.5, 0.0), (0.5, 2.0), (2.5, 2.0))),)))
    for x, y in ((0.5, 0.3), (0.5, 1.7), (1.5, 2.0)):
        assert at(picture, x, y) == BLACK
    assert at(picture, 0.5 + 0.15, 1.0) == over(BLACK)
    for x, y in ((1.0, 1.0), (0.5, -0.5), (2.9, 2.0)):
        assert at(picture, x, y) == (128, 128, 128)


def test_a_knot_is_a_ring_around_its_place() -> None:
    picture = drawn(chart_of(knots=(Knot(4, 1.5, 1.0),)))
    for x, y in ((1.5, 0.72), (1.5, 1.28), (1.22, 1.0), (1.78, 1.0)):
        assert at(picture, x, y) == RED
    assert at(picture, 1.5, 1.0) == (128, 128, 128)
    assert at(picture, 1.5, 1.6) == (128, 128, 128)


@pytest.mark.parametrize("corner", get_args(Corner))
def test_a_part_stitch_is_painted_at_its_corner(corner: Corner) -> None:
    x, y = (0.8 if word in corner.split() else 0.2 for word in ("right", "bottom"))
    half = drawn(chart_of(parts=(Part(1, 2, "triangle", corner, 2),)))
    assert at(half, 2 + x, 1 + y) == BLUE
    assert at(half, 3 - x, 2 - y) == (128, 128, 128)
    fourth = drawn(chart_of(parts=(Part(1, 2, "quarter", corner, 2),)))
    near_x, near_y = (0.7 if word in corner.split() else 0.3 for word in ("right", "bottom"))
    assert at(fourth, 2 + near_x, 1 + near_y) == BLUE
    assert at(fourth, 3 - near_x, 1 + near_y) == (128, 128, 128)
    assert at(fourth, 2 + near_x, 2 - near_y) == (128, 128, 128)


@pytest.mark.parametrize("shape", get_args(Shape))
@pytest.mark.parametrize("corner", get_args(Corner))
def test_an_outline_is_the_piece_made_smaller_about_its_middle(
    shape: Shape, corner: Corner
) -> None:
    """Area by the shoelace formula: a half or a quarter of the cell, times the scale squared."""
    points = np.array(part_outline(shape, corner))
    x, y = points.T
    area = abs(float(x @ np.roll(y, 1) - y @ np.roll(x, 1))) / 2
    assert area == pytest.approx((0.5 if shape == "triangle" else 0.25) * INSIDE**2)
    assert (points > 0).all()
    assert (points < 1).all()


# -------------------------------------------------------------------- pages laid flat


def page_of(pitch: int, left: int = 0, top: int = 0) -> Evidence:
    """A chart of three by two cells and white around them."""
    chart = chart_of()
    pixels = tiled(chart.cells, [fill(c, pitch) for c in (WHITE, RED, BLUE)])
    framed = np.pad(pixels, ((top, 9), (left, 9), (0, 0)), constant_values=255)
    homography = np.array([[pitch, 0, left], [0, pitch, top], [0, 0, 1.0]])
    return replace(
        evidence(chart),
        page=Page(framed, lossless=True),
        lattice=Lattice(3, 2, homography, FLAT, True),
    )


def middles(picture: Pixels, cell: int, margin: int, rows: int, columns: int) -> Pixels:
    """The colour in the middle of every cell."""
    y, x = ((np.arange(n) + margin + 0.5) * cell for n in (rows, columns))
    return np.asarray(picture[np.ix_(y.astype(int), x.astype(int))])


@settings(max_examples=15)
@given(st.integers(7, 30), st.integers(0, 40), st.integers(0, 40))
def test_cells_lie_where_they_are_said_to_lie(pitch: int, left: int, top: int) -> None:
    flat = straighten([page_of(pitch, left, top)], (2, 3))
    assert flat.cell_px == pitch
    assert flat.margin == StraightenSettings().margin
    assert flat.picture.size == (7 * pitch, 6 * pitch)
    seen = middles(np.asarray(flat.picture), flat.cell_px, flat.margin, 2, 3)
    assert (seen == np.array((WHITE, RED, BLUE))[chart_of().cells]).all()


def test_a_turned_page_is_laid_flat() -> None:
    page = page_of(20)
    quarter = np.rot90(page.page.pixels)
    width = page.page.pixels.shape[1]
    homography = np.array([[0, 20, 0], [-20, 0, width], [0, 0, 1.0]])
    turned = replace(
        page,
        page=Page(np.ascontiguousarray(quarter), lossless=True),
        lattice=Lattice(3, 2, homography, FLAT, True),
    )
    flat = straighten([turned], (2, 3))
    seen = middles(np.asarray(flat.picture), flat.cell_px, flat.margin, 2, 3)
    assert (seen == np.array((WHITE, RED, BLUE))[chart_of().cells]).all()


@pytest.mark.parametrize(("pitch", "px"), [(3, 6), (6, 6), (32, 32), (50, 32)])
def test_cells_are_no_smaller_and_no_larger_than_is_of_use(pitch: int, px: int) -> None:
    assert straighten([page_of(pitch)], (2, 3)).cell_px == px


def test_a_large_chart_has_cells_that_fit_the_picture() -> None:
    """42 cells with the margin; ten pixels a side are 4,200 in all."""
    few = StraightenSettings(most_pixels=4200)
    assert straighten([page_of(20)], (2, 3), few).cell_px == 10
    less = StraightenSettings(most_pixels=4199)
    assert straighten([page_of(20)], (2, 3), less).cell_px == 9


def test_pages_are_laid_each_in_its_place_and_the_first_counts_where_both_show_a_cell() -> None:
    first = page_of(20)
    green = np.full_like(first.page.pixels, (0, 160, 0))
    second = replace(first, page=Page(green, lossless=True), origin=(0, 2))
    flat = straighten([first, second], (2, 5))
    seen = middles(np.asarray(flat.picture), flat.cell_px, flat.margin, 2, 5)
    assert (seen[:, :3] == np.array((WHITE, RED, BLUE))[chart_of().cells]).all()
    assert (seen[:, 3:] == (0, 160, 0)).all()
