"""How likely a group of cells is two classes: whether it falls into two heaps, and where they lie.

Noise scatters one class about one middle. Two classes taken for one have a gap between them along
the direction in which the group is widest, and each keeps to its own cells of the chart.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from chartscan.reading.odds import chance_of

Labels = NDArray[np.intp]
Points = NDArray[np.float64]


@dataclass(frozen=True)
class HeapWeights:
    """Log odds of a group being two classes (nats); logistic, with a small ridge.

    Fitted on 670 groups of drawn charts (seeds 70001 to 70060), 9 of which were two classes, and 99
    more that were made so by joining the two likest of a right chart; the bias is set so that the
    chances are right for the 9 alone.

    Attributes:
        bias: of any group.
        apart: times the logarithm of the distance of the two heaps, in their standard deviations.
        gap: times the logarithm of 1 + the widest gap between them, in the same unit.
        wide: times the logarithm of how many times wider the group is than most others, along the
            direction in which it is widest.
        keep: times how much more often neighbours are of one heap than chance makes them.
        number: times the logarithm of the cells of the smaller heap.
        least: fewest cells of a heap.
    """

    bias: float = -13.9
    apart: float = 5.06
    gap: float = 0.94
    wide: float = 1.29
    keep: float = -0.48
    number: float = 0.58
    least: int = 3


NARROW = 0.5  # least standard deviation of a heap, in units of the page's noise


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


def heaps_of(
    white: Points, labels: Labels, weights: HeapWeights = HeapWeights()
) -> tuple[Heap, ...]:
    """The two heaps of every group of cells that has enough of them.

    Args:
        white: the cells as points that noise scatters by one unit, shape (rows · columns, d).
        labels: group per cell, shape (rows, columns).
        weights: of what speaks for a heap being a class.
    """
    flat = labels.ravel()
    found, widths = [], []
    for group in np.flatnonzero(np.bincount(flat) >= 2 * weights.least):
        here = np.flatnonzero(flat == group)
        part = white[here] - white[here].mean(axis=0)
        along = part @ np.linalg.eigh(part.T @ part)[1][:, -1]
        widths.append(float(along.std()))
        found.append((int(group), here, along))
    usual = float(np.median(widths)) if widths else 1.0
    heaps = (
        _heap(group, here, along, labels, wide / max(usual, NARROW), weights)
        for (group, here, along), wide in zip(found, widths, strict=True)
    )
    return tuple(heap for heap in heaps if heap is not None)


def _heap(
    group: int, here: Labels, along: Points, labels: Labels, wide: float, weights: HeapWeights
) -> Heap | None:
    """The smaller of the two heaps of a group; None where it is next to nothing."""
    order = np.argsort(along)
    place = along[order]
    cut = _cut(place)
    one, two = place[:cut], place[cut:]
    smaller = order[:cut][::1] if len(one) < len(two) else order[cut:][::-1]
    if len(smaller) < weights.least:
        return None
    spread = np.sqrt((one.var() * len(one) + two.var() * len(two)) / len(place))
    spread = max(float(spread), NARROW)
    window = min(2, len(one) - 1, len(two) - 1)  # a stray cell or two doesn't fill a gap
    gap = max(float(two[window] - one[-1 - window]), 0.0) / spread
    cells = here[smaller]
    score = (
        weights.bias
        + weights.apart * np.log(max(float(two.mean() - one.mean()) / spread, 1.0))
        + weights.gap * np.log1p(gap)
        + weights.wide * np.log(max(wide, 1.0))
        + weights.keep * _keep(cells, group, labels)
        + weights.number * np.log(len(smaller))
    )
    return Heap(group, cells, float(chance_of(score)))


def _cut(place: Points) -> int:
    """Where sorted values fall into two heaps with the least scatter within: 1 … n − 1."""
    n = len(place)
    m = np.arange(1, n)
    sums, squares = np.cumsum(place)[:-1], np.cumsum(place**2)[:-1]
    total, whole = float(place.sum()), float((place**2).sum())
    within = squares - sums**2 / m + (whole - squares) - (total - sums) ** 2 / (n - m)
    return int(within.argmin()) + 1


def _keep(cells: Labels, group: int, labels: Labels) -> float:
    """How much more often neighbours within a group are of one heap than by chance, −1 to 1."""
    side = np.zeros(labels.size, dtype=np.int8)
    side[labels.ravel() == group] = 1
    side[cells] = 2
    grid = side.reshape(labels.shape)
    pairs = [(grid[:, :-1], grid[:, 1:]), (grid[:-1], grid[1:])]
    both = np.concatenate([((a > 0) & (b > 0)).ravel() for a, b in pairs])
    same = np.concatenate([(a == b).ravel() for a, b in pairs])[both]
    if not same.size:
        return 0.0
    part = len(cells) / max(int((side > 0).sum()), 1)
    chance = part**2 + (1 - part) ** 2
    return float((same.mean() - chance) / max(1 - chance, 1e-6))
