"""One judge for lattices: how likely a grid lies there, whoever proposed it.

A lattice is held against the page side by side of its cells: where a line is drawn the page differs
more about the side than in the midst of the cells beside. What all sides say, how the grid ends,
whether lines lie between its lines, and how large it is are terms of one sum: log-odds, in nats,
against "there is no grid here".

The weights are fitted by ``tests/fitting/lattice_terms.py``: a multinomial logistic regression over
each page's candidates, right, wrong and none. They come from 84 drawn pages, seeds 640001 to
640012: scans and photographs, mild to hard, marks on scans, worn pages stitched all over, plates,
and small grids among text. Fitted on either half of them, the true lattice won over some 60 others
on 80 of the 84 in the other, and none on 167 of 168 without a grid, half of them bare or speckled.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from chartscan.reading.filters import median, quantile
from chartscan.reading.lattice.extent import Extent
from chartscan.reading.lattice.model import Lattice
from chartscan.reading.lattice.rectified import Grey, lowest
from chartscan.reading.lattice.sums import Sums

Floats = NDArray[np.float64]

PER_CELL = 12  # places a cell is sampled at: halves, thirds and quarters all fall on one
SIXTH, QUARTER, THIRD, HALF = (PER_CELL // part for part in (6, 4, 3, 2))


@dataclass(frozen=True)
class VerifySettings:
    """How a lattice is judged.

    Attributes:
        pitch: px per cell, about, of the page made smaller that is looked at.
        around: cells all round the lattice that are looked at too.
        lower: of the places along a side, the one from below that counts: a stroke that
            covers only part of a side is no line.
        edges: bounds of the graded evidence of a side, in octaves over what is beside.
        odds: log-odds of a line in each interval between them, in nats.
        off: the same of a side off the page.
        whole: part of a cell that must lie on the page for its sides to tell.
        part: the same of the rows just beyond the lattice.
        weak: part of the lines that are its weakest.
        few: cells by which what isn't in every cell may repeat.
        faint: levels (0..255) of a wave that tell nothing, on either side.
        weights: nats a unit of each term, in the order of :data:`TERMS`.
        middles, spreads: mean and standard deviation of each term, by which it is scaled.
        bias: nats of a lattice whose terms all lie at their means.
    """

    pitch: float = 12.0
    around: int = 4
    lower: int = 2
    edges: tuple[float, ...] = (
        -1.2, -0.8, -0.5, -0.25, -0.1, 0.1, 0.25, 0.5, 0.8, 1.2, 1.7, 2.3, 3.0,
    )  # fmt: skip
    odds: tuple[float, ...] = (
        -4.29, -2.81, -1.98, -1.4, -0.99, -0.74, -0.6, -0.61, -0.48, -0.12, 0.49, 0.92, 1.29,
        1.86,
    )  # fmt: skip
    off: float = -0.5
    whole: float = 0.9
    part: float = 0.5
    weak: float = 0.1
    few: tuple[int, ...] = (2, 3, 4)
    faint: float = 0.2
    weights: tuple[float, ...] = (
        0.98, 1.011, 0.677, 2.246, 1.013, -1.216, 1.571, 1.001, -0.425, -1.981, 1.503, -1.203,
        -1.239, 0.215, -1.209, 0.771, 0.254, 0.84, 0.554,
    )  # fmt: skip
    middles: tuple[float, ...] = (
        -0.302, -1.036, -22.948, -0.914, -0.625, 0.118, -0.329, 0.453, 0.31, -0.162, -0.734,
        0.516, -0.982, -1.291, -1.249, -0.76, 0.215, 6.505, 0.407,
    )  # fmt: skip
    spreads: tuple[float, ...] = (
        1.134, 1.508, 72.327, 1.107, 0.779, 0.96, 0.69, 1.109, 1.159, 0.628, 0.703, 1.004,
        1.262, 1.183, 1.21, 1.538, 1.565, 1.806, 0.219,
    )  # fmt: skip
    bias: float = -11.52


TERMS = (
    "mean",  # of all sides, in nats
    "weak",  # the weakest tenth of the lines
    "whole",  # root of the sum over all sides
    "frame",  # outermost line less the usual one, of the worst side
    "inside",  # crossing lines in the outermost row less the usual row, of the worst side
    "outside",  # crossing lines in the row beyond less the usual row, of the worst side
    "ends",  # how much less is seen beyond than inside, of the worst side and of all
    "all ends",
    "beyond",  # the next line beyond less the usual one, of the worst side
    "activity",  # of the page beyond less that within, in octaves, of the worst side
    "idle",  # of the outermost row less that within, of the worst side
    "parity",  # odd lines against even ones
    "halves",  # lines midway between lines, the stronger way and the weaker
    "both halves",
    "thirds",  # lines a third between lines, the stronger way
    "wave",  # what every cell repeats beside what every few do, the weaker way and the stronger
    "other wave",
    "cells",  # ln of their number
    "share",  # of the page, without what lies beyond it
)


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
    values, on = _sampled(grey, lattice, around, fine)
    cells = (lattice.rows + 2 * around, PER_CELL, lattice.columns + 2 * around, PER_CELL)
    inside = on[fine::fine, fine::fine].reshape(cells).mean(axis=(1, 3))
    pitch_x, pitch_y = lattice.pitch
    return Sight(
        around,
        _way(values, inside, fine, settings),
        _way(values.T, inside.T, fine, settings),
        pitch_x * pitch_y / grey.size,
    )


def _sampled(
    grey: Grey, lattice: Lattice, around: int, fine: int
) -> tuple[Grey, NDArray[np.bool_]]:
    """Values at ``fine`` samples a place, from half a place aside, and which are on the page."""
    u, v = (
        -around + (np.arange((cells + 2 * around) * PER_CELL * fine + 1) / fine - 0.5) / PER_CELL
        for cells in (lattice.columns, lattice.rows)
    )
    height, width = grey.shape
    with np.errstate(all="ignore"):  # cells around may lie beyond the map's horizon
        x, y = lattice.grid_to_pixels(u, v)
        on = (x >= 0) & (y >= 0) & (x < width) & (y < height)
    column, row = (np.where(on, at, 0).astype(np.int32) for at in (x, y))
    return grey[row, column], on


def _way(values: Grey, inside: Floats, fine: int, settings: VerifySettings) -> Way:
    """The lines that run down ``values``, of ``fine`` samples a place.

    A line shows by how far samples differ near it, be it a stroke or a border of two shades, sharp
    or blurred. That is held against what the cells on both sides show in their midst, or at their
    quarters where that is less: a stroke as wide as half a small cell reaches those. What changes
    in a row is seen in its midst: the line at its end is no more its own than the next row's.
    """
    around, rows = settings.around, values[fine::fine]
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
    places, following = rows[:, :-1].reshape(len(rows), -1, fine), rows[:, fine::fine]
    return np.maximum(places.max(axis=2), following), np.minimum(places.min(axis=2), following)


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


def log_odds(terms: Floats, settings: VerifySettings = VerifySettings()) -> float:
    """Nats by which a lattice of these terms is likelier than that there is no grid."""
    scaled = (terms - settings.middles) / settings.spreads
    return float(scaled @ settings.weights + settings.bias)


def terms_of(sight: Sight, extent: Extent, settings: VerifySettings = VerifySettings()) -> Floats:
    """The terms of the rectangle ``extent`` of the lattice's cells, in the order of TERMS."""
    around = sight.around
    x = slice(extent.left + around, extent.right + around)
    y = slice(extent.top + around, extent.bottom + around)
    seen = [
        _seen(way, *ends, settings)
        for way, ends in ((sight.upright, (x, y)), (sight.level, (y, x)))
    ]
    upright, level = seen
    lines = np.concatenate([upright.lines, level.lines])
    total = upright.total + level.total
    number = extent.rows * (extent.columns + 1) + extent.columns * (extent.rows + 1)
    inside, outside = (
        np.array([*a, *b])
        for a, b in ((upright.inside, level.inside), (upright.outside, level.outside))
    )
    steps = inside - outside
    cells = extent.columns * extent.rows
    return np.array(
        [
            total / number,
            quantile(lines, settings.weak),
            np.sign(total) * np.sqrt(abs(total)),
            min(*upright.frame, *level.frame),
            inside.min(),
            outside.max(),
            steps.min(),
            np.tanh(steps / 2).sum(),
            max(*upright.beyond, *level.beyond),
            max(map(_graded, (*upright.activity, *level.activity))),
            min(map(_graded, (*upright.idle, *level.idle))),
            max(upright.parity, level.parity),
            max(upright.halves, level.halves),
            min(upright.halves, level.halves),
            max(upright.thirds, level.thirds),
            min(sight.upright.wave, sight.level.wave),
            max(sight.upright.wave, sight.level.wave),
            np.log(cells),
            sight.share * sight.upright.sums.inside.total(y, x),
        ]
    )


