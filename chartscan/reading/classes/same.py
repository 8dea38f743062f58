"""How likely two groups of cells are one class: odds in units of the page's own noise."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from chartscan.reading.classes.cluster import means_of
from chartscan.reading.classes.looks import Looks
from chartscan.reading.classes.usual import GLYPH
from chartscan.reading.filters import squared
from chartscan.reading.odds import chance_of

Chances = NDArray[np.float64]
Labels = NDArray[np.intp]
Patches = NDArray[np.floating]
Points = NDArray[np.float64]


@dataclass(frozen=True)
class SameWeights:
    """Log odds of two groups being one class (nats); logistic, with a small ridge.

    Fitted on 497 pairs, 91 of them one, of drawn charts (seeds 70001 to 70060): of pairs with a
    chance of 0.5 and more 85 of 85 were one, of those from 0.1 to 0.5 6 of 13, of others none.

    Attributes:
        bias: of any two groups.
        apart: times the logarithm of their distance, in standard deviations along it.
        differ: times ln(1 + the mean CIELAB difference of their cells, place by place).
        number: times the logarithm of the cells of the smaller.
        touch: times the part of the smaller's neighbours that belong to the larger.
        ink: times the lesser ink of the two, as a part of ``dark``, up to 1.
        glyph: times the part of the ink that differs, and the greater ink, as a part of ``dark``.
        dark: ink, in CIELAB lightness over the cell, of a bold symbol.
        noise: variance that is taken at least, in units of the page's noise.
        least: log odds below which no more is looked at.
    """

    bias: float = 9.65
    apart: float = -1.94
    differ: float = -1.98
    number: float = -0.79
    touch: float = 2.96
    ink: float = 0.43
    glyph: float = -0.84
    dark: float = 10.0
    noise: float = 0.64
    least: float = -6.0


TERMS = ("bias", "apart", "differ", "number", "touch", "ink", "glyph")
NEAREST = 0.3  # standard deviations: below that, a distance tells nothing more


@dataclass(frozen=True, eq=False)
class Pairs:
    """Pairs of groups that may be one, and what speaks for it.

    Attributes:
        groups: (larger, smaller) group of each, shape (pairs, 2).
        terms: what speaks for it, shape (pairs, terms), in the order of :data:`TERMS`.
    """

    groups: Labels
    terms: Points

    def chances(self, weights: SameWeights = SameWeights()) -> Chances:
        """The probability of each pair being one class, shape (pairs,)."""
        score = self.terms @ [getattr(weights, name) for name in TERMS]
        return chance_of(score)


def pairs_of(
    lab: Patches,
    labels: Labels,
    white: Points,
    looks: Looks,
    weights: SameWeights = SameWeights(),
) -> Pairs:
    """The pairs of groups that may be one.

    Args:
        lab: CIELAB of places all over every cell, shape (rows, columns, n, n, 3).
        labels: group per cell, shape (rows, columns).
        white: the cells as points that noise scatters by one unit, shape (rows · columns, d).
        looks: the same cells as they look.
        weights: of what speaks for it; only pairs that may reach ``least`` are looked into.
    """
    flat = labels.ravel()
    number = np.bincount(flat)
    larger, smaller = _ordered(number)
    apart = np.log(np.maximum(_apart(white, flat, number, weights.noise), NEAREST))
    differ = np.log1p(_differ(lab, flat, len(number)))
    touch = _touching(labels, number)
    first = (larger, smaller)
    terms = np.zeros((len(larger), len(TERMS)))
    terms[:, 0] = 1.0
    terms[:, 1], terms[:, 2] = apart[first], differ[first]
    terms[:, 3] = np.log(number[smaller])
    terms[:, 4] = touch[smaller, larger]
    score = terms @ [getattr(weights, name) for name in TERMS]
    kept = score >= weights.least
    groups = np.stack([larger[kept], smaller[kept]], axis=1)
    terms = terms[kept]
    terms[:, -2], terms[:, -1] = _glyphs(looks, flat, groups, weights)
    return Pairs(groups, terms)


def _ordered(number: NDArray[np.int_]) -> tuple[Labels, Labels]:
    """Every pair of groups, as the larger and the smaller of each."""
    one, two = np.triu_indices(len(number), 1)
    swap = number[one] < number[two]
    return np.where(swap, two, one), np.where(swap, one, two)


def _apart(white: Points, flat: Labels, number: NDArray[np.int_], noise: float) -> Points:
    """Distance of every two groups in standard deviations along the line between them: (k, k).

    What distance two random halves of one group would have is taken off.
    """
    mean = means_of(white, flat)
    order = np.argsort(flat, kind="stable")
    off = (white - mean[flat])[order]
    heaps = np.split(off, np.cumsum(number)[:-1])
    scatter = np.stack([heap.T @ heap for heap in heaps])
    step = mean[:, None] - mean[None]
    squared = (step**2).sum(axis=2)
    along = np.einsum("ijd,ide,ije->ij", step, scatter, step, optimize=True)
    degrees = np.maximum(1, number[:, None] + number[None] - 2)
    variance = (along + along.T) / np.maximum(squared, 1e-9) / degrees
    chance = white.shape[1] * (1 / number[:, None] + 1 / number[None])
    return np.asarray(np.sqrt(np.maximum(0.0, squared - chance) / np.maximum(variance, noise)))


def _differ(lab: Patches, flat: Labels, count: int) -> Points:
    """Mean CIELAB difference of every two groups, place by place of their mean cells: (k, k)."""
    cells = means_of(lab.reshape(len(flat), -1), flat)
    cells = cells.reshape(count, -1, 3)
    return np.stack([np.sqrt(squared(cells - one)).mean(axis=1) for one in cells])


def _touching(labels: Labels, number: NDArray[np.int_]) -> Points:
    """The part of each group's neighbours that belong to each other group: (k, k)."""
    count = len(number)
    met = np.zeros(count * count)
    for a, b in ((labels[:, :-1], labels[:, 1:]), (labels[:-1], labels[1:])):
        for one, two in ((a, b), (b, a)):
            met += np.bincount((one * count + two).ravel(), minlength=count * count)
    return np.asarray(met.reshape(count, count) / (4 * number[:, None]), dtype=np.float64)


def _glyphs(
    looks: Looks, flat: Labels, groups: Labels, weights: SameWeights
) -> tuple[Points, Points]:
    """The ink of the fainter of each pair, and how much their glyphs differ: (pairs,) each."""
    if not len(groups):
        return np.zeros(0), np.zeros(0)
    side = looks.side
    ink = means_of(looks.points, flat)[:, : looks.inked]
    amount = np.linalg.norm(ink, axis=1) / side
    less, more = np.sort(amount[groups], axis=1).T
    differ = looks.unlike(ink, groups) / side
    part = np.minimum(differ / np.maximum(more, GLYPH), 1.0)
    dark = weights.dark
    return np.minimum(less, dark) / dark, part * np.minimum(more, dark) / dark
