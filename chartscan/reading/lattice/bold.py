"""Which grid lines are drawn bolder: every tenth or fifth, and where that count starts."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from chartscan.reading.cells.sampling import SHOWN_BY
from chartscan.reading.lattice.model import Lattice
from chartscan.reading.page.page import Page
from chartscan.reading.scale import BOLD, NEAR

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class BoldSettings:
    """How bolder lines are told.

    Attributes:
        steps: points looked at across.
        contrast: levels of 255 by which a line must be darker than the cells beside it there.
        least: bold lines within the grid that must agree.
    """

    steps: int = 9
    contrast: float = 24.0
    least: int = 2


@dataclass(frozen=True)
class Bold:
    """Every ``period``-th line is bold, the first of them at index ``first`` < ``period``."""

    period: int
    first: int


def find_bold(
    page: Page, lattice: Lattice, axis: int, settings: BoldSettings = BoldSettings()
) -> Bold | None:
    """The bold upright lines (``axis`` 0) or level ones (1); None where none stand out.

    The faintest of them is darker than the darkest plain one, by half of the difference between
    their medians.
    """
    weights = _weights(page, lattice, axis, settings)
    inner = np.arange(1, len(weights) - 1)  # the frame is bold for another reason
    inner = inner[np.isfinite(weights[inner])]
    for period in BOLD:
        for first in range(period):
            bold = inner % period == first
            if bold.sum() < settings.least or not (~bold).any():
                continue
            dark, plain = weights[inner][bold], weights[inner][~bold]
            gap = float(np.median(dark) - np.median(plain))
            if gap > 0 and dark.min() - plain.max() >= gap / 2:
                return Bold(period, first)
    return None


def _weights(page: Page, lattice: Lattice, axis: int, settings: BoldSettings) -> Floats:
    """How broad and dark each line is, in one figure; NaN where nothing of it shows."""
    count, length = lattice.columns + 1, lattice.rows
    if axis == 1:
        count, length = lattice.rows + 1, lattice.columns
    # Between crossings, so that the lines that cross don't count.
    along = (np.arange(min(length, SHOWN_BY)) * max(1, length // SHOWN_BY)) + 0.5
    across = np.linspace(-NEAR, NEAR, settings.steps)
    place = np.arange(count)[:, None] + across
    shape = (count, len(along), settings.steps)
    first = np.broadcast_to(place[:, None, :], shape)
    second = np.broadcast_to(along[None, :, None], shape)
    points = np.stack([first, second] if axis == 0 else [second, first], axis=-1)
    pixels = np.floor(lattice.to_pixels(points)).astype(int)
    x = np.clip(pixels[..., 0], 0, page.size[0] - 1)
    y = np.clip(pixels[..., 1], 0, page.size[1] - 1)
    grey = page.pixels[y, x].astype(np.float64).mean(axis=-1)
    # Darker than both cells beside it: where two colours meet, that alone is no line.
    beside = np.minimum(grey[..., 0], grey[..., -1])
    darkest = grey.min(axis=-1)
    depth = beside - darkest
    # Width in points across and darkness of the line itself: neither depends on the cells.
    width = (beside[..., None] - grey).clip(0).sum(axis=-1) / np.maximum(depth, 1)
    ink = np.where(depth >= settings.contrast, width * (255 - darkest), np.nan)
    seen = np.isfinite(ink).any(axis=1)
    shown: Floats = np.full(count, np.nan)
    shown[seen] = np.nanmedian(ink[seen], axis=1)
    return shown
