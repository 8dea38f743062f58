"""The picture of the design as stitched."""

from __future__ import annotations

import base64
import io
from dataclasses import replace
from typing import get_args

import numpy as np
import pytest
from numpy.typing import NDArray
from PIL import Image

from chartscan.chart import Chart, ChartClass, Corner, Shape
from chartscan.report.stitched import (
    UNKNOWN,
    StitchedSettings,
    data_uri,
    draw_stitched,
    piece,
)

GROUND = (240, 240, 240)
GREEN = (40, 160, 60)
SETTINGS = StitchedSettings()


def _cell(image: Image.Image, chart: Chart, row: int, column: int) -> NDArray[np.float64]:
    """Pixels of one cell of the chart."""
    border = SETTINGS.border_cells
    width = image.width // (chart.columns + 2 * border)
    height = image.height // (chart.rows + 2 * border)
    pixels = np.asarray(image, dtype=float)
    top, left = (row + border) * height, (column + border) * width
    return pixels[top : top + height, left : left + width]


def _draw(chart: Chart, cell_shape: tuple[float, float] = (1.0, 1.0)) -> Image.Image:
    colours = {c.index: (c.rgb or UNKNOWN) for c in chart.classes if c.kind != "empty"}
    return draw_stitched(chart, colours, GROUND, cell_shape)


def test_a_stitched_cell_looks_like_its_thread_and_a_bare_one_like_the_fabric() -> None:
    classes = (ChartClass(0, "empty"), ChartClass(1, "stitch", GREEN))
    chart = Chart(np.array([[1, 0], [0, 1]], dtype=np.int32), classes)
    image = _draw(chart)
    for row, column in ((0, 0), (1, 1)):
        seen = _cell(image, chart, row, column)
        middle = seen[len(seen) // 2, len(seen) // 2]
        assert np.abs(middle - GREEN).max() < 30
        assert np.abs(seen.mean((0, 1)) - GREEN).sum() < np.abs(seen.mean((0, 1)) - GROUND).sum()
    bare = _cell(image, chart, 0, 1)
    assert np.abs(bare.mean((0, 1)) - GROUND).max() < 8


def test_the_bare_border_is_there_on_every_side(chart: Chart) -> None:
    pixels = np.asarray(_draw(replace(chart, parts=(), lines=(), knots=())), dtype=float)
    side = SETTINGS.border_cells * SETTINGS.most_cell_px
    for strip in (pixels[:side], pixels[-side:], pixels[:, :side], pixels[:, -side:]):
        assert np.abs(strip.mean((0, 1)) - GROUND).max() < 8


def test_stitches_that_are_not_square_are_drawn_in_their_shape() -> None:
    classes = (ChartClass(0, "empty"), ChartClass(1, "stitch", GREEN))
    chart = Chart(np.ones((100, 100), dtype=np.int32), classes)
    image = _draw(chart, cell_shape=(1.0, 0.75))
    assert image.height / image.width == pytest.approx(0.75, abs=0.1)


@pytest.mark.parametrize(("rows", "columns", "cell"), [(5, 5, 16), (100, 94, 14), (1000, 1000, 2)])
def test_cells_stay_between_the_stated_limits(rows: int, columns: int, cell: int) -> None:
    classes = (ChartClass(0, "empty"),)
    image = _draw(Chart(np.zeros((rows, columns), dtype=np.int32), classes))
    assert image.size == ((columns + 4) * cell, (rows + 4) * cell)


def test_marks_are_drawn_where_they_lie(chart: Chart) -> None:
    bare = np.asarray(_draw(replace(chart, parts=(), lines=(), knots=())))
    marked = np.asarray(_draw(chart))
    cell = SETTINGS.most_cell_px
    changed = (bare != marked).any(axis=2)
    rows, columns = np.nonzero(changed)
    touched = set(zip((rows // cell - 2).tolist(), (columns // cell - 2).tolist(), strict=True))
    assert (0, 0) in touched, "the triangle"
    assert (3, 3) in touched, "the quarter"
    assert (2, 0) in touched or (2, 1) in touched, "the line"
    assert (1, 3) in touched, "the knot"
    assert not {(0, 3), (0, 4), (0, 5), (1, 5)} & touched


@pytest.mark.parametrize(("shape", "size"), [("triangle", 0.5), ("quarter", 0.25)])
@pytest.mark.parametrize("corner", get_args(Corner))
def test_a_piece_lies_in_its_corner(shape: Shape, size: float, corner: Corner) -> None:
    points = piece(shape, corner)
    assert (0.0 if "left" in corner else 1.0, 0.0 if "top" in corner else 1.0) in points
    rolled = points[1:] + points[:1]
    area = abs(sum(a * d - b * c for (a, b), (c, d) in zip(points, rolled, strict=True))) / 2
    assert area == pytest.approx(size), "by the shoelace formula"


def test_a_picture_inside_a_page_is_the_same_picture(chart: Chart) -> None:
    image = _draw(chart)
    head, _, body = data_uri(image).partition(",")
    assert head == "data:image/png;base64"
    again = Image.open(io.BytesIO(base64.b64decode(body)))
    assert np.array_equal(np.asarray(again), np.asarray(image))
