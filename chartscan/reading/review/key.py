"""The list beside a review: how each class is drawn and looks on the page, and what is asked."""

from __future__ import annotations

import textwrap
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from chartscan.chart import Chart, ChartClass
from chartscan.colour.contrast import BLACK, WHITE
from chartscan.reading.cells.sampling import SHOWN_BY
from chartscan.reading.review.drawing import PALE, Rgb, class_tile, font
from chartscan.reading.review.falsecolour import Paint
from chartscan.reading.review.straighten import Straightened

if TYPE_CHECKING:
    from PIL import Image

ASKED: Rgb = (200, 50, 0)
WORDS = {"stitch": "", "empty": "bare fabric", "line": "backstitch", "knot": "knot"}


@dataclass(frozen=True)
class KeySettings:
    """How the list is laid out; lengths in pixels, before it is enlarged with the picture.

    Attributes:
        width: width of a column.
        side: side of the little pictures.
        text: height of letters.
        leading: from line to line, in heights of letters.
        wrap: letters in a line.
        gap: space between things.
        unit: height of a picture beside which the list has just these sizes.
        most: how much it is enlarged at most.
    """

    width: int = 340
    side: int = 28
    text: int = 15
    leading: float = 1.35
    wrap: int = 42
    gap: int = 6
    unit: int = 1000
    most: float = 2.5


def class_key(
    chart: Chart,
    flat: Straightened,
    painted: Sequence[Paint],
    *,
    false: bool,
    height: int,
    settings: KeySettings = KeySettings(),
) -> Image.Image:
    """The list of classes and the questions, in as many columns as ``height`` px asks for.

    Args:
        chart: what was read.
        flat: its page laid flat.
        painted: how each class is drawn.
        false: whether those colours are chosen, not the page's own.
        height: of the picture that it stands beside, in pixels.
        settings: layout.
    """
    scale = float(np.clip(height / settings.unit, 1.0, settings.most))
    blocks = [_text(words, BLACK, scale, settings) for words in _head(chart, false=false)]
    for entry, count in zip(chart.classes, chart.counts(), strict=True):
        looks = _on_page(entry, chart, flat, settings)
        drawn = class_tile(entry, painted[entry.index], round(settings.side * scale))
        blocks.append(_row(_words(entry, count, chart), entry, [drawn, looks], scale, settings))
    blocks += [_text(f"? {q.text}", ASKED, scale, settings) for q in chart.questions]
    return _columns(blocks, height, round(settings.gap * scale))


def _head(chart: Chart, *, false: bool) -> list[str]:
    doubts, asked = len(chart.doubtful), len(chart.questions)
    said = [
        f"{chart.columns} by {chart.rows} cells, {chart.stitches:,} stitches",
        f"{doubts:,} doubtful cell{'s' * (doubts != 1)}" + (", ringed" if doubts else ""),
        f"{asked} question{'s' * (asked != 1)}" + (", below" if asked else ""),
        "Left: the page. Right: what was read.",
    ]
    if false:
        said.append(
            "Colours on the right are chosen to tell classes apart; they aren't the chart's."
        )
    return said


def _words(entry: ChartClass, count: float, chart: Chart) -> str:
    """Number, count and name of a class, and a mark where something is asked about it."""
    amount = f"{count:,.1f} cells" if entry.kind == "line" else f"{count:,.0f}"
    name = entry.symbol or WORDS[entry.kind]
    asked = "  ?" * any(entry.index in question.classes for question in chart.questions)
    return f"{entry.index}:  {amount}  {name}{asked}"


# ---------------------------------------------------------------------------- blocks


def _text(words: str, colour: Rgb, scale: float, settings: KeySettings) -> Image.Image:
    """Words, broken into lines."""
    from PIL import Image, ImageDraw

    lines = textwrap.wrap(words, settings.wrap) or [""]
    step = round(settings.text * settings.leading * scale)
    block = Image.new("RGB", (round(settings.width * scale), step * len(lines)), WHITE)
    draw = ImageDraw.Draw(block)
    for i, line in enumerate(lines):
        draw.text((0, i * step), line, fill=colour, font=font(settings.text * scale))
    return block


def _row(
    words: str,
    entry: ChartClass,
    pictures: Sequence[object],
    scale: float,
    settings: KeySettings,
) -> Image.Image:
    """One class: as drawn, as seen on the page, and its colour there; then words."""
    from PIL import Image, ImageDraw

    side, gap = round(settings.side * scale), round(settings.gap * scale)
    block = Image.new("RGB", (round(settings.width * scale), side + 2), WHITE)
    draw = ImageDraw.Draw(block)
    left = 0
    for picture in pictures:
        if isinstance(picture, np.ndarray):
            tile = Image.fromarray(picture).resize((side, side), Image.Resampling.BICUBIC)
            block.paste(tile, (left, 0))
            draw.rectangle((left, 0, left + side - 1, side - 1), outline=PALE)
        elif entry.rgb is not None:
            draw.line((left, side / 2, left + side, side / 2), fill=entry.rgb, width=side // 4)
        left += side + gap
    draw.text(
        (left + gap, side / 2), words, fill=BLACK, font=font(settings.text * scale), anchor="lm"
    )
    return block


def _on_page(
    entry: ChartClass, chart: Chart, flat: Straightened, settings: KeySettings
) -> object | None:
    """The mean of cells of a class on the page, sRGB (side, side, 3); None for lines and knots."""
    places = np.argwhere(chart.cells == entry.index)
    if entry.kind not in ("stitch", "empty") or not len(places):
        return None
    some = places[:: -(-len(places) // SHOWN_BY)]
    side = flat.cell_px
    seen = np.zeros((side, side, 3))
    for row, column in some:
        left, top = (int(column) + flat.margin) * side, (int(row) + flat.margin) * side
        seen += np.asarray(flat.picture.crop((left, top, left + side, top + side)))
    return np.asarray((seen / len(some)).round(), dtype=np.uint8)


def _columns(blocks: Sequence[Image.Image], height: int, gap: int) -> Image.Image:
    """Blocks one below the other, in columns of ``height`` px."""
    from PIL import Image

    height = max(height, max(block.height for block in blocks) + 2 * gap)
    places: list[tuple[int, int]] = []
    column, top = 0, gap
    for block in blocks:
        if top + block.height > height:
            column, top = column + 1, gap
        places.append((column * (block.width + gap), top))
        top += block.height + gap
    whole = Image.new("RGB", ((column + 1) * (blocks[0].width + gap), height), WHITE)
    for block, place in zip(blocks, places, strict=True):
        whole.paste(block, place)
    return whole
