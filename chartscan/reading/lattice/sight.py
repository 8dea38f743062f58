"""What a page shows of a lattice: how line-like each side of its cells is, and what lies between.

Where a line is drawn the page differs more about the side than in the midst of the cells beside.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from chartscan.reading.filters import median
from chartscan.reading.lattice.model import Lattice
from chartscan.reading.lattice.rectified import AT_HAND, Grey, at, lowest, parts
from chartscan.reading.lattice.sums import Sums
from chartscan.reading.lattice.weights import VerifySettings

Floats = NDArray[np.float64]

PER_CELL = 12  # places a cell is sampled at: halves, thirds and quarters all fall on one
SIXTH, QUARTER, THIRD, HALF = (PER_CELL // part for part in (6, 4, 3, 2))


@dataclass(frozen=True, eq=False)
class Way:
    """What the page shows of the lines that run one way, cells around the lattice included.

    A row is a row of cells that the lines cross, for level lines a column.

    Attributes:
        sides: log-odds of a line at each side, (rows, cells along + 1).
        halves, thirds: of one midway and of one a third of the way, (rows, cells along).
        activity: octaves of what changes within each cell, in the same shape.
        inside: part of each cell that lies on the page.
        wave: octaves by which what is as dark in every cell of the lattice outshines what is in
            every few of them.
    """

    sides: Floats
    halves: Floats
    thirds: Floats
    activity: Floats
    inside: Floats
    wave: float

    @cached_property
    def sums(self) -> _WaySums:
        """Of each of them: every rectangle is asked of with its ends moved."""
        return _WaySums(
            *map(Sums.of, (self.sides, self.halves, self.thirds, self.activity, self.inside))
        )


@dataclass(frozen=True, eq=False)
class _WaySums:
    """What :class:`Way` holds, summed up."""

    sides: Sums
    halves: Sums
    thirds: Sums
    activity: Sums
    inside: Sums


@dataclass(frozen=True, eq=False)
class Sight:
    """What the page shows of a lattice and ``around`` cells all round it.

    Attributes:
        around: that many cells.
        upright, level: the lines of both ways.
        share: part of the page that a cell takes up.
    """

    around: int
    upright: Way
    level: Way
    share: float


def reduction(lattice: Lattice, settings: VerifySettings = VerifySettings()) -> int:
    """How many times smaller the page is made on which ``lattice`` is judged."""
    return max(1, int(min(lattice.pitch) / settings.pitch))


def sight_of(grey: Grey, lattice: Lattice, settings: VerifySettings = VerifySettings()) -> Sight:
    """What ``grey`` shows around ``lattice``, both on the page made smaller."""
    around = settings.around
    fine = max(1, math.ceil(max(lattice.pitch) / PER_CELL))
    u, v = (_places(cells, around, fine) for cells in (lattice.columns, lattice.rows))
    rows, on = _sampled(grey, lattice, u, v[fine::fine])
    columns, _ = _sampled(grey, lattice, u[fine::fine], v)
    cells = (lattice.rows + 2 * around, PER_CELL, lattice.columns + 2 * around, PER_CELL)
    inside = on[:, fine::fine].reshape(cells).mean(axis=(1, 3))
    pitch_x, pitch_y = lattice.pitch
    return Sight(
        around,
        _way(rows, inside, fine, settings),
        _way(columns.T.copy(), inside.T, fine, settings),
        pitch_x * pitch_y / grey.size,
    )


def _places(cells: int, around: int, fine: int) -> Floats:
    """``fine`` samples a place along ``cells`` and those around, from half a place aside."""
    number = (cells + 2 * around) * PER_CELL * fine + 1
    return -around + (np.arange(number) / fine - 0.5) / PER_CELL


def _sampled(grey: Grey, lattice: Lattice, u: Floats, v: Floats) -> tuple[Grey, NDArray[np.bool_]]:
    """Values at every pair of ``u`` across and ``v`` down, and which are on the page."""
    height, width = grey.shape
    values: Grey = np.empty((len(v), len(u)), dtype=grey.dtype)
    on = np.empty(values.shape, dtype=bool)
    bands = parts(len(v), AT_HAND // len(u))
    with np.errstate(all="ignore"):  # cells around may lie beyond the map's horizon
        for band, (x, y) in zip(bands, lattice.grid_bands(u, v, bands), strict=True):
            on[band] = (x >= 0) & (y >= 0) & (x < width) & (y < height)
            x[~on[band]] = y[~on[band]] = 0
            values[band] = at(grey, x, y)
    return values, on


def _way(rows: Grey, inside: Floats, fine: int, settings: VerifySettings) -> Way:
    """The lines that run down ``rows``, one a place, of ``fine`` samples a place.

    A line shows by how far samples differ near it, be it a stroke or a border of two shades, sharp
    or blurred. That is held against what the cells on both sides show in their midst, or at their
    quarters where that is less: a stroke as wide as half a small cell reaches those. What changes
    in a row is seen in its midst: the line at its end is no more its own than the next row's.
    """
    around = settings.around
    high, low = _extremes(rows, fine)
    by_cell = (len(inside), PER_CELL, -1)
    near = (_with_neighbours(high, np.maximum) - _with_neighbours(low, np.minimum)).reshape(by_cell)
    shown = lowest(near.swapaxes(0, 1), settings.lower).astype(np.float64)
    midst = (high - low).reshape(by_cell)[:, QUARTER:-QUARTER].mean(axis=1, dtype=np.float64)
    activity = np.log2(1 + midst.reshape(*inside.shape, PER_CELL).mean(axis=2))
    own = slice(around * PER_CELL, -around * PER_CELL)
    wave = _wave(rows[own, :-1:fine][:, own].mean(axis=0, dtype=np.float64), settings)

    at = np.arange(inside.shape[1]) * PER_CELL
    end = at + PER_CELL
    first, last, half = shown[:, at + QUARTER], shown[:, end - QUARTER], shown[:, at + HALF]
    third = np.maximum(shown[:, at + THIRD], shown[:, end - THIRD])
    sixths = (shown[:, at + SIXTH] + half + shown[:, end - SIXTH]) / 3
    line = np.concatenate([shown[:, at], shown[:, -1:]], axis=1)
    beside = np.minimum(_between(last, first), _between(half, half))
    off = inside < settings.whole
    off_line = np.pad(off, ((0, 0), (1, 0)), mode="edge") | np.pad(
        off, ((0, 0), (0, 1)), mode="edge"
    )
    noise = (float(median(beside)) + 1) / 2
    table = np.asarray(settings.odds)

    def odds(shown: Floats, others: Floats, gone: NDArray[np.bool_]) -> Floats:
        octaves = np.log2(noise + shown) - np.log2(noise + others)
        place = np.searchsorted(settings.edges, octaves, "right")
        return np.where(gone, settings.off, table[place])

    return Way(
        odds(line, beside, off_line),
        odds(half, (first + last) / 2, off),
        odds(third, sixths, off),
        activity,
        inside,
        wave,
    )


def _extremes(rows: Grey, fine: int) -> tuple[Grey, Grey]:
    """The highest and the lowest sample within each place, the first of the next one included."""
    high = low = rows[:, fine::fine]
    for k in range(fine):  # far sooner than to reduce a short axis
        high, low = np.maximum(high, rows[:, k:-1:fine]), np.minimum(low, rows[:, k:-1:fine])
    return high, low


def _with_neighbours(values: Grey, extreme: np.ufunc) -> Grey:
    """The extreme of each place and the ones on both its sides."""
    wide = np.pad(values, ((0, 0), (1, 1)), mode="edge")
    return np.asarray(extreme(extreme(wide[:, :-2], wide[:, 1:-1]), wide[:, 2:]))


def _between(left: Floats, right: Floats) -> Floats:
    """At each line, the mean of what the cell on its left and that on its right show."""
    both: Floats = np.pad(left, ((0, 0), (1, 0)), mode="edge")
    both += np.pad(right, ((0, 0), (0, 1)), mode="edge")
    return both / 2


def _wave(shades: Floats, settings: VerifySettings) -> float:
    """Octaves by which what every cell repeats outshines what every few of them do.

    ``shades`` is the mean of the page across the lines, ``PER_CELL`` places a cell. Lines repeat
    with every cell, whichever of them are bold; the threads of a ground ruled finely don't.
    """
    place = np.arange(len(shades)) / PER_CELL
    swing = (shades - shades.mean()) * np.hanning(len(shades))
    cells = np.array([1, *settings.few])
    strength = np.abs(np.exp(-2j * np.pi * place / cells[:, None]) @ swing) / len(shades)
    own, others = strength[0], strength[1:].max()
    return float(np.log2(settings.faint + own) - np.log2(settings.faint + others))
