"""What a PDF page draws, as plain values in the order of painting, upright and free of pdfium.

Positions are points (1/72 inch) from the top left corner of the page as shown, x to the right and
y down: page rotation, crop box and the matrices of nested forms are applied here.
"""

from __future__ import annotations

import ctypes
from dataclasses import dataclass
from itertools import pairwise
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

if TYPE_CHECKING:
    from pypdfium2 import PdfPage

Points = NDArray[np.float64]
Rgb = tuple[int, int, int]
Matrix = NDArray[np.float64]  # 3×3, applied to (x, y, 1)

DEVICE_UNITS = 1000  # per point: pdfium maps pages to whole device units only
DEEPEST_FORM = 6  # forms in forms; deeper ones are left to the rendered picture
PLACES = 6  # decimals of a matrix: a millionth of a point
UNKNOWN = 0xFFFD  # the character that stands for one without a code (Unicode, 23.8)
TURN = 360  # degrees
OPAQUE = 250  # of 255: below that a fill lets the ground through


@dataclass(frozen=True)
class Drawn:
    """One path of the page.

    Attributes:
        order: position in the order of painting.
        outlines: the polygons or open runs it consists of, each (n, 2); curves as their end points.
        curved: whether any part of it is a curve.
        closed: whether every outline is closed.
        fill: colour it is filled with, or None.
        stroke: colour it is stroked with, or None.
        width: of the stroke, in points; 0 for the thinnest line a device can draw.
        opaque: nothing shines through.
    """

    order: int
    outlines: tuple[Points, ...]
    curved: bool
    closed: bool
    fill: Rgb | None
    stroke: Rgb | None
    width: float
    opaque: bool

    @property
    def box(self) -> tuple[float, float, float, float]:
        """Left, top, right, bottom."""
        points = [point for outline in self.outlines for point in outline.tolist()]
        across, down = [x for x, _ in points], [y for _, y in points]
        return min(across), min(down), max(across), max(down)


@dataclass(frozen=True)
class Letter:
    """One printed character.

    Attributes:
        order: position of its text in the order of painting.
        text: the character; "" where the font doesn't say.
        font: the font's name.
        size: font size in points.
        turn: the direction of its base line, whole degrees.
        box: left, top, right, bottom of its ink.
        ink: its colour.
    """

    order: int
    text: str
    font: str
    size: float
    turn: int
    box: tuple[float, float, float, float]
    ink: Rgb


@dataclass(frozen=True)
class PageObjects:
    """Everything a page draws: paths, letters, and the boxes of whatever else there is.

    Attributes:
        size: width and height of the page as shown, in points.
        drawn: paths in the order of painting.
        letters: characters.
        opaque_boxes: left, top, right, bottom of pictures and shadings, whose content isn't known.
    """

    size: tuple[float, float]
    drawn: tuple[Drawn, ...]
    letters: tuple[Letter, ...]
    opaque_boxes: tuple[tuple[float, float, float, float], ...]


def list_objects(page: PdfPage, most: int) -> PageObjects | None:
    """List what ``page`` draws; None where that is more than ``most`` objects."""
    import pypdfium2.raw as pdfium

    shown = _to_shown(page)
    drawn: list[Drawn] = []
    boxes: list[tuple[float, float, float, float]] = []
    orders: dict[int, int] = {}
    for order, item in enumerate(page.get_objects(max_depth=DEEPEST_FORM)):
        if order >= most:
            return None
        orders[ctypes.cast(item.raw, ctypes.c_void_p).value or 0] = order
        if item.type == pdfium.FPDF_PAGEOBJ_PATH:
            path = _drawn(item, order, shown @ _form_matrix(item))
            if path is not None:
                drawn.append(path)
        elif item.type in (pdfium.FPDF_PAGEOBJ_IMAGE, pdfium.FPDF_PAGEOBJ_SHADING):
            boxes.append(_moved_box(item.get_bounds(), shown @ _form_matrix(item)))
    letters = tuple(_letters(page, shown, orders))
    width, height = page.get_size()
    return PageObjects((width, height), tuple(drawn), letters, tuple(boxes))


