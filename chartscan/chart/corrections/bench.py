"""A reading while corrections are applied to it; it lives only as long as a replay."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from typing import get_args

import numpy as np

from chartscan.chart.corrections.acts import (
    Bare,
    Block,
    Cell,
    ClassRef,
    Made,
    Point,
    Seen,
)
from chartscan.chart.corrections.strewn import Strewn
from chartscan.chart.kinds import Corner, Kind, Shape
from chartscan.chart.model import Chart, ChartClass, Part

WHITE = (255, 255, 255)
HALF, QUARTER = 0.5, 0.25  # of a cell


class Lost(ValueError):
    """An act names what isn't there; the message is a clause that says what."""


class Idle(Lost):
    """An act asks for what is so already: it takes away a mark that isn't there."""


Pieces = dict[tuple[Corner, Shape], int]


class Bench:
    """Cells, classes and marks of a reading, in the state after the acts so far.

    A class is an id: its place in ``classes``, those that were read first. Ids are never used
    again; a class that became one with another stays in the list and ``root`` says what it is now.
    """

    def __init__(self, read: Chart) -> None:
        self.read = read
        self.cells = read.cells.copy()
        self.classes: list[ChartClass] = list(read.classes)
        self.fixed = np.zeros(read.cells.shape, dtype=bool)
        self.pieces: dict[Cell, Pieces] = {}
        for p in read.parts:
            here = self.pieces.setdefault((p.row, p.column), {})
            here[p.corner, p.shape] = p.class_index
        self.lines = Strewn((line.class_index, line.points) for line in read.lines)
        self.knots = Strewn((k.class_index, ((k.x, k.y),)) for k in read.knots)
        self.settled: set[str] = set()
        self.apart: list[tuple[int, int]] = []
        self.whole: list[int] = []
        self._same_as = list(range(len(read.classes)))
        self._made: dict[str, int] = {}
        self._told: dict[Seen, tuple[int, ...]] = {}  # classes as read that it was known by
        self._grounds: list[int] | None = None
        self._points: dict[tuple[Kind, Point], int] | None = None

    # ------------------------------------------------------------------ which class

    def root(self, index: int) -> int:
        """The class that class ``index`` is by now."""
        while self._same_as[index] != index:
            index = self._same_as[index]
        return index

    def find(self, ref: ClassRef, like: int | None = None) -> int:
        """The id of the class that is meant.

        A class that isn't made yet is, if ``like`` says whose colour it takes where it has none.

        Raises:
            Lost: there is no such class, or most of its cells have gone different ways.
        """
        if isinstance(ref, Seen):
            return self._seen(ref)
        if isinstance(ref, Bare):
            grounds = self.grounds()
            return grounds[0] if grounds else self.add(ChartClass(0, "empty", WHITE))
        if ref.word in self._made:
            return self.root(self._made[ref.word])
        if like is None:
            raise Lost(f"the class {ref.word!r} isn't made any more")
        return self.make(ref, self.classes[like])

    def _seen(self, ref: Seen) -> int:
        told = self._told.get(ref)
        if told is None:
            told = self._told[ref] = tuple(self._votes(ref))
        votes = [self.root(index) for index in told]
        if not votes:
            raise Lost("its class isn't there")
        first = votes[0] if len(set(votes)) == 1 else max(votes, key=votes.count)
        if 2 * votes.count(first) <= len(votes):
            raise Lost("its class was read as several")
        return first

    def _votes(self, ref: Seen) -> Iterator[int]:
        """The classes as read of the cells and marks that a class was known by."""
        rows, columns = self.read.cells.shape
        for row, column in ref.cells:
            if 0 <= row < rows and 0 <= column < columns:
                yield self.read.cells.item(row, column)
        for point in ref.points:
            index = self._at_point(ref.kind, point)
            if index is not None:
                yield index

    def _at_point(self, kind: Kind, point: Point) -> int | None:
        if self._points is None:
            self._points = {}
            for index, place in mark_points(self.read):
                self._points.setdefault((self.read.classes[index].kind, place), index)
        return self._points.get((kind, point))

    def grounds(self) -> list[int]:
        """Ids of all classes that are bare ground."""
        if self._grounds is None:
            self._grounds = [
                i for i, c in enumerate(self.classes) if c.kind == "empty" and self._same_as[i] == i
            ]
        return list(self._grounds)

    def make(self, ref: Made, like: ChartClass) -> int:
        """A new class of stitches (or of the marks that ``like`` stands for)."""
        symbol = like.symbol if ref.rgb is not None else ref.word
        kind: Kind = "stitch" if like.kind == "empty" else like.kind
        picture = like.picture if ref.rgb is not None else None
        index = self.add(ChartClass(0, kind, ref.rgb or like.rgb, symbol, picture=picture))
        self.call(ref, index)
        return index

    def call(self, ref: Made, index: int) -> None:
        """Let ``ref`` stand for a class from now on."""
        self._made[ref.word] = index

    def add(self, entry: ChartClass) -> int:
        """Put a class at the end of the list; its id."""
        index = len(self.classes)
        self.classes.append(replace(entry, index=index))
        self._same_as.append(index)
        self._grounds = None
        return index

    def knows(self, ref: Made) -> bool:
        """Whether that class has been made by now."""
        return ref.word in self._made

    def ref(self, index: int) -> ClassRef:
        """What holds on to a class, through whatever becomes of it."""
        if index < len(self.read.classes):
            return anchored(self.read, index)
        made = {index: word for word, index in self._made.items()}
        return Made(made[index]) if index in made else Bare()

    # --------------------------------------------------------------- changing classes

    def become(self, index: int, **changes: object) -> None:
        """Change fields of a class."""
        self._grounds = None
        self.classes[index] = replace(self.classes[index], **changes)  # type: ignore[arg-type]  # names of fields

    def merge(self, index: int, into: int) -> None:
        """Make one class part of another."""
        kinds = {self.classes[index].kind, self.classes[into].kind}
        if len(kinds) > 1 and kinds != {"empty", "stitch"}:
            raise Lost(f"a {' and a '.join(sorted(kinds))} can't be one class")
        if index != into:
            self._same_as[index] = into
            self._grounds = None

    def mask(self, index: int) -> np.ndarray[tuple[int, ...], np.dtype[np.bool_]]:
        """Which cells are of a class, bool of shape (rows, columns)."""
        ids = [i for i in range(len(self.classes)) if self.root(i) == index]
        return np.asarray(np.isin(self.cells, ids))

    # ------------------------------------------------------------------ cells, pieces

    def check(self, blocks: tuple[Block, ...]) -> None:
        """Raise Lost where a rectangle of cells isn't in the chart."""
        rows, columns = self.read.cells.shape
        for top, left, bottom, right in blocks:
            if not (0 <= top <= bottom < rows and 0 <= left <= right < columns):
                raise Lost("it lies outside the chart")

    def fill(self, block: Block, index: int) -> None:
        """Set a rectangle of cells; pieces in it are gone, and doubts about it."""
        top, left, bottom, right = block
        self.cells[top : bottom + 1, left : right + 1] = index
        self.fixed[top : bottom + 1, left : right + 1] = True
        if (top, left) == (bottom, right):
            self.pieces.pop((top, left), None)
        elif self.pieces:
            for row, column in list(self.pieces):
                if top <= row <= bottom and left <= column <= right:
                    del self.pieces[row, column]

    def clear_corner(self, row: int, column: int, corner: Corner) -> bool:
        """Take the pieces at a corner of a cell away; whether there were any."""
        here = self.pieces.get((row, column), {})
        gone = [here.pop((corner, shape), None) for shape in get_args(Shape)]
        return any(one is not None for one in gone)


