"""Single doubtful cells: why each is doubtful, and what else it may be."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from chartscan.chart import Chart, Doubt
from chartscan.reading.classes.sorting import REASONS
from chartscan.reading.doubt.against import Against, Mask, lay
from chartscan.reading.doubt.numbers import Numbered
from chartscan.reading.evidence import Evidence

OVER_IT = "something lies over it that wasn't read"
RUNS_ON = "ink runs on from it into the next cell"
UNLIKE = "it doesn't look as others of its class do"
BY_MARKS = (OVER_IT, RUNS_ON, UNLIKE)
"""Reasons that a mark would give, were it not read."""


def with_unexplained(chart: Chart, pages: Sequence[Evidence], held: Sequence[Against]) -> Chart:
    """The chart with those cells doubtful, too, at which its pages show what it doesn't explain."""
    found = np.argwhere(_whole(chart, pages, [seen.unexplained for seen in held]))
    more = {(int(row), int(column)) for row, column in found}
    return replace(chart, doubtful=tuple(sorted({*chart.doubtful} | more)))


def cell_doubts(
    chart: Chart, known: Sequence[Numbered], pages: Sequence[Evidence], held: Sequence[Against]
) -> tuple[Doubt, ...]:
    """The reason and the second choice of every doubtful cell of the chart."""
    runs = _whole(chart, pages, [seen.runs_on for seen in held])
    unlike = _whole(chart, pages, [seen.unlike for seen in held])
    doubts = []
    for row, column in chart.doubtful:
        why = RUNS_ON if runs[row, column] else UNLIKE if unlike[row, column] else OVER_IT
        doubts.append(_doubt(chart, row, column, known, why))
    return tuple(doubts)


def _whole(chart: Chart, pages: Sequence[Evidence], parts: Sequence[Mask]) -> Mask:
    """Cells of several pages as cells of the chart, shape (rows, columns)."""
    whole = np.zeros(chart.cells.shape, dtype=np.bool_)
    for page, part in zip(pages, parts, strict=True):
        lay(whole, page.origin, part)
    return whole


def _doubt(chart: Chart, row: int, column: int, known: Sequence[Numbered], otherwise: str) -> Doubt:
    for page in known:
        y, x = row - page.origin[0], column - page.origin[1]
        unsure = page.clues.unsure
        if unsure is None:
            continue
        rows, columns = unsure.reason.shape
        if not (0 <= y < rows and 0 <= x < columns):
            continue
        reason = int(unsure.reason[y, x])
        if not reason:
            continue
        second = int(page.classes[unsure.second[y, x]])
        if second < 0 or second == chart.cells[row, column]:
            return Doubt(row, column, REASONS[reason])
        return Doubt(row, column, REASONS[reason], second, round(float(unsure.chance[y, x]), 4))
    return Doubt(row, column, otherwise)
