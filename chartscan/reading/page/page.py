"""A page: upright sRGB pixels, however the file stored them. Only this file and ``pdf`` decode."""

from __future__ import annotations

import hashlib
import struct
import warnings
import zlib
from collections.abc import Iterator, Sequence
from contextlib import contextmanager, suppress
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING, BinaryIO

import numpy as np
from numpy.typing import NDArray

from chartscan.errors import PageError
from chartscan.reading.page.icc import ToSrgb, to_srgb
from chartscan.remedies import Remedy

if TYPE_CHECKING:
    from PIL import Image

Pixels = NDArray[np.uint8]

FORMATS = ("PNG", "JPEG", "WEBP", "TIFF", "BMP", "DIB", "GIF", "PPM")
MEDIA_BOX = b"ftyp"  # ISO/IEC 14496-12, 4.3: a file of that family says its kind after it
HEIC_BRANDS = (b"heic", b"heix", b"heim", b"heis", b"mif1")  # ISO/IEC 23008-12, 10.2 and B.4
READABLE = "PNG, JPEG, WebP, TIFF, BMP, GIF or PDF"
QUARTER_TURN = 90  # degrees
ORIENTATION = 0x0112  # the EXIF tag
STRIP = 64  # rows copied at a time: stays in the cache; a whole page at once costs six times more
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
            return b"%PDF-" in stream.read(1024)
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


# ---------------------------------------------------------------------------- PDF


def _from_pdf(path: Path, digest: str, settings: PageSettings, number: int | None) -> Page:
    from chartscan.reading.page.pdf import render

    rendered = render(path, number, settings.max_pixels, settings.pdf_scale)
    _check_size(path, rendered.pixels.shape[1::-1], settings)
    return Page(
        rendered.pixels, rendered.lossless, path.name, digest, rendered.number, rendered.warnings
    )


# ------------------------------------------------------------------------ picture


def _from_picture(
    path: Path, stream: BinaryIO, digest: str, settings: PageSettings, number: int | None
) -> Page:
    from PIL import Image, UnidentifiedImageError

    notes: list[str] = []
    with warnings.catch_warnings(record=True) as caught, _bomb_limit(settings.max_pixels):
        # Pillow tells of damaged metadata by warnings; they go to the user with the page.
        warnings.simplefilter("always")
        warnings.simplefilter("ignore", Image.DecompressionBombWarning)  # _check_size judges
        try:
            with Image.open(stream, formats=formats_of(stream)) as image:
                shown = _seek(path, image, number, notes)
                _check_size(path, image.size, settings)
                lossless = _is_lossless(image, stream)
                coded = _coded(image)
                orientation = _orientation(image, notes)
                image.load()
                pixels = _upright_srgb(image, orientation, notes)
        except Image.DecompressionBombError as error:
            raise too_large(path, None, settings.max_pixels) from error
        except UnidentifiedImageError as error:
            raise not_a_picture(path) from error
        except DECODER_FAULTS as error:
            raise PageError(
                f"{path}: is damaged or cut off ({_first_line(error)}); "
                "save, scan or download it again"
            ) from error
    notes += [f"odd metadata: {_first_line(w.message)}; read on without it" for w in caught]
    pixels.setflags(write=False)
    told = tuple(dict.fromkeys(f"{path.name}: {note}" for note in notes))
    return Page(pixels, lossless, path.name, digest, shown, told, coded)


def formats_of(stream: BinaryIO) -> tuple[str, ...]:
    """Formats that Pillow may try on ``stream``; HEIC's is learnt where the extra is there."""
    head = stream.read(12)
    stream.seek(0)
    if head[4:8] == MEDIA_BOX and head[8:12] in HEIC_BRANDS:
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


def _check_size(path: Path, size: tuple[int, int], settings: PageSettings) -> None:
    if size[0] * size[1] > settings.max_pixels:
        raise too_large(path, size, settings.max_pixels)
    if min(size) < settings.min_side:
        raise PageError(
            f"{path}: is {size[0]}×{size[1]} pixels; a chart needs at least "
            f"{settings.min_side}×{settings.min_side} (5 cells of 4 pixels)"
        )


def too_large(path: Path, size: tuple[int, int] | None, limit: int) -> PageError:
    """The refusal of a page of that size (None where it isn't known)."""
    is_size = f"is {size[0]}×{size[1]} pixels, " if size else "is "
    return PageError(
        f"{path}: {is_size}over the limit of {limit / 1e6:.4g} million",
        Remedy.CROP,
        Remedy.SCAN_SMALLER,
        Remedy.RAISE_LIMIT,
    )


