"""The design as it will look when it is stitched: crosses in thread colours on the fabric's colour.

A picture to recognise the project by and to judge the colours together, not a chart to work from.
"""

from __future__ import annotations

import base64
import io
from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageDraw

from chartscan.report.terminal import RGB

if TYPE_CHECKING:
    from chartscan.chart import Chart, Corner, Shape

Point = tuple[float, float]

UNKNOWN: RGB = (128, 128, 128)  # a class without a thread


@dataclass(frozen=True)
class StitchedSettings:
    """How the picture is drawn.

    Attributes:
        longest_px: the picture's longer side in pixels, as far as the cell limits let it; enough
            for half a sheet of A4 at 200 dots per inch.
        least_cell_px: a cell is never drawn smaller; below this a cross is a dot.
        most_cell_px: a cell is never drawn larger; above this a small design looks coarse.
        border_cells: cells of bare fabric around the design.
        ground: the fabric's colour where none is told: unbleached cotton, our own choice.
        leg_width: width of one leg of a cross, in cells; two strands cover about this much.
    """

    longest_px: int = 1500
    least_cell_px: int = 2
    most_cell_px: int = 16
    border_cells: int = 2
    ground: RGB = (244, 240, 230)
    leg_width: float = 0.38


def draw_stitched(
    chart: Chart,
    colours: Mapping[int, RGB],
    ground: RGB | None = None,
    cell_shape: tuple[float, float] = (1.0, 1.0),
    settings: StitchedSettings = StitchedSettings(),
) -> Image.Image:
    """Draw ``chart`` as worked in ``colours`` (sRGB by class index) on fabric coloured ``ground``.

    Args:
        chart: the chart.
        colours: thread colour per class; a class that isn't there is drawn grey.
        ground: fabric colour; unbleached cotton where None.
        cell_shape: width and height of one stitch, in any unit; only their ratio counts.
        settings: sizes.
    """
    ground = ground or settings.ground
    size = _cell_px(chart, cell_shape, settings)
    leg = settings.leg_width
    tiles = np.stack(
        [
            _tile(colours.get(c.index, UNKNOWN) if c.kind == "stitch" else None, ground, size, leg)
            for c in chart.classes
        ]
        + [_tile(None, ground, size, leg)]
    )
    cells = np.pad(chart.cells, settings.border_cells, constant_values=len(tiles) - 1)
    image = Image.fromarray(_mosaic(tiles, cells))
    _draw_parts(image, chart, tiles, size, settings.border_cells)
    _draw_lines_and_knots(image, chart, colours, size, settings.border_cells)
    return image


def data_uri(image: Image.Image) -> str:
    """``image`` as a PNG inside a ``data:`` address, so that a page needs no second file."""
    return "data:image/png;base64," + base64.b64encode(png(image)).decode("ascii")


def png(image: Image.Image) -> bytes:
    """``image`` as the bytes of a PNG file."""
    stream = io.BytesIO()
    image.save(stream, format="PNG", optimize=True)
    return stream.getvalue()


def _cell_px(
    chart: Chart, cell_shape: tuple[float, float], settings: StitchedSettings
) -> tuple[int, int]:
    """Width and height of a cell in pixels, in the ratio of ``cell_shape``."""
    width, height = cell_shape
    border = 2 * settings.border_cells
    longest = max((chart.columns + border) * width, (chart.rows + border) * height)
    scale = settings.longest_px / longest

    def fitting(side: float) -> int:
        return min(max(round(side * scale), settings.least_cell_px), settings.most_cell_px)

    return fitting(width), fitting(height)


def _mosaic(tiles: NDArray[np.uint8], cells: NDArray[np.int32]) -> NDArray[np.uint8]:
    """Lay ``tiles`` (n, h, w, 3) by ``cells`` (rows, columns) into one picture."""
    rows, columns = cells.shape
    _, height, width, channels = tiles.shape
    laid = tiles[cells].transpose(0, 2, 1, 3, 4)
    return np.ascontiguousarray(laid.reshape(rows * height, columns * width, channels))


# ---------------------------------------------------------------------------- one stitch

_FINER = 4  # a tile is drawn this much larger and shrunk, which smooths its edges


def _tile(
    colour: RGB | None, ground: RGB, size: tuple[int, int], leg_width: float
) -> NDArray[np.uint8]:
    """One cell: a cross of ``colour``, or bare fabric with its holes at the corners."""
    width, height = size[0] * _FINER, size[1] * _FINER
    image = Image.new("RGB", (width, height), ground)
    draw = ImageDraw.Draw(image)
    hole = max(width, height) * 0.09
    for x, y in ((0, 0), (width, 0), (0, height), (width, height)):
        draw.ellipse((x - hole, y - hole, x + hole, y + hole), fill=_shade(ground, 0.86))
    if colour is not None:
        leg = max(width, height) * leg_width
        _leg(draw, (0, height), (width, 0), leg, _shade(colour, 0.92))
        _leg(draw, (0, 0), (width, height), leg, colour)
    return np.asarray(image.resize(size, Image.Resampling.BOX))


def _leg(draw: ImageDraw.ImageDraw, start: Point, end: Point, width: float, colour: RGB) -> None:
    """One leg of a cross: the thread, between darker edges that part it from its neighbours."""
    draw.line((start, end), fill=_shade(colour, 0.78), width=round(width * 1.2))
    draw.line((start, end), fill=colour, width=round(width * 0.84))


def _shade(colour: RGB, factor: float) -> RGB:
    red, green, blue = (max(0, min(255, round(channel * factor))) for channel in colour)
    return red, green, blue


# ---------------------------------------------------------------------------- marks


def _draw_parts(
    image: Image.Image, chart: Chart, tiles: NDArray[np.uint8], size: tuple[int, int], border: int
) -> None:
    """Lay the piece of a cross that each part stitch stands for over its cell."""
    width, height = size
    for part in chart.parts:
        mask = Image.new("L", size, 0)
        ImageDraw.Draw(mask).polygon(
            [(x * (width - 1), y * (height - 1)) for x, y in piece(part.shape, part.corner)],
            fill=255,
        )
        place = ((part.column + border) * width, (part.row + border) * height)
        image.paste(Image.fromarray(tiles[part.class_index]), place, mask)


def piece(shape: Shape, corner: Corner) -> list[Point]:
    """Corners of the piece that a part stitch fills, in cells from the cell's top left."""
    x = 0.0 if corner.endswith("left") else 1.0
    y = 0.0 if corner.startswith("top") else 1.0
    if shape == "triangle":
        return [(x, y), (1 - x, y), (x, 1 - y)]
    return [(x, y), (0.5, y), (0.5, 0.5), (x, 0.5)]


def _draw_lines_and_knots(
    image: Image.Image,
    chart: Chart,
    colours: Mapping[int, RGB],
    size: tuple[int, int],
    border: int,
) -> None:
    width, height = size
    draw = ImageDraw.Draw(image)

    def at(x: float, y: float) -> Point:
        return (x + border) * width, (y + border) * height

    for line in chart.lines:
        colour = colours.get(line.class_index, UNKNOWN)
        points = [at(x, y) for x, y in line.points]
        draw.line(points, fill=colour, width=max(1, round(max(size) * 0.2)), joint="curve")
    radius = max(size) * 0.26
    for knot in chart.knots:
        colour = colours.get(knot.class_index, UNKNOWN)
        x, y = at(knot.x, knot.y)
        box = (x - radius, y - radius, x + radius, y + radius)
        draw.ellipse(box, fill=colour, outline=_shade(colour, 0.6))
