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
from chartscan.reading.classes.spread import USUAL, Spread
from chartscan.reading.odds import chance_of

Labels = NDArray[np.intp]
Mask = NDArray[np.bool_]
Patches = NDArray[np.floating]
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
        alike: such a difference that is taken at least.
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
        rounds: rounds of moving both middles.
        adapted: rounds of measuring the noise within the halves, and moving them again.
        stray: cells that may lie in a gap on either side.
        most: cells of a group that its halves are told by.
    """

    bias: float = -16.3
    apart: float = 2.62
    gap: float = 0.69
    number: float = 0.60
    differ: float = 2.87
    alike: float = 0.3
    least: int = 2
    part: float = 0.05
    wide: float = 1.6
    prior: float = 60.0
    beside: float = 0.1
    few: float = 8.0
    axes: int = 3
    seeds: int = 6
    rounds: int = 12
    adapted: int = 4
    stray: int = 2
    most: int = 3000


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
    off = spread.points - means_of(spread.points, labels)[labels]
    groups = _cells_of(labels)
    slopes = spread.slopes(labels, weights.beside)
    for here, slope in zip(groups, slopes, strict=True):
        off[here] = _straightened(off[here], slope, spread.settings.quiet**2)
    halves = off.copy()
    within = _covariance(halves, len(groups))
    for _ in range(rounds):
        scale = spread.scaling(within)
        for here in groups:
            if len(here) >= 2 * (weights.least + 1):
                half = _along(off[here] @ scale, weights)
                for part in (here[half], here[~half]):
                    halves[part] = off[part] - off[part].mean(axis=0) if len(part) else 0.0
        size = np.linalg.norm(halves @ scale, axis=1)
        within = _covariance(halves[size <= np.quantile(size, USUAL)], 2 * len(groups))
    return Noise(off @ spread.scaling(within), within)


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
        halves = _best(points[here], here, weights)
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
    halves = _adapted(
        points @ spread.scaling(noise.within), flat[here] == pair[1], here, weights, moved=False
    )
    return 0.0 if halves is None else chance_of_two(lab, halves, weights)


def chance_of_two(lab: Patches, halves: Halves, weights: HeapWeights) -> float:
    """The probability that the halves of a group are two classes."""
    cells, rest = halves.here[halves.smaller], halves.here[~halves.smaller]
    score = (
        weights.bias
        + weights.apart * np.log(max(halves.apart, 1.0))
        + weights.gap * np.log1p(halves.gap)
        + weights.number * np.log(len(cells))
        + weights.differ * np.log(max(differ(lab, cells, rest), weights.alike))
    )
    return float(chance_of(score))


def _cells_of(labels: Labels) -> list[Labels]:
    """The cells of each label, in order."""
    number = np.bincount(labels)
    return np.split(np.argsort(labels, kind="stable"), np.cumsum(number)[:-1])


def _covariance(off: Points, means: int) -> Points:
    return np.asarray(off.T @ off / max(1, len(off) - means), dtype=np.float64)


def _straightened(off: Points, slope: Points, noise: float) -> Points:
    """Points (n, d) less what they have along slopes (d, 2), as far as those rise over noise."""
    size = slope.T @ slope + noise * np.eye(slope.shape[1])
    return np.asarray(off - (off @ slope) @ np.linalg.solve(size, slope.T), dtype=np.float64)


def _along(points: Points, weights: HeapWeights) -> Mask:
    """The halves of points (n, d) along the direction in which they are widest."""
    widest = np.linalg.eigh(points.T @ points)[1][:, -1]
    half = points @ widest > 0
    moved = _moved(points, half, weights.rounds)
    return half if moved is None else moved


def _moved(points: Points, half: Mask, rounds: int) -> Mask | None:
    """Halves of points, moved to the nearer of both middles; None where one is left empty."""
    whole = points.sum(axis=0)
    for _ in range(rounds):
        if not half.any() or half.all():
            return None
        one, other = means_of_both(points, half, whole)
        before, half = half, points @ (one - other) > (one @ one - other @ other) / 2
        if (before == half).all():
            break
    return half


def _best(points: Points, here: Labels, weights: HeapWeights) -> Halves | None:
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
    best: Halves | None = None
    seen: set[bytes] = set()
    for half in _starts(some, axes, weights):
        moved = _moved(some, half, weights.rounds)
        if moved is None or (moved if moved[0] else ~moved).tobytes() in seen:
            continue
        seen.add((moved if moved[0] else ~moved).tobytes())
        found = _adapted(some, moved, here[::step], weights)
        if found is not None and (best is None or found.gain > best.gain):
            best = found
    if best is None or step == 1:
        return best
    means = [some[side].mean(axis=0) for side in (best.smaller, ~best.smaller)]
    near = np.vecdot(off - means[0], off - means[0]) < np.vecdot(off - means[1], off - means[1])
    return _adapted(off, near, here, weights)


def _starts(points: Points, axes: Points, weights: HeapWeights) -> Iterator[Mask]:
    """Ways to cut points in two to begin with: along wide directions, and around far points."""
    for axis in axes[:, : -1 - weights.axes : -1].T:
        yield points @ axis > 0
    size = np.vecdot(points, points)
    order = np.argsort(-size, kind="stable")[: max(weights.seeds, len(points) // 4)]
    for seed in order[np.linspace(0, len(order) - 1, weights.seeds).astype(np.intp)]:
        step = points - points[seed]
        yield np.vecdot(step, step) < size


def _adapted(
    points: Points, half: Mask, here: Labels, weights: HeapWeights, *, moved: bool = True
) -> Halves | None:
    """Halves moved as the noise within them tells; None where one is too small to be a class."""
    least = max(weights.least, weights.part * len(points))
    prior = weights.prior * np.eye(points.shape[1])
    whole, scatter = points.sum(axis=0), prior + points.T @ points
    for _ in range(weights.adapted):
        number = np.count_nonzero(half)
        one, other = means_of_both(points, half, whole)
        within = scatter - number * np.outer(one, one)
        within -= (len(half) - number) * np.outer(other, other)
        values, axes = np.linalg.eigh(within / (weights.prior + len(points) - 2))
        scaled = points @ (axes / np.sqrt(values))
        again = _moved(scaled, half, weights.rounds) if moved else half
        if again is None or (moved and min(again.sum(), (~again).sum()) < least):
            return None
        before, half = half, again
        if np.array_equal(before, half):
            break
    return _measured(scaled, half if 2 * half.sum() <= len(half) else ~half, here, weights)


def _measured(points: Points, smaller: Mask, here: Labels, weights: HeapWeights) -> Halves:
    """Halves with how far they are apart, in points scaled by noise."""
    one, other = points[smaller], points[~smaller]
    step = one.mean(axis=0) - other.mean(axis=0)
    squared = float(step @ step)
    along = [each @ step / max(np.sqrt(squared), np.finfo(float).tiny) for each in (one, other)]
    degrees = len(points) - 2 + weights.few
    scatter = sum(float(each.var() * len(each)) for each in along) + weights.few
    deviation = float(np.sqrt(scatter / degrees))
    off = ((one - one.mean(axis=0)) ** 2).sum() + ((other - other.mean(axis=0)) ** 2).sum()
    chance = off / max(1, len(points) - 2) * (1 / len(one) + 1 / len(other))
    stray = min(weights.stray, len(one) - 1, len(other) - 1)
    gap = float(np.sort(along[0])[stray] - np.sort(along[1])[-1 - stray])
    apart = np.sqrt(max(squared - float(chance), 0.0)) / deviation
    return Halves(here, smaller, float(apart), max(gap, 0.0) / deviation)
