"""One judge for lattices: how likely a grid lies there, whoever proposed it.

A lattice is held against the page side by side of its cells: where a line is drawn the page steps
more at the side than a quarter of a cell away. What all sides say, how the grid ends, whether
lines lie between its lines, and how large it is are terms of one sum: log-odds, in nats, against
"there is no grid here".

The weights are fitted by ``tests/fitting/lattice_terms.py``: a multinomial logistic regression over
each page's candidates, right, wrong and none. They come from 48 drawn pages: scans and photographs,
mild to hard, plates, and small grids among text, seeds 33001 to 33010. Fitted on half of them, the
true lattice won over some 60 others on 23 of the other 25, and none on all 52 without a grid,
half of them bare or speckled paper.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from chartscan.reading.lattice.extent import Extent
from chartscan.reading.lattice.model import Lattice
from chartscan.reading.lattice.rectified import Grey, jumps

Floats = NDArray[np.float64]

PER_CELL = 12  # places a cell is sampled at: halves, thirds and quarters all fall on one
SIXTH, QUARTER, THIRD, HALF = (PER_CELL // part for part in (6, 4, 3, 2))


@dataclass(frozen=True)
class VerifySettings:
    """How a lattice is judged.

    Attributes:
        pitch: px per cell, about, of the page made smaller that is looked at.
        around: cells all round the lattice that are looked at too.
        lower: of the places along a side, the one from below whose step counts: a stroke that
            covers only part of a side is no line.
        edges: bounds of the graded evidence of a side, in octaves of step over the steps beside.
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

    pitch: float = 14.0
    around: int = 4
    lower: int = 2
    edges: tuple[float, ...] = (
        -1.2, -0.8, -0.5, -0.25, -0.1, 0.1, 0.25, 0.5, 0.8, 1.2, 1.7, 2.3, 3.0,
    )  # fmt: skip
    odds: tuple[float, ...] = (
        -3.03, -1.19, -0.66, -0.53, -0.48, -0.36, -0.35, -0.24, -0.15, -0.0, 0.62, 0.95, 1.29, 1.82
    )  # fmt: skip
    off: float = -0.5
    whole: float = 0.9
    part: float = 0.5
    weak: float = 0.1
    few: tuple[int, ...] = (2, 3, 4)
    faint: float = 0.2
    weights: tuple[float, ...] = (
        0.542, -0.02, 0.93, 0.443, 0.042, -1.617, 2.294, 1.016, -0.573, -2.052, 2.01, -1.042,
        -1.242, -1.102, -0.689, 1.08, 1.285, 0.374, 0.396,
    )  # fmt: skip
    middles: tuple[float, ...] = (
        -0.385, -0.97, -23.565, -0.657, -0.371, 0.246, -0.374, 0.12, 0.381, -0.04, -0.724, 0.472,
        -0.649, -0.768, -0.639, -0.684, -0.0, 6.287, 0.409,
    )  # fmt: skip
    spreads: tuple[float, ...] = (
        0.879, 1.131, 56.987, 0.804, 0.507, 0.717, 0.583, 0.951, 0.86, 0.58, 0.678, 0.865, 0.656,
        0.679, 0.75, 1.549, 1.47, 1.84, 0.228,
    )  # fmt: skip
    bias: float = -10.09


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


def sight_of(grey: Grey, lattice: Lattice, settings: VerifySettings = VerifySettings()) -> Sight:
    """What ``grey`` shows around ``lattice``, both on the page made smaller."""
    around = settings.around
    columns, rows = lattice.columns + 2 * around, lattice.rows + 2 * around
    values, on = _sampled(grey, lattice, around)
    across = jumps(values[1:, 1:], values[1:, :-1]).reshape(rows, PER_CELL, -1)
    down = jumps(values[1:, 1:], values[:-1, 1:]).reshape(-1, columns, PER_CELL)
    cells = (rows, PER_CELL, columns, PER_CELL)
    inside = on[1:, 1:].reshape(cells).mean(axis=(1, 3))
    changes = across.reshape(cells).mean(axis=(1, 3)) + down.reshape(cells).mean(axis=(1, 3))
    activity = np.log2(1 + changes)
    rank = settings.lower
    upright = np.partition(across, rank, axis=1)[:, rank].astype(np.float64)
    level = np.partition(down, rank, axis=2)[:, :, rank].T.astype(np.float64)
    pitch_x, pitch_y = lattice.pitch
    own = slice(around * PER_CELL, -around * PER_CELL - 1)
    waves = [_wave(values[own, own].mean(axis=k, dtype=np.float64), settings) for k in (0, 1)]
    return Sight(
        around,
        _way(upright, activity, inside, waves[0], settings),
        _way(level, activity.T, inside.T, waves[1], settings),
        pitch_x * pitch_y / grey.size,
    )


