"""Cells of a clean page of lossy coding sorted by the colour of their middle alone.

Where cells are large, what the coding smears over their sides doesn't reach their middle. If the
colours seen there fall into heaps far apart, each heap is a class, and nothing dearer is needed.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from chartscan.reading.cells.glyphs import has_symbols, inked_cells, stands_free
from chartscan.reading.cells.sampling import Cells, pack, sample, unpack
from chartscan.reading.filters import median
from chartscan.reading.lattice.model import Lattice
from chartscan.reading.page.page import Page

Labels = NDArray[np.intp]

MOST = 0.98  # part of the cells that must be even; marks lie over the rest


@dataclass(frozen=True)
class EvenSettings:
    """When cells are sorted by their middle alone.

    Attributes:
        least_pitch: px per cell; in smaller ones the neighbours' colours reach the middle, as
            lossy coding keeps colour in squares of up to 16 px.
        inset: part of the cell left out along each side.
        per_side: places along each side of the rest.
        spread: levels (0..255) by which the middle of one cell may vary.
        radius: levels by which the cells of one class may differ from its commonest colour.
        apart: levels that two classes differ by at least, for no doubt to be left.
        most: number of classes.
        few: cells that a class has at least, if another is nearer than ``alone`` levels.
        alone: the same.
    """

    least_pitch: float = 16.0
    inset: float = 0.3
    per_side: int = 4
    spread: float = 12.0
    radius: float = 6.0
    apart: float = 18.0
    most: int = 200
    few: int = 3
    alone: float = 60.0


def sort_even(
    page: Page, lattice: Lattice, cells: Cells, settings: EvenSettings = EvenSettings()
) -> tuple[Labels, NDArray[np.float64]] | None:
    """A number for each cell (rows, columns) and the colour of each number, sRGB (n, 3).

    None where symbols are printed, or the heaps of colours aren't far enough apart to be sure.
    """
    if min(lattice.pitch) < settings.least_pitch:
        return None
    core = sample(page, lattice, settings.per_side, settings.inset)
    places = np.ascontiguousarray(np.moveaxis(core, (2, 3), (0, 1)))  # each of all cells at once
    spread = (places.max(axis=(0, 1)) - places.min(axis=(0, 1))).max(axis=2)
    if np.quantile(spread, MOST) > settings.spread:
        return None
    middle = median(core.reshape(lattice.rows, lattice.columns, -1, 3), axis=2).reshape(-1, 3)
    found = _heaps(middle, settings)
    if found is None:
        return None
    labels = found.reshape(lattice.rows, lattice.columns)
    inked = inked_cells(cells)
    if has_symbols(labels, inked) or stands_free(page, lattice, inked):
        return None
    colours = [np.median(middle[found == k], axis=0) for k in range(found.max() + 1)]
    return labels, np.array(colours)


def _heaps(middle: NDArray[np.float64], settings: EvenSettings) -> Labels | None:
    """Number of the heap of each colour (n, 3), largest first; None where any is in doubt."""
    packed = pack(np.rint(middle).astype(np.uint8))
    values, where, counts = np.unique(packed, return_inverse=True, return_counts=True)
    colours = unpack(values).astype(np.int16)
    label = np.full(len(colours), -1, dtype=np.intp)
    centres: list[NDArray[np.int16]] = []
    for k in np.argsort(-counts, kind="stable"):
        if label[k] >= 0:
            continue
        if len(centres) == settings.most:
            return None
        near = (np.abs(colours - colours[k]).max(axis=1) <= settings.radius) & (label < 0)
        label[near] = len(centres)
        centres.append(colours[k])
    stacked = np.array(centres)
    apart = np.abs(stacked[:, None] - stacked[None]).max(axis=2).astype(np.float64)
    np.fill_diagonal(apart, np.inf)
    size = np.bincount(label, weights=counts)
    least = np.where(size < settings.few, settings.alone, settings.apart)
    if (apart.min(axis=1) < least).any():
        return None
    return label[where]
