"""A decoded picture as upright sRGB pixels: alpha laid on white, ICC profile, EXIF orientation."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from chartscan.reading.page.icc import ToSrgb, to_srgb

if TYPE_CHECKING:
    from PIL import Image

Pixels = NDArray[np.uint8]

STRIP = 64  # rows copied at a time: stays in the cache; a whole page at once costs six times more
FIRST_TURNED = 5  # EXIF orientations from here on swap width and height
AGAINST = {
    1: (1, 1),
    2: (1, -1),
    3: (-1, -1),
    4: (-1, 1),
    5: (1, 1),
    6: (-1, 1),
    7: (-1, -1),
    8: (1, -1),
}  # by orientation, whether stored rows and columns run against those of the upright page
BYTE = 8  # bits
FULL_SCALES = (1.0, 255.0, 65535.0)  # white of floats and whole numbers, the least that holds all
ROUNDS_UP = 127  # added before dividing by 255: the nearest whole level


def upright_srgb(image: Image.Image, orientation: int, notes: list[str]) -> Pixels:
    """Copy the decoded image strip by strip: alpha on white, ICC to sRGB, turned upright."""
    image = _in_eight_bits(image)
    conversion = to_srgb(image, notes)
    width, height = image.size
    turned = orientation >= FIRST_TURNED
    pixels: Pixels = np.empty((width, height, 3) if turned else (height, width, 3), dtype=np.uint8)
    stored = _as_stored(pixels, orientation)
    for top in range(0, height, STRIP):
        bottom = min(top + STRIP, height)
        strip = image.crop((0, top, width, bottom))
        stored[top:bottom] = _strip_pixels(strip, conversion)
    return pixels


def _as_stored(pixels: Pixels, orientation: int) -> Pixels:
    """A view of upright ``pixels`` laid out as the file stores them (EXIF 2.3, orientation)."""
    view = pixels.transpose(1, 0, 2) if orientation >= FIRST_TURNED else pixels
    down, across = AGAINST[orientation]
    return view[::down, ::across]


def _in_eight_bits(image: Image.Image) -> Image.Image:
    """Bring 16- and 32-bit greys and floats to 8 bits by scale, never by clipping."""
    from PIL import Image

    if not image.mode.startswith(("I", "F")):
        return image
    values = np.asarray(image)
    if image.mode.startswith("I;16"):
        grey = (values >> BYTE).astype(np.uint8)
    else:
        top = float(np.nanmax(values)) if values.size else 0.0
        full = next((f for f in FULL_SCALES if top <= f), max(top, 1.0))
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
    laid: NDArray[np.uint16] = (colours * opacity + 255 * (255 - opacity) + ROUNDS_UP) // 255
    return laid.astype(np.uint8)
