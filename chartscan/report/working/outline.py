"""The outline of a symbol as it stands on the page, so that it can be drawn at any size."""

from __future__ import annotations

import io

import numpy as np
from numpy.typing import NDArray

INKED = 0.5  # of the way from paper to ink: where the edge of a printed stroke lies
ROOM = 4  # px of paper around the picture, so that strokes that reach its rim close
FINE = 0.35  # px by which the outline may be simplified; less than is seen in print


def trace_symbol(picture: bytes) -> str:
    """SVG path data, in a square of 100 × 100, of the symbol in a small PNG, dark on light.

    The iso-line half way between paper and ink (marching squares, Lorensen and Cline 1987, as
    scikit-image does it); holes are outlines inside outlines, to be filled even-odd.
    """
    from skimage.measure import approximate_polygon, find_contours

    ink = _ink(picture)
    side = ink.shape[0]
    wide = np.pad(ink, ROOM)
    outlines = [approximate_polygon(line, FINE) for line in find_contours(wide, INKED)]
    return "".join(_path((line - ROOM + 0.5) * (100 / side)) for line in outlines if len(line) > 3)


def _ink(picture: bytes) -> NDArray[np.float64]:
    """How much ink there is, 0 to 1, shape (side, side)."""
    from PIL import Image

    with Image.open(io.BytesIO(picture)) as image:
        grey = np.asarray(image.convert("L"), dtype=np.float64)
    return 1 - grey / 255


def _path(line: NDArray[np.float64]) -> str:
    """A closed line of (row, column) points as path data."""
    return "M" + "L".join(f"{x:.1f} {y:.1f}" for y, x in line) + "Z"
