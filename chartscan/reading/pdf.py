"""PDF pages by pypdfium2: counting and rendering. Vector charts are read in ``vector``."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from chartscan.errors import PageError


@dataclass(frozen=True)
class Rendered:
    """A rendered PDF page: sRGB pixels (height, width, 3), its number from 1, and warnings."""

    pixels: NDArray[np.uint8]
    lossless: bool
    number: int
    warnings: tuple[str, ...] = ()


def render(path: Path, number: int | None, max_pixels: int) -> Rendered:
    """Render page ``number`` (from 1; None for the first)."""
    raise PageError(f"{path}: PDF pages can't be read yet")
