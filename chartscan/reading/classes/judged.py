"""The last word on groups of cells, spoken on all of them with the final lattice and light."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field, replace

import numpy as np
from numpy.typing import NDArray

from chartscan.reading.classes.cluster import BLOCK, by_size, means_of, nearest
from chartscan.reading.classes.far import FarSettings, far_off
from chartscan.reading.classes.grouping import Grouped
from chartscan.reading.classes.halves import HeapWeights
from chartscan.reading.classes.heaps import Heap, chance_of_pair, heaps_of, noise_of
from chartscan.reading.classes.looks import Looks
from chartscan.reading.classes.same import Pairs, SameWeights, pairs_of
from chartscan.reading.classes.sorting import Unsure
from chartscan.reading.classes.spread import Spread
from chartscan.reading.classes.usual import FEW, GLYPH
from chartscan.reading.odds import chance_of

Labels = NDArray[np.intp]
Patches = NDArray[np.floating]
Points = NDArray[np.float64]


@dataclass(frozen=True)
class JudgeSettings:
    """When groups are one, and which cells are in doubt.

    Attributes:
        same: what speaks for two groups being one class.
        heap: what speaks for a group being two classes.
        joined: chance from which on two groups are joined.
        split: chance of being two classes from which on a group is cut in two, and two groups
            aren't joined: see :class:`HeapWeights`.
        far: when a few cells among many may be a class of their own.
        off: chance up to which such cells aren't remembered. Of those 74 pages three true ones were
            at 0.3 to 1; three cells with a stain among thousands at 0.16 to 0.27.
        kept: chance up to which a pair, or a heap, isn't remembered.
        exact: CIELAB difference of grounds up to which they are joined on a page that a program
            drew: there, equal fills are equal.
        same_shape: correlation from which on two glyphs are the same.
        ahead: how much farther, squared and in units of the noise, the next group must be.
        fades: the same over which the odds that the next group is the right one fall e-fold. Of
            220 such cells of drawn charts half were it at 0 to 2, 2 of 5 to 4, 1 of 5 to 8, 1 of
            12 to 16, and none of 274 to 24.
        unlike: how far from its group, as a multiple of what is usual, a cell is in doubt.
        uneven: how far from it half of the cells of a group lie, as a multiple of the noise, from
            which on it isn't one: lines over symbols make such groups. Three of those were at 6 to
            13; of 80 true groups of drawn charts four at 2 to 3.8, on pages mostly bare, whose
            noise is that of paper.
        seen: CIELAB difference, over all places of a cell, that such a cell has from the mean of
            its group at least: a page that a program drew has next to no noise.
    """

    same: SameWeights = SameWeights()
    heap: HeapWeights = HeapWeights()
    joined: float = 0.6
    split: float = 0.8
    far: FarSettings = field(default_factory=FarSettings)
    off: float = 0.3
    kept: float = 0.03
    exact: float = 0.5
    same_shape: float = 0.93
    ahead: float = 16.0
    fades: float = 5.0
    unlike: float = 5.0
    uneven: float = 4.8
    seen: float = 4.0


@dataclass(frozen=True, eq=False)
class Judged:
    """Groups of cells, and what is doubtful about them.

    Attributes:
        labels: group per cell, commonest first, shape (rows, columns).
        symbols: number of the glyph of each group, −1 where it is blank.
        ink: CIELAB lightness printed in the cells of each, the root mean square over them.
        unsure: cells that might as well be in another group.
        alike: (one, other, chance) of groups that may be one class.
        heaps: parts of groups that may be a class of their own.
    """

    labels: Labels
    symbols: Labels
    ink: Points
    unsure: Unsure
    alike: tuple[tuple[int, int, float], ...]
    heaps: tuple[Heap, ...]


def judged(
    lab: Patches,
    grouped: Grouped,
    *,
    free: bool,
    drawn: bool,
    settings: JudgeSettings = JudgeSettings(),
) -> Judged:
    """Groups joined while two are likelier one than not, and what is left in doubt.

    Args:
        lab: CIELAB of places all over every cell, shape (rows, columns, n, n, 3).
        grouped: the groups.
        free: whether the number of groups isn't told.
        drawn: whether a program drew the page, and nothing bent it.
        settings: when groups are one.
    """
    labels, spread, looks = grouped.labels, grouped.spread, grouped.looks
    parts: list[Heap] | None = None
    if free and not drawn:
        labels, parts = _split(lab, labels, spread, settings)
    alike: tuple[tuple[int, int, float], ...] = ()
    # The number of pairs grows with the square of that of groups.
    if free and 1 <= labels.max() < spread.settings.groups.most:
        joined, pairs = _joined(lab, labels, spread, settings, drawn=drawn)
        if joined is not labels and not drawn:  # joined, it may show better that it is two
            labels, parts = _split(lab, joined, spread, settings)
        else:
            labels = joined
        if labels is not joined:
            pairs = _pairs(lab, labels, spread, settings)
        alike = _remembered(pairs, settings)
    white = spread.whitened(spread.within(labels.ravel()))
    heaps: tuple[Heap, ...] = ()
    if free and not drawn:
        ground = grouped.ground.reshape(-1, 3)
        found = _heaps(lab, labels, spread, settings, parts)
        heaps = tuple(
            replace(heap, lab=_lab_of(ground[heap.cells]))
            for heap in found
            if heap.chance >= settings.kept
        )
    symbols, ink = _symbols(labels.ravel(), looks, settings)
    return Judged(labels, symbols, ink, _unsure(white, labels, looks, settings), alike, heaps)


def _split(
    lab: Patches, labels: Labels, spread: Spread, settings: JudgeSettings
) -> tuple[Labels, list[Heap] | None]:
    """Groups cut in two, again and again, while their cells lie in two heaps that are two classes.

    Clusters of few cells are joined by their looks alone, before the noise is known; where it is,
    it tells a disc from a diamond. Returned with the heaps of all groups, where none was cut.
    """
    whole, pieces = labels, set[int]()
    while labels.max() < spread.settings.groups.most:
        heaps = list(heaps_of(lab, labels, spread, settings.heap))
        likely = [heap for heap in heaps if heap.chance >= settings.split]
        if not likely and labels is whole:
            return labels, heaps
        if not likely:
            break
        labels = labels.copy()
        for heap in likely:
            pieces |= {heap.group, int(labels.max()) + 1}
            labels.flat[heap.cells] = labels.max() + 1
    if labels is not whole:
        labels = by_size(_sorted_anew(labels, spread, pieces, settings).ravel())
        labels = labels.reshape(whole.shape)
    return labels, None


def _sorted_anew(
    labels: Labels, spread: Spread, pieces: Iterable[int], settings: JudgeSettings
) -> Labels:
    """Cells of groups that were cut, each in the piece that it is far nearer to than its own."""
    flat = labels.ravel()
    white = spread.whitened(noise_of(spread, flat, settings.heap).within)
    here = np.array(sorted(pieces))
    means = means_of(white, flat)[here]
    some = np.flatnonzero(np.isin(flat, here))
    near, far = nearest(white[some], means)
    own = white[some] - means[np.searchsorted(here, flat[some])]
    moved = np.vecdot(own, own) - far**2 >= settings.ahead
    result = flat.copy()
    result[some[moved]] = here[near[moved]]
    return result.reshape(labels.shape)


def _joined(
    lab: Patches, labels: Labels, spread: Spread, settings: JudgeSettings, *, drawn: bool
) -> tuple[Labels, Pairs]:
    """Groups joined, the likeliest first, while two are likelier one; and how alike all are."""
    while True:
        pairs = _pairs(lab, labels, spread, settings)
        for one, other in _one_class(pairs, spread.looks, labels, settings, drawn=drawn):
            two = 0.0 if drawn else chance_of_pair(lab, labels, spread, (one, other), settings.heap)
            if two < settings.split:
                labels = by_size(np.where(labels == other, one, labels).ravel())
                labels = labels.reshape(lab.shape[:2])
                break
        else:
            return labels, pairs


def _pairs(lab: Patches, labels: Labels, spread: Spread, settings: JudgeSettings) -> Pairs:
    white = spread.whitened(spread.within(labels.ravel()))
    return pairs_of(lab, labels, white, spread.looks, settings.same)


def _heaps(
    lab: Patches,
    labels: Labels,
    spread: Spread,
    settings: JudgeSettings,
    parts: list[Heap] | None,
) -> Iterator[Heap]:
    """Parts of groups that may be classes: heaps that make them wide, and a few cells far off."""
    yield from heaps_of(lab, labels, spread, settings.heap) if parts is None else parts
    apart = spread.whitened(spread.apart(labels.ravel()))
    for group, cells in far_off(lab, apart, labels, settings.far):
        tried = labels.copy()
        tried.flat[cells] = labels.max() + 1
        chance = 1 - _same(lab, tried, spread, settings, group)
        if chance > settings.off:
            yield Heap(group, cells, chance)


def _lab_of(ground: Points) -> tuple[float, float, float]:
    """The median of CIELAB colours, shape (n, 3)."""
    lightness, a, b = np.median(ground, axis=0).tolist()
    return lightness, a, b


def _same(
    lab: Patches, labels: Labels, spread: Spread, settings: JudgeSettings, group: int
) -> float:
    """The chance that the last group is one class with another."""
    white = spread.whitened(spread.within(labels.ravel()))
    others = 2  # all taken as one: pairs with them aren't asked for
    both = np.select([labels == group, labels == labels.max()], [0, 1], others)
    pairs = pairs_of(lab, both, white, spread.looks, settings.same)
    they = (pairs.groups < others).all(axis=1)
    return float(pairs.chances(settings.same)[they].max(initial=0.0))


def _one_class(
    pairs: Pairs, looks: Looks, labels: Labels, settings: JudgeSettings, *, drawn: bool
) -> Iterator[tuple[int, int]]:
    """Every two groups, larger and smaller, that are likely one class, the likeliest first."""
    chance = pairs.chances(settings.same)
    if drawn and len(chance):
        grounds = means_of(looks.points[:, looks.inked :], labels.ravel()) / looks.side
        apart = np.linalg.norm(grounds[pairs.groups[:, 0]] - grounds[pairs.groups[:, 1]], axis=1)
        chance = np.where(apart <= settings.exact, chance, 0.0)
    for pair in np.argsort(-chance, kind="stable"):
        if chance[pair] >= settings.joined:
            larger, smaller = pairs.groups[pair].tolist()
            yield larger, smaller


def _remembered(pairs: Pairs, settings: JudgeSettings) -> tuple[tuple[int, int, float], ...]:
    """The pairs that may well be one class, the likeliest first."""
    chance = pairs.chances(settings.same)
    order = [k for k in np.argsort(-chance, kind="stable") if chance[k] >= settings.kept]
    return tuple(
        (int(pairs.groups[k, 0]), int(pairs.groups[k, 1]), float(chance[k])) for k in order
    )


def _symbols(labels: Labels, looks: Looks, settings: JudgeSettings) -> tuple[Labels, Points]:
    """Number of each group's glyph, and how much ink is in its cells.

    Blank where there is next to none; like shapes share a number.
    """
    ink = means_of(looks.points, labels)[:, : looks.inked]
    amount = np.linalg.norm(ink, axis=1)
    symbols = np.full(len(ink), -1, dtype=np.intp)
    kinds: list[Points] = []
    for k in np.flatnonzero(amount > GLYPH * looks.side):
        shape = ink[k] / amount[k]
        likeness = [abs(float(shape @ other)) for other in kinds]
        if likeness and max(likeness) >= settings.same_shape:
            symbols[k] = int(np.argmax(likeness))
        else:
            symbols[k] = len(kinds)
            kinds.append(shape)
    return symbols, amount / looks.side


def _unsure(white: Points, labels: Labels, looks: Looks, settings: JudgeSettings) -> Unsure:
    """Cells nearly as like another group as their own, unlike all, or of a group of very few."""
    flat = labels.ravel()
    means = means_of(white, flat)
    own, second, ahead = _two_nearest(white, means, flat)
    few = np.bincount(flat)[flat] <= FEW
    usual = np.array([np.median(own[flat == k]) for k in range(len(means))])
    noise = white.shape[1]  # squared, of cells that differ by noise alone: one for each direction
    unlike = own > settings.unlike * np.maximum(usual[flat], noise)
    uneven = np.minimum(own, usual[flat]) > settings.uneven * noise
    off = np.linalg.norm(looks.points - means_of(looks.points, flat)[flat], axis=1) / looks.side
    unlike |= uneven & (off >= settings.seen)
    reason = np.select([ahead < settings.ahead, unlike, few], [1, 2, 3], 0).astype(np.uint8)
    chance = chance_of(-ahead / settings.fades)
    shape = labels.shape
    return Unsure(reason.reshape(shape), second.reshape(shape), chance.reshape(shape))


def _two_nearest(points: Points, means: Points, labels: Labels) -> tuple[Points, Labels, Points]:
    """How far points (n, d) are from their own means, squared, and the nearest of the others.

    Some points at a time: all of them times all means would fill the memory.

    Returns:
        The squares, which other mean is nearest, and how much farther that is: shapes (n,).
    """
    own, ahead = np.empty(len(points)), np.empty(len(points))
    second = np.empty(len(points), dtype=np.intp)
    sizes = np.vecdot(means, means)
    for start in range(0, len(points), BLOCK):
        part = slice(start, start + BLOCK)
        block, cell = points[part], np.arange(len(points[part]))
        squares = sizes - 2 * block @ means.T
        squares += np.vecdot(block, block)[:, None]
        own[part] = squares[cell, labels[part]]
        squares[cell, labels[part]] = np.inf
        second[part] = squares.argmin(axis=1)
        ahead[part] = squares[cell, second[part]] - own[part]
    return own, second, ahead
