"""A group of cells in two: the halves that explain its cells best, told in their own noise.

Two middles are moved to the means of the points nearest to each (S. Lloyd, Least squares
quantization in PCM, 1982), distance measured by what scatters within the halves.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from chartscan.reading.classes.cluster import means_of_both
from chartscan.reading.classes.usual import ROUNDS

Labels = NDArray[np.intp]
Mask = NDArray[np.bool_]
Points = NDArray[np.float64]


@dataclass(frozen=True)
class HeapWeights:
    """Log odds of the halves of a group being two classes (nats); logistic, with a small ridge.

    Fitted on 334 groups of drawn scans, photographs, plates and grids in text (seeds 920003,
    1120001 to 1120008, 1121001 to 1121013, 1122001 to 1122004), 12 of which were two classes, and
    107 more that were made so by joining two like groups; the bias is set so that the chances are
    right for the 12 alone. Of the 334 seven reached 0.8, all of them two; of nine others from 0.15
    on two were two, of 318 below three.

    Attributes:
        bias: of any group.
        apart: times the logarithm of the distance of their middles, in standard deviations along
            it.
        gap: times the logarithm of 1 + the widest gap between them, in the same unit.
        number: times the logarithm of the cells of the smaller.
        differ: times the logarithm of their mean CIELAB difference, place by place, what a glyph
            that lies beside itself differs by left out.
        least: cells of a half at least.
        part: of the group that a half is at least: what lies over three cells of hundreds makes
            halves, too, and is no class.
        wide: times wider, squared, than noise, along some direction, from which on a group is
            looked at: two classes 4 standard deviations apart, one a twentieth of both, are 1.8.
        prior: cells that the noise of the page counts for beside a group's own.
        beside: how far beside the lattice glyphs lie, in cells: that is no noise.
        few: the same along the line between its halves.
        axes: directions in which a group is widest along which it is first cut.
        seeds: cells far from its middle around which it is, too.
        adapted: rounds of measuring the noise within the halves, and moving them again.
        most: cells of a group that its halves are told by.
    """

    bias: float = -16.3
    apart: float = 2.62
    gap: float = 0.69
    number: float = 0.60
    differ: float = 2.87
    least: int = 2
    part: float = 0.05
    wide: float = 1.6
    prior: float = 60.0
    beside: float = 0.1
    few: float = 8.0
    axes: int = 3
    seeds: int = 6
    adapted: int = 4
    most: int = 3000


@dataclass(frozen=True, eq=False)
class Halves:
    """A group in two.

    Attributes:
        here: the cells of the group, flat, shape (n,).
        smaller: which of them are of the smaller half, shape (n,).
        apart: distance of both middles in standard deviations along it, less what chance makes.
        gap: widest gap between them, in the same unit.
    """

    here: Labels
    smaller: Mask
    apart: float
    gap: float

    @property
    def gain(self) -> float:
        """Nats by which two middles explain the cells better than one, along the line between."""
        n, few = len(self.smaller), int(self.smaller.sum())
        return float(n / 2 * np.log1p(few * (n - few) / n**2 * self.apart**2))


def widest_halves(points: Points, weights: HeapWeights) -> Mask:
    """The halves of points (n, d) along the direction in which they are widest."""
    widest = np.linalg.eigh(points.T @ points)[1][:, -1]
    half = (points @ widest > 0)[None]
    moved, whole = _moved(points, half, ROUNDS)
    return np.asarray((moved if whole.all() else half)[0], dtype=np.bool_)


def _moved(
    points: Points, halves: Mask, rounds: int, precision: Points | None = None
) -> tuple[Mask, Mask]:
    """Ways to cut points (n, d) in two, each point moved to the nearer of both middles.

    All ways are moved in one go, and in single precision: it is but for the nearer of two.

    Args:
        points: the points.
        halves: which of them are in the one half, way by way, shape (ways, n).
        rounds: how often they are moved at most.
        precision: what distance is measured by, way by way, shape (ways, d, d); None for points
            that noise scatters by one unit.

    Returns:
        The halves, and of which ways neither is empty, shape (ways,).
    """
    halves, points = halves.copy(), points.astype(np.float32)
    total = points.sum(axis=0, dtype=np.float64)
    left, number = np.arange(len(halves)), _counted(halves)
    kept = (number > 0) & (number < len(points))
    for _ in range(rounds):
        left = left[kept[left]]
        if not left.size:
            break
        before = halves[left]
        one, other = _middles(points, before, number[left], total)
        step = one - other
        if precision is not None:
            step = (precision[left] @ step[:, :, None])[:, :, 0]
        half_way = np.vecdot(one + other, step) / 2
        after = step.astype(np.float32) @ points.T > half_way[:, None].astype(np.float32)
        halves[left], number[left] = after, _counted(after)
        kept[left] = (number[left] > 0) & (number[left] < len(points))
        left = left[(before != after).any(axis=1)]
    return halves, kept


def _counted(halves: Mask) -> NDArray[np.intp]:
    """How many points are in the one half, way by way (ways, n): (ways,)."""
    return np.asarray(np.count_nonzero(halves, axis=1), dtype=np.intp)


def _middles(
    points: Points, halves: Mask, number: NDArray[np.intp], total: Points
) -> tuple[Points, Points]:
    """The middles of both halves of points (n, d), way by way (ways, n): (ways, d) each.

    ``number`` is how many points are in the one, ``total`` the sum of all; no half may be empty.
    """
    sums = halves.astype(points.dtype) @ points
    one = sums / number[:, None]
    return one, (total - sums) / (len(points) - number)[:, None]


def best_halves(points: Points, here: Labels, weights: HeapWeights) -> Halves | None:
    """The halves of a group that explain its cells best; None where it is no wider than noise.

    Args:
        points: its cells, scaled by noise, shape (n, d).
        here: which cells they are, flat, shape (n,).
        weights: how they are looked for.
    """
    off = points - points.mean(axis=0)
    step = -(-len(off) // weights.most)
    some = off[::step]
    values, axes = np.linalg.eigh(some.T @ some / len(some))
    if values[-1] < weights.wide * (1 - 1 / len(some)):
        return None
    halves, kept = _moved(some, _starts(some, axes, weights), ROUNDS)
    found = adapted(some, _distinct(halves[kept]), here[::step], weights)
    best = max(found, key=lambda halves: halves.gain, default=None)
    if best is None or step == 1:
        return best
    means = [some[side].mean(axis=0) for side in (best.smaller, ~best.smaller)]
    near = np.vecdot(off - means[0], off - means[0]) < np.vecdot(off - means[1], off - means[1])
    return next(iter(adapted(off, near[None], here, weights)), None)


def _starts(points: Points, axes: Points, weights: HeapWeights) -> Mask:
    """Ways to cut points in two to begin with: along wide directions, and around far points."""
    size = np.vecdot(points, points)
    order = np.argsort(-size, kind="stable")[: max(weights.seeds, len(points) // 4)]
    seeds = points[order[np.linspace(0, len(order) - 1, weights.seeds).astype(np.intp)]]
    along = axes[:, : -1 - weights.axes : -1].T @ points.T > 0
    # Nearer to the seed than to the middle of all.
    around = seeds @ points.T > np.vecdot(seeds, seeds)[:, None] / 2
    return np.concatenate([along, around])


def _distinct(halves: Mask) -> Mask:
    """The different ways among some to cut points in two, shape (ways, n)."""
    seen: dict[bytes, int] = {}
    for way, half in enumerate(halves):
        seen.setdefault((half ^ half[0]).tobytes(), way)
    return halves[[*seen.values()]]


def adapted(
    points: Points, halves: Mask, here: Labels, weights: HeapWeights, *, moved: bool = True
) -> list[Halves]:
    """Halves (ways, n) moved as the noise within them tells, but for those too small for classes.

    Distances are measured by that noise, without scaling all points by it.
    """
    least = max(weights.least, weights.part * len(points))
    total, scatter = points.sum(axis=0), points.T @ points
    prior = weights.prior * np.eye(points.shape[1])
    halves, left = halves.copy(), np.arange(len(halves))
    kept = np.ones(len(halves), dtype=np.bool_)
    precision = np.empty((len(halves), *scatter.shape))
    for _ in range(weights.adapted):
        within = prior + _within(scatter, points, halves[left], total)
        precision[left] = np.linalg.inv(within / (weights.prior + len(points) - 2))
        if not moved:
            break
        before = halves[left]
        after, whole = _moved(points, before, ROUNDS, precision[left])
        number = _counted(after)
        whole &= np.minimum(number, len(points) - number) >= least
        halves[left], kept[left] = after, whole
        left = left[whole & (before != after).any(axis=1)]
        if not left.size:
            break
    within = _within(scatter, points, halves[kept], total)
    return [
        _measured(points, half if 2 * half.sum() <= len(half) else ~half, here, weights, *told)
        for half, *told in zip(halves[kept], precision[kept], within, strict=True)
    ]


def _within(scatter: Points, points: Points, halves: Mask, total: Points) -> Points:
    """How points (n, d) scatter within their halves, way by way (ways, n): (ways, d, d).

    ``scatter`` is that of all, about nought, and ``total`` their sum.
    """
    number = _counted(halves)
    one, other = _middles(points, halves, number, total)
    few, many = number[:, None, None], (len(points) - number)[:, None, None]
    of_middles = few * (one[:, :, None] * one[:, None])
    of_middles += many * (other[:, :, None] * other[:, None])
    return np.asarray(scatter - of_middles, dtype=np.float64)


def _measured(
    points: Points,
    smaller: Mask,
    here: Labels,
    weights: HeapWeights,
    precision: Points,
    within: Points,
) -> Halves:
    """Halves of points (n, d) with how far they are apart, distance measured by ``precision``.

    ``within`` is how the points scatter within them, shape (d, d).
    """
    one, other = means_of_both(points, smaller, points.sum(axis=0))
    toward = precision @ (one - other)
    squared = float((one - other) @ toward)
    along = points @ toward / max(np.sqrt(squared), np.finfo(float).tiny)
    near, far = along[smaller], along[~smaller]
    degrees = len(points) - 2 + weights.few
    spread = float(near.var() * len(near) + far.var() * len(far)) + weights.few
    deviation = float(np.sqrt(spread / degrees))
    chance = (precision * within).sum() / max(1, len(points) - 2) * (1 / len(near) + 1 / len(far))
    gap = float(near.min() - far.max())
    apart = np.sqrt(max(squared - float(chance), 0.0)) / deviation
    return Halves(here, smaller, float(apart), max(gap, 0.0) / deviation)
