"""The contact sheet of classes: what each looks like on the page, alone and in place."""

from __future__ import annotations

import io
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from chartscan.chart import Chart, ChartClass
from chartscan.colour.contrast import WHITE
from chartscan.reading.cells.sampling import SHOWN_BY
from chartscan.reading.evidence import Evidence
from chartscan.reading.review.drawing import LINE, PALE

if TYPE_CHECKING:
    from PIL import Image, ImageFont

Pixels = NDArray[np.uint8]
Floats = NDArray[np.float64]

INK = (30, 30, 30)
RULE = (225, 225, 225)  # between two classes


@dataclass(frozen=True)
class SheetSettings:
    """How the sheet is laid out; lengths in pixels.

    Attributes:
        crop: side of the clear picture of a class.
        example: side of a picture of it in place.
        around: cells shown on each side of it there.
        examples: such pictures a class.
        columns: classes side by side.
        gap: space between things.
        compared: side of the pictures by which they are compared.
        text: width of the words beside a class.
        letters: height of its number, of how much there is of it, and of its name.
        lines: how far below each other the tops of these stand.
        swatch: where its colour stands, from the words' corner: left, top, right, bottom.
    """

    crop: int = 104
    example: int = 104
    around: int = 2
    examples: int = 3
    columns: int = 2
    gap: int = 12
    compared: int = 16
    text: int = 190
    letters: tuple[int, int, int] = (34, 16, 14)
    lines: tuple[int, int, int] = (0, 46, 68)
    swatch: tuple[int, int, int, int] = (110, 4, 144, 38)


