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
from chartscan.reading.classes.usual import REACH

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
        much: CIELAB difference, the root mean square over all places of a cell, by which they need
            differ at most: a heavy disc and a square differ by 0.2 of their ink, and by 13. Of 60
            drawn pages (seeds 812001 to 812006) no heap that was none differed by more than 5 and
            by less than that part of its ink.
        placed: part of the cells of two heaps that their column, or their row, may tell: where
            cells aren't whole pixels, one glyph is sampled in several ways, in turn from column to
            column; slowly, and all ways in between are there as well.
        turns: turns from one to the other, per column, from which on it is in turn; a bold line
            every ten columns reaches into two of them.
        often: turns from which on it is, where no line may be what they differ by.
        narrow: columns that hold one of the two, up to which that is what a frame does to the
            cells along it, where they are the same but for one side.
        column: cells of them in a column, or a row, from which on it tells anything.
        least: cells of a heap that is a class.
        most: cells of a group that are looked at, for the memory that it takes.
    """

    linked: float = 3.0
    other: float = 0.25
    much: float = 9.0
    placed: float = 0.95
    turns: float = 0.2
    often: int = 3
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
        mean, places = ink[mine].mean(axis=0).reshape(side, side), here[mine]
        if all(
            _differ(mean, other, settings)
            and not _placed(places, there, settings, lined=_lined(mean, other, settings))
            for other, there in found
        ):
            found.append((mean, places))
    return [mean.ravel() for mean, _ in found]


def _lined(one: Points, other: Points, settings: PartSettings) -> bool:
    """Whether a line may be what two mean pictures differ by: along one side, or on bare cells."""
    reach = round(REACH * len(one))
    turned = ([np.rot90(each, k)[reach:] for each in (one, other)] for k in range(4))
    if any(not _differ(a, b, settings) for a, b in turned):
        return True
    return any(_is_bare(each, reach, settings) for each in (one, other))


def _is_bare(mean: Points, reach: int, settings: PartSettings) -> bool:
    """Whether a mean picture shows no glyph, but for lines along a side or two that meet."""
    corners = (np.rot90(mean, k)[reach:, reach:] for k in range(4))
    return any(np.ptp(corner) <= settings.linked for corner in corners)


def _differ(one: Points, other: Points, settings: PartSettings) -> bool:
    """Whether two mean pictures, (places, places), show two glyphs, wherever each lies."""
    side = float(np.sqrt(one.size))
    apart, size = _apart(one, other)
    least = min(settings.other * size, settings.much * side)
    return apart >= max(least, settings.linked * side)


def _apart(one: Points, other: Points) -> tuple[float, float]:
    """How far two mean pictures are apart wherever each lies, and the ink of the heavier."""
    size = max(float(np.linalg.norm(each - np.median(each))) for each in (one, other))
    beside = np.stack([slope.ravel() for slope in np.gradient(one)], axis=1)
    step = (one - other).ravel()
    rest = step - beside @ np.linalg.lstsq(beside, step, rcond=None)[0]
    return float(np.linalg.norm(rest)), size


def _placed(one: Labels, other: Labels, settings: PartSettings, *, lined: bool) -> bool:
    """Whether the columns, or the rows, tell to which of two heaps (n, 2) a cell belongs.

    ``lined``: whether they may be one glyph that lies partly along a frame or under a line.
    """
    for axis in (0, 1):
        length = int(max(one[:, axis].max(), other[:, axis].max())) + 1
        counts = np.stack([np.bincount(each[:, axis], minlength=length) for each in (one, other)])
        telling = counts[:, counts.sum(axis=0) >= settings.column]
        which = telling.argmax(axis=0)
        turns = int((np.diff(which) != 0).sum())
        narrow = min(int(which.sum()), int((1 - which).sum())) <= settings.narrow
        in_turn = turns >= settings.turns * telling.shape[1] > 0
        in_turn = in_turn and (lined or turns >= settings.often)
        if (in_turn or (narrow and lined)) and int(
            telling.max(axis=0).sum()
        ) >= settings.placed * int(telling.sum()):
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