# ----------------------------------------------------------------------- matrices


def _to_shown(page: PdfPage) -> Matrix:
    """From page space (y up, unrotated) to points of the page as shown (y down)."""
    import pypdfium2.raw as pdfium

    width, height = page.get_size()
    device = (round(width * DEVICE_UNITS), round(height * DEVICE_UNITS))
    corners = []
    for x, y in ((0.0, 0.0), (DEVICE_UNITS, 0.0), (0.0, DEVICE_UNITS)):
        column, row = ctypes.c_int(), ctypes.c_int()
        pdfium.FPDF_PageToDevice(page, 0, 0, *device, 0, x, y, column, row)
        corners.append((column.value / DEVICE_UNITS, row.value / DEVICE_UNITS))
    origin, right, up = (np.array(corner) for corner in corners)
    matrix = np.eye(3)
    matrix[:2, 0] = np.round((right - origin) / DEVICE_UNITS, PLACES)
    matrix[:2, 1] = np.round((up - origin) / DEVICE_UNITS, PLACES)
    matrix[:2, 2] = origin
    return matrix


def _matrix(values: Any) -> Matrix:  # noqa: ANN401 - pdfium's own matrix class, untyped
    a, b, c, d, e, f = values.get()
    return np.array([[a, c, e], [b, d, f], [0.0, 0.0, 1.0]])


def _form_matrix(item: Any) -> Matrix:  # noqa: ANN401 - pdfium's own object class, untyped
    """From the space of the form that holds ``item`` to page space."""
    matrix = np.eye(3)
    container = item.container
    while container is not None:
        matrix = _matrix(container.get_matrix()) @ matrix
        container = container.container
    return matrix


def _move(points: Points, matrix: Matrix) -> Points:
    moved: Points = points @ matrix[:2, :2].T + matrix[:2, 2]
    return moved


def _moved_box(
    bounds: tuple[float, float, float, float], matrix: Matrix
) -> tuple[float, float, float, float]:
    """Bounds (left, bottom, right, top) moved: left, top, right, bottom as shown."""
    x0, y0, x1, y1 = bounds
    points = _move(np.array([(x0, y0), (x1, y0), (x1, y1), (x0, y1)]), matrix)
    (left, top), (right, bottom) = points.min(axis=0), points.max(axis=0)
    return float(left), float(top), float(right), float(bottom)


# -------------------------------------------------------------------------- paths


def _drawn(item: Any, order: int, matrix: Matrix) -> Drawn | None:  # noqa: ANN401 - untyped
    import pypdfium2.raw as pdfium

    mode, stroked = ctypes.c_int(), ctypes.c_int()
    pdfium.FPDFPath_GetDrawMode(item, mode, stroked)
    if not mode.value and not stroked.value:
        return None  # only clips
    fill, fill_alpha = _colour(item, pdfium.FPDFPageObj_GetFillColor)
    stroke, stroke_alpha = _colour(item, pdfium.FPDFPageObj_GetStrokeColor)
    whole = matrix @ _matrix(item.get_matrix())
    outlines, curved, closed = _outlines(item, whole)
    if not outlines:
        return None
    width = ctypes.c_float()
    pdfium.FPDFPageObj_GetStrokeWidth(item, width)
    stretch = float(np.sqrt(abs(np.linalg.det(whole[:2, :2]))))
    alphas = [a for used, a in ((mode.value, fill_alpha), (stroked.value, stroke_alpha)) if used]
    return Drawn(
        order=order,
        outlines=outlines,
        curved=curved,
        closed=closed,
        fill=fill if mode.value else None,
        stroke=stroke if stroked.value else None,
        width=width.value * stretch,
        opaque=min(alphas) >= OPAQUE,
    )


def _colour(item: Any, getter: Any) -> tuple[Rgb, int]:  # noqa: ANN401 - untyped functions of pdfium
    red, green, blue, alpha = (ctypes.c_uint() for _ in range(4))
    getter(item, red, green, blue, alpha)
    return (red.value, green.value, blue.value), alpha.value