def _sampled(
    grey: Grey, lattice: Lattice, around: int
) -> tuple[NDArray[np.float32], NDArray[np.bool_]]:
    """Values at ``PER_CELL`` places a cell, half a place aside, and which are on the page."""
    u = -around + (np.arange((lattice.columns + 2 * around) * PER_CELL + 1) - 0.5) / PER_CELL
    v = -around + (np.arange((lattice.rows + 2 * around) * PER_CELL + 1) - 0.5) / PER_CELL
    height, width = grey.shape
    with np.errstate(all="ignore"):  # cells around may lie beyond the map's horizon
        x, y = lattice.grid_to_pixels(u, v)
        on = (x >= 0) & (y >= 0) & (x < width) & (y < height)
    column, row = (np.where(on, at, 0).astype(np.int32) for at in (x, y))
    return grey[row, column].astype(np.float32), on


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


def _way(
    steps: Floats, activity: Floats, inside: Floats, wave: float, settings: VerifySettings
) -> Way:
    """The lines of one way, from steps at the places along each row of cells.

    Each is held against the steps a quarter of a cell away on both sides.
    """
    wide = np.pad(steps, ((0, 0), (1, 1)), mode="edge")
    near = np.maximum(np.maximum(wide[:, :-2], wide[:, 1:-1]), wide[:, 2:])  # ± a place
    at = np.arange(near.shape[1] // PER_CELL) * PER_CELL
    end = at + PER_CELL
    first, last, half = near[:, at + QUARTER], near[:, end - QUARTER], near[:, at + HALF]
    third = np.maximum(near[:, at + THIRD], near[:, end - THIRD])
    sixths = (near[:, at + SIXTH] + half + near[:, end - SIXTH]) / 3
    line = np.concatenate([near[:, at], near[:, -1:]], axis=1)
    beside = (
        np.concatenate([last[:, :1], last], axis=1) + np.concatenate([first, first[:, -1:]], axis=1)
    ) / 2
    off = inside < settings.whole
    off_line = np.pad(off, ((0, 0), (1, 0)), mode="edge") | np.pad(
        off, ((0, 0), (0, 1)), mode="edge"
    )
    noise = (float(np.median(np.concatenate([first, last]))) + 1) / 2
    table = np.asarray(settings.odds)

    def odds(shown: Floats, others: Floats, gone: NDArray[np.bool_]) -> Floats:
        octaves = np.log2(noise + shown) - np.log2(noise + others)
        place = np.searchsorted(settings.edges, octaves, "right")
        return np.where(gone, settings.off, table[place])

    middle = (first + last) / 2
    return Way(
        odds(line, beside, off_line),
        odds(half, middle, off),
        odds(third, sixths, off),
        activity,
        inside,
        wave,
    )


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
            np.quantile(lines, settings.weak),
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
            sight.share * sight.upright.inside[y, x].sum(),
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
    sides = way.sides[rows, along.start : along.stop + 1]
    lines, by_row = sides.mean(axis=0), sides.mean(axis=1)
    usual, usual_row = float(np.median(lines)), float(np.median(by_row))
    within = float(np.median(way.activity[rows, along]))

    def beyond(line: int) -> float:
        there = 0 <= line < way.sides.shape[1]
        return (float(way.sides[rows, line].mean()) if there else settings.off) - usual

    def active(row: int) -> float:
        return float(way.activity[row, along].mean())

    def outside(row: int) -> tuple[float, float]:
        if not (0 <= row < len(way.sides) and way.inside[row, along].mean() >= settings.part):
            return settings.off - usual_row, settings.off
        crossing = float(way.sides[row, along.start : along.stop + 1].mean())
        return crossing - usual_row, active(row) - within

    ends = outside(rows.start - 1), outside(rows.stop)
    inner = lines[1:-1]
    return _Seen(
        lines,
        float(sides.sum()),
        (float(lines[0]) - usual, float(lines[-1]) - usual),
        (beyond(along.start - 1), beyond(along.stop + 1)),
        (float(by_row[0]) - usual_row, float(by_row[-1]) - usual_row),
        (ends[0][0], ends[1][0]),
        (ends[0][1], ends[1][1]),
        (active(rows.start) - within, active(rows.stop - 1) - within),
        abs(float(inner[::2].mean() - inner[1::2].mean())) if len(inner) > 1 else 0.0,
        float(way.halves[rows, along].mean()),
        float(way.thirds[rows, along].mean()),
    )