def mark_points(chart: Chart) -> Iterator[tuple[int, Point]]:
    """Class and a telling point of every mark: what classes without cells are known by."""
    for line in chart.lines:
        (ax, ay), (bx, by) = line.points[:2]
        yield line.class_index, ((ax + bx) / 2, (ay + by) / 2)
    for knot in chart.knots:
        yield knot.class_index, (knot.x, knot.y)
    for part in chart.parts:
        yield part.class_index, piece_point(part)


def piece_point(part: Part) -> Point:
    """The middle of the quarter of a cell that a piece lies in."""
    right, down = (HALF if side in part.corner else 0.0 for side in ("right", "bottom"))
    return part.column + right + QUARTER, part.row + down + QUARTER


def anchored(read: Chart, index: int) -> Seen:
    """What a class of a reading is known by: cells well inside its range, or points of its marks.

    Cells that the reader was sure of come first; of those, three spread over the class.
    """
    entry = read.classes[index]
    places = np.argwhere(read.cells == index)
    cells: tuple[Cell, ...] = tuple((int(r), int(c)) for r, c in _spread(places, read))
    points: tuple[Point, ...] = ()
    if not cells:
        points = tuple(place for i, place in mark_points(read) if i == index)[:3]
    return Seen(cells, points, entry.kind, entry.rgb, entry.symbol)


def _spread(
    places: np.ndarray[tuple[int, ...], np.dtype[np.intp]], read: Chart
) -> np.ndarray[tuple[int, ...], np.dtype[np.intp]]:
    """Three of the cells ``places`` (n, 2), or all where there are fewer."""
    if read.doubtful and len(places) > 3:
        columns = read.columns
        doubtful = [row * columns + column for row, column in read.doubtful]
        sure = places[~np.isin(places[:, 0] * columns + places[:, 1], doubtful)]
        places = sure if len(sure) else places
    if len(places) <= 3:
        return places
    n = len(places)
    return places[[n // 6, n // 2, n - 1 - n // 6]]
