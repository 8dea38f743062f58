"""What the symbol of each class looks like: the mean of its cells on the page."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from chartscan.chart import Chart
from chartscan.reading.cells.sampling import SHOWN_BY, luma, pixels_at
from chartscan.reading.lattice.model import Lattice
from chartscan.reading.page.page import Page
from chartscan.reading.scale import THIN_LINES


@dataclass(frozen=True)
class CropSettings:
    """How the picture of a symbol is made.

    Attributes:
        side: px along each side of the picture; large enough to tell two symbols by eye.
        contrast: luma (0..255) between ink and ground below which the contrast isn't stretched,
            so that noise isn't blown up into a symbol.
    """

    side: int = 32
    contrast: float = 30.0


def crops(
    page: Page, lattice: Lattice, chart: Chart, settings: CropSettings = CropSettings()
) -> dict[int, NDArray[np.uint8]]:
    """Class index -> the mean of its cells, grey uint8 (side, side), dark on light.

    Classes without a symbol, or without a cell, are left out.
    """
    found: dict[int, NDArray[np.uint8]] = {}
    for entry in chart.classes:
        if entry.symbol is None:
            continue
        here = np.argwhere(chart.cells == entry.index)
        if len(here):
            spread = here[:: -(-len(here) // SHOWN_BY)]
            mean = _mean(page, lattice, spread, settings)
            found[entry.index] = _dark_on_light(mean, settings.contrast)
    return found


def _mean(
    page: Page, lattice: Lattice, places: NDArray[np.intp], settings: CropSettings
) -> NDArray[np.float32]:
    """Mean luma of the cells at ``places`` (row, column), shape (side, side)."""
    inset, side = THIN_LINES, settings.side
    along = inset + (np.arange(side) + 0.5) * (1 - 2 * inset) / side
    seen = pixels_at(page, *np.moveaxis(lattice.inside(places, along), -1, 0))
    return luma(seen.mean(axis=0, dtype=np.float32))


def _dark_on_light(mean: NDArray[np.float32], contrast: float) -> NDArray[np.uint8]:
    """The picture stretched from black to white; light ink on a dark ground turned over."""
    rim = np.concatenate([mean[0], mean[-1], mean[1:-1, 0], mean[1:-1, -1]])
    ground = float(np.median(rim))
    depth = (ground - mean) if ground - mean.min() >= mean.max() - ground else (mean - ground)
    scaled = np.clip(depth / max(float(depth.max()), contrast), 0, 1)
    return np.asarray(np.round(255 * (1 - scaled)), dtype=np.uint8)
