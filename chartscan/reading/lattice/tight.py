"""Whether a straight lattice lies on the page's lines to the pixel: then nothing bends them."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from chartscan.reading.lattice.edges import Edges
from chartscan.reading.lattice.model import Lattice
from chartscan.reading.scale import EXPECTED, THIN_LINES


@dataclass(frozen=True)
class TightSettings:
    """What lies tight.

    Attributes:
        rows: rows (and columns) of pixels looked at; few, as it is asked to save time.
        blocks: parts the chart is cut into along each side; paper may bend in one corner only.
    """

    rows: int = 96
    blocks: int = 6


def lies_tight(
    lattice: Lattice, across: Edges, down: Edges, settings: TightSettings = TightSettings()
) -> bool:
    """Whether the page's lines lie on the lattice's to the pixel all over the chart.

    Half of the edges near lines do, in every block that has any: as close as thin lines reach.

    Args:
        lattice: that they may lie on.
        across: edges along rows of pixels, which show upright lines.
        down: edges along columns.
        settings: what lies tight.
    """
    if not lattice.straight:
        return False
    (pitch_x, _, left), (_, pitch_y, top), _ = lattice.homography
    x = _Side(left, pitch_x, lattice.columns)
    y = _Side(top, pitch_y, lattice.rows)
    return _all_tight(across, x, y, settings) and _all_tight(down, y, x, settings)


@dataclass(frozen=True)
class _Side:
    """One axis of a straight lattice: where it starts and its pitch in px, and its cells."""

    origin: float
    pitch: float
    cells: int

    def place(self, position: NDArray[np.float64]) -> NDArray[np.float64]:
        """Position in px as one in cells."""
        return (position - self.origin) / self.pitch

    def block(self, position: NDArray[np.float64], blocks: int) -> NDArray[np.intp]:
        """Number of the block at each position, −1 off the chart."""
        part = self.place(position) / self.cells
        on = (part >= 0) & (part < 1)
        return np.where(on, part * blocks, -1).astype(np.intp)


def _all_tight(edges: Edges, across: _Side, down: _Side, settings: TightSettings) -> bool:
    """Whether upright lines lie tight in every block; swap the axes of all for level ones."""
    edges = edges.fewer(settings.rows)
    row, place = np.nonzero(edges.unpacked(edges.on))
    position = place.astype(np.float64) + 1  # an edge lies between pixels x and x + 1
    at = across.place(position)
    off = np.abs(at - np.round(at))
    level = (edges.stride // 2 + row * edges.stride).astype(np.float64)
    block = down.block(level, settings.blocks) * settings.blocks
    column = across.block(position, settings.blocks)
    near = (off <= EXPECTED) & (block >= 0) & (column >= 0)
    tight = near & (off <= THIN_LINES)
    number, those = (
        np.bincount((block + column)[chosen], minlength=settings.blocks**2)
        for chosen in (near, tight)
    )
    return bool(number.any()) and bool((those >= number / 2).all())
