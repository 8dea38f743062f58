"""Charts as PDF: drawn as vectors in several ways, or as a picture on the page."""

from __future__ import annotations

from dataclasses import dataclass
from io import BytesIO
from itertools import pairwise
from typing import TYPE_CHECKING, Literal

import numpy as np
from PIL import Image

from tests.drawing.assets import font_folder
from tests.drawing.marks import Marks
from tests.drawing.render import contrast
from tests.drawing.style import RGB, Design, Pixels

if TYPE_CHECKING:
    from reportlab.pdfgen.canvas import Canvas

INK: RGB = (0, 0, 0)


@dataclass(frozen=True)
class Sheet:
    """How a vector chart is put on its page; lengths in points (1/72 inch).

    Attributes:
        pitch: cell size. margin: left and bottom.
        fills: a rectangle per cell, per run of cells in a row, or one path per colour.
        lines: one path per line, one path for all, or a stroked square per cell.
        line, line_grey: width and grey of minor lines. bold_every: 0 for no bold ones.
        empty_fills: whether empty cells are painted too.
        glyphs: glyphs as text of an embedded font; one_ink: without colours under them.
        numbers, key, title: what stands round the chart.
    """

    pitch: float = 9.0
    margin: tuple[float, float] = (50.0, 60.0)
    fills: Literal["cell", "run", "path"] = "cell"
    lines: Literal["each", "path", "squares", "none"] = "each"
    line: float = 0.4
    line_grey: float = 0.5
    bold_every: int = 10
    empty_fills: bool = False
    glyphs: bool = False
    one_ink: bool = False
    numbers: bool = True
    key: bool = True
    title: str = "Harbour Lights"


def _colour(canvas: Canvas, rgb: RGB | np.ndarray[tuple[int, ...], np.dtype[np.uint8]]) -> None:
    canvas.setFillColorRGB(*(int(v) / 255 for v in rgb))


def _runs(row: np.ndarray[tuple[int, ...], np.dtype[np.int32]]) -> list[tuple[int, int, int]]:
    """(first, end, class) of every run of equal cells in a row."""
    ends = np.flatnonzero(np.diff(row)) + 1
    edges = [0, *(int(e) for e in ends), len(row)]
    return [(a, b, int(row[a])) for a, b in pairwise(edges)]


def _fills(canvas: Canvas, design: Design, sheet: Sheet, x0: float, y1: float) -> None:
    p = sheet.pitch
    if sheet.fills == "path":
        for index in range(0 if sheet.empty_fills else 1, design.classes):
            path = canvas.beginPath()
            for r, c in np.argwhere(design.cells == index):
                path.rect(x0 + int(c) * p, y1 - (int(r) + 1) * p, p, p)
            _colour(canvas, design.colours[index])
            canvas.drawPath(path, stroke=0, fill=1)
        return
    for r in range(design.rows):
        runs = _runs(design.cells[r])
        if sheet.fills == "cell":
            runs = [(c, c + 1, int(v)) for c, v in enumerate(design.cells[r])]
        for a, b, index in runs:
            if index or sheet.empty_fills:
                _colour(canvas, design.colours[index])
                canvas.rect(x0 + a * p, y1 - (r + 1) * p, (b - a) * p, p, stroke=0, fill=1)


def _lattice(canvas: Canvas, design: Design, sheet: Sheet, x0: float, y1: float) -> None:
    p, w, h = sheet.pitch, design.columns, design.rows
    upright = [(x0 + i * p, y1, x0 + i * p, y1 - h * p, i) for i in range(w + 1)]
    level = [(x0, y1 - i * p, x0 + w * p, y1 - i * p, i) for i in range(h + 1)]
    canvas.setStrokeGray(sheet.line_grey)
    canvas.setLineWidth(sheet.line)
    if sheet.lines == "each":
        for ax, ay, bx, by, _ in upright + level:
            canvas.line(ax, ay, bx, by)
    elif sheet.lines == "path":
        canvas.lines([(a, b, c, d) for a, b, c, d, _ in upright + level])
    elif sheet.lines == "squares":
        for r in range(h):
            for c in range(w):
                canvas.rect(x0 + c * p, y1 - (r + 1) * p, p, p, stroke=1, fill=0)
    if sheet.bold_every:
        canvas.setStrokeGray(0.0)
        canvas.setLineWidth(max(0.9, 2.5 * sheet.line))
        for lines, end in ((upright, w), (level, h)):
            for ax, ay, bx, by, i in lines:
                if i % sheet.bold_every == 0 or i == end:
                    canvas.line(ax, ay, bx, by)


def _register() -> str:
    """DejaVu Sans made known to reportlab; its name there."""
    from reportlab.pdfbase import pdfmetrics
    from reportlab.pdfbase.ttfonts import TTFont

    if "ChartSigns" not in pdfmetrics.getRegisteredFontNames():
        pdfmetrics.registerFont(TTFont("ChartSigns", str(font_folder() / "DejaVuSans.ttf")))
    return "ChartSigns"