def _graded(octaves: float) -> float:
    """The same, but hardly more from 2 octaves on: paper is blank, however blank it is."""
    return 2 * math.tanh(octaves / 2)


@dataclass(frozen=True)
class _Seen:
    """What the lines of one way show within a rectangle, and at its two ends and sides.

    Attributes:
        lines: mean log-odds of each line. total: sum over all sides.
        frame, beyond: the two outermost lines, and the next beyond, less the usual line.
        inside, outside: the lines' two outermost rows, and the next beyond, less the usual row.
        activity: of those beyond less that within.
        idle: of the two outermost rows less that within.
        parity: odd lines against even ones.
        halves, thirds: mean log-odds of lines between.
    """

    lines: Floats
    total: float
    frame: tuple[float, float]
    beyond: tuple[float, float]
    inside: tuple[float, float]
    outside: tuple[float, float]
    activity: tuple[float, float]
    idle: tuple[float, float]
    parity: float
    halves: float
    thirds: float


def _seen(way: Way, along: slice, rows: slice, settings: VerifySettings) -> _Seen:
    """What ``way`` shows in the cells ``along`` by ``rows``."""
    sums, across = way.sums, slice(along.start, along.stop + 1)
    lines, by_row = sums.sides.by_column(rows, across), sums.sides.by_row(rows, across)
    usual, usual_row = float(median(lines)), float(median(by_row))
    within = float(median(way.activity[rows, along]))

    def beyond(line: int) -> float:
        there = 0 <= line < way.sides.shape[1]
        shown = sums.sides.mean(rows, slice(line, line + 1)) if there else settings.off
        return shown - usual

    def active(row: int) -> float:
        return sums.activity.mean(slice(row, row + 1), along)

    def outside(row: int) -> tuple[float, float]:
        one = slice(row, row + 1)
        on = 0 <= row < len(way.sides) and sums.inside.mean(one, along) >= settings.part
        if not on:
            return settings.off - usual_row, settings.off
        return sums.sides.mean(one, across) - usual_row, active(row) - within

    ends = outside(rows.start - 1), outside(rows.stop)
    inner = lines[1:-1]
    return _Seen(
        lines,
        sums.sides.total(rows, across),
        (float(lines[0]) - usual, float(lines[-1]) - usual),
        (beyond(along.start - 1), beyond(along.stop + 1)),
        (float(by_row[0]) - usual_row, float(by_row[-1]) - usual_row),
        (ends[0][0], ends[1][0]),
        (ends[0][1], ends[1][1]),
        (active(rows.start) - within, active(rows.stop - 1) - within),
        abs(float(inner[::2].mean() - inner[1::2].mean())) if len(inner) > 1 else 0.0,
        sums.halves.mean(rows, along),
        sums.thirds.mean(rows, along),
    )
