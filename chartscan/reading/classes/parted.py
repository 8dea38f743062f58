"""Groups that hold several glyphs, on pages that a program drew.

Noise is measured by what cells of one group differ by. Where two glyphs were taken together early,
it is measured too wide, and from then on nothing tells them apart. A drawn page has hardly any
noise: there, cells of one class lie close together and whole glyphs lie between classes.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from chartscan.reading.classes.looks import Looks

Labels = NDArray[np.intp]
Points = NDArray[np.float64]


@dataclass(frozen=True)
class PartSettings:
    """When a group is several classes.

    Attributes:
        linked: CIELAB difference, the root mean square over all places of a cell, up to which two
            cells are of one heap.
        other: part of their ink by which two heaps must differ to show two glyphs, what a glyph
            that lies beside itself differs by left out. A ring and a lozenge differ by 0.4.
        placed: part of the cells of two heaps that their column, or their row, may tell: where
            cells aren't whole pixels, one glyph is sampled in several ways, in turn from column to
            column; slowly, and all ways in between are there as well.
        turns: turns from one to the other, per column, from which on it is in turn; a bold line
            every ten columns reaches into two of them.
        narrow: columns that hold one of the two, up to which that is what a frame does to the
            cells along it.
        column: cells of them in a column, or a row, from which on it tells anything.
        least: cells of a heap that is a class.
        most: cells of a group that are looked at, for the memory that it takes.
    """

    linked: float = 3.0
    other: float = 0.25
    placed: float = 0.95
    turns: float = 0.2
    narrow: int = 2
    column: int = 3
    least: int = 8
    most: int = 1500


def parted(looks: Looks, labels: Labels, settings: PartSettings = PartSettings()) -> Labels:
    """The groups, shape (rows, columns), those that hold several glyphs parted; new ones last."""
    result = labels.copy()
    ink = looks.points[:, : looks.inked].reshape(*labels.shape, -1)
    for group in np.flatnonzero(np.bincount(labels.ravel()) >= 2 * settings.least):
        here = np.argwhere(labels == group)
        mine = ink[here[:, 0], here[:, 1]]
        if np.linalg.norm(mine - mine.mean(axis=0), axis=1).max() <= settings.linked * looks.side:
            continue
        glyphs = _glyphs(mine, here, looks.side, settings)
        squares = [((mine - glyph) ** 2).sum(axis=1) for glyph in glyphs]
        which = np.argmin(squares, axis=0)
        last = int(result.max())
        for number in range(1, len(glyphs)):
            row, column = here[which == number].T
            result[row, column] = last + number
    return result


def _glyphs(ink: Points, here: Labels, side: int, settings: PartSettings) -> list[Points]:
    """The mean ink of every glyph among cells, the commonest first.

    Args:
        ink: of every cell, shape (n, places).
        here: row and column of each, shape (n, 2).
        side: places along a cell.
        settings: when two are told apart.
    """
    if len(here) > settings.most:
        some = np.linspace(0, len(here) - 1, settings.most).astype(np.intp)
        ink, here = ink[some], here[some]
    heaps = _heaps(ink / side, settings)
    counts = np.bincount(heaps)
    found: list[tuple[Points, Labels]] = []
    for heap in np.argsort(-counts, kind="stable"):
        if counts[heap] < settings.least and found:
            break
        mine = heaps == heap
        mean, places = ink[mine].mean(axis=0), here[mine]
        if all(
            _differ(mean, other, side, settings) and not _placed(places, there, settings)
            for other, there in found
        ):
            found.append((mean, places))
    return [mean for mean, _ in found]


def _differ(one: Points, other: Points, side: int, settings: PartSettings) -> bool:
    """Whether two mean pictures show two glyphs, wherever in the cell each lies."""
    size = max(float(np.linalg.norm(each - np.median(each))) for each in (one, other))
    slopes = np.gradient(one.reshape(side, side))
    beside = np.stack([slope.ravel() for slope in slopes], axis=1)
    apart = one - other
    rest = apart - beside @ np.linalg.lstsq(beside, apart, rcond=None)[0]
    return float(np.linalg.norm(rest)) >= max(settings.other * size, settings.linked * side)


def _placed(one: Labels, other: Labels, settings: PartSettings) -> bool:
    """Whether the columns, or the rows, tell to which of two heaps (n, 2) a cell belongs."""
    for axis in (0, 1):
        length = int(max(one[:, axis].max(), other[:, axis].max())) + 1
        counts = np.stack([np.bincount(each[:, axis], minlength=length) for each in (one, other)])
        telling = counts[:, counts.sum(axis=0) >= settings.column]
        which = telling.argmax(axis=0)
        turns = int((np.diff(which) != 0).sum())
        narrow = min(int(which.sum()), int((1 - which).sum())) <= settings.narrow
        in_turn = turns >= settings.turns * telling.shape[1] > 0
        if (in_turn or narrow) and int(telling.max(axis=0).sum()) >= settings.placed * int(
            telling.sum()
        ):
            return True
    return False


def _heaps(points: Points, settings: PartSettings) -> Labels:
    """Number of the heap of each point: those linked to it by steps that are short enough."""
    squares = (points**2).sum(axis=1)
    apart = squares[:, None] + squares - 2 * points @ points.T
    linked = apart <= settings.linked**2
    number = len(points)
    heaps = np.arange(number)
    while True:
        reached = np.where(linked, heaps, number).min(axis=1)
        reached = np.minimum(reached, reached[reached])
        if np.array_equal(reached, heaps):
            return np.asarray(heaps, dtype=np.intp)
        heaps = reached
