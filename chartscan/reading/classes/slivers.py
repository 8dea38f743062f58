"""Bold lines that cover a sliver of their cells: a group told by that alone is none.

Where a line lies within the sides of the cells of some columns or rows, those cells differ from
their own kind at that side only, and all cells of those columns or rows do. Threads differ in
their midst, too, and glyphs don't keep to columns.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from chartscan.reading.classes.cluster import by_size
from chartscan.reading.classes.usual import SOME

Flags = NDArray[np.bool_]
Labels = NDArray[np.intp]
Patches = NDArray[np.floating]


@dataclass(frozen=True)
class SliverSettings:
    """What tells a sliver of a line from a thread or a glyph.

    Attributes:
        least: fewest cells of which it can be told.
        outer: part of the inside of a cell, from each side, that a line may reach into.
        midst: CIELAB difference, root mean square over the rest, up to which two midsts are one.
        scatter: the same as a part of what cells of the larger group differ by there.
        most: CIELAB difference over the whole inside from which on it is a glyph.
        rim: how many times more than their midst the whole of such cells differs at least.
        column: part of the cells of a column (or row) that are of the group where a line lies.
        told: part of those cells, and of the group, that columns and rows tell. Of drawn charts 14
            of 14 groups told by 0.98 were slivers; the nearest that was none reached 0.95.
    """

    least: int = 3
    outer: float = 0.33
    midst: float = 1.5
    scatter: float = 0.5
    most: float = 10.0
    rim: float = 1.5
    column: float = 0.8
    told: float = 0.98


def without_slivers(
    lab: Patches, labels: Labels, settings: SliverSettings = SliverSettings()
) -> Labels:
    """The labels once groups that a line at one side tells from a larger group have joined it.

    Args:
        lab: CIELAB of places all over every cell, shape (rows, columns, n, n, 3).
        labels: group per cell, commonest first, shape (rows · columns,).
        settings: what a sliver looks like.
    """
    side = lab.shape[2]
    cells = lab.reshape(-1, side, side, 3)
    number = np.bincount(labels)
    means = np.stack([cells[labels == k].mean(axis=0) for k in range(len(number))])
    edge = max(1, int(settings.outer * side))
    midst = slice(edge, side - edge)
    moved = labels.copy()
    for small in range(len(number) - 1, 0, -1):
        if number[small] < settings.least:
            continue
        for large in _alike(means[:small], means[small], midst, settings):
            some = cells[labels == large][:SOME, midst, midst]
            if not _one_midst(some, means[large], means[small], midst, settings):
                continue
            if _by_lines(labels.reshape(lab.shape[:2]), int(large), small, settings):
                moved[moved == small] = large
                break
    return by_size(moved)


def _alike(means: Patches, mean: Patches, midst: slice, settings: SliverSettings) -> Labels:
    """Groups that differ from one at the sides rather than in the midst, the likest first."""
    off = np.linalg.norm(means - mean, axis=3)
    inner = np.sqrt((off[:, midst, midst] ** 2).mean(axis=(1, 2)))
    whole = off.mean(axis=(1, 2))
    like = np.flatnonzero((whole <= settings.most) & (whole >= settings.rim * inner))
    return like[np.argsort(inner[like])]


def _one_midst(
    some: Patches, large: Patches, small: Patches, midst: slice, settings: SliverSettings
) -> bool:
    """Whether two groups differ no more in their midst than cells of the larger one do."""
    off = np.sqrt(((large - small)[midst, midst] ** 2).sum(axis=2).mean())
    scatter = np.sqrt(((some - large[midst, midst]) ** 2).sum(axis=3).mean())
    return bool(off <= max(settings.midst, settings.scatter * float(scatter)))


def _by_lines(labels: Labels, large: int, small: int, settings: SliverSettings) -> bool:
    """Whether the column or the row of a cell of two groups tells which of them it is in."""
    ours: Flags = labels == small
    both = ours | (labels == large)
    across, down = (ours.sum(axis=k) / np.maximum(both.sum(axis=k), 1) for k in (0, 1))
    upright, level = (across >= settings.column)[None, :], (down >= settings.column)[:, None]
    crossing = (across > 0)[None, :] & (down > 0)[:, None]
    for told in (upright, level, upright | level, crossing):
        hit = float((ours & told).sum())
        named = max(float((both & told).sum()), 1.0)
        if min(hit / named, hit / float(ours.sum())) >= settings.told:
            return True
    return False
