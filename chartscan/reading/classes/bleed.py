"""Bold lines reach into the cells beside them: what is left of those cells tells what they are."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from chartscan.reading.classes.cluster import by_size
from chartscan.reading.classes.usual import QUIET, REACH, SIGMA, SOME
from chartscan.reading.filters import median, squared

Patches = NDArray[np.floating]
Labels = NDArray[np.intp]
Mask = NDArray[np.bool_]


@dataclass(frozen=True)
class BleedSettings:
    """What a line that reaches into cells looks like.

    Attributes:
        least: lightness that it changes there at least.
        clear: the same as a multiple of how much columns of cells differ by chance.
        beside: part of a group's cells that lie beside such lines, for it to be their doing.
        like: how much more, as a ratio, the rest of such a cell may differ from another group than
            that group's own cells do; most of those cells must be so.
    """

    least: float = 0.5
    clear: float = 4.0
    beside: float = 0.9
    like: float = 1.3


def without_bleeding(
    lab: Patches, labels: Labels, settings: BleedSettings = BleedSettings()
) -> Labels:
    """The labels once groups made by bold lines have gone where they belong but for the lines.

    Args:
        lab: CIELAB of places all over every cell, shape (rows, columns, n, n, 3).
        labels: group per cell, commonest first, shape (rows · columns,).
        settings: what such lines look like.
    """
    side = lab.shape[2]
    cells = lab.reshape(-1, side, side, 3)
    number = int(labels.max()) + 1
    means = np.stack([cells[labels == k].mean(axis=0) for k in range(number)])
    off = (lab[..., 0] - means[..., 0][labels].reshape(lab.shape[:4])).astype(np.float64)
    even = np.full(side, 1 / side)  # a product: to go along so short an axis is slow
    across = _reached((even @ off).swapaxes(0, 1), settings)
    down = _reached(off @ even, settings)
    if not (across.any() or down.any()):
        return labels
    reached = across[None, :, None, :] | down[:, None, :, None]
    bare: Mask = ~reached.reshape(-1, side, side)
    beside = np.asarray(~bare.all(axis=(1, 2)), dtype=np.bool_)
    moved = labels.copy()
    for k in range(number - 1, 0, -1):
        here = np.flatnonzero(labels == k)
        if beside[here].mean() < settings.beside:
            continue
        larger = [g for g in range(k) if not beside[labels == g].all()]
        groups = [cells[labels == g] for g in larger]
        found = _without(cells[here], bare[here], groups, settings)
        if found is not None:
            moved[here] = larger[found]
    return by_size(moved)


def _reached(off: NDArray[np.float64], settings: BleedSettings) -> Mask:
    """Where lines reach into the cells of each column: (columns, rows, n) → (columns, n)."""
    usual = median(off, axis=1)
    usual -= np.median(usual, axis=0)
    chance = SIGMA * np.median(np.abs(usual), axis=0)
    reached = np.abs(usual) > np.maximum(settings.clear * chance, settings.least)
    deep = max(1, int(REACH * off.shape[2]))
    reached[:, deep : off.shape[2] - deep] = False
    return np.asarray(reached, dtype=np.bool_)


def _without(
    cells: Patches, bare: Mask, groups: list[Patches], settings: BleedSettings
) -> int | None:
    """Which of the groups most of some cells are like where no line reaches into them."""
    if not groups:
        return None
    unlike = np.median([_unlike(cells, bare, group) for group in groups], axis=1)
    best = int(unlike.argmin())
    return best if unlike[best] <= settings.like else None


def _unlike(cells: Patches, bare: Mask, group: Patches) -> NDArray[np.float64]:
    """How far cells are from a group where they are bare, as a ratio to its own cells: (k,)."""
    mean = group.mean(axis=0)
    some = group[:: max(1, len(group) // SOME)]
    usual = float(np.median(np.sqrt(squared(some - mean).mean(axis=(1, 2)))))
    squares = squared(cells - mean) * bare
    rest = np.sqrt(squares.sum(axis=(1, 2)) / np.maximum(bare.sum(axis=(1, 2)), 1))
    return np.asarray(rest / max(usual, QUIET), dtype=np.float64)
