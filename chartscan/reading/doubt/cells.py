"""Single doubtful cells: why each is doubtful, and what else it may be."""

from __future__ import annotations

from collections.abc import Sequence

from chartscan.chart import Chart, Doubt
from chartscan.reading.classes.sorting import REASONS
from chartscan.reading.doubt.numbers import Numbered

OVER_IT = "something lies over it that wasn't read"


def cell_doubts(chart: Chart, known: Sequence[Numbered]) -> tuple[Doubt, ...]:
    """The reason and the second choice of every doubtful cell of the chart."""
    return tuple(_doubt(chart, row, column, known) for row, column in chart.doubtful)


def _doubt(chart: Chart, row: int, column: int, known: Sequence[Numbered]) -> Doubt:
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
    return Doubt(row, column, OVER_IT)
