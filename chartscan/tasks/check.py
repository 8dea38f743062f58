"""Checking a reading: what its classes look like, which look alike, what a cell may be besides."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from chartscan.chart import Chart

RGB = tuple[int, int, int]

EVEN = 0.5  # chance above which the second choice is the likelier


@dataclass(frozen=True)
class Alike:
    """Two classes that look alike.

    Attributes:
        first: index of the class with more cells.
        second: index of the other one.
        delta_e: CIEDE2000 between their colours; 0 where both have the ink's alone.
    """

    first: int
    second: int
    delta_e: float


def class_paints(chart: Chart) -> list[RGB]:
    """A colour a class to draw it in: its own, or a strong false one where two look the same.

    In its own colour a wrong cell flashes when page and reading take turns.

    Only the worktable: the command line draws the review picture instead.
    """
    from chartscan.colour import ACCEPTABLE
    from chartscan.reading.review.falsecolour import FalseColourSettings, paints

    return [paint.rgb for paint in paints(chart, FalseColourSettings(near=ACCEPTABLE))[0]]


def alike_classes(chart: Chart, most: int = 12) -> tuple[Alike, ...]:
    """Pairs of stitch classes without symbols whose colours may be taken for one, nearest first.

    Only the worktable: the command line asks the reader's own questions instead.
    """
    from chartscan.colour import DIFFERENT, ciede2000_matrix, srgb_to_lab

    stitches = [c for c in chart.classes if c.kind == "stitch" and c.rgb is not None]
    counts = chart.counts()
    if len(stitches) < 2:
        return ()
    lab = srgb_to_lab([c.rgb for c in stitches if c.rgb is not None])
    differ = ciede2000_matrix(lab, lab)
    found = []
    for i, one in enumerate(stitches):
        for j in range(i + 1, len(stitches)):
            other = stitches[j]
            if differ[i, j] <= DIFFERENT and one.symbol is None and other.symbol is None:
                first, second = sorted((one.index, other.index), key=lambda k: (-counts[k], k))
                found.append(Alike(first, second, float(differ[i, j])))
    return tuple(sorted(found, key=lambda pair: pair.delta_e)[:most])


def candidates(chart: Chart, row: int, column: int, most: int = 6) -> tuple[int, ...]:
    """Classes that a cell may be of, the likeliest first.

    What it was taken for and what comes second stand first, the likelier of them before the other;
    then what lies around it, then what is near in colour.

    Only the worktable: the command line is told a class by its number.
    """
    own = int(chart.cells[row, column])
    doubts = [d for d in chart.doubts if (d.row, d.column) == (row, column)]
    second = [doubt.second for doubt in doubts if doubt.second is not None]
    likelier = any(doubt.chance > EVEN for doubt in doubts)
    first = [*second, own] if likelier else [own, *second]
    around = chart.cells[max(0, row - 1) : row + 2, max(0, column - 1) : column + 2].ravel()
    values, times = np.unique(around, return_counts=True)
    beside = [int(value) for value in values[np.argsort(-times, kind="stable")]]
    order = [*first, *beside, *_nearest(chart, own)]
    fills = [k for k in order if chart.classes[k].kind in ("empty", "stitch")]
    return tuple(dict.fromkeys(fills))[:most]


def _nearest(chart: Chart, index: int) -> list[int]:
    """All classes, by how near their colour is to that of one."""
    own = chart.classes[index].rgb
    if own is None:
        return [c.index for c in chart.classes]
    from chartscan.colour import ciede2000, srgb_to_lab

    known = [c for c in chart.classes if c.rgb is not None]
    lab = srgb_to_lab([c.rgb for c in known if c.rgb is not None])
    here = srgb_to_lab(own)
    near = np.argsort(ciede2000(lab, here), kind="stable")
    return [known[i].index for i in near]
