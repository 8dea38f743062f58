"""A page: upright sRGB pixels, however the file stored them; ``picture`` and ``pdf`` decode."""

from __future__ import annotations

import hashlib
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, replace
from functools import cached_property
from pathlib import Path
from typing import BinaryIO

import numpy as np

from chartscan.errors import PageError
from chartscan.reading.page.picture import check_size, decode
from chartscan.reading.page.upright import Pixels

QUARTER_TURN = 90  # degrees
KEPT = 3  # times smaller each way, from which on a page is kept: a ninth of its bytes
QUARTER = 4  # times smaller, from which those are made that are so several times over
PDF_HEAD = 1024  # bytes in which a PDF says that it is one (ISO 32000-1, annex H)


@dataclass(frozen=True)
class PageSettings:
    """Limits of decoding.

    Attributes:
        max_pixels: largest page taken, in pixels; A3 at 600 dpi is 70 million. A small file can
            unpack to any size, so there is always a limit.
        min_side: smallest width and height, in pixels: 5 cells of 4 pixels.
        pdf_scale: pixels per point (1/72 inch) at which PDF pages are rendered; None for what
            fits the page.
    """

    max_pixels: int = 150_000_000
    min_side: int = 20
    pdf_scale: float | None = None

    def __post_init__(self) -> None:
        if self.max_pixels < 1 or self.min_side < 1:
            raise ValueError("max_pixels and min_side are at least 1")


@dataclass(frozen=True)
class Page:
    """One decoded page.

    Attributes:
        pixels: sRGB, uint8, shape (height, width, 3), upright, alpha laid on white.
        lossless: whether equal fills are equal to the last bit (PNG and the like, not JPEG).
        file: the file's name.
        sha256: of the file's bytes, hex.
        number: page number in a PDF or TIFF, from 1; None for a plain picture.
        warnings: what was odd about the file and how it was taken.
        coded: steps (0..255) in which the file's coding keeps the mean of a flat area, of luma
            and of chroma; nought where they aren't known.
        turn: degrees clockwise by which it was turned from upright, as the stitcher told.
    """

    pixels: Pixels
    lossless: bool
    file: str = ""
    sha256: str = ""
    number: int | None = None
    warnings: tuple[str, ...] = ()
    coded: tuple[float, float] = (0.0, 0.0)
    turn: int = 0

    @property
    def size(self) -> tuple[int, int]:
        """Width and height in pixels."""
        return int(self.pixels.shape[1]), int(self.pixels.shape[0])

    def luma(self, factor: int) -> Pixels:
        """Its luma ``factor`` times smaller, shape (height, width)."""
        from chartscan.reading.page.smaller import luma_of  # plain pages need none

        if factor < KEPT:
            return luma_of(self.pixels, factor)
        return luma_of(self.smaller(factor))

    def smaller(self, factor: int) -> Pixels:
        """Its pixels ``factor`` times smaller, shape (height, width, 3); small ones are made once.

        Whoever looks for its grid, compares its cells, or doubts where the grid ends, look at the
        same ones. Multiples of four start from the page made four times smaller: the mean of means
        lies within a level of that of all, and costs next to nothing.
        """
        from chartscan.reading.page.smaller import smaller

        if factor < KEPT:
            return smaller(self.pixels, factor)
        if factor not in self._smaller:
            times, rest = divmod(factor, QUARTER)
            starts = self.smaller(QUARTER) if times > 1 and not rest else None
            made = smaller(self.pixels, factor) if starts is None else smaller(starts, times)
            made.setflags(write=False)
            self._smaller[factor] = made
        return self._smaller[factor]

    @cached_property
    def _smaller(self) -> dict[int, Pixels]:
        """What :meth:`smaller` keeps, by factor."""
        return {}


def load_page(
    path: Path, settings: PageSettings = PageSettings(), number: int | None = None
) -> Page:
    """Decode one page of a picture or PDF.

    Args:
        path: PNG, JPEG, WebP, TIFF, BMP, GIF, PPM or PDF, told by its content, not its name.
        settings: limits.
        number: which page of a PDF or TIFF, from 1; None for the first.

    Raises:
        PageError: the file is missing, empty, damaged, no picture, too large or too small, or
            has no such page.
    """
    with _opened(path) as (stream, digest):
        if is_pdf(path):
            return _from_pdf(path, digest, settings, number)
        return _from_picture(path, stream, digest, settings, number)


def digest_of(path: Path) -> str:
    """SHA-256 of a file's bytes, hex; PageError for what isn't a file with bytes."""
    with _opened(path) as (_, digest):
        return digest


def turned(page: Page, degrees: int) -> Page:
    """The page turned clockwise by 0, 90, 180 or 270 degrees."""
    if not degrees:
        return page
    pixels = np.ascontiguousarray(np.rot90(page.pixels, -degrees // QUARTER_TURN))
    pixels.setflags(write=False)
    return replace(page, pixels=pixels, turn=(page.turn + degrees) % (4 * QUARTER_TURN))


def list_pages(paths: Sequence[Path], numbers: Sequence[int] = ()) -> list[tuple[Path, int | None]]:
    """The pages that several files, or several page numbers of one file, come to.

    Args:
        paths: pictures in reading order, or one PDF or TIFF.
        numbers: pages of that one file, from 1; () for the first page of each file.

    Raises:
        PageError: page numbers come with several files.
    """
    if numbers and len(paths) != 1:
        raise PageError(
            f"page numbers {', '.join(map(str, numbers))} go with one file, "
            f"but {len(paths)} were given; name one PDF or leave the numbers out"
        )
    return [(path, number) for path in paths for number in numbers or (None,)]


def is_pdf(path: Path) -> bool:
    """Whether the first kilobyte holds the mark of a PDF; no for a file that can't be read."""
    try:
        if not path.is_file():  # to open a pipe would be to wait for it
            return False
        with path.open("rb") as stream:
            return b"%PDF-" in stream.read(PDF_HEAD)
    except OSError:
        return False


@contextmanager
def _opened(path: Path) -> Iterator[tuple[BinaryIO, str]]:
    """The file, open at its start, and its SHA-256; PageError for what isn't a file with bytes."""
    if path.is_dir():
        raise PageError(f"{path}: is a folder; give the picture's file name")
    if not path.exists():
        raise PageError(f"{path}: there is no such file; check the name and the folder")
    if not path.is_file():
        raise PageError(f"{path}: isn't a plain file; save the picture to disk first")
    try:
        with path.open("rb") as stream:
            if not stream.read(1):
                raise PageError(f"{path}: is empty; save or download the picture again")
            stream.seek(0)
            digest = hashlib.file_digest(stream, "sha256").hexdigest()
            stream.seek(0)
            yield stream, digest
    except OSError as error:
        raise PageError(f"{path}: can't be opened ({error.strerror or error})") from error


def _from_pdf(path: Path, digest: str, settings: PageSettings, number: int | None) -> Page:
    from chartscan.reading.page.pdf import render

    rendered = render(path, number, settings.max_pixels, settings.pdf_scale)
    check_size(path, rendered.pixels.shape[1::-1], settings)
    return Page(
        rendered.pixels, rendered.lossless, path.name, digest, rendered.number, rendered.warnings
    )


def _from_picture(
    path: Path, stream: BinaryIO, digest: str, settings: PageSettings, number: int | None
) -> Page:
    shown = decode(path, stream, number, settings)
    shown.pixels.setflags(write=False)
    told = tuple(dict.fromkeys(f"{path.name}: {note}" for note in shown.notes))
    return Page(shown.pixels, shown.lossless, path.name, digest, shown.number, told, shown.coded)
