"""A reading in the state that its chart is in, and what holds on to each of its classes."""

from __future__ import annotations

from collections.abc import Sequence
from functools import cached_property

import numpy as np

from chartscan.chart.corrections.acts import Bare, Cell, ClassRef, Made, Point, SetCells, Split
from chartscan.chart.corrections.apply import apply
from chartscan.chart.corrections.bench import Bench, Lost, mark_points
from chartscan.chart.model import Chart


def bench_of(chart: Chart) -> Bench:
    """A bench with the chart's reading on it and its corrections applied."""
    bench = Bench(chart.as_read or chart)
    for act in chart.corrections:
        try:
            apply(bench, act)
        except Lost:
            continue
    return bench


def settle(bench: Bench) -> list[int]:
    """Follow every class to what it is by now; the ids that are left, in the order of the list."""
    roots = np.array([bench.root(i) for i in range(len(bench.classes))], dtype=np.int32)
    bench.cells = roots[bench.cells]
    ground = {i for i, c in enumerate(bench.classes) if c.kind == "empty"}
    for cell, here in list(bench.pieces.items()):
        left = {place: int(roots[index]) for place, index in here.items()}
        bench.pieces[cell] = {place: index for place, index in left.items() if index not in ground}
    _bare_under_pieces(bench, ground)
    used = set(np.flatnonzero(np.bincount(bench.cells.ravel())).tolist())
    used.update(index for here in bench.pieces.values() for index in here.values())
    used.update(bench.root(index) for index, _ in (*bench.lines, *bench.knots))
    read_ground = {c.index for c in bench.read.classes if c.kind == "empty"}
    used |= {i for i in bench.grounds() if i in read_ground}
    return sorted(used)


def _bare_under_pieces(bench: Bench, ground: set[int]) -> None:
    """Make cells with part stitches bare again, where their ground has become a stitch."""
    over = [
        cell
        for cell, here in bench.pieces.items()
        if here and bench.cells.item(*cell) not in ground
    ]
    if over:
        bare = bench.find(Bare())
        for cell in over:
            bench.cells[cell] = bare


class Standing:
    """A chart whose classes can be named by number or place, so that an act holds on to them.

    It remembers the words that it gave for classes to be made, so that none is given twice.
    """

    def __init__(self, chart: Chart) -> None:
        self.chart = chart
        self._refs: dict[int, ClassRef] = {}
        self._taken = {c.symbol for c in chart.classes} | {
            act.into.word
            for act in chart.corrections
            if isinstance(act, Split | SetCells) and isinstance(act.into, Made)
        }

    def free_word(self) -> str:
        """A word for a class to be made, that no class of the chart is known by."""
        number = 1
        while f"part {number}" in self._taken:
            number += 1
        self._taken.add(f"part {number}")
        return f"part {number}"

    @cached_property
    def _bench(self) -> tuple[Bench, Sequence[int]]:
        bench = bench_of(self.chart)
        return bench, settle(bench)

    def ref(self, index: int) -> ClassRef:
        """What holds on to class ``index`` of the chart."""
        if index not in self._refs:
            bench, order = self._bench
            self._refs[index] = bench.ref(order[index])
        return self._refs[index]

    def at_cell(self, cell: Cell) -> int:
        """The class of a cell; ValueError where it lies outside the chart."""
        row, column = cell
        if not (0 <= row < self.chart.rows and 0 <= column < self.chart.columns):
            raise ValueError(
                f"the cell {row + 1},{column + 1} isn't in the chart, which has"
                f" {self.chart.rows} rows and {self.chart.columns} columns"
            )
        return int(self.chart.cells[row, column])

    def at_point(self, point: Point) -> int:
        """The class of the mark that a point tells; ValueError where there is none."""
        for index, place in mark_points(self.chart):
            if max(abs(place[0] - point[0]), abs(place[1] - point[1])) < NEAR:
                return index
        raise ValueError(f"no line, knot or part stitch is known by {point[0]:g}/{point[1]:g}")


NEAR = 0.01  # cells: points are written with six digits


def class_refs(chart: Chart) -> tuple[ClassRef, ...]:
    """What holds on to each class of a chart, so that an act can name it."""
    standing = Standing(chart)
    return tuple(standing.ref(entry.index) for entry in chart.classes)
