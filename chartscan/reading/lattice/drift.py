"""How the lines drift away from a lattice where it is carried on, as a smooth surface over blocks.

The phase of lines tells where they lie but for whole cells. Where a lattice is carried on too far
under perspective they stray from it by half a cell and more, and seem to lie beside its next line.
So their drift is followed outward from the cells known already, a few blocks at a time.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np

from chartscan.reading.lattice.blocks import Blocks, main_piece
from chartscan.reading.scale import EXPECTED


@dataclass(frozen=True)
class DriftSettings:
    """How drift is followed.

    Attributes:
        step: blocks by which the part looked at widens each time; so far a surface of the second
            degree is told well enough to tell lines from the next.
        bridge: blocks that don't fit, on either side, which may be leapt over.
    """

    step: int = 3
    bridge: int = 2


def followed(
    blocks: Blocks, size: tuple[int, int], coherent: float, settings: DriftSettings
) -> Blocks:
    """The blocks with shifts that go on evenly, by whole cells where need be, and what is expected.

    Args:
        blocks: measured by a lattice over its own cells and some around.
        size: columns and rows of that lattice, whose cell (0, 0) is the region's.
        coherent: coherence from which on a block tells where its lines lie.
        settings: how drift is followed.
    """
    known = blocks.coherent.min(axis=2) >= coherent
    rows, columns = known.shape
    y, x = np.mgrid[-1 : 1 : rows * 1j, -1 : 1 : columns * 1j]
    basis = np.stack([np.ones_like(x), x, y, x * x, x * y, y * y], axis=-1)
    expected = np.zeros_like(blocks.shift)
    shift = blocks.shift
    for window in _windows(blocks, size, settings):
        fits = np.zeros_like(known)
        near = np.abs(shift - expected).max(axis=2) <= EXPECTED
        fits[window] = (known & near)[window]
        fits = main_piece(fits, settings.bridge)
        if fits.sum() < 2 * basis.shape[-1]:  # too few to tell its coefficients
            break
        weight = blocks.coherent.min(axis=2)[fits][:, None]
        a = basis[fits] * weight
        surface = np.linalg.lstsq(a, shift[fits] * weight, rcond=1e-6)[0]
        expected = basis @ surface
        shift = blocks.shift + np.round(expected - blocks.shift)
    return replace(blocks, shift=shift, expected=expected)


def _windows(
    blocks: Blocks, size: tuple[int, int], settings: DriftSettings
) -> Iterator[tuple[slice, slice]]:
    """The blocks of the lattice, and more and more around it until there are none left."""
    rows, columns = blocks.shift.shape[:2]
    region, per = blocks.region, blocks.size
    left, top = -region.left // per, -region.top // per
    right, bottom = -(-(size[0] - region.left) // per), -(-(size[1] - region.top) // per)
    aside = 0
    while True:
        yield (
            slice(max(0, top - aside), bottom + aside),
            slice(max(0, left - aside), right + aside),
        )
        if min(left, top) <= aside and right + aside >= columns and bottom + aside >= rows:
            return
        aside += settings.step
