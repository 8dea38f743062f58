"""Which part of a chart stands on which sheet, and how large its cells are."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from chartscan.chart import Chart
from chartscan.report.working.settings import WorkingSettings


@dataclass(frozen=True)
class Sheet:
    """One sheet: a block of the chart.

    Attributes:
        rows: first row and the one behind the last, from 0.
        columns: first column and the one behind the last, from 0.
        repeated_rows: how many of the first rows the sheet above has too.
        repeated_columns: how many of the first columns the sheet to the left has too.
        number: of this sheet, from 1, as read.
    """

    rows: tuple[int, int]
    columns: tuple[int, int]
    repeated_rows: int
    repeated_columns: int
    number: int


@dataclass(frozen=True)
class Layout:
    """All sheets of a working chart.

    Attributes:
        sheets: in reading order.
        across: sheets side by side.
        down: sheets one below the other.
        cell_mm: side of a cell.
        key_mm: height kept for the key on each sheet; 0 where it has sheets of its own.
    """

    sheets: tuple[Sheet, ...]
    across: int
    down: int
    cell_mm: float
    key_mm: float


def lay_out(chart: Chart, entries: int, settings: WorkingSettings) -> Layout:
    """Sheets for ``chart``: as few as readable cells allow, then cells as large as those hold.

    Args:
        chart: the chart.
        entries: entries of the key.
        settings: sizes.
    """
    width, height = settings.room_mm
    key = _key_mm(entries, width, settings)
    if key > settings.most_key * height:
        key = 0.0
    room = width - settings.numbers_mm, height - key - settings.numbers_mm
    fit = [int(side / settings.cell_mm) for side in room]
    columns = _spans(chart.columns, fit[0], settings)
    rows = _spans(chart.rows, fit[1], settings)
    cell = min(
        settings.most_cell_mm,
        room[0] / max(b - a for a, b in columns),
        room[1] / max(b - a for a, b in rows),
    )
    return Layout(_sheets(rows, columns), len(columns), len(rows), cell, key)


def _key_mm(entries: int, width: float, settings: WorkingSettings) -> float:
    """Height of the key of that many entries, side by side as far as ``width`` goes."""
    beside = max(1, int(width / settings.key_width_mm))
    return settings.key_row_mm * (math.ceil(entries / beside) + 1)


def _spans(count: int, fit: int, settings: WorkingSettings) -> list[tuple[int, int]]:
    """First and behind-the-last of each sheet, where ``fit`` rows or columns stand on one.

    Seams lie at bold lines where that costs no sheet.
    """
    if count <= fit:
        return [(0, count)]
    most = fit - settings.repeat
    step = math.ceil(count / math.ceil(count / most))
    tens = settings.every * math.ceil(step / settings.every)
    if tens <= most:
        step = tens
    return [
        (max(0, start - settings.repeat), min(count, start + step))
        for start in range(0, count, step)
    ]


def _sheets(
    rows: Sequence[tuple[int, int]], columns: Sequence[tuple[int, int]]
) -> tuple[Sheet, ...]:
    found: list[Sheet] = []
    for i, down in enumerate(rows):
        for j, across in enumerate(columns):
            above = rows[i - 1][1] - down[0] if i else 0
            beside = columns[j - 1][1] - across[0] if j else 0
            found.append(Sheet(down, across, above, beside, len(found) + 1))
    return tuple(found)