def _outlines(item: Any, matrix: Matrix) -> tuple[tuple[Points, ...], bool, bool]:  # noqa: ANN401 - untyped
    """The runs of a path, whether any is curved, whether all are closed."""
    import pypdfium2.raw as pdfium

    runs: list[list[tuple[float, float]]] = []
    closes: list[bool] = []
    curved, beziers = False, 0
    x, y = ctypes.c_float(), ctypes.c_float()
    for index in range(pdfium.FPDFPath_CountSegments(item)):
        segment = pdfium.FPDFPath_GetPathSegment(item, index)
        kind = pdfium.FPDFPathSegment_GetType(segment)
        pdfium.FPDFPathSegment_GetPoint(segment, x, y)
        if kind == pdfium.FPDF_SEGMENT_MOVETO or not runs:
            runs.append([])
            closes.append(False)
            beziers = 0
        if kind == pdfium.FPDF_SEGMENT_BEZIERTO:
            curved = True
            beziers += 1
        # Of a curve's three points the first two only steer it.
        if kind != pdfium.FPDF_SEGMENT_BEZIERTO or beziers % 3 == 0:
            runs[-1].append((x.value, y.value))
        closes[-1] = closes[-1] or bool(pdfium.FPDFPathSegment_GetClose(segment))
    outlines = tuple(_move(np.array(run), matrix) for run in runs if len(run) > 1)
    closed = all(
        shut or run[0] == run[-1] for run, shut in zip(runs, closes, strict=True) if len(run) > 1
    )
    return outlines, curved, closed


def sides(outline: Points, closed: bool) -> list[tuple[Points, Points]]:
    """The straight sides of an outline, the closing one included."""
    found = list(pairwise(outline))
    if closed and not np.allclose(outline[0], outline[-1]):
        found.append((outline[-1], outline[0]))
    return found


# ------------------------------------------------------------------------ letters


def _letters(page: PdfPage, shown: Matrix, orders: dict[int, int]) -> list[Letter]:
    import pypdfium2.raw as pdfium

    text = page.get_textpage()
    found = []
    for index in range(pdfium.FPDFText_CountChars(text)):
        code = pdfium.FPDFText_GetUnicode(text, index)
        if pdfium.FPDFText_IsGenerated(text, index) == 1 or chr(code).isspace():
            continue
        owner = pdfium.FPDFText_GetTextObject(text, index)
        if not owner or pdfium.FPDFTextObj_GetTextRenderMode(owner) in (
            pdfium.FPDF_TEXTRENDERMODE_INVISIBLE,
            pdfium.FPDF_TEXTRENDERMODE_CLIP,
        ):
            continue
        found.append(_letter(text, index, code, shown, orders, owner))
    text.close()
    return found


def _letter(
    text: Any,  # noqa: ANN401 - pdfium's own class, untyped
    index: int,
    code: int,
    shown: Matrix,
    orders: dict[int, int],
    owner: Any,  # noqa: ANN401 - pdfium's own pointer, untyped
) -> Letter:
    import pypdfium2.raw as pdfium

    left, right, bottom, top = (ctypes.c_double() for _ in range(4))
    pdfium.FPDFText_GetCharBox(text, index, left, right, bottom, top)
    red, green, blue, alpha = (ctypes.c_uint() for _ in range(4))
    pdfium.FPDFText_GetFillColor(text, index, red, green, blue, alpha)
    name, flags = ctypes.create_string_buffer(256), ctypes.c_int()
    pdfium.FPDFText_GetFontInfo(text, index, name, len(name), flags)
    unmapped = pdfium.FPDFText_HasUnicodeMapError(text, index) == 1 or code in (0, UNKNOWN)
    return Letter(
        order=orders.get(ctypes.cast(owner, ctypes.c_void_p).value or 0, -1),
        text="" if unmapped else chr(code),
        font=name.value.decode("utf-8", "replace"),
        size=float(pdfium.FPDFText_GetFontSize(text, index)),
        turn=round(np.degrees(pdfium.FPDFText_GetCharAngle(text, index))) % TURN,
        box=_moved_box((left.value, bottom.value, right.value, top.value), shown),
        ink=(red.value, green.value, blue.value),
    )
