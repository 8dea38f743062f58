"""Which cells are alike: small clusters first, then joined where no gap lies between them.

The number of classes on a page isn't known, and the noise isn't either. So the points are cut into
many small clusters, and two of them are one class unless their members, seen along the line from
one centre to the other, fall into two heaps with a gap between.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Points = NDArray[np.float64]
Labels = NDArray[np.intp]


@dataclass(frozen=True)
class ClusterSettings:
    """How points are grouped.

    Attributes:
        separation: distance of two centres, in standard deviations along it, from which on they
            are two classes; the two halves of one normal heap are 2.7 apart.
        rare: how much farther apart a class of one cell must lie; specks of dust make such cells.
        floor: standard deviation that is taken at least, in the unit of the points.
        least: distance of two centres below which they are one, in the unit of the points.
        open: range of such distances in which the valley between two clusters decides.
        valley: how full it is, beside the middle of the smaller cluster, at most between two
            classes and at least within one.
        tell: fewest points of which a valley can be told.
        members: points of a cluster that are looked at for it.
        most: number of small clusters at the start.
        sample: number of points that the clusters are found on.
        rounds: rounds of moving centres.
        again: the same, of groups that are looked at again.
    """

    separation: float = 4.0
    rare: float = 0.0
    floor: float = 0.5
    least: float = 1.0
    open: tuple[float, float] = (4.0, 10.0)
    valley: tuple[float, float] = (0.3, 0.8)
    tell: int = 30
    members: int = 400
    most: int = 256
    sample: int = 20_000
    rounds: int = 8
    again: int = 2


@dataclass(frozen=True)
class Looks:
    """The same points as they look, not scaled by noise: for clusters too small to show theirs.

    Attributes:
        points: shape (n, d), in one unit.
        inked: how many of the first coordinates are ink, nought where there is none; they are the
            places of a square, row by row.
        near: difference of two looks, as a part of their ink, below which they are one glyph.
        few: clusters up to this size are judged so.
        same: the same difference for clusters of any size; lines that bleed into a cell make no
            other glyph of it.
        equal: difference, in the unit of the points per place along a side, that is none.
        coded: the same for grounds, which the file's coding may have made unlike.
        search: difference, as a part of the ink, up to which a glyph is also tried moved by a
            whole place.
        fine: fewest places along a side for that; fewer lie too far apart.
        beside: how far beside each other two like glyphs may sit, as a part of the square.
    """

    points: Points
    inked: int
    near: float = 0.33
    few: int = 4
    same: float = 0.14
    equal: float = 1.0
    coded: float = 0.0
    search: float = 0.35
    fine: int = 10
    beside: float = 0.15

    def alike(self, a: Points | None, b: Points | None, smaller: int) -> bool:
        """Whether two mean looks are one glyph on one ground, by looks alone.

        A glyph moved a little differs by its gradient (the tangent distance of Simard, LeCun and
        Denker, 1993); that much is taken off.
        """
        if a is None or b is None:
            return False
        ink = max(np.linalg.norm(a[: self.inked]), np.linalg.norm(b[: self.inked]))
        side = round(np.sqrt(self.inked))
        near = max((self.near if smaller <= self.few else self.same) * ink, self.equal * side)
        ground = float(np.linalg.norm(a[self.inked :] - b[self.inked :]))
        if ground <= self.coded * side:
            ground = 0.0
        one, other = (x[: self.inked].reshape(side, side) for x in (a, b))
        off = self._beside(one, other)
        if near < np.hypot(off, ground) and off <= self.search * ink and side >= self.fine:
            off = min(self._beside(one, _moved(other, *step)) for step in STEPS)
        return bool(np.hypot(off, ground) <= near)

    def near_ground(
        self, a: Points, others: Points, smaller: NDArray[np.int_]
    ) -> NDArray[np.bool_]:
        """For which of the looks (k, d) the ground is near enough to that of ``a`` to be alike."""
        ink = np.linalg.norm(others[:, : self.inked], axis=1)
        ink = np.maximum(ink, np.linalg.norm(a[: self.inked]))
        part = np.where(smaller <= self.few, self.near, self.same)
        most = np.maximum(part * ink, max(self.equal, self.coded) * np.sqrt(self.inked))
        ground = np.linalg.norm(others[:, self.inked :] - a[self.inked :], axis=1)
        return np.asarray(ground <= most, dtype=np.bool_)

    def _beside(self, one: Points, other: Points) -> float:
        """How much two glyphs differ but for sitting a little beside each other."""
        off = (one - other).ravel()
        down, across = (slope.ravel() for slope in np.gradient((one + other) / 2))
        # Least squares for two unknowns; along a stripe there is but one.
        dd, da, aa = down @ down, down @ across, across @ across
        pull_d, pull_a = down @ off, across @ off
        size = dd * aa - da * da
        if size > 1e-12 * (dd + aa) ** 2:
            shift = ((aa * pull_d - da * pull_a) / size, (dd * pull_a - da * pull_d) / size)
        else:
            shift = (pull_d / max(dd + aa, 1e-12), pull_a / max(dd + aa, 1e-12))
        most = self.beside * len(one)
        by_d, by_a = (min(max(float(s), -most), most) for s in shift)
        return float(np.linalg.norm(off - by_d * down - by_a * across))


STEPS = tuple((dy, dx) for dy in (-1, 0, 1) for dx in (-1, 0, 1) if dy or dx)


def _moved(glyph: Points, down: int, right: int) -> Points:
    """The glyph moved by whole places; what comes in is bare."""
    height, width = glyph.shape
    wide = np.zeros((height + 2, width + 2))
    wide[1:-1, 1:-1] = glyph
    return wide[1 - down : 1 - down + height, 1 - right : 1 - right + width]


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
    norm = (centres**2).sum(axis=1)
    for start in range(0, len(points), 8192):
        block = points[start : start + 8192]
        squares = norm - 2 * block @ centres.T
        index = squares.argmin(axis=1)
        best[start : start + 8192] = index
        own = squares[np.arange(len(block)), index] + (block**2).sum(axis=1)
        far[start : start + 8192] = np.sqrt(np.maximum(own, 0))
    return best, far


def principal_axes(points: Points, dimensions: int) -> Points:
    """The ``dimensions`` directions in which points (n, d) differ most, shape (d, dimensions)."""
    if points.shape[1] <= dimensions:
        return np.eye(points.shape[1])
    part = points[:: max(1, len(points) // 6000)]
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
    centres = [points.mean(axis=0)]
    distance = ((points - centres[0]) ** 2).sum(axis=1)
    for k in range(min(settings.most, len(points)) - 1):
        if distance.max() <= settings.least**2:
            break
        if k % 2:
            index = int(generator.choice(len(points), p=distance / distance.sum()))
        else:
            index = int(distance.argmax())
        centres.append(points[index])
        distance = np.minimum(distance, ((points - points[index]) ** 2).sum(axis=1))
    return np.array(centres)


def means_of(points: Points, labels: Labels, count: int = 0) -> Points:
    """Mean of the points (n, d) of each label, nought where it has none: ≥ ``count`` rows."""
    number = np.maximum(np.bincount(labels, minlength=count), 1)
    sums = [np.bincount(labels, weights=axis, minlength=count) for axis in points.T]
    return np.stack(sums, axis=1) / number[:, None]


def _joined(
    points: Points,
    labels: Labels,
    count: int,
    settings: ClusterSettings,
    wanted: int | None,
    looks: Looks | None,
) -> Labels:
    """For each small cluster the number of the class it is joined to."""
    heaps = []
    for k in range(count):
        here = labels == k
        look = None if looks is None else looks.points[here].mean(axis=0)
        heaps.append(_Heap.of(points[here], look, settings.members))
    group = np.arange(count)
    gaps = np.full((count, count), np.inf)
    alive = np.ones(count, dtype=bool)
    for i in range(1, count):
        gaps[i, :i] = gaps[:i, i] = _gaps(heaps[i], heaps[:i], settings, looks)
    while alive.sum() > 1:
        i, j = (int(k) for k in np.unravel_index(int(np.argmin(gaps)), gaps.shape))
        done = gaps[i, j] >= settings.separation if wanted is None else alive.sum() <= wanted
        if done or not np.isfinite(gaps[i, j]):
            break
        heaps[i] = heaps[i].joined(heaps[j], settings.members)
        group[group == j] = i
        alive[j] = False
        gaps[j, :] = gaps[:, j] = np.inf
        others = np.flatnonzero(alive & (np.arange(count) != i))
        found = _gaps(heaps[i], [heaps[k] for k in others], settings, looks)
        gaps[i, others] = gaps[others, i] = found
    return group


@dataclass(frozen=True)
class _Heap:
    """Mean and scatter of a cluster, and some of its members: what tells two of them apart."""

    number: int
    mean: Points
    scatter: Points
    look: Points | None
    some: Points

    @staticmethod
    def of(points: Points, look: Points | None, most: int) -> _Heap:
        mean = points.mean(axis=0)
        off = points - mean
        return _Heap(len(points), mean, off.T @ off, look, _thinned(points, most))

    def joined(self, other: _Heap, most: int) -> _Heap:
        number = self.number + other.number
        step = other.mean - self.mean
        part = other.number / number
        between = np.outer(step, step) * (self.number * part)
        look = self.look
        if look is not None and other.look is not None:
            look = look + (other.look - look) * part
        theirs = _thinned(other.some, int(np.ceil(most * part)))
        some = np.concatenate([_thinned(self.some, int(np.ceil(most * (1 - part)))), theirs])
        scatter = self.scatter + other.scatter + between
        return _Heap(number, self.mean + step * part, scatter, look, some)


def _thinned(points: Points, most: int) -> Points:
    """At most ``most`` of the points, evenly over their order."""
    if len(points) <= most:
        return points
    return points[np.linspace(0, len(points) - 1, most).astype(np.intp)]


def _gaps(
    a: _Heap, others: Sequence[_Heap], settings: ClusterSettings, looks: Looks | None
) -> NDArray[np.float64]:
    """Distance of ``a`` and each other heap in standard deviations along the line between them.

    What distance two random halves of one heap would have is taken off, so that few points in
    many dimensions don't seem apart by chance. Where the distance leaves it open, the valley
    between the heaps decides: a class has one top, however long its tail.
    """
    if not others:
        return np.zeros(0)
    step = np.stack([b.mean for b in others]) - a.mean
    scatter = np.stack([b.scatter for b in others]) + a.scatter
    number = np.array([b.number for b in others])
    few = np.minimum(number, a.number)
    squared = (step**2).sum(axis=1)
    degrees = np.maximum(1, number + a.number - 2)
    along = (np.matmul(scatter, step[:, :, None])[:, :, 0] * step).sum(axis=1)
    variance = np.maximum(along / np.maximum(squared, 1e-12) / degrees, settings.floor**2)
    trace = scatter.trace(axis1=1, axis2=2) / degrees
    apart = np.sqrt(np.maximum(0.0, squared - trace * (1 / a.number + 1 / number)) / variance)
    gaps: NDArray[np.float64] = apart / (1 + settings.rare / np.sqrt(few))
    gaps[squared <= settings.least**2] = 0.0
    low, high = settings.open
    alike = _alike(a, others, few, looks)
    for k, b in enumerate(others):
        if alike[k]:
            gaps[k] = 0.0
        elif few[k] >= settings.tell and low <= gaps[k] <= high:
            valley = _valley(a, b)
            if valley <= settings.valley[0]:
                gaps[k] = max(gaps[k], settings.separation)
            elif valley >= settings.valley[1]:
                gaps[k] = low
    return gaps


def _alike(
    a: _Heap, others: Sequence[_Heap], few: NDArray[np.int_], looks: Looks | None
) -> list[bool]:
    """Which heaps look like ``a``; only those whose ground is near enough are looked at closely."""
    if looks is None or a.look is None:
        return [False] * len(others)
    near = looks.near_ground(a.look, np.stack([b.look for b in others if b.look is not None]), few)
    return [
        bool(maybe) and looks.alike(a.look, b.look, int(number))
        for b, maybe, number in zip(others, near, few, strict=True)
    ]


def _valley(a: _Heap, b: _Heap, window: float = 0.1) -> float:
    """How full the emptiest place between two heaps is, beside the middle of the smaller one."""
    step = b.mean - a.mean
    places = [(heap.some - a.mean) @ step / (step @ step) for heap in (a, b)]
    weights = [heap.number / len(heap.some) for heap in (a, b)]

    def full(centre: float) -> float:
        inside = [np.count_nonzero(np.abs(x - centre) <= window) for x in places]
        return float(sum(w * n for w, n in zip(weights, inside, strict=True)))

    between = min(full(float(c)) for c in np.linspace(0.25, 0.75, 11))
    return between / max(full(0.0 if a.number < b.number else 1.0), 1e-9)
