"""How what lies over a cell looks: it comes in over the cell's side."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from chartscan.reading.marks.fills import Mask
from chartscan.reading.marks.patches import INKED, MIDDLE, Samples, difference
from chartscan.reading.marks.templates.flat import Flat
from chartscan.reading.marks.templates.template import Template, some

_EIGHT = np.ones((3, 3), dtype=np.bool_)

_AT_ONCE = 20_000
"""Samples, times inks, held against each other in one go: they fit the cache."""


@dataclass(frozen=True)
class CrossingSettings:
    """What a line over a cell changes of it.

    Attributes:
        most: part of the inner cell that crossing lines cover; a thick diagonal covers 0.45.
        ring: part of the samples along the sides that differ at most; more is another ground.
        free: part of what differs that may hang together with no side, and least samples.
        like: part of the cells in which a sample beside the grid line has the colour of the
            ground, from which on the line leaves it free.
        cells: cells that this is taken from, at most.
        two: part of the samples along the sides that a second ground has in a split cell.
        apart: difference (0..255) from which on two grounds are two.
        blend: levels (0..255) more than the tolerance by which a sample may be off a blend, as a
            program drew the page, and where it was stored with loss: there a line's own colour
            strays by 15 (half of its samples) to 30 (nineteen of twenty; six drawn scans).
    """

    most: float = 0.7
    ring: float = 0.7
    free: tuple[float, int] = (0.12, 2)
    like: float = 0.6
    cells: int = 1500
    two: float = 0.15
    apart: float = 12.0
    blend: tuple[float, float] = (4.0, 16.0)


@dataclass(frozen=True)
class Clear:
    """The first and the last sample along a cell that grid lines leave free, across and down."""

    first: int
    last: int

    def ring(self, side: int) -> Mask:
        """The samples along the inside of the grid lines, shape (side, side)."""
        ring = np.zeros((side, side), dtype=np.bool_)
        ring[self.first : self.last + 1, self.first : self.last + 1] = True
        ring[self.first + 1 : self.last, self.first + 1 : self.last] = False
        return ring


def clear_of_lines(flat: Flat, settings: CrossingSettings = CrossingSettings()) -> Clear:
    """Where along a cell the grid lines end: there alone a glyph is told from what crosses it."""
    side, depth = flat.side, flat.depth
    cells = flat.cells[some(np.arange(len(flat.cells)), settings.cells)]
    near = [depth, depth, side - 1 - depth, side - 1 - depth]
    ground = np.median(cells[:, near, near[1:] + near[:1]], axis=1).astype(np.int16)
    like = difference(cells, ground[:, None, None]) <= flat.tolerance
    low, high = MIDDLE
    middle = slice(int(low * side), int(np.ceil(high * side)))
    along = [like[:, middle].mean(axis=(0, 1)), like[:, :, middle].mean(axis=(0, 2))]
    first = max(_first(share[: depth + 1], settings.like) for share in along)
    last = max(_first(share[::-1][: depth + 1], settings.like) for share in along)
    return Clear(first, side - 1 - last)


def _first(share: NDArray[np.float64], least: float) -> int:
    """The first place that reaches ``least``, or the last place."""
    reached = np.flatnonzero(share >= least)
    return int(reached[0]) if len(reached) else len(share) - 1


def crosses(differs: Mask, clear: Clear, settings: CrossingSettings = CrossingSettings()) -> bool:
    """Whether what ``differs`` (side, side) comes in over the sides of the cell."""
    from scipy import ndimage

    pieces, count = ndimage.label(differs, _EIGHT)
    if not count:
        return False
    ring = clear.ring(len(differs))
    if differs[ring].mean() > settings.ring:
        return False
    at_side = np.zeros(count + 1, dtype=np.bool_)
    at_side[np.unique(pieces[ring])] = True
    size = np.bincount(pieces.ravel(), minlength=count + 1)
    free = int((size[1:] * ~at_side[1:]).sum())
    share, least = settings.free
    return free <= max(least, share * int(differs.sum()))


def shows_two(
    flat: Flat,
    template: Template,
    grounds: Samples,
    clear: Clear,
    settings: CrossingSettings = CrossingSettings(),
) -> bool:
    """Whether two of the ``grounds`` (n, 3) show along the sides of its cell: it is split."""
    inside = Clear(clear.first + 1, clear.last - 1).ring(flat.side)
    ring = template.picture[inside]
    near = INKED * flat.tolerance
    kept: list[Samples] = []
    shown = 0
    for ground in grounds:
        if all(np.abs(ground - other).max() > settings.apart for other in kept):
            kept.append(ground)
            share = (np.abs(ring - ground).max(axis=1) <= near).mean()
            shown += int(share > settings.two)
    return shown > 1


def blended(
    flat: Flat,
    below: Samples,
    seen: Samples,
    inks: NDArray[np.float64],
    settings: CrossingSettings = CrossingSettings(),
) -> Mask:
    """Which samples ``seen`` (n, 3) are what is ``below`` (n, 3) under an ink, or a blend of it."""
    # Channels first, and several inks at once: loops of three, or over few samples, are slow.
    base = below.T.astype(np.float32, order="C")
    step = seen.T.astype(np.float32, order="C") - base
    good = np.zeros(len(below), dtype=np.bool_)
    some = max(1, _AT_ONCE // max(1, len(below)))
    for first in range(0, len(inks), some):
        way = inks[first : first + some, :, None].astype(np.float32) - base
        length = np.maximum((way * way).sum(axis=1), 1.0)
        share = np.clip((step * way).sum(axis=1) / length, 0, 1)
        rest = np.abs(step - share[:, None] * way).max(axis=1)
        good |= (rest <= flat.tolerance + settings.blend[int(flat.lossy)]).any(axis=0)
    return good
