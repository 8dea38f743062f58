"""How cells, symbols and marks of a reading are drawn on a straight grid."""

from __future__ import annotations

import io
from collections.abc import Sequence
from itertools import pairwise
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from chartscan.chart import Chart, ChartClass
from chartscan.colour.contrast import BLACK, WHITE
from chartscan.reading.cells.sampling import LUMA
from chartscan.reading.review.falsecolour import Paint, Pattern

if TYPE_CHECKING:
    from PIL import Image, ImageDraw, ImageFont

Rgb = tuple[int, int, int]
XY = tuple[float, float]
Pixels = NDArray[np.uint8]

LINE: Rgb = (214, 0, 120)  # what is drawn over a page: no print has that pink
PALE: Rgb = (150, 150, 150)
SIGN = 5  # a sign in a corner is one part in so many of its cell
KNOT = 0.65  # diameter of a knot, in cells
AROUND = 0.1  # how much wider the ring behind it is, in cells
PEN = 8  # the ring is one part in so many of a cell wide, a line twice that
INSIDE = 0.8  # part of a part stitch that is painted, so that two pieces of a cell don't touch
LIGHT = 140.0  # luma above which black is read better than white: near the grey of L* 58


def font(size: float) -> ImageFont.FreeTypeFont | ImageFont.ImageFont:
    """The letters that Pillow brings along, ``size`` px high."""
    from PIL import ImageFont

    return ImageFont.load_default(size)


def over(colour: Rgb) -> Rgb:
    """Black or white, whichever is read better on ``colour``."""
    return BLACK if float(np.dot(colour, LUMA)) > LIGHT else WHITE


def read_cells(chart: Chart, painted: Sequence[Paint], side: int) -> Image.Image:
    """The cells of a chart, ``side`` px each, in the paint of their class, with its symbol."""
    from PIL import Image

    tiles = np.stack([class_tile(entry, painted[entry.index], side) for entry in chart.classes])
    laid = tiles[chart.cells].transpose(0, 2, 1, 3, 4)
    shape = (chart.rows * side, chart.columns * side, 3)
    return Image.fromarray(np.ascontiguousarray(laid.reshape(shape)))


def class_tile(entry: ChartClass, paint: Paint, side: int) -> Pixels:
    """One cell of a class, sRGB, shape (side, side, 3)."""
    from PIL import Image, ImageDraw

    tile = Image.new("RGB", (side, side), paint.rgb)
    if paint.pattern != "plain":
        _draw_pattern(ImageDraw.Draw(tile), paint.pattern, side, over(paint.rgb))
    if entry.picture is not None and entry.kind == "stitch":
        tile.paste(over(paint.rgb), (0, 0), glyph_mask(entry.picture, side))
    return np.asarray(tile)


def glyph_mask(picture: bytes, side: int) -> Image.Image:
    """Where a symbol has ink, as a mask of ``side`` px."""
    from PIL import Image, ImageChops

    with Image.open(io.BytesIO(picture)) as image:
        grey = image.convert("L").resize((side, side), Image.Resampling.LANCZOS)
    return ImageChops.invert(grey)


def _draw_pattern(draw: ImageDraw.ImageDraw, pattern: Pattern, side: int, colour: Rgb) -> None:
    """A small sign in the corners or along the rim, where no symbol stands."""
    end, edge = side - 1, max(2, side // SIGN)
    if pattern == "dot":
        draw.ellipse((1, 1, 1 + edge, 1 + edge), fill=colour)
    elif pattern == "bar":
        draw.rectangle((1, end - edge // 2, end - 1, end - 1), fill=colour)
    elif pattern == "corner":
        draw.polygon([(end, end), (end - 2 * edge, end), (end, end - 2 * edge)], fill=colour)
    elif pattern == "frame":
        draw.rectangle((1, 1, end - 1, end - 1), outline=colour)
    elif pattern == "slash":
        draw.line((0, end, end, 0), fill=colour)


class Pen:
    """Draws on a straight grid: cells of ``cell`` px, the first at ``origin``."""

    def __init__(self, image: Image.Image, cell: int, origin: tuple[int, int]) -> None:
        from PIL import ImageDraw

        self.image = image
        self.draw = ImageDraw.Draw(image, "RGBA")
        self.cell = cell
        self.origin = origin

    def at(self, x: float, y: float) -> XY:
        """A place in cells, in pixels of the picture."""
        return self.origin[0] + x * self.cell, self.origin[1] + y * self.cell

    def line(self, points: Sequence[XY], colour: Rgb, width: float, opacity: float = 1.0) -> None:
        """A line through places in cells."""
        fill = (*colour, round(255 * opacity))
        pixels = [self.at(x, y) for x, y in points]
        self.draw.line(pixels, fill=fill, width=max(1, round(width)))

    def ring(self, x: float, y: float, across: float, colour: Rgb, width: float) -> None:
        """A ring around a place, ``across`` cells wide."""
        (px, py), radius = self.at(x, y), across * self.cell / 2
        box = (px - radius, py - radius, px + radius, py + radius)
        self.draw.ellipse(box, outline=colour, width=round(width))

    def polygon(self, points: Sequence[XY], colour: Rgb) -> None:
        """A filled shape with a thin rim that shows on any ground."""
        pixels = [self.at(x, y) for x, y in points]
        self.draw.polygon(pixels, fill=colour, outline=over(colour))

    def marks(self, chart: Chart, painted: Sequence[Paint]) -> None:
        """Part stitches, backstitch and knots, in the paint of their classes."""
        for part in chart.parts:
            outline = part_outline(part.shape, part.corner)
            place = [(part.column + x, part.row + y) for x, y in outline]
            self.polygon(place, painted[part.class_index].rgb)
        for line in chart.lines:
            colour = painted[line.class_index].rgb
            for start, end in pairwise(line.points):
                self.line((start, end), over(colour), 2 * self.cell / PEN + 2)
                self.line((start, end), colour, 2 * self.cell / PEN)
        for knot in chart.knots:
            colour = painted[knot.class_index].rgb
            self.ring(knot.x, knot.y, KNOT + AROUND, over(colour), 2 + self.cell / PEN)
            self.ring(knot.x, knot.y, KNOT, colour, 1 + self.cell / PEN)


def part_outline(shape: str, corner: str) -> list[XY]:
    """Corners of a part stitch in its cell, a little inside it."""
    x, y = float("right" in corner), float("bottom" in corner)
    if shape == "quarter":
        points = [(x, y), (0.5, y), (0.5, 0.5), (x, 0.5)]
    else:
        points = [(x, y), (1 - x, y), (x, 1 - y)]
    middle = np.mean(points, axis=0)
    shrunk = middle + (np.array(points) - middle) * INSIDE
    return [(float(px), float(py)) for px, py in shrunk]
