"""Pages that hold no chart are refused, and small charts that fill their page are not."""

from __future__ import annotations

import string
from collections.abc import Callable
from itertools import pairwise

import numpy as np
import pytest
from PIL import Image, ImageDraw, ImageFont

from chartscan.errors import GridError
from chartscan.reading.page.page import Page
from chartscan.reading.read import read_page


def page_of(picture: Image.Image) -> Page:
    return Page(np.asarray(picture), lossless=True, file="picture.png")


def blocks(cells: np.ndarray, pitch: int, margin: int = 0) -> Image.Image:
    """Fills of ``pitch`` px without lines, on white."""
    pixels = np.kron(cells, np.ones((pitch, pitch, 1))).astype(np.uint8)
    edge = ((margin, margin), (margin, margin), (0, 0))
    return Image.fromarray(np.pad(pixels, edge, constant_values=255))


def swatches() -> Image.Image:
    """A colour card: swatches well apart, a word beneath each."""
    rng = np.random.default_rng(4)
    picture = Image.new("RGB", (900, 600), "white")
    draw, font = ImageDraw.Draw(picture), ImageFont.load_default(14)
    for row in range(3):
        for column in range(8):
            x, y = 60 + 100 * column, 60 + 150 * row
            fill = tuple(int(value) for value in rng.integers(0, 256, 3))
            draw.rectangle((x, y, x + 70, y + 100), fill=fill)
            word = "".join(rng.choice(list(string.ascii_lowercase), rng.integers(3, 9)))
            draw.text((x, y + 110), word, fill="black", font=font)
    return picture


def bricks() -> Image.Image:
    """A brick wall: every other course is moved by half a brick."""
    rng = np.random.default_rng(4)
    picture = Image.new("RGB", (800, 600), (200, 200, 195))
    draw = ImageDraw.Draw(picture)
    for row in range(30):
        for column in range(-1, 18):
            x, shade = column * 48 + 24 * (row % 2), int(rng.integers(-15, 16))
            fill = (160 + shade, 70 + shade, 50 + shade)
            draw.rectangle((x + 1, row * 20 + 1, x + 46, row * 20 + 18), fill=fill)
    return picture


def table() -> Image.Image:
    """A ruled table of words with columns of unequal widths."""
    rng = np.random.default_rng(4)
    picture = Image.new("RGB", (900, 700), "white")
    draw, font = ImageDraw.Draw(picture), ImageFont.load_default(14)
    places = (40, 110, 330, 420, 600, 860)
    for x in places:
        draw.line((x, 40, x, 640), fill="black")
    for y in range(40, 641, 30):
        draw.line((40, y, 860, y), fill="black")
        for left, right in pairwise(places):
            letters = rng.choice(list(string.ascii_lowercase + "  "), (right - left) // 9)
            draw.text((left + 5, y + 6), "".join(letters) if y < 640 else "", "black", font)
    return picture


def columns_of_text() -> Image.Image:
    """A page of a book in three columns."""
    rng = np.random.default_rng(4)
    picture = Image.new("RGB", (900, 1100), "white")
    draw, font = ImageDraw.Draw(picture), ImageFont.load_default(14)
    for x in (50, 330, 610):
        for y in range(60, 1040, 19):
            letters = rng.choice(list(string.ascii_lowercase + "   "), 32)
            draw.text((x, y), "".join(letters), fill="black", font=font)
    return picture


def diagram() -> Image.Image:
    """A curve on rules 50 px apart across and 25 px apart down."""
    picture = Image.new("RGB", (800, 600), "white")
    draw = ImageDraw.Draw(picture)
    for y in range(50, 551, 25):
        draw.line((60, y, 760, y), fill=(225, 225, 225))
    for x in range(60, 761, 50):
        draw.line((x, 50, x, 550), fill=(225, 225, 225))
    curve = [(60 + 10 * k, 300 + int(150 * np.sin(k / 8))) for k in range(71)]
    draw.line(curve, fill="red", width=3)
    return picture


def board() -> Image.Image:
    """A board of 4×4 squares, too few to be a chart."""
    dark = np.indices((4, 4)).sum(axis=0)[..., None] % 2
    return blocks(np.where(dark, (0, 0, 0), (230, 220, 200)), 80, 40)


def stripes() -> Image.Image:
    """Upright stripes: lines in one direction only."""
    dark = (np.arange(800) // 10 % 2).astype(bool)[None, :, None]
    pixels = np.where(np.repeat(dark, 600, axis=0), (30, 60, 120), (255, 255, 255))
    return Image.fromarray(pixels.astype(np.uint8))


@pytest.mark.parametrize(
    "draw", [swatches, bricks, table, columns_of_text, diagram, board, stripes]
)
def test_a_page_without_a_chart_is_refused(draw: Callable[[], Image.Image]) -> None:
    with pytest.raises(GridError, match="grid"):
        read_page(page_of(draw()))


@pytest.mark.parametrize(("side", "pitch"), [(5, 80), (5, 40), (6, 33)])
def test_a_small_chart_that_fills_its_page_is_read_at_its_pitch(side: int, pitch: int) -> None:
    rng = np.random.default_rng(1)
    colours = rng.integers(0, 256, (4, 3))
    for _ in range(4):
        cells = colours[rng.integers(0, 4, (side, side))]
        chart = read_page(page_of(blocks(cells, pitch))).chart
        assert (chart.columns, chart.rows) == (side, side)


def test_a_mere_border_is_a_chart() -> None:
    """Few lines of a clean export show where its shapes are large, but all its edges agree."""
    cells = np.full((19, 11, 3), 255)
    cells[[0, -1]] = cells[:, [0, -1]] = (76, 160, 15)
    chart = read_page(page_of(blocks(cells, 6, margin=41))).chart
    assert (chart.columns, chart.rows) == (11, 19)