def not_a_picture(path: Path) -> PageError:
    """The refusal of a file that nothing could open."""
    with path.open("rb") as stream:
        head = stream.read(64)
    if head[4:8] == MEDIA_BOX:  # HEIC, HEIF, AVIF
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
        head = stream.read(4096)
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
    return tables[0][0] / 8, max(table[0] for table in tables) / 8


def _orientation(image: Image.Image, notes: list[str]) -> int:
    """The EXIF orientation 1..8 (EXIF 2.3, tag 0x0112); 1 where none or a senseless one is told."""
    try:
        value = image.getexif().get(ORIENTATION, 1)
    except DECODER_FAULTS as error:
        notes.append(f"broken EXIF ({_first_line(error)}); taken as upright")
        return 1
    if isinstance(value, int) and 1 <= value <= 8:
        return value
    if value not in (0, None):
        notes.append(f"senseless EXIF orientation {str(value)[:20]!r}; taken as upright")
    return 1


# ------------------------------------------------------------------------- pixels


def _upright_srgb(image: Image.Image, orientation: int, notes: list[str]) -> Pixels:
    """Copy the decoded image strip by strip: alpha on white, ICC to sRGB, turned upright."""
    image = _in_eight_bits(image)
    conversion = to_srgb(image, notes)
    width, height = image.size
    turned = orientation >= 5
    pixels: Pixels = np.empty((width, height, 3) if turned else (height, width, 3), dtype=np.uint8)
    stored = _as_stored(pixels, orientation)
    for top in range(0, height, STRIP):
        bottom = min(top + STRIP, height)
        strip = image.crop((0, top, width, bottom))
        stored[top:bottom] = _strip_pixels(strip, conversion)
    return pixels


def _as_stored(pixels: Pixels, orientation: int) -> Pixels:
    """A view of upright ``pixels`` laid out as the file stores them (EXIF 2.3, orientation)."""
    view = pixels.transpose(1, 0, 2) if orientation >= 5 else pixels
    # Which stored axes run against the upright page: (rows, columns).
    down, across = {
        1: (1, 1),
        2: (1, -1),
        3: (-1, -1),
        4: (-1, 1),
        5: (1, 1),
        6: (-1, 1),
        7: (-1, -1),
        8: (1, -1),
    }[orientation]
    return view[::down, ::across]


def _in_eight_bits(image: Image.Image) -> Image.Image:
    """Bring 16- and 32-bit greys and floats to 8 bits by scale, never by clipping."""
    from PIL import Image

    if not image.mode.startswith(("I", "F")):
        return image
    values = np.asarray(image)
    if image.mode.startswith("I;16"):
        grey = (values >> 8).astype(np.uint8)
    else:
        top = float(np.nanmax(values)) if values.size else 0.0
        full = next((f for f in (1.0, 255.0, 65535.0) if top <= f), max(top, 1.0))
        if image.mode == "I" and full == 1.0:
            full = 255.0  # whole numbers: 0 and 1 are two near-blacks, not black and white
        grey = np.clip(np.nan_to_num(values) * (255.0 / full) + 0.5, 0, 255).astype(np.uint8)
    return Image.fromarray(grey)


def _strip_pixels(strip: Image.Image, conversion: ToSrgb | None) -> Pixels:
    """One strip in sRGB, alpha laid on white, shape (rows, width, 3)."""
    alpha: Pixels | None = None
    if strip.has_transparency_data:
        strip = strip.convert("RGBA")
        alpha = np.asarray(strip.getchannel("A"))
        strip = strip.convert("RGB")
    if conversion is not None:
        strip = conversion.apply(strip)
    elif strip.mode != "RGB":
        strip = strip.convert("RGB")
    colours = np.asarray(strip)
    return colours if alpha is None else _on_white(colours, alpha)


def _on_white(colours: Pixels, alpha: Pixels) -> Pixels:
    """Lay ``colours`` on white paper; equal inputs give equal outputs, to the last bit."""
    opacity = alpha[..., None].astype(np.uint16)
    laid: NDArray[np.uint16] = (colours * opacity + 255 * (255 - opacity) + 127) // 255
    return laid.astype(np.uint8)
