"""One clean page in every picture format that charts come in."""

from __future__ import annotations

import struct
import zlib
from collections.abc import Callable
from functools import partial
from io import BytesIO

import numpy as np
from PIL import Image, ImageCms

from tests.drawing.files import picture
from tests.drawing.style import Pixels

Named = tuple[str, bytes]
ORIENTATION = 0x0112  # EXIF tag; EXIF 2.32, section 4.6.4

# What was done to the upright picture before storing, per EXIF orientation value.
_STORED: dict[int, Image.Transpose] = {
    2: Image.Transpose.FLIP_LEFT_RIGHT,
    3: Image.Transpose.ROTATE_180,
    4: Image.Transpose.FLIP_TOP_BOTTOM,
    5: Image.Transpose.TRANSPOSE,
    6: Image.Transpose.ROTATE_90,
    7: Image.Transpose.TRANSVERSE,
    8: Image.Transpose.ROTATE_270,
}


def turned_jpeg(pixels: Pixels, orientation: int) -> Named:
    """A JPEG stored turned or mirrored, with the EXIF tag that sets it upright."""
    image = Image.fromarray(pixels).transpose(_STORED[orientation])
    exif = Image.Exif()
    exif[ORIENTATION] = orientation
    out = BytesIO()
    image.save(out, "JPEG", quality=92, exif=exif)
    return "image.jpg", out.getvalue()


def _saved(image: Image.Image, name: str, kind: str, **options: object) -> Named:
    out = BytesIO()
    image.save(out, kind, **options)
    return name, out.getvalue()


def palette_png(pixels: Pixels) -> Named:
    """PNG with a palette, exact where the page has at most 256 colours."""
    image = Image.fromarray(pixels)
    count = len(np.unique(pixels.reshape(-1, 3), axis=0))
    if count > 256:
        return "image.png", picture(pixels)
    return _saved(image.quantize(count, dither=Image.Dither.NONE), "image.png", "PNG")


def alpha_png(pixels: Pixels) -> Named:
    """PNG whose white is see-through."""
    seen = np.where((pixels == 255).all(axis=2), 0, 255).astype(np.uint8)
    return "image.png", picture(np.dstack([pixels, seen]))


def deep_png(pixels: Pixels) -> Named:
    """16 bits a channel, as PNG chunks written by hand: Pillow writes 8 bits of colour only."""
    height, width = pixels.shape[:2]
    deep = (pixels.astype(np.uint16) * 257).astype(">u2").reshape(height, -1)
    rows = np.zeros((height, 1 + width * 6), np.uint8)
    rows[:, 1:] = deep.view(np.uint8)

    def chunk(kind: bytes, data: bytes) -> bytes:
        check = zlib.crc32(kind + data)
        return struct.pack(">I", len(data)) + kind + data + struct.pack(">I", check)

    head = struct.pack(">IIBBBBB", width, height, 16, 2, 0, 0, 0)
    body = chunk(b"IHDR", head) + chunk(b"IDAT", zlib.compress(rows.tobytes(), 1))
    return "image.png", b"\x89PNG\r\n\x1a\n" + body + chunk(b"IEND", b"")


def one_bit_png(pixels: Pixels) -> Named:
    """Black and white, one bit a pixel."""
    grey = Image.fromarray(pixels).convert("L")
    return _saved(grey.point(lambda v: 255 if v > 150 else 0).convert("1"), "image.png", "PNG")


def profiled_jpeg(pixels: Pixels) -> Named:
    """JPEG with an sRGB profile embedded."""
    profile = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()
    return _saved(Image.fromarray(pixels), "image.jpg", "JPEG", quality=95, icc_profile=profile)


def gif(pixels: Pixels) -> Named:
    """GIF, exact where the page has at most 256 colours."""
    return _saved(
        Image.fromarray(pixels).quantize(256, dither=Image.Dither.NONE), "image.gif", "GIF"
    )


def cmyk_jpeg(pixels: Pixels) -> Named:
    """JPEG in four inks, without a profile."""
    return _saved(Image.fromarray(pixels).convert("CMYK"), "image.jpg", "JPEG", quality=92)


def _plain(name: str, kind: str, **options: object) -> Callable[[Pixels], Named]:
    return lambda pixels: _saved(Image.fromarray(pixels), name, kind, **options)


FORMATS: dict[str, Callable[[Pixels], Named]] = {
    "palette": palette_png,
    "alpha": alpha_png,
    "sixteen-bit": deep_png,
    "one-bit": one_bit_png,
    "jpeg": _plain("image.jpg", "JPEG", quality=90),
    "jpeg-85": _plain("image.jpg", "JPEG", quality=85),
    "cmyk-jpeg": cmyk_jpeg,
    "profile": profiled_jpeg,
    "webp": _plain("image.webp", "WEBP", lossless=True),
    "webp-lossy": _plain("image.webp", "WEBP", quality=90),
    "tiff": _plain("image.tif", "TIFF", compression="tiff_lzw"),
    "bmp": _plain("image.bmp", "BMP"),
    "gif": gif,
    **{f"exif-{n}": partial(turned_jpeg, orientation=n) for n in _STORED},
}
