"""Two readings of one page side by side: which class or cell of one is which of the other."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from chartscan.chart.corrections.acts import Act, Bare, Block, Cell, ClassRef, Made, Point, Seen
from chartscan.chart.corrections.bench import Bench, Lost, mark_points
from chartscan.chart.corrections.overlay import Overlay
from chartscan.chart.corrections.strewn import REACH
from chartscan.chart.kinds import Kind
from chartscan.chart.model import Chart

Mask = NDArray[np.bool_]
Ids = NDArray[np.intp]


@dataclass(frozen=True)
class TwinSettings:
    """When a class of one reading is one of another.

    Attributes:
        same: least share of the cells of each that the other has as well; over a half, so that at
            most one class can be it, and well over, so that what was told of one is true of most.
        offered: least share of a class's cells for another to be offered in its stead.
        most: how many are offered.
    """

    same: float = 0.75
    offered: float = 0.2
    most: int = 3


class Unsure(ValueError):
    """An act has no sure place.

    Attributes:
        instead: classes that may be the one it speaks of, the likeliest first.
        acts: other acts that may say what it said.
    """

    def __init__(
        self, reason: str, instead: Sequence[ClassRef] = (), acts: Sequence[Act] = ()
    ) -> None:
        super().__init__(reason)
        self.instead = tuple(instead)
        self.acts = tuple(acts)


class Twins:
    """A reading and another of the same page, each in the state after the acts so far."""

    def __init__(self, old: Chart, new: Chart, overlay: Overlay, settings: TwinSettings) -> None:
        self.before = Bench(old)
        self.after = Bench(new)
        self._overlay = overlay
        self._settings = settings
        places, self._inside = overlay.cells()
        self._rows, self._columns = places[..., 0], places[..., 1]
        self._marks = np.array(list(self._paired_marks()), dtype=np.intp).reshape(-1, 2)

    # ---------------------------------------------------------------------- places

    def cell(self, cell: Cell) -> Cell | None:
        """The cell that a cell is in the other reading; None where that isn't sure."""
        return self._overlay.cell(cell)

    def point(self, point: Point) -> Point:
        """A point in the other reading, on the lattice where it lay on it; Unsure where off it."""
        there = self._overlay.point(point)
        if there is None:
            raise Unsure("it lies outside the chart")
        x, y = (_snapped(value, SNAP) for value in there)
        return x, y

    def blocks(self, blocks: Sequence[Block]) -> tuple[tuple[Block, ...], list[Cell]]:
        """Rectangles of cells in the other reading, and the cells that have no sure place there."""
        there: set[Cell] = set()
        off: list[Cell] = []
        for top, left, bottom, right in blocks:
            for row in range(top, bottom + 1):
                for column in range(left, right + 1):
                    place = self.cell((row, column))
                    if place is None:
                        off.append((row, column))
                    else:
                        there.add(place)
        return as_blocks(there), off

    # --------------------------------------------------------------------- classes

    def ref(self, ref: ClassRef) -> ClassRef:
        """What holds on to the class in the other reading; Unsure where none is surely it."""
        if isinstance(ref, Made):
            return self._made(ref)
        if isinstance(ref, Bare):
            return self._bare(ref)
        index = self.before.find(ref)
        shares = self._shares(index)
        for there, mine, theirs in shares:
            if min(mine, theirs) >= self._settings.same:
                return self.held(ref, there)
        offered = [there for there, mine, _ in shares if mine >= self._settings.offered]
        reason = "its class was read otherwise" if shares else "its class isn't there"
        raise Unsure(reason, [self.after.ref(i) for i in offered[: self._settings.most]])

    def _made(self, ref: Made) -> Made:
        """A class that corrections make, which must have come to be the same cells in both."""
        if not self.before.knows(ref):
            return ref
        if not self.after.knows(ref):
            raise Unsure(f"the class {ref.word!r} isn't made in this reading")
        here, there = self.before.find(ref), self.after.find(ref)
        if (self._pairs()[:, 0] == here).any() and not self.alike([here], [there]):
            raise Unsure(f"the class {ref.word!r} isn't where it was in this reading")
        return ref

    def _bare(self, ref: Bare) -> Bare:
        """The bare ground, where what is told of it is true of the other reading's as well."""
        here, there = self.before.grounds(), self.after.grounds()
        if not self.alike(here, there):
            raise Unsure("another class is bare ground in this reading")
        return ref

    def held(self, ref: ClassRef, index: int) -> ClassRef:
        """The same cells as ever where they tell class ``index``, else others of it."""
        if not isinstance(ref, Seen):
            return ref
        cells = [self.cell(cell) for cell in ref.cells]
        sure = tuple(cell for cell in cells if cell is not None)
        if sure and len(sure) == len(cells):
            seen = replace(ref, cells=sure)
            if self.where(seen) == index:
                return seen
        return self.after.ref(index)

    def where(self, ref: ClassRef) -> int | None:
        """The class that a reference is in the other reading; None where it is none."""
        try:
            return self.after.find(ref)
        except Lost:
            return None

    def commonest(self, classes: Sequence[int], within: Mask | None = None) -> int | None:
        """The class that most cells of these classes are, by far; None where there is none."""
        pairs = self._pairs(within)
        counts = np.bincount(pairs[np.isin(pairs[:, 0], classes), 1])
        if not counts.size or counts.max() < self._settings.same * counts.sum():
            return None
        return int(counts.argmax())

    def alike(self, classes: Sequence[int], there: Sequence[int]) -> bool:
        """Whether some classes taken together are some of the other reading taken together."""
        pairs = self._pairs()
        mine, theirs = np.isin(pairs[:, 0], classes), np.isin(pairs[:, 1], there)
        least = self._settings.same * max(mine.sum(), theirs.sum())
        return bool(mine.any() and (mine & theirs).sum() >= least)

    def _shares(self, index: int) -> list[tuple[int, float, float]]:
        """Classes that a class may be, the likeliest first.

        Each with the share of the class's cells and marks that are of it, and the share of its own
        that are the class's.
        """
        pairs = self._pairs()
        number = len(self.after.classes)
        counts = np.bincount(pairs[pairs[:, 0] == index, 1], minlength=number)
        whole = np.bincount(pairs[:, 1], minlength=number)
        order = [int(i) for i in np.argsort(-counts, kind="stable") if counts[i]]
        return [(i, counts[i] / counts.sum(), counts[i] / whole[i]) for i in order]

    def _pairs(self, within: Mask | None = None) -> Ids:
        """Class before and class now of each cell that both have and of each mark, (n, 2)."""
        where = self._inside if within is None else self._inside & within
        here = _roots(self.before)[self.before.cells[where]]
        there = _roots(self.after)[self.after.cells[self._rows[where], self._columns[where]]]
        cells = np.stack([here, there], axis=-1)
        if within is not None or not len(self._marks):
            return cells
        marks = np.stack(
            [_roots(self.before)[self._marks[:, 0]], _roots(self.after)[self._marks[:, 1]]], axis=-1
        )
        return np.concatenate([cells, marks])

    def _paired_marks(self) -> Iterator[tuple[int, int]]:
        """Class before and class now of every mark as read that both readings have."""
        old, new = self.before.read, self.after.read
        theirs = [(new.classes[index].kind, index, point) for index, point in mark_points(new)]
        by_square: dict[tuple[Kind, int, int], list[tuple[int, Point]]] = {}
        for kind, index, (x, y) in theirs:
            by_square.setdefault((kind, math.floor(x), math.floor(y)), []).append((index, (x, y)))
        for index, point in mark_points(old):
            there = self._overlay.point(point)
            if there is None:
                continue
            near = [
                (math.dist(there, place), other)
                for across in (-1, 0, 1)
                for down in (-1, 0, 1)
                for other, place in by_square.get(
                    (
                        old.classes[index].kind,
                        math.floor(there[0]) + across,
                        math.floor(there[1]) + down,
                    ),
                    (),
                )
            ]
            apart, other = min(near, default=(math.inf, 0))
            if apart <= REACH:
                yield index, other


SNAP = 0.2  # cells: marks lie on corners and middles; what comes out this near one lay on one
STEPS = 2  # corners and middles to a cell


def _snapped(value: float, reach: float) -> float:
    nearest = round(value * STEPS) / STEPS
    return nearest if abs(nearest - value) <= reach else round(value, 3)


def _roots(bench: Bench) -> Ids:
    return np.array([bench.root(i) for i in range(len(bench.classes))], dtype=np.intp)


def as_blocks(cells: set[Cell]) -> tuple[Block, ...]:
    """Cells as rectangles: runs along rows, those below each other with the same ends as one."""
    runs: list[list[int]] = []
    for row, column in sorted(cells):
        if runs and runs[-1][0] == row and runs[-1][2] == column - 1:
            runs[-1][2] = column
        else:
            runs.append([row, column, column])
    blocks: list[list[int]] = []
    open_ends: dict[tuple[int, int], int] = {}
    for row, left, right in runs:
        place = open_ends.get((left, right))
        if place is not None and blocks[place][2] == row - 1:
            blocks[place][2] = row
        else:
            open_ends[left, right] = len(blocks)
            blocks.append([row, left, row, right])
    return tuple((top, left, bottom, right) for top, left, bottom, right in blocks)
