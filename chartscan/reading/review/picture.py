"""The review picture: the page with the reading drawn over it, for a person to judge at a glance.

In every stitched cell a small square shows what was read; it should vanish in a cell that was read
right. Where the page prints one ink, or two classes share a colour, squares get colours of their
own, explained beside the page. Cells that the reader isn't sure of are ringed.
"""

from __future__ import annotations

import colorsys
import io
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from chartscan.chart import Chart
from chartscan.reading.evidence import Evidence
from chartscan.reading.lattice.model import Lattice

if TYPE_CHECKING:
    from PIL import Image, ImageDraw, ImageFont

Rgb = tuple[int, int, int]
Floats = NDArray[np.float64]
XY = tuple[float, float]

LINE: Rgb = (214, 0, 120)
DOUBT: Rgb = (255, 60, 0)
WHITE: Rgb = (255, 255, 255)
BLACK: Rgb = (0, 0, 0)
NEAR_ENOUGH = 1.3  # from the size of cell aimed at; the page's own pixels are shown


@dataclass(frozen=True)
class ReviewSettings:
    """How the picture is drawn.

    Attributes:
        cell: pixels per cell aimed at; smaller cells are enlarged, larger ones made smaller.
        most_pixels: largest picture of one page, in pixels.
        paler: how much white is mixed into the page, so that what is drawn stands out.
        square: side of the square in each cell, in cells.
        bold_every: lines between two bold ones, as on printed charts.
        ring: diameter of the ring around a doubtful cell, in cells.
        key: width of the list of classes beside a page 1000 pixels high, in pixels.
        margin: pixels kept free above and to the left of the grid for its numbers.
    """

    cell: float = 18.0
    most_pixels: int = 30_000_000
    paler: float = 0.25
    square: float = 0.42
    bold_every: int = 10
    ring: float = 1.9
    key: int = 250
    margin: int = 46


def review_picture(
    chart: Chart,
    evidence: Sequence[Evidence],
    layout: tuple[int, int] | None = None,
    settings: ReviewSettings = ReviewSettings(),
) -> bytes:
    """Draw what was read over the page or pages it was read from.

    Args:
        chart: the whole chart, corrections included.
        evidence: its pages, with their places in it.
        layout: rows and columns of pages; None for one row.
        settings: how it is drawn.

    Returns:
        A PNG file.
    """
    from PIL import Image

    colours = class_colours(chart)
    pictures = [_page_picture(chart, page, colours, settings) for page in evidence]
    columns = layout[1] if layout else len(pictures)
    rows = [pictures[i : i + columns] for i in range(0, len(pictures), columns)]
    heights = [max(p.height for p in row) for row in rows]
    key = _key(chart, colours, max(sum(heights), 200), settings)
    width = max(sum(p.width for p in row) for row in rows)
    whole = Image.new("RGB", (width + key.width, max(sum(heights), key.height)), WHITE)
    top = 0
    for row, height in zip(rows, heights, strict=True):
        left = 0
        for picture in row:
            whole.paste(picture, (left, top))
            left += picture.width
        top += height
    whole.paste(key, (width, 0))
    stream = io.BytesIO()
    whole.save(stream, "PNG", compress_level=4)
    return stream.getvalue()


def class_colours(chart: Chart) -> list[Rgb]:
    """A colour per class to draw it in: its own, or one of a wheel where that tells nothing."""
    own = [c.rgb for c in chart.classes if c.kind != "empty"]
    colours: list[Rgb] = []
    for entry in chart.classes:
        if entry.rgb is not None and (entry.kind != "stitch" or own.count(entry.rgb) == 1):
            colours.append(entry.rgb)
        else:
            # The golden ratio keeps neighbours on the list apart on the wheel.
            hue = entry.index * 0.618034 % 1
            light = 0.42 + 0.2 * (entry.index % 3) / 2
            red, green, blue = colorsys.hls_to_rgb(hue, light, 0.9)
            colours.append((round(255 * red), round(255 * green), round(255 * blue)))
    return colours


# --------------------------------------------------------------------------- page


class _Pen:
    """Draws in cells of one page: the lattice, at the picture's scale."""

    def __init__(
        self, draw: ImageDraw.ImageDraw, lattice: Lattice, scale: float, shift: XY
    ) -> None:
        self.draw = draw
        self.lattice = lattice
        self.scale = scale
        self.shift = shift
        self.cell = float(np.mean(lattice.pitch)) * scale

    def at(self, points: Floats) -> list[XY]:
        """Grid points (n, 2) in pixels of the picture."""
        pixels = self.lattice.to_pixels(np.asarray(points, dtype=np.float64).reshape(-1, 2))
        return [(float(x), float(y)) for x, y in pixels * self.scale + self.shift]

    def line(self, points: Floats, colour: Rgb, width: float) -> None:
        """A line through grid points, bent as the paper is."""
        self.draw.line(self.at(points), fill=colour, width=max(1, round(width)))

    def polygon(self, points: Floats, colour: Rgb) -> None:
        """A filled shape with a thin rim that shows on any ground."""
        self.draw.polygon(self.at(points), fill=colour, outline=_rim(colour))

    def ring(self, x: float, y: float, across: float, colour: Rgb, width: float) -> None:
        """A ring around a grid point, ``across`` cells wide."""
        (px, py), r = self.at(np.array([[x, y]]))[0], across * self.cell / 2
        self.draw.ellipse((px - r, py - r, px + r, py + r), outline=colour, width=round(width))


