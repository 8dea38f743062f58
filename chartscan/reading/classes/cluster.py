"""Which cells are alike: small clusters first, then joined where no gap lies between them.

The number of classes on a page isn't known, and the noise isn't either. So the points are cut into
many small clusters, and two of them are one class unless their centres lie farther apart than their
members scatter along the line from one to the other.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from chartscan.reading.classes.looks import Looks
from chartscan.reading.classes.usual import FEW

Points = NDArray[np.float64]
Labels = NDArray[np.intp]
Mask = NDArray[np.bool_]

BLOCK = 1024  # points held against all centres in one go: stays in the cache
ROWS = 16  # clusters held against all before them in one go, likewise
SOME = 6000  # points that tell in which directions all differ


@dataclass(frozen=True)
class ClusterSettings:
    """How points are grouped.

    Attributes:
        separation: distance of two centres, in standard deviations along it, from which on they
            are two classes; the two halves of one normal heap are 2.7 apart.
        rare: how much farther apart a class of one cell must lie; specks of dust make such cells.
        floor: standard deviation that is taken at least, in the unit of the points.
        widest: standard deviation that is taken at most, in that unit. Clusters joined wrongly are
            wide, and would take in one class after the other.
        least: distance of two centres below which they are one, in the unit of the points.
        beyond: distance, in standard deviations, from which on small clusters that look alike are
            held to as large ones are: a dot and a diamond differ by a quarter of their ink, and
            on a page with little noise that is much.
        most: number of small clusters at the start.
        sample: number of points that the clusters are found on.
        rounds: rounds of moving centres.
        again: the same, of groups that are looked at again.
    """

    separation: float = 4.0
    rare: float = 0.0
    floor: float = 0.5
    widest: float = math.inf
    least: float = 1.0
    beyond: float = 20.0
    most: int = 256
    sample: int = 20_000
    rounds: int = 8
    again: int = 2


def cluster(
    points: Points,
    settings: ClusterSettings,
    seed: int = 0,
    wanted: int | None = None,
    looks: Looks | None = None,
) -> Labels:
    """Label every point; labels run from 0 in order of falling size.

    Args:
        points: shape (n, d).
        settings: how points are grouped.
        seed: of the choice of first centres.
        wanted: number of classes where it is known; joining goes on or stops there.
        looks: how alike small clusters may look and still be one, whatever the noise.
    """
    if len(points) == 0:
        return np.zeros(0, dtype=np.intp)
    generator = np.random.default_rng(seed)
    chosen = points
    if len(points) > settings.sample:
        chosen = points[generator.choice(len(points), settings.sample, replace=False)]
    centres = _spread_out(chosen, settings, generator)
    for _ in range(settings.rounds):
        labels = nearest(chosen, centres)[0]
        centres = means_of(chosen, labels, len(centres))
        centres = centres[np.bincount(labels, minlength=len(centres)) > 0]
    labels = nearest(points, centres)[0]
    group = _joined(points, labels, len(centres), settings, wanted, looks)
    return by_size(group[labels])


def regroup(
    points: Points,
    labels: Labels,
    settings: ClusterSettings,
    wanted: int | None = None,
    looks: Looks | None = None,
) -> Labels:
    """The labels of :func:`cluster` once more, of groups that were cut too small before.

    Whole groups show better than the small clusters they began as whether a gap lies between them.
    """
    for _ in range(settings.again):
        labels = nearest(points, means_of(points, labels))[0]
    labels = by_size(labels)
    group = _joined(points, labels, int(labels.max()) + 1, settings, wanted, looks)
    return by_size(group[labels])


def nearest(points: Points, centres: Points) -> tuple[Labels, Points]:
    """Index of the nearest centre of each point and the distance to it, shapes (n,)."""
    best = np.zeros(len(points), dtype=np.intp)
    far = np.empty(len(points))
    norm, twice = (centres**2).sum(axis=1), -2 * centres.T
    for start in range(0, len(points), BLOCK):
        block = points[start : start + BLOCK]
        squares = block @ twice
        squares += norm
        index = squares.argmin(axis=1)
        best[start : start + BLOCK] = index
        own = squares[np.arange(len(block)), index] + np.vecdot(block, block)
        far[start : start + BLOCK] = np.sqrt(np.maximum(own, 0))
    return best, far


def principal_axes(points: Points, dimensions: int) -> Points:
    """The ``dimensions`` directions in which points (n, d) differ most, shape (d, dimensions)."""
    if points.shape[1] <= dimensions:
        return np.eye(points.shape[1])
    part = points[:: max(1, len(points) // SOME)]
    _, axes = np.linalg.eigh(np.cov(part.T))
    chosen: Points = axes[:, -dimensions:]
    return chosen


def by_size(labels: Labels) -> Labels:
    """The same labels renumbered from 0 in order of falling size."""
    _, compact, counts = np.unique(labels, return_inverse=True, return_counts=True)
    rank = np.empty(len(counts), dtype=np.intp)
    rank[np.argsort(-counts, kind="stable")] = np.arange(len(counts))
    ranked: Labels = rank[compact]
    return ranked


def _spread_out(
    points: Points, settings: ClusterSettings, generator: np.random.Generator
) -> Points:
    """First centres: each new one is the point farthest from all before, half of them by chance."""
    size = (points**2).sum(axis=1)

    def squares(centre: Points) -> Points:
        return np.asarray(np.maximum(size - 2 * (points @ centre) + centre @ centre, 0))

    centres = [points.mean(axis=0)]
    distance = squares(centres[0])
    for k in range(min(settings.most, len(points)) - 1):
        if distance.max() <= settings.least**2:
            break
        if k % 2:
            index = int(generator.choice(len(points), p=distance / distance.sum()))
        else:
            index = int(distance.argmax())
        centres.append(points[index])
        distance = np.minimum(distance, squares(points[index]))
    return np.array(centres)


def means_of(points: NDArray[np.floating], labels: Labels, count: int = 0) -> Points:
    """Mean of the points (n, d) of each label, nought where it has none: ≥ ``count`` rows."""
    number = np.bincount(labels, minlength=count)
    sums = np.zeros((len(number), points.shape[1]))
    short = labels.astype(np.min_scalar_type(len(number)))  # few digits are sorted at once
    order = np.argsort(short, kind="stable")
    start = 0
    for k, end in enumerate(np.cumsum(number).tolist()):  # a label at a time stays in the cache
        if end > start:
            own = points.take(order[start:end], axis=0)
            np.add.reduce(own, axis=0, dtype=np.float64, out=sums[k])
        start = end
    return sums / np.maximum(number, 1)[:, None]


def means_of_both(points: Points, some: Mask, whole: Points) -> tuple[Points, Points]:
    """The mean of ``some`` points (n, d) and that of the rest, where ``whole`` is the sum of all.

    By a product of matrices, so that neither part need be copied; both must hold a point.
    """
    number = np.count_nonzero(some)
    total = some.astype(points.dtype) @ points
    return total / number, (whole - total) / (len(some) - number)


def _joined(
    points: Points,
    labels: Labels,
    count: int,
    settings: ClusterSettings,
    wanted: int | None,
    looks: Looks | None,
) -> Labels:
    """For each small cluster the number of the class it is joined to."""
    heaps = _Heaps.of(points, labels, count, looks)
    # Where classes are counted, the least apart are joined, however far that is.
    reach = settings.beyond if wanted is None else math.inf
    every = np.arange(count)
    group = every.copy()
    gaps = np.full((count, count), np.inf)
    alive = np.ones(count, dtype=bool)
    for start in range(0, count, ROWS):
        ones = every[start : start + ROWS]
        others = every[: start + len(ones)]
        found = _gaps(heaps, ones, others, settings, looks, reach)
        gaps[ones, : len(others)] = np.where(others < ones[:, None], found, np.inf)
    gaps = np.minimum(gaps, gaps.T)
    while alive.sum() > 1:
        i, j = (int(k) for k in np.unravel_index(int(np.argmin(gaps)), gaps.shape))
        done = gaps[i, j] >= settings.separation if wanted is None else alive.sum() <= wanted
        if done or not np.isfinite(gaps[i, j]):
            break
        heaps.join(i, j)
        group[group == j] = i
        alive[j] = False
        gaps[j, :] = gaps[:, j] = np.inf
        others = np.flatnonzero(alive & (np.arange(count) != i))
        found = _gaps(heaps, every[[i]], others, settings, looks, reach)
        gaps[i, others] = gaps[others, i] = found[0]
    return group


@dataclass(frozen=True, eq=False)
class _Heaps:
    """Mean and scatter of every cluster: what tells two of them apart.

    Attributes:
        number: points of each, shape (k,).
        mean, scatter: shapes (k, d) and (k, d, d); the scatter isn't divided by the number.
        trace: of the scatter, shape (k,).
        look: mean of their looks and its slopes, shape (k, m); m is nought where none are known.
    """

    number: NDArray[np.int_]
    mean: Points
    scatter: Points
    trace: Points
    look: Points

    @staticmethod
    def of(points: Points, labels: Labels, count: int, looks: Looks | None) -> _Heaps:
        number = np.bincount(labels, minlength=count)
        mean = means_of(points, labels, count)
        look = np.zeros((count, 0))
        if looks is not None:
            look = looks.sloped(means_of(looks.points, labels, count))
        by_heap = np.split(np.argsort(labels, kind="stable"), np.cumsum(number)[:-1])
        off = (points[here] - centre for here, centre in zip(by_heap, mean, strict=True))
        scatter = np.stack([part.T @ part for part in off])
        trace = scatter.trace(axis1=1, axis2=2)
        return _Heaps(number, mean, scatter, trace, look)

    def join(self, i: int, j: int) -> None:
        """Take cluster ``j`` into ``i``, in place."""
        step = self.mean[j] - self.mean[i]
        part = self.number[j] / (self.number[i] + self.number[j])
        self.scatter[i] += self.scatter[j] + np.outer(step, step) * (self.number[i] * part)
        self.trace[i] = self.scatter[i].trace()
        self.mean[i] += step * part
        self.look[i] += (self.look[j] - self.look[i]) * part
        self.number[i] += self.number[j]


def _gaps(
    heaps: _Heaps,
    ones: Labels,
    others: Labels,
    settings: ClusterSettings,
    looks: Looks | None,
    reach: float,
) -> Points:
    """Distance of some heaps and others in standard deviations along the line between: (m, k).

    What distance two random halves of one heap would have is taken off, so that few points in
    many dimensions don't seem apart by chance. Of heaps that are farther apart than ``reach``
    however they scatter no more is told than that: most are.
    """
    if not others.size:
        return np.zeros((len(ones), 0))
    step = heaps.mean[others] - heaps.mean[ones, None]
    number, own = heaps.number[others], heaps.number[ones, None]
    few = np.minimum(number, own)
    squared = np.vecdot(step, step)
    degrees = np.maximum(1, number + own - 2)
    trace = (heaps.trace[others] + heaps.trace[ones, None]) / degrees
    beyond_chance = np.maximum(0.0, squared - trace * (1 / own + 1 / number))
    rare = 1 + settings.rare / np.sqrt(few)
    low, high = settings.floor**2, settings.widest**2
    # No direction scatters more than all of them together.
    gaps: Points = np.sqrt(beyond_chance / np.clip(trace, low, high)) / rare
    i, k = np.nonzero(gaps <= reach)
    along = step[i, k]
    scatter = heaps.scatter[ones[i]] + heaps.scatter[others[k]]
    variance = np.vecdot((along[:, None] @ scatter)[:, 0], along)
    variance /= np.maximum(squared[i, k], 1e-12) * degrees[i, k]
    gaps[i, k] = np.sqrt(beyond_chance[i, k] / np.clip(variance, low, high)) / rare[i, k]
    gaps[squared <= settings.least**2] = 0.0
    if looks is not None:
        sized = np.where(gaps <= settings.beyond, few, FEW + 1)
        gaps[looks.alike(heaps.look, ones, others, sized)] = 0.0
    return gaps
