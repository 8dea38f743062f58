"""How likely a group of cells is two classes: where it falls in two, told in the halves' own noise.

Noise that is measured within groups is too wide where a group is two classes, and then nothing
tells them apart. So every group is cut in two, whether it is one class or two, and noise is what
scatters within the halves: cutting one class so takes next to nothing off the noise of all.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from chartscan.reading.classes.cluster import means_of, means_of_both
from chartscan.reading.classes.far import differ
from chartscan.reading.classes.halves import (
    Halves,
    HeapWeights,
    adapted,
    best_halves,
    widest_halves,
)
from chartscan.reading.classes.spread import USUAL, Spread
from chartscan.reading.classes.usual import QUIET
from chartscan.reading.odds import chance_of

Labels = NDArray[np.intp]
Mask = NDArray[np.bool_]
Patches = NDArray[np.floating]
Points = NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class Heap:
    """The part of a group that may be a class of its own.

    Attributes:
        group: the group.
        cells: which cells they are, the farthest from the rest first, flat: (k,).
        chance: the probability that it is a class of its own.
        lab: CIELAB of their ground; None where it wasn't looked at.
    """

    group: int
    cells: Labels
    chance: float
    lab: tuple[float, float, float] | None = None


@dataclass(frozen=True, eq=False)
class Noise:
    """What the cells of each group differ by, in units of the noise within halves.

    Attributes:
        points: each cell less the mean of its group and what lying beside does: (cells, d).
        within: the covariance of the noise, not scaled, shape (d, d).
    """

    points: Points
    within: Points


def noise_of(
    spread: Spread, labels: Labels, weights: HeapWeights = HeapWeights(), rounds: int = 2
) -> Noise:
    """The noise of a page, measured within halves of groups; labels have shape (cells,)."""
    groups = _cells_of(labels)
    parts = _parts(groups)
    # Group by group in one array: a part of it is a view, cells of a group picked out a copy.
    off = (spread.points - means_of(spread.points, labels)[labels])[np.concatenate(groups)]
    slopes = spread.slopes(labels, weights.beside)
    for part, slope in zip(parts, slopes, strict=True):
        off[part] = _straightened(off[part], slope, spread.settings.quiet**2)
    halves = off.copy()
    within = _covariance(halves, len(groups))
    for _ in range(rounds):
        scale = spread.scaling(within)
        for part in parts:
            if part.stop - part.start >= 2 * (weights.least + 1):
                halves[part] = _about_halves(off[part], widest_halves(off[part] @ scale, weights))
        size = np.linalg.norm(halves @ scale, axis=1)
        within = _covariance(halves[size <= np.quantile(size, USUAL)], 2 * len(groups))
    points = np.empty_like(off)
    points[np.concatenate(groups)] = off @ spread.scaling(within)
    return Noise(points, within)


def heaps_of(
    lab: Patches, labels: Labels, spread: Spread, weights: HeapWeights = HeapWeights()
) -> Iterator[Heap]:
    """The smaller half of every group that is wider than noise, and the chance that it is a class.

    Args:
        lab: CIELAB of places all over every cell, shape (rows, columns, n, n, 3).
        labels: group per cell, shape (rows, columns).
        spread: what the cells look like.
        weights: of what speaks for two classes.
    """
    flat = labels.ravel()
    points = noise_of(spread, flat, weights).points
    for group, here in enumerate(_cells_of(flat)):
        if len(here) < 2 * weights.least:
            continue
        halves = best_halves(points[here], here, weights)
        if halves is not None:
            yield Heap(group, here[halves.smaller], chance_of_two(lab, halves, weights))


def chance_of_pair(
    lab: Patches,
    labels: Labels,
    spread: Spread,
    pair: tuple[int, int],
    weights: HeapWeights = HeapWeights(),
) -> float:
    """The chance that two groups are two classes, were they taken for one."""
    flat = labels.ravel()
    noise = noise_of(spread, flat, weights)
    here = np.flatnonzero(np.isin(flat, pair))
    both = np.where(flat == pair[1], pair[0], flat)
    points = spread.points[here] - spread.points[here].mean(axis=0)
    slope = spread.slopes(both, weights.beside)[pair[0]]
    points = _straightened(points, slope, spread.settings.quiet**2)
    points = points @ spread.scaling(noise.within)
    (halves,) = adapted(points, (flat[here] == pair[1])[None], here, weights, moved=False)
    return chance_of_two(lab, halves, weights)


def chance_of_two(lab: Patches, halves: Halves, weights: HeapWeights) -> float:
    """The probability that the halves of a group are two classes."""
    cells, rest = halves.here[halves.smaller], halves.here[~halves.smaller]
    score = (
        weights.bias
        + weights.apart * np.log(max(halves.apart, 1.0))
        + weights.gap * np.log1p(halves.gap)
        + weights.number * np.log(len(cells))
        + weights.differ * np.log(max(differ(lab, cells, rest), QUIET))
    )
    return float(chance_of(score))


def _cells_of(labels: Labels) -> list[Labels]:
    """The cells of each label, in order."""
    number = np.bincount(labels)
    return np.split(np.argsort(labels, kind="stable"), np.cumsum(number)[:-1])


def _parts(groups: list[Labels]) -> list[slice]:
    """Where each group lies when their cells follow one another."""
    ends = np.cumsum([len(here) for here in groups]).tolist()
    return [slice(start, end) for start, end in zip([0, *ends], ends, strict=False)]


def _about_halves(points: Points, half: Mask) -> Points:
    """Points (n, d) less the mean of the half that each is in."""
    if not half.any() or half.all():
        return np.asarray(points - points.mean(axis=0), dtype=np.float64)
    one, other = means_of_both(points, half, points.sum(axis=0))
    return np.asarray(points - np.where(half[:, None], one, other), dtype=np.float64)


def _covariance(off: Points, means: int) -> Points:
    return np.asarray(off.T @ off / max(1, len(off) - means), dtype=np.float64)


def _straightened(off: Points, slope: Points, noise: float) -> Points:
    """Points (n, d) less what they have along slopes (d, 2), as far as those rise over noise."""
    size = slope.T @ slope + noise * np.eye(slope.shape[1])
    return np.asarray(off - (off @ slope) @ np.linalg.solve(size, slope.T), dtype=np.float64)
