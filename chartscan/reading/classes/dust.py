"""Dust on the page: a speck makes a cell look like no other, but for the speck it is like many."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from chartscan.reading.classes.cluster import by_size
from chartscan.reading.classes.usual import FEW, QUIET, SOME
from chartscan.reading.filters import median, squared

Points = NDArray[np.float64]
Patches = NDArray[np.floating]
Labels = NDArray[np.intp]

SPECK = 0.25  # part of the worst square from which on a place is of the speck


@dataclass(frozen=True)
class DustSettings:
    """What counts as dust.

    Attributes:
        many: most cells of a group that may be nothing but dusty cells of another, where the specks
            lie at different places, as those of one glyph never do.
        scattered: standard deviation of such places, as a part of the inside of a cell; as near to
            the middle a speck might be a printed dot. It is dust where a page has as many specks
            elsewhere.
        size: side of the square that a speck lies in, as a part of the inside of a cell.
        like: how much more, as a ratio, the rest of the cell may differ from the other group than
            that group's own cells do; saved pictures ripple around a speck. The second is for
            specks far aside, where no glyph is.
        ground: how much more, as a ratio, its median colour may differ, likewise.
        aside: distance from the middle, as a part of the inside of a cell, that is far aside.
        better: how many times more like another group a cell of a large one must be, but for a
            speck, to go there.
    """

    many: int = 24
    scattered: float = 0.12
    size: float = 0.4
    like: tuple[float, float] = (2.8, 5.0)
    ground: tuple[float, float] = (3.0, 6.0)
    aside: float = 0.2
    better: float = 1.7


@dataclass(frozen=True)
class _Usual:
    """A large group: its mean look, and how far its own cells are from it without their worst.

    ``shade`` is the median colour of that mean, shape (3,).
    """

    mean: Points
    shade: Points
    rest: float
    ground: float

    @staticmethod
    def of(cells: Patches, window: int, quiet: float) -> _Usual:
        mean: Points = cells.mean(axis=0, dtype=np.float64)
        some = cells[:: max(1, len(cells) // SOME)]
        rest = np.median(_without_worst(squared(some - mean), window))
        shade = np.median(mean.reshape(-1, 3), axis=0)
        ground = np.median(_ground_off(_medians(some), shade))
        return _Usual(mean, shade, max(float(rest), quiet), max(float(ground), quiet))


def without_dust(lab: Patches, labels: Labels, settings: DustSettings = DustSettings()) -> Labels:
    """The labels once cells of very small groups have gone where they belong but for a speck.

    Args:
        lab: CIELAB of places all over every cell, shape (rows, columns, n, n, 3).
        labels: group per cell, shape (rows · columns,).
        settings: what counts as dust.
    """
    side = lab.shape[2]
    cells = lab.reshape(-1, side, side, 3)
    some = _Groups.of(cells, labels, settings)
    if not some.usual:
        return labels
    groups = some.large(labels)
    moved = labels.copy()
    lone: list[tuple[int, int]] = []
    specks = 0
    for k in np.flatnonzero(np.bincount(labels) > 0):
        here = np.flatnonzero(labels == k)
        beside = some if len(here) <= FEW else groups
        if k in groups.numbers or not beside.usual:
            continue
        found = beside.look(cells[here])
        if len(here) > FEW and found.middle.std(axis=0).max() < settings.scattered:
            continue
        dusty = found.dusty(settings) & ~found.centred(settings)
        left = np.flatnonzero(~dusty)
        if len(left) == 1 and found.lone(settings)[left[0]]:
            lone.append((int(here[left[0]]), int(beside.numbers[found.best[left[0]]])))
        specks += int(dusty.sum())
        moved[here[dusty]] = beside.numbers[found.best[dusty]]
    if specks >= len(lone):
        for cell, group in lone:
            moved[cell] = group
    _put_right(cells, moved, groups)
    return by_size(moved)


def _put_right(cells: Patches, labels: Labels, groups: _Groups) -> None:
    """Move cells of large groups that a speck made unlike their own to where they belong."""
    settings = groups.settings
    for k, own in zip(groups.numbers, groups.usual, strict=True):
        here = np.flatnonzero(labels == k)
        squares = squared(cells[here] - own.mean)
        least = settings.like[0] * own.rest
        odd = _all_of(squares, groups.window) > least  # few are, even with their worst places
        odd[odd] = _without_worst(squares[odd], groups.window) > least
        if odd.any():
            found = groups.look(cells[here[odd]])
            rest = _without_worst(squares[odd], groups.window) / own.rest
            wrong = found.dusty(settings) & (rest >= settings.better * found.rest)
            labels[here[odd][wrong]] = groups.numbers[found.best[wrong]]


@dataclass(frozen=True)
class _Groups:
    """Groups that cells may belong to, by number, and the side of the square a speck lies in."""

    numbers: Labels
    usual: tuple[_Usual, ...]
    window: int
    settings: DustSettings

    @staticmethod
    def of(cells: Patches, labels: Labels, settings: DustSettings) -> _Groups:
        numbers = np.flatnonzero(np.bincount(labels) > 2 * FEW)
        window = max(1, round(settings.size * cells.shape[1]))
        usual = (_Usual.of(cells[labels == k], window, QUIET) for k in numbers)
        return _Groups(numbers, tuple(usual), window, settings)

    def large(self, labels: Labels) -> _Groups:
        """The large ones of them."""
        large = np.bincount(labels)[self.numbers] > self.settings.many
        usual = tuple(usual for usual, kept in zip(self.usual, large, strict=True) if kept)
        return replace(self, numbers=self.numbers[large], usual=usual)

    def look(self, cells: Patches) -> _Speckled:
        """What each of ``cells`` would be but for a speck."""
        off = np.stack([squared(cells - u.mean) for u in self.usual])
        rest = _without_worst(off, self.window) / np.array([u.rest for u in self.usual])[:, None]
        own = _medians(cells)
        ground = np.stack([_ground_off(own, u.shade) / u.ground for u in self.usual])
        best = rest.argmin(axis=0)
        here = np.arange(len(cells))
        return _Speckled(best, rest[best, here], ground[best, here], _middle(off[best, here]))


@dataclass(frozen=True)
class _Speckled:
    """The large group each of some cells is most like but for a speck.

    Attributes:
        best: place of that group among the large ones, shape (k,).
        rest: how much the rest of the cell differs, as a ratio to the group's own cells.
        ground: how much the median colour differs, likewise.
        middle: where the speck is, in parts of the cell from its middle, shape (k, 2).
    """

    best: Labels
    rest: Points
    ground: Points
    middle: Points

    def dusty(self, settings: DustSettings) -> NDArray[np.bool_]:
        """Whether each cell is like the group but for the speck."""
        aside = np.abs(self.middle).max(axis=1) >= settings.aside
        like = np.where(aside, settings.like[1], settings.like[0])
        ground = np.where(aside, settings.ground[1], settings.ground[0])
        return (self.rest <= like) & (self.ground <= ground)

    def lone(self, settings: DustSettings) -> NDArray[np.bool_]:
        """The same of a cell that is the only one of its kind, on a page with specks elsewhere."""
        return (self.rest <= settings.like[1]) & (self.ground <= settings.ground[1])

    def centred(self, settings: DustSettings) -> NDArray[np.bool_]:
        """Whether the speck might be a printed dot."""
        return np.asarray(np.abs(self.middle).max(axis=1) <= settings.scattered, dtype=np.bool_)


def _without_worst(squares: Points, window: int) -> Points:
    """Root mean square outside the worst ``window`` × ``window`` places: (..., n, n) → (...)."""
    sums = _run_sums(_run_sums(squares, window).swapaxes(-1, -2), window)
    rest = squares.sum(axis=(-2, -1)) - sums.max(axis=(-2, -1))
    return np.asarray(np.sqrt(np.maximum(rest, 0) / _places_left(squares, window)))


def _all_of(squares: Points, window: int) -> Points:
    """What :func:`_without_worst` comes to at most, worked out sooner."""
    return np.asarray(np.sqrt(squares.sum(axis=(-2, -1)) / _places_left(squares, window)))


def _places_left(squares: Points, window: int) -> int:
    return max(1, int(squares.shape[-1]) ** 2 - window**2)


def _run_sums(values: Points, length: int) -> Points:
    """Sums of ``length`` neighbours along the last axis, shape (..., n − length + 1)."""
    total = np.cumsum(values, axis=-1)
    sums = total[..., length - 1 :].copy()
    sums[..., 1:] -= total[..., :-length]
    return sums


def _medians(cells: Patches) -> Points:
    """The median colour of each of cells (k, n, n, 3): (k, 3)."""
    return median(cells.reshape(len(cells), -1, 3), axis=1)


def _ground_off(ground: Points, shade: Points) -> Points:
    """CIELAB difference of median colours (k, 3) and of a group's: (k,)."""
    return np.asarray(np.linalg.norm(ground - shade, axis=1))


def _middle(squares: Points) -> Points:
    """Where what differs lies, from the middle and in parts of the cell: (k, n, n) → (k, 2)."""
    weight = np.where(squares > SPECK * squares.max(axis=(1, 2), keepdims=True), squares, 0)
    places = (np.arange(squares.shape[-1]) + 0.5) / squares.shape[-1] - 0.5
    down, across = weight.sum(axis=2) @ places, weight.sum(axis=1) @ places
    total = weight.sum(axis=(1, 2)) + 1e-9
    return np.stack([down / total, across / total], axis=1)
