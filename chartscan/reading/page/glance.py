"""A first look at a file: how many pages it holds, and a small picture of one, quickly made."""

from __future__ import annotations

import warnings
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from chartscan.errors import PageError
from chartscan.reading.page.page import PageSettings, is_pdf
from chartscan.reading.page.picture import DECODER_FAULTS, formats_of, not_a_picture, too_large

if TYPE_CHECKING:
    from PIL import Image


@dataclass(frozen=True, eq=False)
class Glance:
    """What a first look at a page tells.

    Attributes:
        picture: small and upright, mode RGB; its colours are the file's own, no profile applied.
        pages: number of pages in the file.
    """

    picture: Image.Image
    pages: int


def glance(
    path: Path,
    number: int | None = None,
    longest_px: int = 1600,
    settings: PageSettings = PageSettings(),
) -> Glance:
    """Look at one page of a file: a JPEG is decoded no larger than is needed.

    Args:
        path: a picture or PDF.
        number: which page of a PDF or TIFF, from 1; None for the first.
        longest_px: longer side of the picture that is wanted, at most.
        settings: limits.

    Raises:
        PageError: the file is no picture, damaged or too large, or has no such page.
    """
    if is_pdf(path):
        return _of_pdf(path, number, longest_px)
    with _image(path, number, settings) as image:
        return _of_picture(image, longest_px)


@contextmanager
def _image(path: Path, number: int | None, settings: PageSettings) -> Iterator[Image.Image]:
    """A picture of a file, open at one of its pages; what goes wrong with it is a PageError."""
    from PIL import Image, UnidentifiedImageError

    try:
        with _opened(path) as image:
            _turn_to(path, image, number, settings)
            yield image
    except UnidentifiedImageError as error:
        raise not_a_picture(path) from error
    except Image.DecompressionBombError as error:
        raise too_large(path, None, settings.max_pixels) from error


@contextmanager
def _opened(path: Path) -> Iterator[Image.Image]:
    """A picture, open; that it is none or too large goes through, other faults are PageErrors."""
    from PIL import Image, UnidentifiedImageError

    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # the reader tells what is odd
        try:
            with (
                path.open("rb") as stream,
                Image.open(stream, formats=formats_of(stream)) as image,
            ):
                yield image
        except (UnidentifiedImageError, Image.DecompressionBombError):
            raise
        except DECODER_FAULTS as error:
            first, *_ = str(error).splitlines() or [type(error).__name__]
            raise PageError(f"{path}: can't be looked at ({first})") from error


def _turn_to(path: Path, image: Image.Image, number: int | None, settings: PageSettings) -> None:
    """Go to the page wanted; PageError where there is none, or it is too large."""
    if image.width * image.height > settings.max_pixels:
        raise too_large(path, image.size, settings.max_pixels)
    pages = _pages(image)
    if number is not None and not 1 <= number <= pages:
        raise PageError(f"{path}: has no page {number}; it holds {pages}")
    if number is not None and number > 1:
        image.seek(number - 1)


def _pages(image: Image.Image) -> int:
    return int(getattr(image, "n_frames", 1)) if image.format == "TIFF" else 1


def _of_picture(image: Image.Image, longest_px: int) -> Glance:
    from PIL import ImageOps

    image.draft("RGB", (longest_px, longest_px))  # a JPEG's own way to be smaller
    factor = max(image.size) // longest_px
    plain = image.convert("RGBA" if image.has_transparency_data else "RGB")
    small = plain.reduce(factor) if factor > 1 else plain
    small.thumbnail((longest_px, longest_px))
    turned = ImageOps.exif_transpose(small)
    return Glance(_on_white(turned), _pages(image))


def _on_white(picture: Image.Image) -> Image.Image:
    from PIL import Image

    if picture.mode != "RGBA":
        return picture
    white = Image.new("RGBA", picture.size, "white")
    return Image.alpha_composite(white, picture).convert("RGB")


def _of_pdf(path: Path, number: int | None, longest_px: int) -> Glance:
    from PIL import Image

    from chartscan.reading.page.pdf import opened_page, render_page

    with opened_page(path, number) as (page, _, pages):
        scale = longest_px / max(1.0, *page.get_size())
        return Glance(Image.fromarray(render_page(page, scale)), pages)


@dataclass(frozen=True)
class Holding:
    """How many pages a file holds, and whether they go by number (PDF, TIFF)."""

    pages: int
    paged: bool


def holding(path: Path) -> Holding | None:
    """What a file holds, without decoding any of it; None where it is neither picture nor PDF.

    Raises:
        PageError: it is one, by its content, and damaged.
    """
    if is_pdf(path):
        from chartscan.reading.page.pdf import opened_page

        with opened_page(path, None) as (_, _, pages):
            return Holding(pages, paged=True)
    from PIL import Image, UnidentifiedImageError

    try:
        with _opened(path) as image:
            return Holding(_pages(image), paged=image.format == "TIFF")
    except UnidentifiedImageError:
        return None
    except Image.DecompressionBombError:
        return Holding(1, paged=False)


@dataclass(frozen=True, eq=False)
class Quick:
    """A page in one channel, small, and how large the blocks of its coding are there.

    Attributes:
        grey: luma, uint8, shape (height, width), as the file stores it: it may lie on its side.
        blocks_px: side of a JPEG's blocks; nought where there are none.
        reduced: whether the page has more pixels.
    """

    grey: NDArray[np.uint8]
    blocks_px: float = 0.0
    reduced: bool = False


JPEG_BLOCK = 8  # pixels (ITU-T T.81, A.1)


def quick_grey(
    path: Path,
    number: int | None = None,
    longest_px: int = 1600,
    settings: PageSettings = PageSettings(),
) -> Quick:
    """A page in one channel; of a JPEG its luma alone is decoded, no larger than is needed.

    Raises:
        PageError: as :func:`glance`.
    """
    if is_pdf(path):
        return Quick(np.asarray(_of_pdf(path, number, longest_px).picture.convert("L")))
    with _image(path, number, settings) as image:
        whole = max(image.size)
        share = min(1.0, longest_px / whole)
        image.draft("L", (int(image.width * share), int(image.height * share)))
        plain = image if image.mode in ("L", "RGB") else image.convert("RGBA")
        factor = max(plain.size) // longest_px
        small = plain.reduce(factor) if factor > 1 else plain
        grey = (_on_white(small) if small.mode == "RGBA" else small).convert("L")
        blocks = JPEG_BLOCK * max(grey.size) / whole if image.format in ("JPEG", "MPO") else 0.0
        return Quick(np.asarray(grey), blocks, max(grey.size) < whole)