def contact_sheet(
    chart: Chart, evidence: Sequence[Evidence], settings: SheetSettings = SheetSettings()
) -> bytes:
    """Draw every class: its number, a clear picture of it, a few examples in place, its count.

    Args:
        chart: the whole chart.
        evidence: its pages, with their places in it.
        settings: layout.

    Returns:
        A PNG file.
    """
    from PIL import Image

    cards = [
        _card(entry, count, chart, evidence, settings)
        for entry, count in zip(chart.classes, chart.counts(), strict=True)
    ]
    width, height = cards[0].size
    columns = min(settings.columns, len(cards))
    rows = -(-len(cards) // columns)
    sheet = Image.new("RGB", (columns * width, rows * height), WHITE)
    for i, card in enumerate(cards):
        sheet.paste(card, (i // rows * width, i % rows * height))  # down first, as lists are read
    stream = io.BytesIO()
    sheet.save(stream, "PNG")
    return stream.getvalue()


# -------------------------------------------------------------------------- cards


def _card(
    entry: ChartClass,
    count: float,
    chart: Chart,
    evidence: Sequence[Evidence],
    settings: SheetSettings,
) -> Image.Image:
    from PIL import Image, ImageDraw

    gap = settings.gap
    width = settings.text + settings.crop + settings.examples * (settings.example + gap) + 3 * gap
    height = max(settings.crop, settings.example) + 2 * gap
    card = Image.new("RGB", (width, height), WHITE)
    draw = ImageDraw.Draw(card)
    draw.line((gap, height - 1, width - gap, height - 1), fill=RULE)
    amount = (
        f"{count:,.1f} cells long"
        if entry.kind == "line"
        else f"{count:,.0f} {_unit(entry, count)}"
    )
    words = ((str(entry.index), INK), (amount, INK), (entry.symbol or _plain(entry), PALE))
    for (text, ink), top, height in zip(words, settings.lines, settings.letters, strict=True):
        draw.text((gap, gap + top), text, fill=ink, font=_font(height))
    if entry.rgb is not None:
        box = tuple(gap + side for side in settings.swatch)
        draw.rectangle(box, fill=entry.rgb, outline=PALE)
    places = _places(entry, chart, evidence)
    left = settings.text
    if entry.kind in ("stitch", "empty") and places:
        page, row, column = _clearest(places, settings)
        crop = look(page, (column, row), 1.0, settings.crop)
        card.paste(Image.fromarray(crop), (left, gap))
        draw.rectangle((left, gap, left + settings.crop - 1, gap + settings.crop - 1), outline=PALE)
    left += settings.crop + gap
    step = max(1, len(places) // settings.examples)
    for page, row, column in places[step // 2 :: step][: settings.examples]:
        card.paste(_example(page, row, column, settings), (left, gap))
        left += settings.example + gap
    return card


def _plain(entry: ChartClass) -> str:
    words = {
        "stitch": "plain colour",
        "empty": "empty ground",
        "line": "backstitch",
        "knot": "knot",
    }
    return words[entry.kind]


def _unit(entry: ChartClass, count: float) -> str:
    one = {"empty": "cell", "knot": "knot"}.get(entry.kind, "stitch")
    return one if count == 1 else one + ("es" if one == "stitch" else "s")


def _font(size: float) -> ImageFont.FreeTypeFont | ImageFont.ImageFont:
    from PIL import ImageFont

    return ImageFont.load_default(size)


def _example(page: Evidence, row: int, column: int, settings: SheetSettings) -> Image.Image:
    """The cell in place, framed, with the cells around it."""
    from PIL import Image, ImageDraw

    cells = 2 * settings.around + 1
    seen = look(
        page, (column - settings.around, row - settings.around), float(cells), settings.example
    )
    picture = Image.fromarray(seen)
    side = settings.example / cells
    low, high = settings.around * side - 2, (settings.around + 1) * side + 1
    ImageDraw.Draw(picture).rectangle((low, low, high, high), outline=LINE, width=2)
    return picture


def _places(
    entry: ChartClass, chart: Chart, evidence: Sequence[Evidence]
) -> list[tuple[Evidence, int, int]]:
    """Where a class is found: page, row and column on that page."""
    if entry.kind in ("stitch", "empty"):
        cells = np.argwhere(chart.cells == entry.index)
        if not len(cells):
            cells = np.array(
                [(p.row, p.column) for p in chart.parts if p.class_index == entry.index]
            ).reshape(-1, 2)
    else:
        points = [n.points[0] for n in chart.lines if n.class_index == entry.index]
        points += [(k.x, k.y) for k in chart.knots if k.class_index == entry.index]
        cells = np.floor(np.array([(y, x) for x, y in points]).reshape(-1, 2)).astype(int)
    found = []
    for row, column in cells.tolist():
        for page in evidence:
            r, c = row - page.origin[0], column - page.origin[1]
            if 0 <= r < page.lattice.rows and 0 <= c < page.lattice.columns:
                found.append((page, r, c))
                break
    return found


def _clearest(
    places: Sequence[tuple[Evidence, int, int]], settings: SheetSettings
) -> tuple[Evidence, int, int]:
    """The place that looks most like all the others of its class."""
    step = max(1, len(places) // SHOWN_BY)
    some = places[::step][:SHOWN_BY]
    seen = [look(page, (c, r), 1.0, settings.compared) for page, r, c in some]
    looks = np.array(seen, dtype=np.float64)
    off = np.abs(looks - np.median(looks, axis=0)).mean(axis=(1, 2, 3))
    return some[int(off.argmin())]


def look(page: Evidence, corner: tuple[int, int], cells: float, side: int) -> Pixels:
    """A square of the page, straightened: from grid point ``corner`` (x, y), ``cells`` wide.

    Returns:
        sRGB, shape (side, side, 3); white where it lies off the page.
    """
    steps = (np.arange(side) + 0.5) * (cells / side)
    x, y = np.meshgrid(corner[0] + steps, corner[1] + steps)
    pixels = np.floor(page.lattice.to_pixels(np.stack([x, y], axis=-1))).astype(int)
    width, height = page.page.size
    inside = (pixels >= 0).all(axis=-1) & (pixels[..., 0] < width) & (pixels[..., 1] < height)
    seen = np.full((side, side, 3), 255, dtype=np.uint8)
    seen[inside] = page.page.pixels[pixels[inside, 1], pixels[inside, 0]]
    return seen
