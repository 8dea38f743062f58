"""What a person picks for a class, held on to the class by what it is and not by its number.

Numbers of classes move when a chart is corrected or read again; what was picked must not.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from chartscan.chart import Chart, ChartClass
    from chartscan.palette import Thread


@dataclass(frozen=True)
class ClassMark:
    """What a class is known by.

    Attributes:
        kind: stitch, line or knot.
        rgb: its colour, or None.
        symbol: its symbol's name, or None.
        cell: row and column (from 0) of its first cell; None where it has none.
    """

    kind: str
    rgb: tuple[int, int, int] | None = None
    symbol: str | None = None
    cell: tuple[int, int] | None = None


@dataclass(frozen=True)
class Pick:
    """What was picked for a class.

    Attributes:
        threads: one thread, or two for a blend of one strand each.
        keyed: the chart's own key says so, which teaches how the chart prints colours; else it is
            what the person likes better.
    """

    threads: tuple[Thread, ...]
    keyed: bool = False


@dataclass(frozen=True)
class Found:
    """Picks by the numbers that their classes have now, and those whose class is gone."""

    picks: Mapping[int, Pick]
    lost: tuple[Pick, ...] = ()


def mark_class(chart: Chart, index: int) -> ClassMark:
    """What class ``index`` is known by.

    Only the worktable: on the command line a key names classes anew each time.

    Raises:
        IndexError: there is no such class.
    """
    entry = chart.classes[index]
    flat = np.flatnonzero(chart.cells.ravel() == index)
    cell = divmod(int(flat[0]), chart.columns) if len(flat) else None
    return ClassMark(entry.kind, entry.rgb, entry.symbol, cell)


def find_class(chart: Chart, mark: ClassMark) -> int | None:
    """The number that a class has now; None where none is it.

    A class of the same colour and symbol, the one at its cell before others; else the one at its
    cell, whose colour or symbol was corrected.

    Only the worktable: as :func:`mark_class`.
    """
    there = _class_at(chart, mark.cell)
    alike = [c.index for c in chart.classes if _is_alike(c, mark)]
    if there is not None and there.index in alike:
        return there.index
    if len(alike) == 1:
        return alike[0]
    if there is not None and there.kind == mark.kind:
        return there.index
    return None


def find_picks(chart: Chart, marked: Sequence[tuple[ClassMark, Pick]]) -> Found:
    """Every pick by the number of its class; of two for one class the later one.

    Only the worktable: as :func:`mark_class`.
    """
    picks: dict[int, Pick] = {}
    lost: list[Pick] = []
    for mark, pick in marked:
        index = find_class(chart, mark)
        if index is None:
            lost.append(pick)
        else:
            picks[index] = pick
    return Found(picks, tuple(lost))


def _class_at(chart: Chart, cell: tuple[int, int] | None) -> ChartClass | None:
    if cell is None or not (0 <= cell[0] < chart.rows and 0 <= cell[1] < chart.columns):
        return None
    return chart.classes[int(chart.cells[cell])]


def _is_alike(entry: ChartClass, mark: ClassMark) -> bool:
    return (entry.kind, entry.rgb, entry.symbol) == (mark.kind, mark.rgb, mark.symbol)
