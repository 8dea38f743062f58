"""What a person picks for a class, held on to the class by what it is and not by its number.

Numbers of classes move when a chart is corrected or read again; what was picked must not.
What is picked goes before a key and before every other choice.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from chartscan.chart import Chart, ChartClass
from chartscan.palette.key import first_and_second
from chartscan.palette.matching import match
from chartscan.palette.ownership import Owned
from chartscan.palette.settings import MatchSettings
from chartscan.palette.thread import Matches, Palette, Thread


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
    """Every pick by the number of its class; of two for one class the later one."""
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


def match_picked(
    chart: Chart,
    palette: Palette,
    settings: MatchSettings = MatchSettings(),
    told: Mapping[int, tuple[Thread, ...]] | None = None,
    owned: Owned | None = None,
    picks: Mapping[int, Pick] | None = None,
) -> Matches:
    """A thread for every class that is worked: as picked, as the key tells, else by colour.

    Args:
        chart: the chart.
        palette: the range to choose from.
        settings: how to choose.
        told: the thread of a class by the chart's own key, or the two of a blend
            (:func:`chartscan.palette.key.load_strands`).
        owned: what is at hand and free.
        picks: what the person picked, by class.

    Raises:
        MatchError: no thread may be used for a class.
    """
    picks = picks or {}
    # A pick of the person's own teaches nothing about other colours; where there is no colour to
    # match, the matching must know of it all the same.
    teaching = {
        index: pick.threads
        for index, pick in picks.items()
        if pick.keyed or chart.classes[index].rgb is None
    }
    named, partners = first_and_second({**(told or {}), **teaching})
    picked = {index: pick.threads for index, pick in picks.items()}
    return match(chart, palette, settings, named, owned, partners, picked)
