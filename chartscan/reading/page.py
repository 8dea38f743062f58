"""A page: upright sRGB pixels, however the file stored them. The only file in here that decodes."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray


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
    """

    pixels: NDArray[np.uint8]
    lossless: bool
    file: str = ""
    sha256: str = ""
    number: int | None = None
    warnings: tuple[str, ...] = ()

    @property
    def size(self) -> tuple[int, int]:
        """Width and height in pixels."""
        return int(self.pixels.shape[1]), int(self.pixels.shape[0])
