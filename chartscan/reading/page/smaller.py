"""A page made smaller by a whole factor, and its luma: by strips, which stay in the cache.

Pillow keeps four bytes a pixel: to hand it a whole page is to copy that first, which takes longer
than all else here.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray
from PIL import Image

from chartscan.cores import mapped

Pixels = NDArray[np.uint8]

STRIP = 64  # rows of the page taken at a time, at least


def smaller(pixels: Pixels, factor: int) -> Pixels:
    """The mean of each square of ``factor`` × ``factor`` pixels, those cut off at the ends too.

    Args:
        pixels: shape (height, width, 3) or (height, width), uint8.
        factor: how many times smaller, 1 or more.
    """
    if factor <= 1:
        return pixels
    return _by_strips(pixels, factor, lambda strip: strip.reduce(factor))


def luma_of(pixels: Pixels, factor: int = 1) -> Pixels:
    """Rec. 601 luma of sRGB ``pixels`` (height, width, 3), ``factor`` times smaller."""
    if factor <= 1:
        return _by_strips(pixels, 1, lambda strip: strip.convert("L"))
    return _by_strips(pixels, factor, lambda strip: strip.reduce(factor).convert("L"))


def _by_strips(pixels: Pixels, factor: int, make: Callable[[Image.Image], Image.Image]) -> Pixels:
    """What ``make`` makes of strips of whole squares, laid together."""
    rows = -(-STRIP // factor) * factor

    def made(top: int) -> Pixels:
        return np.asarray(make(Image.fromarray(pixels[top : top + rows])))

    return np.concatenate(mapped(made, range(0, len(pixels), rows)))
