"""sRGB and linear light.

Throughout the package an sRGB colour is on the scale 0 to 255, as pictures hold it, whole numbers
or not; linear light is on the scale 0 to 1, and neither function clips.

Source: IEC 61966-2-1:1999, the sRGB transfer curve and its inverse.
"""

from __future__ import annotations

import re
from functools import cache

import numpy as np
from numpy.typing import ArrayLike, NDArray

_HEX = re.compile(r"#?([0-9a-fA-F]{6}|[0-9a-fA-F]{3})")


def srgb_to_linear(rgb: ArrayLike) -> NDArray[np.float64]:
    """Linear light (white = 1) of sRGB values (white = 255), any shape.

    Negative values follow the curve mirrored at zero, so that the way back is exact.

    >>> round(float(srgb_to_linear(127.5)), 8)
    0.21404114
    """
    values = np.asarray(rgb)
    if values.dtype == np.uint8:  # pictures: 256 levels, looked up
        return np.asarray(_of_levels()[values])
    return _decode(values.astype(np.float64))


MOST = 400.0
"""The brightest value that :func:`many_to_linear` takes: paper under an uneven light, made even."""

_PARTS = 16  # entries a level in the table of many_to_linear


def many_to_linear(rgb: NDArray[np.float32]) -> NDArray[np.float32]:
    """:func:`srgb_to_linear` of very many values 0..``MOST``, rounded to a sixteenth of a level."""
    place = (rgb * np.float32(_PARTS) + np.float32(0.5)).astype(np.uint16)
    return np.asarray(_table().take(place))


@cache
def _table() -> NDArray[np.float32]:
    table = _decode(np.arange(int(MOST * _PARTS) + 1) / _PARTS).astype(np.float32)
    table.setflags(write=False)
    return table


@cache
def _of_levels() -> NDArray[np.float64]:
    levels = _decode(np.arange(256, dtype=np.float64))
    levels.setflags(write=False)
    return levels


def _decode(rgb: NDArray[np.float64]) -> NDArray[np.float64]:
    encoded = rgb / 255.0
    size = np.abs(encoded)
    linear = np.where(size <= 0.04045, size / 12.92, ((size + 0.055) / 1.055) ** 2.4)
    return np.copysign(linear, encoded)


def linear_to_srgb(linear: ArrayLike) -> NDArray[np.float64]:
    """SRGB values (white = 255) of linear light (white = 1), any shape; not rounded, not clipped.

    >>> round(float(linear_to_srgb(0.21404114)), 4)
    127.5
    """
    light = np.asarray(linear, dtype=np.float64)
    size = np.abs(light)
    encoded = np.where(size <= 0.0031308, size * 12.92, 1.055 * size ** (1 / 2.4) - 0.055)
    return np.copysign(encoded, light) * 255.0


def round_rgb(rgb: ArrayLike) -> tuple[int, int, int]:
    """The nearest displayable colour, whole numbers 0 to 255, of one sRGB value of shape (3,)."""
    red, green, blue = np.clip(np.rint(np.asarray(rgb, dtype=np.float64)), 0, 255)
    return int(red), int(green), int(blue)


def parse_hex(text: str) -> tuple[int, int, int]:
    """The colour that ``#rrggbb``, ``rrggbb`` or ``#rgb`` says; ValueError where it says none."""
    found = _HEX.fullmatch(text.strip())
    if not found:
        raise ValueError(f"colour {text.strip()!r} isn't of the form #rrggbb")
    digits = found[1] if len(found[1]) == 6 else "".join(2 * digit for digit in found[1])
    return int(digits[:2], 16), int(digits[2:4], 16), int(digits[4:], 16)


def format_hex(rgb: tuple[int, int, int]) -> str:
    """``#rrggbb`` of a colour 0 to 255."""
    return "#{:02x}{:02x}{:02x}".format(*rgb)
