"""Where two groups meet: threads change from one cell to the next, light and drift don't."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from chartscan.reading.classes.cluster import by_size, means_of

Points = NDArray[np.float64]
Labels = NDArray[np.intp]


@dataclass(frozen=True)
class BorderSettings:
    """What a border between two classes looks like.

    Attributes:
        sharp: part of the difference between two groups that neighbours across their border show
            at least, where they are two classes. Uneven light, or a lattice that drifts over the
            glyphs, changes cells little by little.
        clear: the same from which on they are two classes for certain. In between they are one
            if where a cell lies tells more of what it looks like than which group it is in.
        least: fewest pairs of neighbours of which that can be told; they are also as many as a
            square of the smaller group's cells has along a side.
        leap: how many times as far apart as neighbours within either group those across a border
            are, from which on it is one between classes. Where light or drift had made two groups
            of one class it was 0.8; upright bars beside level ones leapt 5.8-fold.
        ground: CIELAB difference of their grounds up to which light or drift may have made it.
    """

    sharp: float = 0.5
    clear: float = 0.9
    least: int = 6
    leap: float = 4.0
    ground: float = 15.0


def without_drift(
    points: Points,
    ground: Points,
    labels: Labels,
    settings: BorderSettings = BorderSettings(),
) -> Labels:
    """Join groups that pass into each other little by little; commonest first.

    Args:
        points: how cells look, shape (rows · columns, d), row by row.
        ground: CIELAB of the ground of each, shape (rows · columns, 3).
        labels: group per cell, shape (rows, columns).
        settings: what a border looks like.
    """
    labels = labels.copy()
    cells = np.arange(labels.size).reshape(labels.shape)
    steps = ((cells[:, :-1], cells[:, 1:]), (cells[:-1], cells[1:]))
    pairs = np.concatenate([np.stack([a.ravel(), b.ravel()], axis=1) for a, b in steps])
    far = _steps(points.reshape(*labels.shape, -1))
    while (found := _unsharp(points, ground, labels, pairs, far, settings)) is not None:
        labels[labels == found[1]] = found[0]
    return by_size(labels.ravel()).reshape(labels.shape)


def _steps(looks: Points) -> Points:
    """How far apart all neighbours look: those side by side, then those one below the other."""
    steps = (a - b for a, b in ((looks[:, :-1], looks[:, 1:]), (looks[:-1], looks[1:])))
    return np.asarray(np.sqrt(np.concatenate([np.vecdot(step, step).ravel() for step in steps])))


def _unsharp(
    points: Points,
    ground: Points,
    grid: Labels,
    pairs: NDArray[np.intp],
    far: Points,
    settings: BorderSettings,
) -> tuple[int, int] | None:
    """Two groups that pass into each other; None where every border is sharp."""
    labels = grid.ravel()
    means, grounds = means_of(points, labels), means_of(ground, labels)
    size = np.bincount(labels)
    sides = np.sort(labels[pairs], axis=1)
    met, number = np.unique(sides[sides[:, 0] < sides[:, 1]], axis=0, return_counts=True)
    long = number >= np.maximum(settings.least, np.sqrt(size[met].min(axis=1)))
    near = np.linalg.norm(np.diff(grounds[met], axis=1)[:, 0], axis=1) <= settings.ground
    if not (long & near).any():
        return None
    usual = _usual_steps(far, sides, len(size))
    for a, b in met[long & near]:
        there = (sides[:, 0] == a) & (sides[:, 1] == b)
        if np.median(far[there]) >= settings.leap * max(usual[a], usual[b]) > 0:
            continue
        across = pairs[there]
        first = np.where(labels[across[:, 0]] == a, across[:, 0], across[:, 1])
        steps = points[across.sum(axis=1) - first] - points[first]
        whole = means[b] - means[a]
        sharp = float(np.median(steps @ whole) / max(float(whole @ whole), 1e-9))
        if sharp < settings.sharp:
            return int(a), int(b)
        if sharp < settings.clear and _smooth(points @ whole, grid, (int(a), int(b))):
            return int(a), int(b)
    return None


def _usual_steps(far: Points, sides: Labels, number: int) -> NDArray[np.float64]:
    """How ``far`` apart neighbours within each of ``number`` groups usually are; nought for none.

    ``sides``: the groups of each two neighbours, shape (pairs, 2).
    """
    within = sides[:, 0] == sides[:, 1]
    group, apart = sides[within, 0], far[within]
    usual = np.zeros(number)
    for k in np.unique(group):
        usual[k] = np.median(apart[group == k])
    return usual


def _smooth(values: NDArray[np.float64], grid: Labels, groups: tuple[int, int]) -> bool:
    """Whether a cubic surface over the page tells the values of two groups better than they do."""
    here = np.isin(grid, groups)
    y, x = np.nonzero(here)
    x, y = x / grid.shape[1] - 0.5, y / grid.shape[0] - 0.5
    terms = np.stack([x**i * y**j for i in range(4) for j in range(4 - i)], axis=1)
    found, group = values.reshape(grid.shape)[here], grid[here]
    surface = terms @ np.linalg.lstsq(terms, found, rcond=None)[0]
    means = np.select([group == k for k in groups], [found[group == k].mean() for k in groups])
    return bool(((found - surface) ** 2).sum() < ((found - means) ** 2).sum())
