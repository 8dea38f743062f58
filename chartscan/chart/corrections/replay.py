"""Corrections replayed on a reading: the chart after them, and what remains to be asked."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

import numpy as np

from chartscan.chart.corrections.acts import Act
from chartscan.chart.corrections.apply import apply
from chartscan.chart.corrections.asking import lost_questions, open_questions
from chartscan.chart.corrections.bench import Bench, Idle, Lost
from chartscan.chart.corrections.standing import bench_of, settle
from chartscan.chart.model import Chart, Knot, Line, Part
from chartscan.errors import ChartError


@dataclass(frozen=True)
class LostAct:
    """A correction that has no place in the reading.

    Attributes:
        number: its place in the list of corrections, from 0.
        act: the correction.
        reason: a clause: why it has none.
    """

    number: int
    act: Act
    reason: str


def replay(chart: Chart, acts: Sequence[Act]) -> Chart:
    """The chart with these corrections and no others, whatever it has had so far.

    An act that finds no place changes nothing, stays in the list and is asked about. Classes that
    are left without a cell or mark are taken off the list, which renumbers those after them.
    """
    read = chart.as_read or chart
    if not acts:
        return read
    bench = Bench(read)
    lost = []
    for number, act in enumerate(acts):
        try:
            apply(bench, act)
        except Idle:
            continue  # this reading has it so already
        except Lost as error:
            lost.append(LostAct(number, act, str(error)))
    order = settle(bench)
    return replace(_assemble(bench, order, lost), corrections=tuple(acts), as_read=read)


def correct(chart: Chart, acts: Iterable[Act]) -> Chart:
    """The chart with further corrections.

    Raises:
        ChartError: one of them names a class or place that isn't there, or a mark to take away.
    """
    bench = bench_of(chart)
    new = tuple(acts)
    for act in new:
        try:
            apply(bench, act)
        except Lost as error:
            raise ChartError(str(error)) from error
    return replay(chart, (*chart.corrections, *new))


def undo(chart: Chart, numbers: Iterable[int] = (-1,)) -> Chart:
    """The chart with the corrections of these places in the list (from 0) left out.

    Raises:
        ChartError: there is no correction of such a place.
    """
    count = len(chart.corrections)
    out = set()
    for number in numbers:
        if not -count <= number < count:
            there = f"there are 1 to {count}" if count else "there are none"
            raise ChartError(f"there is no correction {number + 1 if number >= 0 else ''}; {there}")
        out.add(number % count)
    return replay(chart, [act for i, act in enumerate(chart.corrections) if i not in out])


# ---------------------------------------------------------------------------- assembly


def _assemble(bench: Bench, order: Sequence[int], lost: Sequence[LostAct]) -> Chart:
    read = bench.read
    new = {old: index for index, old in enumerate(order)}
    numbers = np.zeros(len(bench.classes), dtype=np.int32)
    numbers[order] = np.arange(len(order))
    second_same = _no_longer(bench)
    doubtful = tuple(
        place for place in read.doubtful if not bench.fixed[place] and place not in second_same
    )
    still = set(doubtful)
    chart = replace(
        read,
        cells=numbers[bench.cells],
        classes=tuple(replace(bench.classes[old], index=new[old]) for old in order),
        parts=tuple(
            Part(row, column, shape, corner, new[index])
            for (row, column), here in bench.pieces.items()
            for (corner, shape), index in here.items()
        ),
        lines=tuple(Line(new[bench.root(index)], points) for index, points in bench.lines),
        knots=tuple(Knot(new[bench.root(index)], x, y) for index, ((x, y),) in bench.knots),
        doubtful=doubtful,
        doubts=tuple(
            replace(doubt, second=new[bench.root(doubt.second)])
            if doubt.second is not None and bench.root(doubt.second) in new
            else replace(doubt, second=None, chance=0.0)
            for doubt in read.doubts
            if (doubt.row, doubt.column) in still
        ),
        questions=(),
    )
    asked = (*lost_questions(chart, lost), *open_questions(bench, new))
    return replace(chart, questions=asked)


def _no_longer(bench: Bench) -> set[tuple[int, int]]:
    """Cells in doubt between two classes that are one by now."""
    return {
        (doubt.row, doubt.column)
        for doubt in bench.read.doubts
        if doubt.second is not None
        and bench.cells.item(doubt.row, doubt.column) == bench.root(doubt.second)
    }