def _glyphs(canvas: Canvas, design: Design, sheet: Sheet, x0: float, y1: float) -> None:
    p = sheet.pitch
    canvas.setFont(_register(), p * 0.75)
    for r, c in np.argwhere(design.cells > 0):
        index = int(design.cells[r, c])
        sign = design.symbol(index)
        if sign is None:
            continue
        _colour(canvas, INK if sheet.one_ink else contrast(design.colours[index]))
        canvas.drawCentredString(x0 + (int(c) + 0.5) * p, y1 - (int(r) + 0.77) * p, sign)


def _extras(canvas: Canvas, design: Design, sheet: Sheet, x0: float, y1: float) -> None:
    p = sheet.pitch
    _colour(canvas, INK)
    if sheet.title:
        canvas.setFont("Helvetica-Bold", 14)
        canvas.drawString(x0, y1 + 24, sheet.title)
    if sheet.numbers:
        canvas.setFont("Helvetica", 7)
        for i in range(10, design.columns + 1, 10):
            canvas.drawCentredString(x0 + i * p, y1 + 4, str(i))
        for i in range(10, design.rows + 1, 10):
            canvas.drawRightString(x0 - 4, y1 - i * p - 2, str(i))
    if sheet.key:
        side, left = 9.0, x0 + design.columns * p + 20
        for i in range(1, design.classes):
            y = y1 - i * 13
            if not sheet.one_ink:
                _colour(canvas, design.colours[i])
            canvas.setStrokeGray(0)
            canvas.setLineWidth(0.5)
            canvas.rect(left, y, side, side, stroke=1, fill=0 if sheet.one_ink else 1)
            _colour(canvas, INK)
            canvas.setFont("Helvetica", 7)
            canvas.drawString(left + 14, y + 2, f"Shade {i}")


def _marks(
    canvas: Canvas, design: Design, sheet: Sheet, marks: Marks, x0: float, y1: float
) -> None:
    p = sheet.pitch
    table = [colour for _, colour in marks.colours]
    canvas.setLineWidth(marks.width * p)
    canvas.setLineCap(1 if marks.round_ends else 0)
    for line in marks.lines:
        rgb = table[line.class_index - design.classes]
        canvas.setStrokeColorRGB(*(v / 255 for v in rgb))
        path = canvas.beginPath()
        places = [(x0 + x * p, y1 - y * p) for x, y in line.points]
        path.moveTo(*places[0])
        for place in places[1:]:
            path.lineTo(*place)
        canvas.drawPath(path, stroke=1, fill=0)
    for knot in marks.knots:
        _colour(canvas, table[knot.class_index - design.classes])
        canvas.circle(x0 + knot.x * p, y1 - knot.y * p, marks.dot * p / 2, stroke=0, fill=1)


def page_size(design: Design, sheet: Sheet) -> tuple[float, float]:
    """Width and height in points of the page that ``sheet`` needs."""
    left, low = sheet.margin
    wide = left + design.columns * sheet.pitch + (120 if sheet.key else left)
    return wide, max(low + design.rows * sheet.pitch, design.classes * 13 + 20 + low) + 70


def new_canvas(out: BytesIO, size: tuple[float, float]) -> Canvas:
    """A PDF canvas that writes the same bytes every time."""
    from reportlab.pdfgen.canvas import Canvas as New

    return New(out, pagesize=size, invariant=1)


def vector_page(canvas: Canvas, design: Design, sheet: Sheet, marks: Marks | None = None) -> None:
    """Draw ``design`` on the canvas's page, then begin another page."""
    size = page_size(design, sheet)
    canvas.setPageSize(size)
    x0, y1 = sheet.margin[0], size[1] - 60
    if not sheet.one_ink:
        _fills(canvas, design, sheet, x0, y1)
    if sheet.glyphs and sheet.lines == "squares":
        _lattice(canvas, design, sheet, x0, y1)
        _glyphs(canvas, design, sheet, x0, y1)
    else:
        if sheet.glyphs:
            _glyphs(canvas, design, sheet, x0, y1)
        _lattice(canvas, design, sheet, x0, y1)
    _extras(canvas, design, sheet, x0, y1)
    if marks is not None:
        _marks(canvas, design, sheet, marks, x0, y1)
    canvas.showPage()


def cover_page(canvas: Canvas, size: tuple[float, float]) -> None:
    """A page of plain text, as patterns have before their chart."""
    canvas.setPageSize(size)
    canvas.setFont("Helvetica", 16)
    canvas.drawString(60, size[1] - 100, "Harbour Lights")
    canvas.setFont("Helvetica", 10)
    for i in range(8):
        canvas.drawString(60, size[1] - 130 - 16 * i, "Stitch from the middle, over two threads.")
    canvas.showPage()


def picture_page(canvas: Canvas, pixels: Pixels, dpi: float) -> None:
    """A page that holds nothing but a picture, as scanners write it."""
    from reportlab.lib.utils import ImageReader

    height, width = pixels.shape[:2]
    size = (width * 72 / dpi, height * 72 / dpi)
    canvas.setPageSize(size)
    canvas.drawImage(ImageReader(Image.fromarray(pixels)), 0, 0, *size)
    canvas.showPage()
