"""Pages where each class is a picture: cells with grid lines, glyphs, and halves of two classes."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np
from numpy.typing import NDArray
from PIL import Image

from chartscan.chart import Corner
from chartscan.reading.marks.templates.flat import Flat, lay_flat
from chartscan.reading.marks.templates.template import Template, template_of
from chartscan.reading.page.page import Page
from tests.reading.staged import Pixels, Rgb, straight, tiled

SIDE = 20
BLACK: Rgb = (0, 0, 0)
Cells = NDArray[np.intp]
Mask = NDArray[np.bool_]
Y, X = (np.indices((SIDE, SIDE)) + 0.5) / SIDE


def _glyph(*boxes: tuple[float, float, float, float]) -> Mask:
    """Boxes (left, top, right, bottom) in parts of the cell."""
    shape = np.zeros((SIDE, SIDE), np.bool_)
    for left, top, right, bottom in boxes:
        shape |= (left <= X) & (right >= X) & (top <= Y) & (bottom >= Y)
    return shape


ELL = _glyph((0.25, 0.2, 0.4, 0.8), (0.25, 0.65, 0.75, 0.8))
TEE = _glyph((0.2, 0.2, 0.8, 0.35), (0.42, 0.2, 0.58, 0.8))
BARS = _glyph((0.2, 0.3, 0.8, 0.4), (0.2, 0.6, 0.8, 0.7))
NONE = _glyph()


def cell(ground: Rgb, glyph: Mask = NONE, ink: Rgb = BLACK) -> Pixels:
    """A cell with its glyph, without lines."""
    picture = np.full((SIDE, SIDE, 3), ground, np.uint8)
    picture[glyph] = ink
    return picture


def small(glyph: Mask, corner: Corner, scale: float = 0.55) -> Mask:
    """The glyph made small, its middle a third of the cell from the sides of a corner."""
    rows, columns = np.flatnonzero(glyph.any(axis=1)), np.flatnonzero(glyph.any(axis=0))
    cut = glyph[rows[0] : rows[-1] + 1, columns[0] : columns[-1] + 1]
    height, width = (round(n * scale) for n in cut.shape)
    less = np.asarray(Image.fromarray(cut.astype(np.uint8) * 255).resize((width, height)))
    placed = np.zeros((SIDE, SIDE), np.bool_)
    y = (2 / 3 if "bottom" in corner else 1 / 3) * SIDE - height / 2
    x = (2 / 3 if "right" in corner else 1 / 3) * SIDE - width / 2
    placed[round(y) :][:height, round(x) :][:, :width] = less > 100
    return placed


def half(corner: Corner) -> Mask:
    """The samples of the triangle at a corner."""
    right, low = "right" in corner, "bottom" in corner
    return np.asarray((1 - X if right else X) + (1 - Y if low else Y) < 1, np.bool_)


def halves(corner: Corner, here: Pixels, there: Pixels) -> Pixels:
    """One picture in the triangle at a corner, another in the rest."""
    return np.where(half(corner)[..., None], here, there)


def flat_of(
    cells: Cells,
    pictures: Sequence[Pixels],
    odd: Mapping[tuple[int, int], Pixels] | None = None,
    drawn: Mask | None = None,
    ink: Rgb = (0, 90, 200),
) -> Flat:
    """A page of those pictures, ``odd`` ones among them, and ink where ``drawn``, laid flat."""
    return lay_flat(
        page_of(cells, pictures, odd, drawn, ink), straight(cells.shape[1], cells.shape[0], SIDE)
    )


def page_of(
    cells: Cells,
    pictures: Sequence[Pixels],
    odd: Mapping[tuple[int, int], Pixels] | None = None,
    drawn: Mask | None = None,
    ink: Rgb = (0, 90, 200),
) -> Page:
    """The same as a page: grey lines at the top and left of every cell, ink over all."""
    pixels = tiled(cells, pictures)
    for (row, column), picture in (odd or {}).items():
        pixels[row * SIDE : (row + 1) * SIDE, column * SIDE : (column + 1) * SIDE] = picture
    pixels[::SIDE] = pixels[:, ::SIDE] = 150
    if drawn is not None:
        pixels[drawn] = ink
    return Page(pixels, lossless=True)


def templates_of(flat: Flat, cells: Cells, number: int) -> list[Template]:
    """The pictures of so many classes, as their cells have them."""
    return [template_of(flat, np.flatnonzero(cells.ravel() == k)) for k in range(number)]
