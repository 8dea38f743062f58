"""Decoding of pictures by Pillow: what file it is, how large, and how lossy its coding."""

from __future__ import annotations

import struct
import warnings
import zlib
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, BinaryIO, Protocol

from chartscan.errors import PageError
from chartscan.reading.page.upright import Pixels, upright_srgb
from chartscan.remedies import Remedy

if TYPE_CHECKING:
    from PIL import Image

FORMATS = ("PNG", "JPEG", "WEBP", "TIFF", "BMP", "DIB", "GIF", "PPM")
MEDIA_BOX = b"ftyp"  # ISO/IEC 14496-12, 4.3: a file of that family says its kind after it
HEIC_BRANDS = (b"heic", b"heix", b"heim", b"heis", b"mif1")  # ISO/IEC 23008-12, 10.2 and B.4
READABLE = "PNG, JPEG, WebP, TIFF, BMP, GIF or PDF"
ORIENTATION = 0x0112  # the EXIF tag
ORIENTATIONS = 8  # that there are, from 1
BOX, KIND, BRAND = 12, slice(4, 8), slice(8, 12)  # bytes of such a file's first box
HEAD = 4096  # bytes in which a WebP names its coding
DC_GAIN = 8  # DC coefficient of a block over its mean
MILLION = 1e6
SHOWN = 20  # characters of odd metadata that a message shows
# What Pillow's decoders raise on damaged files, besides its own errors (which are OSErrors).
DECODER_FAULTS = (
    OSError,
    SyntaxError,
    ValueError,
    EOFError,
    struct.error,
    zlib.error,
    LookupError,
    TypeError,
    AttributeError,
    ArithmeticError,
    RuntimeError,
)


class Limits(Protocol):
    """What pages are taken: ``PageSettings``."""

    @property
    def max_pixels(self) -> int:
        """Largest page, in pixels."""

    @property
    def min_side(self) -> int:
        """Smallest width and height, in pixels."""


@dataclass(frozen=True, eq=False)
class Decoded:
    """A picture as its file holds it.

    Attributes:
        pixels: upright sRGB, uint8, shape (height, width, 3).
        lossless: whether equal fills are equal to the last bit.
        coded: steps in which the coding keeps the mean of a flat area, of luma and of chroma.
        number: page shown, from 1; None for a single picture.
        notes: what was odd about it.
    """

    pixels: Pixels
    lossless: bool
    coded: tuple[float, float]
    number: int | None
    notes: tuple[str, ...]


def decode(path: Path, stream: BinaryIO, number: int | None, limits: Limits) -> Decoded:
    """Decode one page of a picture.

    Args:
        path: its file, for messages.
        stream: the file, open at its start.
        number: which page of a TIFF or GIF, from 1; None for the first.
        limits: what is taken.

    Raises:
        PageError: it is damaged, no picture, too large or too small, or has no such page.
    """
    from PIL import Image, UnidentifiedImageError

    notes: list[str] = []
    with warnings.catch_warnings(record=True) as caught, _bomb_limit(limits.max_pixels):
        # Pillow tells of damaged metadata by warnings; they go to the user with the page.
        warnings.simplefilter("always")
        warnings.simplefilter("ignore", Image.DecompressionBombWarning)  # check_size judges
        try:
            with Image.open(stream, formats=formats_of(stream)) as image:
                shown = _seek(path, image, number, notes)
                check_size(path, image.size, limits)
                lossless = _is_lossless(image, stream)
                coded = _coded(image)
                orientation = _orientation(image, notes)
                image.load()
                pixels = upright_srgb(image, orientation, notes)
        except Image.DecompressionBombError as error:
            raise too_large(path, None, limits.max_pixels) from error
        except UnidentifiedImageError as error:
            raise not_a_picture(path) from error
        except DECODER_FAULTS as error:
            raise PageError(
                f"{path}: is damaged or cut off ({_first_line(error)}); "
                "save, scan or download it again"
            ) from error
    notes += [f"odd metadata: {_first_line(w.message)}; read on without it" for w in caught]
    return Decoded(pixels, lossless, coded, shown, tuple(notes))


def formats_of(stream: BinaryIO) -> tuple[str, ...]:
    """Formats that Pillow may try on ``stream``; HEIC's is learnt where the extra is there."""
    head = stream.read(BOX)
    stream.seek(0)
    if head[KIND] == MEDIA_BOX and head[BRAND] in HEIC_BRANDS:
        with suppress(ImportError):
            from pi_heif import register_heif_opener

            register_heif_opener(thumbnails=False)  # it turns pictures upright by itself
            return ("HEIF",)
    return FORMATS