def _rim(colour: Rgb) -> Rgb:
    return WHITE if sum(colour) < 330 else BLACK


def _page_picture(
    chart: Chart, page: Evidence, colours: Sequence[Rgb], settings: ReviewSettings
) -> Image.Image:
    from PIL import Image, ImageDraw

    scale = _scale(page, settings)
    picture = Image.fromarray(page.page.pixels)
    size = (round(picture.width * scale), round(picture.height * scale))
    resample = Image.Resampling.BOX if scale < 1 else Image.Resampling.NEAREST
    picture = picture.resize(size, resample)
    picture = Image.blend(picture, Image.new("RGB", size, WHITE), settings.paler)
    picture, shift = _with_margin(picture, page.lattice, scale, settings)
    pen = _Pen(ImageDraw.Draw(picture), page.lattice, scale, shift)
    _draw_squares(pen, chart, page, colours, settings)
    _draw_lattice(pen, page, settings)
    _draw_marks(pen, chart, page, colours)
    _draw_doubts(pen, chart, page, settings)
    _draw_numbers(pen, page, settings)
    return picture


def _with_margin(
    picture: Image.Image, lattice: Lattice, scale: float, settings: ReviewSettings
) -> tuple[Image.Image, XY]:
    """Room for the numbers above and to the left, where the grid starts at the page's edge."""
    from PIL import Image

    first = lattice.to_pixels(
        np.array([[0, 0], [0, lattice.rows], [lattice.columns, 0]], dtype=np.float64)
    )
    left, top = (int(v) for v in np.clip(settings.margin - first.min(axis=0) * scale, 0, None))
    if not (left or top):
        return picture, (0.0, 0.0)
    wide = Image.new("RGB", (picture.width + left, picture.height + top), WHITE)
    wide.paste(picture, (left, top))
    return wide, (float(left), float(top))


def _scale(page: Evidence, settings: ReviewSettings) -> float:
    """From the page to the picture: cells near the size aimed at, within the limit of pixels."""
    width, height = page.page.size
    wanted = settings.cell / float(np.mean(page.lattice.pitch))
    if wanted > NEAR_ENOUGH:
        wanted = float(np.ceil(wanted))  # whole steps keep the page's pixels even
    elif wanted > 1 / NEAR_ENOUGH:
        wanted = 1.0
    return min(wanted, float(np.sqrt(settings.most_pixels / (width * height))))


def _draw_lattice(pen: _Pen, page: Evidence, settings: ReviewSettings) -> None:
    columns, rows = pen.lattice.columns, pen.lattice.rows
    row, column = page.origin
    for axis, count, length, start in ((0, columns, rows, column), (1, rows, columns, row)):
        along = np.arange(length + 1) if pen.lattice.residual.size else np.array([0, length])
        for index in range(count + 1):
            across = np.full(len(along), index)
            points = np.stack([across, along] if axis == 0 else [along, across], axis=-1)
            bold = (start + index) % settings.bold_every == 0 or index in (0, count)
            pen.line(points, LINE, pen.cell / 7 if bold else 1)


def _draw_squares(
    pen: _Pen, chart: Chart, page: Evidence, colours: Sequence[Rgb], settings: ReviewSettings
) -> None:
    row, column = page.origin
    rows, columns = page.lattice.rows, page.lattice.columns
    cells = chart.cells[row : row + rows, column : column + columns]
    stitched = np.array([c.kind == "stitch" for c in chart.classes])[cells]
    centres = page.lattice.centres() * pen.scale + pen.shift
    half = settings.square * pen.cell / 2
    for r, c in np.argwhere(stitched):
        x, y = centres[r, c]
        colour = colours[int(cells[r, c])]
        box = (x - half, y - half, x + half, y + half)
        pen.draw.rectangle(box, fill=colour, outline=_rim(colour) if pen.cell >= 10 else None)


