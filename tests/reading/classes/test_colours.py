"""The colour of a class is that of its fill, however much of a cell its glyph covers."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest
from numpy.typing import NDArray

from chartscan.colour import srgb_to_lab
from chartscan.reading.page.page import Page
from chartscan.reading.read import read_page, read_pages
from tests.conftest import DrawChart

Inked = NDArray[np.bool_]
Shape = Callable[[NDArray[np.float64], NDArray[np.float64]], Inked]

PITCH = 24
FILLS = ((19, 56, 15), (200, 30, 60), (70, 110, 175), (235, 225, 120))
SHAPES: dict[str, Shape] = {
    "disc": lambda x, y: np.hypot(x, y) < 0.36,
    "cross": lambda x, y: np.abs(np.abs(x) - np.abs(y)) < 0.15,
    "bars": lambda x, y: (np.abs(x) < 0.36) & (np.floor((y + 0.5) * 12) % 2 == 0),
    "half": lambda x, y: np.abs(y) + np.maximum(x, 0) < 0.37,
}
"""Where a glyph is inked, by the place in a cell from its middle, -0.5 to 0.5."""


def glyph(shape: Shape) -> Inked:
    """The ink of a cell, clear of its outermost pixels."""
    at = (np.arange(PITCH) + 0.5) / PITCH - 0.5
    y, x = np.meshgrid(at, at, indexing="ij")
    return shape(x, y) & (np.maximum(np.abs(x), np.abs(y)) < 0.38)


def sheet(ink: int) -> tuple[Page, NDArray[np.intp]]:
    """A page of cells in four fills, a large glyph to each, and which fill each cell has."""
    fill = np.random.default_rng(3).integers(0, len(FILLS) + 1, (18, 22))
    pixels = np.full((18 * PITCH + 41, 22 * PITCH + 41, 3), 255, np.uint8)
    grid = pixels[20 : 18 * PITCH + 21, 20 : 22 * PITCH + 21]
    for (row, column), number in np.ndenumerate(fill):
        if number:
            cell = np.empty((PITCH, PITCH, 3), np.uint8)
            cell[:] = FILLS[number - 1]
            cell[glyph([*SHAPES.values()][number - 1])] = ink
            grid[row * PITCH :, column * PITCH :][:PITCH, :PITCH] = cell
    grid[::PITCH] = grid[:, ::PITCH] = 60
    return Page(pixels, lossless=True), fill


@pytest.mark.parametrize("ink", [0, 255])
def test_a_drawn_page_tells_each_fill_to_the_last_bit(ink: int) -> None:
    """A white disc on dark green was read as grey: another thread, 30 to 70 CIEDE2000 off."""
    page, fill = sheet(ink)
    chart = read_page(page).chart
    for number, colour in enumerate(FILLS, start=1):
        (index,) = np.unique(chart.cells[fill == number])
        assert chart.classes[index].rgb == colour


@pytest.mark.parametrize("ink", [0, 255])
def test_noise_and_soft_edges_leave_the_fill(ink: int) -> None:
    """The median of a rim lay between fill and ink where a glyph took half of it."""
    page, fill = sheet(ink)
    rng = np.random.default_rng(5)
    noisy = page.pixels + rng.normal(0, 6.0, page.pixels.shape)
    worn = Page(np.clip(noisy, 0, 255).astype(np.uint8), lossless=False)
    chart = read_page(worn).chart
    for number, colour in enumerate(FILLS, start=1):
        index = np.bincount(chart.cells[fill == number]).argmax()
        read = chart.classes[index].rgb
        assert read is not None
        assert np.linalg.norm(srgb_to_lab(read) - srgb_to_lab(colour)) < 4


@pytest.mark.parametrize(("group", "seed"), [("pages", 82002), ("symbols-on-colour", 82002)])
def test_symbols_lie_on_the_colours_that_were_drawn(
    draw_chart: DrawChart, group: str, seed: int
) -> None:
    """One sheet of three gave a symbol another colour, and so made a class of its own of it."""
    drawn = draw_chart(group, seed)
    classes = read_pages(drawn.pages).chart.classes
    read = [entry.rgb for entry in classes if entry.kind in ("empty", "stitch")]
    assert sorted(map(str, read)) == sorted(str(tuple(c["rgb"])) for c in drawn.truth["classes"])
