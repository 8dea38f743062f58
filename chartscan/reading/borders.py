"""Where two groups meet: threads change from one cell to the next, light and drift don't."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from chartscan.reading.cluster import by_size, means_of

Points = NDArray[np.float64]
Labels = NDArray[np.intp]


@dataclass(frozen=True)
class BorderSettings:
    """What a border between two classes looks like.

    Attributes:
        sharp: part of the difference between two groups that neighbours across their border show
            at least, where they are two classes. Uneven light, or a lattice that drifts over the
            glyphs, changes cells little by little.
        least: fewest pairs of neighbours of which that can be told.
    """

    sharp: float = 0.5
    least: int = 6


def without_drift(
    points: Points, labels: Labels, settings: BorderSettings = BorderSettings()
) -> Labels:
    """Join groups that pass into each other little by little; commonest first.

    Args:
        points: how cells look, shape (rows · columns, d), row by row.
        labels: group per cell, shape (rows, columns).
        settings: what a border looks like.
    """
    labels = labels.copy()
    cells = np.arange(labels.size).reshape(labels.shape)
    steps = ((cells[:, :-1], cells[:, 1:]), (cells[:-1], cells[1:]))
    pairs = np.concatenate([np.stack([a.ravel(), b.ravel()], axis=1) for a, b in steps])
    while (found := _unsharp(points, labels.ravel(), pairs, settings)) is not None:
        labels[labels == found[1]] = found[0]
    return by_size(labels.ravel()).reshape(labels.shape)


def _unsharp(
    points: Points, labels: Labels, pairs: NDArray[np.intp], settings: BorderSettings
) -> tuple[int, int] | None:
    """The two groups whose border is the least sharp; None where all are sharp."""
    means = means_of(points, labels)
    sides = np.sort(labels[pairs], axis=1)
    met, number = np.unique(sides[sides[:, 0] < sides[:, 1]], axis=0, return_counts=True)
    best, worst = None, settings.sharp
    for a, b in met[number >= settings.least]:
        across = pairs[(sides[:, 0] == a) & (sides[:, 1] == b)]
        first = np.where(labels[across[:, 0]] == a, across[:, 0], across[:, 1])
        steps = points[across.sum(axis=1) - first] - points[first]
        whole = means[b] - means[a]
        sharp = float(np.median(steps @ whole) / max(float(whole @ whole), 1e-9))
        if sharp < worst:
            best, worst = (int(a), int(b)), sharp
    return best
