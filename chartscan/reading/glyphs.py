"""Which glyph is printed in each cell: the same shapes grouped, whatever the shapes are."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.ndimage import gaussian_filter

from chartscan.reading.cells import Cells
from chartscan.reading.cluster import ClusterSettings, cluster

Labels = NDArray[np.intp]

BLANK = -1


@dataclass(frozen=True)
class GlyphSettings:
    """How glyphs are found and told apart.

    Attributes:
        contrast: luma difference (0..255) from the ground from which on a place is inked.
        inked: part of a cell's places that must be inked for a glyph; dust is smaller.
        least_side: places along a cell below which no glyph can be made out.
        blur: standard deviation, in places, of the smoothing before shapes are compared; it makes
            up for glyphs that sit a fraction of a pixel apart.
        dimensions: number of principal components that shapes are compared in.
        groups: how shapes are grouped.
    """

    contrast: float = 40.0
    inked: float = 0.025
    least_side: int = 4
    blur: float = 0.7
    dimensions: int = 24
    groups: ClusterSettings = ClusterSettings(
        separation=5.0, floor=0.25, least=0.9, most=200, sample=6000
    )


def group_glyphs(cells: Cells, settings: GlyphSettings = GlyphSettings()) -> Labels:
    """For each cell the number of its glyph, commonest first, or BLANK; shape (rows, columns)."""
    rows, columns = cells.ink.shape[:2]
    ink = cells.ink.reshape(rows * columns, *cells.ink.shape[2:])
    labels = np.full(rows * columns, BLANK, dtype=np.intp)
    if ink.shape[1] < settings.least_side:
        return labels.reshape(rows, columns)
    inside = ink[:, 1:-1, 1:-1]  # soft edges of the neighbours reach the rim
    inked = (np.abs(inside) >= settings.contrast).mean(axis=(1, 2)) >= settings.inked
    if inked.any():
        labels[inked] = cluster(shapes(ink[inked], settings), settings.groups)
    return labels.reshape(rows, columns)


def shapes(ink: NDArray[np.float32], settings: GlyphSettings) -> NDArray[np.float64]:
    """Shape of each patch of ink as a point; distance 1 is a place more or less that is inked.

    Ink is counted dark or light alike, on a scale on which the full ink of the cell is 1.
    """
    depth = np.abs(ink)
    full = np.maximum(np.quantile(depth, 0.95, axis=(1, 2), keepdims=True), settings.contrast)
    smooth = gaussian_filter(np.minimum(depth / full, 1.2), (0, settings.blur, settings.blur))
    flat = smooth.reshape(len(ink), -1).astype(np.float64)
    centred = flat - flat.mean(axis=0)
    if centred.shape[1] <= settings.dimensions:
        return centred
    sample = centred[:: max(1, len(centred) // 4000)]
    _, axes = np.linalg.eigh(sample.T @ sample)
    return centred @ axes[:, -settings.dimensions :]