@contextmanager
def _bomb_limit(max_pixels: int) -> Iterator[None]:
    """Let Pillow's own rule, which refuses twice its limit, stand no lower than ours."""
    from PIL import Image

    before = Image.MAX_IMAGE_PIXELS
    if before is not None and 2 * before < max_pixels:
        Image.MAX_IMAGE_PIXELS = (max_pixels + 1) // 2
    try:
        yield
    finally:
        Image.MAX_IMAGE_PIXELS = before


def _seek(path: Path, image: Image.Image, number: int | None, notes: list[str]) -> int | None:
    """Go to page ``number``; the number shown in the chart is None for a single picture."""
    count = int(getattr(image, "n_frames", 1)) if image.format in ("TIFF", "GIF") else 1
    if number is not None and not 1 <= number <= count:
        raise PageError(f"{path}: has no page {number}; it holds {count}")
    if number is None and count > 1:
        from chartscan.reading.page.pdf import first_of_many

        notes.append(first_of_many(count))
    if number is not None and number > 1:
        image.seek(number - 1)
    return (number or 1) if count > 1 else number


def check_size(path: Path, size: tuple[int, ...], limits: Limits) -> None:
    """PageError for a page of a width and height that isn't taken."""
    if size[0] * size[1] > limits.max_pixels:
        raise too_large(path, (size[0], size[1]), limits.max_pixels)
    if min(size) < limits.min_side:
        raise PageError(
            f"{path}: is {size[0]}×{size[1]} pixels; a chart needs at least "
            f"{limits.min_side}×{limits.min_side} (5 cells of 4 pixels)"
        )


def too_large(path: Path, size: tuple[int, int] | None, limit: int) -> PageError:
    """The refusal of a page of that size (None where it isn't known)."""
    is_size = f"is {size[0]}×{size[1]}, " if size else "is "
    return PageError(
        f"{path}: {is_size}over the limit of {limit / MILLION:.4g} million pixels",
        Remedy.CROP,
        Remedy.SCAN_SMALLER,
        Remedy.RAISE_LIMIT,
    )


def not_a_picture(path: Path) -> PageError:
    """The refusal of a file that nothing could open."""
    with path.open("rb") as stream:
        head = stream.read(BOX)
    if head[KIND] == MEDIA_BOX:  # HEIC, HEIF, AVIF
        return PageError(
            f"{path}: is a HEIC or AVIF photograph, and what reads those isn't installed",
            Remedy.SAVE_AS_PICTURE,
            Remedy.ADD_HEIC,
        )
    return PageError(f"{path}: isn't a picture that can be read; give {READABLE}")


def _first_line(error: object) -> str:
    return (str(error).strip() or type(error).__name__).splitlines()[0]


def _is_lossless(image: Image.Image, stream: BinaryIO) -> bool:
    """Whether the file's coding keeps equal fills equal."""
    if image.format in ("JPEG", "MPO", "HEIF"):
        return False
    if image.format == "TIFF":
        return image.info.get("compression") not in ("jpeg", "tiff_jpeg", "webp")
    if image.format == "WEBP":
        position = stream.tell()
        stream.seek(0)
        head = stream.read(HEAD)
        stream.seek(position)
        return b"VP8L" in head  # the chunk of WebP's lossless coding (RFC 9649)
    return True


def _coded(image: Image.Image) -> tuple[float, float]:
    """Steps (0..255) of the mean of a JPEG's 8 × 8 blocks: an eighth of its DC quantisers.

    Source: ITU-T T.81 (1992), A.3.3 and A.3.4. Chroma's are those of the coarsest table.
    """
    tables = list(getattr(image, "quantization", {}).values())
    if image.format not in ("JPEG", "MPO") or not tables:
        return 0.0, 0.0
    return tables[0][0] / DC_GAIN, max(table[0] for table in tables) / DC_GAIN


def _orientation(image: Image.Image, notes: list[str]) -> int:
    """The EXIF orientation 1..8 (EXIF 2.3, tag 0x0112); 1 where none or a senseless one is told."""
    try:
        value = image.getexif().get(ORIENTATION, 1)
    except DECODER_FAULTS as error:
        notes.append(f"broken EXIF ({_first_line(error)}); taken as upright")
        return 1
    if isinstance(value, int) and 1 <= value <= ORIENTATIONS:
        return value
    if value not in (0, None):
        notes.append(f"senseless EXIF orientation {str(value)[:SHOWN]!r}; taken as upright")
    return 1
