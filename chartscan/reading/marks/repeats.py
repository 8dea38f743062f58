"""Glyphs that stand alike in many cells: whatever marks lie over others, these are stitches."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from chartscan.reading.cells.glyphs import LEAST_INK, REPEATED, is_disc
from chartscan.reading.cells.sampling import rim_places
from chartscan.reading.marks.fills import Mask, most_common
from chartscan.reading.marks.patches import INKED, Patches
from chartscan.reading.scale import THIN_LINES

COPIES = 0.2  # part of a glyph's ink in which its copies may differ: each lies on other pixels


def repeated_glyphs(patches: Patches, tolerance: float) -> Mask:
    """Cells that show a glyph which stands alike in many cells, shape (rows, columns).

    It is clear of the sides of its cell, which backstitch and part stitches reach, and no disc, as
    knots are. ``tolerance``: difference (0..255) up to which two samples are one colour.
    """
    inner = patches.by_cell(patches.offsets(THIN_LINES, 1 - THIN_LINES))
    rows, columns, places, _ = inner.shape
    found = np.zeros(rows * columns, dtype=np.bool_)
    side = round(places**0.5)
    ink = _ink(inner.reshape(rows * columns, places, 3), INKED * tolerance)
    ring = rim_places(side)
    clear = ~ink[:, ring.ravel()].any(axis=1) & (ink.mean(axis=1) >= LEAST_INK)
    left = np.flatnonzero(clear)
    while len(left) >= REPEATED:
        packed = np.packbits(ink[left], axis=1)
        shapes, counts = np.unique(packed, axis=0, return_counts=True)
        shape = np.unpackbits(shapes[counts.argmax()], count=places).view(np.bool_)
        copy = (ink[left] != shape).sum(axis=1) <= COPIES * shape.sum()
        if copy.sum() >= REPEATED and not is_disc(shape.reshape(side, side)):
            found[left[copy]] = True
        left = left[~copy]
    return found.reshape(rows, columns)


def _ink(samples: NDArray[np.int16], least: float) -> Mask:
    """Which samples (n, m, 3) of each cell differ from its commonest colour: (n, m)."""
    ground = np.array([most_common(cell) for cell in samples]).reshape(-1, 1, 3)
    ink: Mask = np.abs(samples - ground).max(axis=-1) > least
    return ink
