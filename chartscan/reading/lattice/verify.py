"""One judge for lattices: how likely a grid lies there, whoever proposed it.

A lattice is held against the page side by side of its cells (``sight``). What all sides say, how
the grid ends, whether lines lie between its lines, and how large it is are terms of one sum:
log-odds, in nats, against "there is no grid here" (``weights``).
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from chartscan.reading.filters import median, quantile
from chartscan.reading.lattice.extent import Extent
from chartscan.reading.lattice.sight import Sight, Way
from chartscan.reading.lattice.weights import VerifySettings

Floats = NDArray[np.float64]


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
