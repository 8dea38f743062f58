"""The review picture: the page laid flat and, beside it, what was read, cell for cell.

Nothing is drawn over a symbol. On the left stands the page, straightened, with thin lines between
the cells; on the right the reading, in its own colours or, where two of them are near or the page
prints one ink, in strong false ones, each with the symbol that its class has on the page. Numbers
run in a margin of their own. Cells that the reader isn't sure of are ringed on both.
"""

from __future__ import annotations

import io
from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from chartscan.chart import Chart
from chartscan.colour.contrast import WHITE
from chartscan.reading.evidence import Evidence
from chartscan.reading.review.drawing import LINE, Pen, Rgb, font, read_cells
from chartscan.reading.review.falsecolour import Paint, paints
from chartscan.reading.review.key import class_key
from chartscan.reading.review.straighten import Straightened, StraightenSettings, straighten
from chartscan.reading.scale import BOLD

if TYPE_CHECKING:
    from PIL import Image

DOUBT: Rgb = (255, 60, 0)
GRID: Rgb = (120, 120, 120)
BESIDE = 5  # pixels between a number and what it stands beside, and around a ring


@dataclass(frozen=True)
class ReviewSettings:
    """How the picture is drawn.

    Attributes:
        flat: how the page is laid flat: cells large enough for their symbols, and a margin that
            shows whether the grid goes on.
        ring: diameter of the ring around a doubtful cell, in cells.
        gap: pixels between page and reading.
        number: height of numbers, in cells.
        number_px: the same in pixels, at least and at most.
        strip: height of the strip in which they stand, in heights of numbers.
        thin: share of the line's colour in a thin line, so that no symbol is lost under it.
    """

    flat: StraightenSettings = field(
        default_factory=lambda: StraightenSettings(
            least_px=14, most_px=26, most_pixels=18_000_000, margin=3
        )
    )
    ring: float = 1.8
    gap: int = 24
    number: float = 0.9
    number_px: tuple[float, float] = (12.0, 26.0)
    strip: float = 1.6
    thin: float = 0.45


def review_picture(
    chart: Chart, evidence: Sequence[Evidence], settings: ReviewSettings | None = None
) -> bytes:
    """Draw what was read beside the page or pages it was read from.

    Args:
        chart: the whole chart, corrections included.
        evidence: its pages, with their places in it.
        settings: how it is drawn.

    Returns:
        A PNG file.
    """
    settings = settings or ReviewSettings()
    flat = straighten(evidence, (chart.rows, chart.columns), settings.flat)
    painted, false = paints(chart)
    page = _page_panel(chart, flat, settings)
    reading = _reading_panel(chart, flat, painted, settings)
    key = class_key(chart, flat, painted, false=false, height=page.height)
    return _beside([page, reading, key], settings.gap)


def _beside(pictures: Sequence[Image.Image], gap: int) -> bytes:
    """Pictures in a row, on white, as a PNG file."""
    from PIL import Image

    width = sum(p.width for p in pictures) + gap * (len(pictures) - 1)
    whole = Image.new("RGB", (width, max(p.height for p in pictures)), WHITE)
    left = 0
    for picture in pictures:
        whole.paste(picture, (left, 0))
        left += picture.width + gap
    stream = io.BytesIO()
    whole.save(stream, "PNG", compress_level=4)
    return stream.getvalue()


# ---------------------------------------------------------------------------- panels


def _page_panel(chart: Chart, flat: Straightened, settings: ReviewSettings) -> Image.Image:
    """The page with the lattice over it; its symbols stay visible."""
    panel = _with_margin(chart, flat.picture, flat, settings)
    _draw_lattice(panel, chart, LINE, settings)
    _draw_doubts(panel, chart, settings)
    return panel.image


def _reading_panel(
    chart: Chart, flat: Straightened, painted: Sequence[Paint], settings: ReviewSettings
) -> Image.Image:
    """What was read, at the same places and of the same size."""
    from PIL import Image

    blank = Image.new("RGB", flat.picture.size, WHITE)
    blank.paste(
        read_cells(chart, painted, flat.cell_px),
        (flat.margin * flat.cell_px, flat.margin * flat.cell_px),
    )
    panel = _with_margin(chart, blank, flat, settings)
    _draw_lattice(panel, chart, GRID, settings)
    panel.marks(chart, painted)
    _draw_doubts(panel, chart, settings)
    return panel.image


def _with_margin(
    chart: Chart, picture: Image.Image, flat: Straightened, settings: ReviewSettings
) -> Pen:
    """``picture`` with a strip above and to the left in which the numbers stand, whole."""
    from PIL import Image

    letters = font(_number_px(flat.cell_px, settings))
    widest = max(letters.getlength(str(n)) for n in (chart.rows, chart.columns))
    left = round(widest) + flat.cell_px
    top = round(settings.strip * _number_px(flat.cell_px, settings))
    right = round(widest / 2)
    size = (picture.width + left + right, picture.height + top)
    wide = Image.new("RGB", size, WHITE)
    wide.paste(picture, (left, top))
    inset = flat.margin * flat.cell_px
    pen = Pen(wide, flat.cell_px, (left + inset, top + inset))
    _draw_numbers(pen, chart, (left, top), settings)
    return pen


def _number_px(cell_px: int, settings: ReviewSettings) -> float:
    """Height of the numbers beside cells of that size."""
    least, most = settings.number_px
    return max(least, min(most, cell_px * settings.number))


def _draw_numbers(pen: Pen, chart: Chart, strip: tuple[int, int], settings: ReviewSettings) -> None:
    """Column numbers above and row numbers to the left: the first, every tenth and the last.

    The number of a column stands over its middle; columns count from 1, as on printed charts.
    """
    letters = font(_number_px(pen.cell, settings))
    left, top = strip
    for axis, count in ((0, chart.columns), (1, chart.rows)):
        every = max(BOLD)
        numbers = {1, count, *range(every, count + 1, every)}
        crowded = {n for n in numbers if n not in (1, count) and count - n < every // 2}
        for number in sorted(numbers - crowded):
            x, y = pen.at(number - 0.5, number - 0.5)
            place, anchor = ((x, top - 3), "mb") if axis == 0 else ((left - BESIDE, y), "rm")
            pen.draw.text(place, str(number), fill=LINE, font=letters, anchor=anchor)


def _draw_lattice(pen: Pen, chart: Chart, colour: Rgb, settings: ReviewSettings) -> None:
    for axis, count, length in ((0, chart.columns, chart.rows), (1, chart.rows, chart.columns)):
        for index in range(count + 1):
            bold = index % max(BOLD) == 0 or index == count
            ends = [(index, 0), (index, length)] if axis == 0 else [(0, index), (length, index)]
            pen.line(ends, colour, 2 if bold else 1, 1.0 if bold else settings.thin)


def _draw_doubts(pen: Pen, chart: Chart, settings: ReviewSettings) -> None:
    for row, column in chart.doubtful:
        pen.ring(column + 0.5, row + 0.5, settings.ring, WHITE, BESIDE)
        pen.ring(column + 0.5, row + 0.5, settings.ring, DOUBT, 3)