def _draw_marks(pen: _Pen, chart: Chart, page: Evidence, colours: Sequence[Rgb]) -> None:
    down, right = page.origin
    for part in chart.parts:
        at = np.array([part.column - right, part.row - down])
        pen.polygon(_part_outline(part.shape, part.corner) + at, colours[part.class_index])
    for line in chart.lines:
        for start, end in pairwise(line.points):
            points = np.linspace(start, end, 8) - (right, down)
            pen.line(points, _rim(colours[line.class_index]), pen.cell / 4 + 2)
            pen.line(points, colours[line.class_index], pen.cell / 4)
    for knot in chart.knots:
        x, y = knot.x - right, knot.y - down
        pen.ring(x, y, 0.75, _rim(colours[knot.class_index]), 2 + pen.cell / 8)
        pen.ring(x, y, 0.65, colours[knot.class_index], 1 + pen.cell / 8)


def _part_outline(shape: str, corner: str) -> Floats:
    """Corners of a part stitch in its cell, a little inside it."""
    x, y = float("right" in corner), float("bottom" in corner)
    if shape == "quarter":
        points = [(x, y), (0.5, y), (0.5, 0.5), (x, 0.5)]
    else:
        points = [(x, y), (1 - x, y), (x, 1 - y)]
    middle = np.mean(points, axis=0)
    inside: Floats = middle + (np.array(points) - middle) * 0.8
    return inside


def _draw_doubts(pen: _Pen, chart: Chart, page: Evidence, settings: ReviewSettings) -> None:
    row, column = page.origin
    for r, c in chart.doubtful:
        if 0 <= r - row < page.lattice.rows and 0 <= c - column < page.lattice.columns:
            at = (c - column + 0.5, r - row + 0.5)
            pen.ring(*at, settings.ring, WHITE, 5)
            pen.ring(*at, settings.ring, DOUBT, 3)


def _draw_numbers(pen: _Pen, page: Evidence, settings: ReviewSettings) -> None:
    """Column numbers above the grid and row numbers to its left, each at its bold line."""
    row, column = page.origin
    font = _font(max(11.0, min(28.0, pen.cell * 1.1)))
    for axis, count, start in (
        (0, page.lattice.columns, column),
        (1, page.lattice.rows, row),
    ):
        first = settings.bold_every - start % settings.bold_every
        marks = [m for m in range(first, count, settings.bold_every) if count - m >= 4]
        for mark in sorted({*marks, count}):
            point = np.array([[mark, -0.25]] if axis == 0 else [[-0.25, mark]])
            (x, y) = pen.at(point)[0]
            number, anchor = str(start + mark), "mb" if axis == 0 else "rm"
            # The page's own numbers may stand in the same place.
            box = pen.draw.textbbox((x, y), number, font=font, anchor=anchor)
            pen.draw.rectangle((box[0] - 3, box[1] - 2, box[2] + 3, box[3] + 2), fill=WHITE)
            pen.draw.text((x, y), number, fill=LINE, font=font, anchor=anchor)


# ---------------------------------------------------------------------------- key


def _font(size: float) -> ImageFont.FreeTypeFont | ImageFont.ImageFont:
    from PIL import ImageFont

    return ImageFont.load_default(size)


def _key(
    chart: Chart, colours: Sequence[Rgb], height: int, settings: ReviewSettings
) -> Image.Image:
    """The list of classes: number, square, symbol, count; in as many columns as it needs."""
    from PIL import Image, ImageDraw

    unit = max(1.0, height / 1000)
    step, head = round(24 * unit), round(84 * unit)
    fit = max(1, (height - head) // step)
    width = round(settings.key * unit)
    picture = Image.new("RGB", (width * -(-len(chart.classes) // fit), height), WHITE)
    draw = ImageDraw.Draw(picture)
    said = [
        f"{chart.columns} by {chart.rows} cells",
        f"{chart.stitches:,} stitches",
        f"{len(chart.doubtful):,} doubtful cells" + (", ringed" if chart.doubtful else ""),
    ]
    for i, text in enumerate(said):
        draw.text((14 * unit, (10 + 22 * i) * unit), text, fill=BLACK, font=_font(16 * unit))
    side = round(16 * unit)
    for entry, count in zip(chart.classes, chart.counts(), strict=True):
        left = round(14 * unit) + width * (entry.index // fit)
        top = head + step * (entry.index % fit)
        square = (left, top, left + side, top + side)
        if entry.kind == "empty":
            draw.rectangle(square, outline=(160, 160, 160))
        else:
            draw.rectangle(square, fill=colours[entry.index], outline=BLACK)
        amount = f"{count:,.1f} cells" if entry.kind == "line" else f"{count:,.0f}"
        name = entry.kind if entry.kind != "stitch" else (entry.symbol or "")
        text = f"{entry.index}:  {amount}  {name}"
        place = (left + 1.5 * side, top + side / 2)
        draw.text(place, text, fill=BLACK, font=_font(14 * unit), anchor="lm")
    return picture
