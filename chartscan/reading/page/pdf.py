"""PDF files by pypdfium2: opening, counting, rendering at a fitting resolution.

What a vector page draws is listed in ``pdf_objects`` and read in ``vector``.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple

import numpy as np
from numpy.typing import NDArray

from chartscan.errors import PageError

if TYPE_CHECKING:
    from pypdfium2 import PdfImage, PdfPage

POINTS_PER_INCH = 72.0
VECTOR_DPI = 300  # a millimetre per cell is then 12 pixels
SCAN_DPI = (100.0, 600.0)  # a scanned page is rendered at its own resolution, between these
FIRST_READ = "the first was read"
SCAN_COVER = 0.4  # share of the page that a picture must cover to set the resolution
LOSSY = frozenset({"DCTDecode", "JPXDecode"})  # PDF's names for JPEG and JPEG 2000
QUARTER_TURN = 90  # degrees
SMALL = 64  # px a side of such versions
LOOKS_OFF = 6.0  # levels of 255, mean difference of two small versions of the same page
MOST_OBJECTS = 60_000  # some seconds; beyond, reading the rendered picture is quicker


@dataclass(frozen=True, eq=False)
class Rendered:
    """A rendered PDF page.

    Attributes:
        pixels: sRGB, uint8, shape (height, width, 3).
        lossless: no scanned picture is on the page, so equal fills are equal to the last bit.
        number: page number, from 1.
        scale: pixels per point (1/72 inch).
        warnings: what the user should know.
    """

    pixels: NDArray[np.uint8]
    lossless: bool
    number: int
    scale: float
    warnings: tuple[str, ...] = ()


@contextmanager
def opened_page(path: Path, number: int | None) -> Iterator[tuple[PdfPage, int, int]]:
    """Page ``number`` (from 1; None for the first) of a PDF, its number, and the page count.

    Raises:
        PageError: pypdfium2 isn't installed; the file is encrypted, damaged or without pages; there
            is no such page.
    """
    try:
        import pypdfium2
    except ImportError as error:
        raise PageError(
            f"{path}: reading a PDF needs the pdf extra; run: pip install 'chartscan[pdf]'"
        ) from error
    document = page = None
    try:
        document = pypdfium2.PdfDocument(path)
        count = len(document)
        shown = 1 if number is None else number
        if count == 0:
            raise PageError(f"{path}: holds no pages; export or download it again")
        if not 1 <= shown <= count:
            raise PageError(f"{path}: has no page {shown}; it holds {count}")
        page = document[shown - 1]
        yield page, shown, count
    except pypdfium2.PdfiumError as error:
        raise PageError(_reason(path, error)) from error
    finally:
        for thing in (page, document):
            if thing is not None:
                thing.close()


def _reason(path: Path, error: Exception) -> str:
    import pypdfium2.raw as pdfium

    if getattr(error, "err_code", None) == pdfium.FPDF_ERR_PASSWORD:
        return f"{path}: is protected by a password; save a copy without one"
    return f"{path}: is a damaged PDF ({error}); export or download it again"


def first_of_many(count: int) -> str:
    """What is said of a file of several pages of which nobody told any."""
    return f"holds {count} pages; {FIRST_READ} (tell which pages make the chart)"


def render(path: Path, number: int | None, max_pixels: int, scale: float | None = None) -> Rendered:
    """Render a page at ``scale`` pixels per point and at most ``max_pixels`` in all.

    Without a ``scale``, a page that is nothing but a picture comes as that picture, pixel for
    pixel; one with pictures on it at their resolution; drawings at :data:`VECTOR_DPI`.

    Raises:
        PageError: as :func:`opened_page`.
    """
    with opened_page(path, number) as (page, shown, count):
        scan_dpi = _scan_dpi(page)
        wanted = scale or (scan_dpi or VECTOR_DPI) / POINTS_PER_INCH
        bare = _bare_picture(page, max_pixels) if scale is None and scan_dpi else None
        scale = fitting_scale(page, wanted, max_pixels)
        lossless = bare.lossless if bare is not None else scan_dpi is None
        pixels = bare.pixels if bare is not None else render_page(page, scale)
    told: tuple[str, ...] = ()
    if number is None and count > 1:
        told = (f"{path.name}: {first_of_many(count)}",)
    return Rendered(pixels, lossless, shown, scale, told)


def fitting_scale(page: PdfPage, wanted: float, max_pixels: int) -> float:
    """Pixels per point: as ``wanted``, but no more than ``max_pixels`` in all."""
    width, height = page.get_size()
    if width * height <= 0:
        return wanted
    # One pixel is added to each side by rounding up.
    return min(wanted, math.sqrt(max_pixels / ((width + 1) * (height + 1))))


def render_page(page: PdfPage, scale: float) -> NDArray[np.uint8]:
    """The page on white at ``scale`` pixels per point, shape (height, width, 3), read-only."""
    bitmap = page.render(scale=scale, rev_byteorder=True, prefer_bgrx=False)
    pixels: NDArray[np.uint8] = np.array(bitmap.to_numpy()[..., :3])
    bitmap.close()
    if pixels.shape[2] == 1:  # pdfium may choose a grey bitmap
        pixels = np.repeat(pixels, 3, axis=2)
    pixels.setflags(write=False)
    return pixels


def _scan_dpi(page: PdfPage) -> float | None:
    """Resolution of the largest picture where pictures cover much of the page, else None."""
    import pypdfium2.raw as pdfium

    width, height = page.get_size()
    largest, dpi, covered = 0.0, 0.0, 0.0
    for picture in page.get_objects(filter=[pdfium.FPDF_PAGEOBJ_IMAGE], max_depth=3):
        left, bottom, right, top = picture.get_bounds()
        area = max((right - left) * (top - bottom), 1.0)
        covered += area
        if area > largest:
            columns, rows = picture.get_px_size()
            # By area, so that a picture turned on its side needs no care.
            largest, dpi = area, math.sqrt(columns * rows / area) * POINTS_PER_INCH
    if covered < SCAN_COVER * width * height:
        return None
    # A hair less, so that rounding up doesn't add a pixel and soften all the others.
    return float(np.clip(dpi, *SCAN_DPI)) * (1 - 1e-5)


class _Bare(NamedTuple):
    """The one picture of a page, and whether its coding keeps equal fills equal."""

    pixels: NDArray[np.uint8]
    lossless: bool


def _bare_picture(page: PdfPage, max_pixels: int) -> _Bare | None:
    """The picture of a page that holds nothing else, pixel for pixel; None where it isn't so.

    Rendering would put each of its pixels a little beside a pixel of the page, and soften it.
    """
    import pypdfium2.raw as pdfium

    items = [item for _, item in zip(range(2), page.get_objects(max_depth=1), strict=False)]
    if len(items) != 1 or items[0].type != pdfium.FPDF_PAGEOBJ_IMAGE:
        return None
    picture = items[0]
    columns, rows = picture.get_px_size()
    a, b, c, d, _, _ = picture.get_matrix().get()
    if columns * rows > max_pixels or b or c or a <= 0 or d <= 0 or not _covers(picture, page):
        return None
    bitmap = picture.get_bitmap()
    values = bitmap.to_numpy()
    pixels: NDArray[np.uint8]
    if bitmap.mode == "L":
        pixels = np.repeat(values.reshape(rows, columns, 1), 3, axis=2)
    elif bitmap.mode in ("BGR", "BGRX"):
        pixels = np.ascontiguousarray(values[..., 2::-1])
    else:
        return None
    pixels = np.ascontiguousarray(np.rot90(pixels, -page.get_rotation() // QUARTER_TURN))
    if not _looks_like(pixels, page):
        return None
    pixels.setflags(write=False)
    return _Bare(pixels, not LOSSY.intersection(picture.get_filters()))


def _covers(picture: PdfImage, page: PdfPage) -> bool:
    """Whether a picture fills the page to its edges, to within a point."""
    box = page.get_cropbox()
    return bool(np.allclose(picture.get_bounds(), box, rtol=0, atol=1.0))


def _looks_like(pixels: NDArray[np.uint8], page: PdfPage) -> bool:
    """Whether the page, rendered small, shows these pixels: masks and colour spaces may differ."""
    from PIL import Image

    size = (SMALL, SMALL)
    small = Image.fromarray(pixels).resize(size, Image.Resampling.BOX)
    shown = render_page(page, 256 / max(page.get_size()))
    rendered = Image.fromarray(shown).resize(size, Image.Resampling.BOX)
    off = np.abs(np.asarray(small).astype(int) - np.asarray(rendered).astype(int))
    return bool(off.mean() <= LOOKS_OFF)
