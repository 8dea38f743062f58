"""Corrections to a reading, kept in a small CSV file so that they survive a re-read.

The header is ``row,column,class`` with optional ``into``; each row is one correction::

    row,column,class,into
    12,30,4,            the cell with 12 rows above it and 30 columns before it is of class 4
    12-14,31-33,4,      a block of cells
    12,34,empty,        the cell isn't stitched
    ,,5,3               all of class 5 is class 3 (the two are one)
    ,,6,empty           class 6 is the ground
    20,7,new rust,      a class of its own (split off); the same word makes the same class

A class is named by its index in the chart file of the reading without corrections, by its symbol,
or by its colour as ``#rrggbb``. Corrections apply from top to bottom.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from chartscan.chart import Chart, ChartClass
from chartscan.csvtable import Row, read_rows, refuse

EMPTY = "empty"
NEW = "new"


def apply_fixes(chart: Chart, path: Path) -> Chart:
    """The chart with the corrections in ``path``; corrected cells are no longer doubtful.

    Classes that are left without a stitch or mark are taken off the list, which renumbers those
    after them.

    Raises:
        TableError: the file can't be read, or rows name no cell or class of the chart; all of
            them are named, and nothing is corrected.
    """
    rows = read_rows(path, ("row", "column", "class"))
    bench = _Bench(chart)
    bad: list[str] = []
    for row in rows:
        try:
            bench.correct(row)
        except ValueError as error:
            bad.append(f"line {row.line}: {error}")
    refuse(path, bad)
    return bench.chart()


class _Bench:
    """A chart while it is being corrected."""

    def __init__(self, chart: Chart) -> None:
        self._read = chart
        self._cells: NDArray[np.int32] = chart.cells.copy()
        self._classes: list[ChartClass] = list(chart.classes)
        self._same_as = list(range(len(chart.classes)))  # index -> index it was merged into
        self._fixed = np.zeros(chart.cells.shape, dtype=bool)

    def correct(self, row: Row) -> None:
        """Apply one row of the file; ValueError where it names what isn't there."""
        place = (row.text("row"), row.text("column"))
        into = row.text("into")
        if into and any(place):
            raise ValueError("a row either sets cells (row, column, class) or merges (class, into)")
        if into:
            self._merge(self._class(row.need("class")), self._class(into))
            return
        if not all(place):
            raise ValueError("no row and column, and no class to merge into")
        rows = _span(place[0], "row", self._read.rows)
        columns = _span(place[1], "column", self._read.columns)
        name = row.need("class")
        first = int(self._cells[rows.start, columns.start])
        index = self._new_class(name, first) if _is_new(name) else self._class(name)
        if self._classes[index].kind not in ("empty", "stitch"):
            raise ValueError(f"class {name} is a {self._classes[index].kind}, not a stitch")
        self._cells[rows, columns] = index
        self._fixed[rows, columns] = True

    def _class(self, name: str) -> int:
        """The index that a name means now."""
        if name.lower() == EMPTY:
            return self._empty()
        if _is_new(name):
            found = [c.index for c in self._classes if c.symbol == name]
        elif name.isdecimal():
            found = [int(name)] if int(name) < len(self._read.classes) else []
        else:
            found = [c.index for c in self._read.classes if _is_called(c, name)]
        if not found:
            raise ValueError(f"no class {name!r}; there are 0 to {len(self._read.classes) - 1}")
        if len(found) > 1:
            raise ValueError(f"{name!r} is the symbol or colour of several classes; give the index")
        return self._same_as[found[0]]

    def _empty(self) -> int:
        for entry in self._classes:
            if entry.kind == "empty":
                return self._same_as[entry.index]
        return self._add(ChartClass(len(self._classes), "empty", (255, 255, 255)))

    def _new_class(self, name: str, like: int) -> int:
        for entry in self._classes:
            if entry.symbol == name:
                return self._same_as[entry.index]
        rgb = self._classes[like].rgb
        return self._add(ChartClass(len(self._classes), "stitch", rgb, name))

    def _add(self, entry: ChartClass) -> int:
        self._classes.append(entry)
        self._same_as.append(entry.index)
        return entry.index

    def _merge(self, index: int, into: int) -> None:
        kinds = {self._classes[index].kind, self._classes[into].kind}
        if len(kinds) > 1 and kinds != {"empty", "stitch"}:
            raise ValueError(f"a {' and a '.join(sorted(kinds))} can't be one class")
        self._cells[self._cells == index] = into
        self._same_as = [into if i == index else i for i in self._same_as]

    def chart(self) -> Chart:
        """The corrected chart, without classes that nothing belongs to."""
        same = self._same_as
        read = self._read
        parts = [
            replace(p, class_index=same[p.class_index])
            for p in read.parts
            if not self._fixed[p.row, p.column]
            and self._classes[same[p.class_index]].kind == "stitch"
        ]
        lines = [replace(n, class_index=same[n.class_index]) for n in read.lines]
        knots = [replace(k, class_index=same[k.class_index]) for k in read.knots]
        used = {int(i) for i in np.unique(self._cells)}
        used |= {p.class_index for p in parts}
        used |= {n.class_index for n in lines} | {k.class_index for k in knots}
        used |= {c.index for c in read.classes if c.kind == EMPTY and same[c.index] == c.index}
        order = sorted(used, key=lambda i: (self._classes[i].kind != EMPTY, i))
        new = {old: index for index, old in enumerate(order)}
        renumber = np.zeros(len(self._classes), dtype=np.int32)
        renumber[order] = np.arange(len(order))
        return replace(
            read,
            cells=renumber[self._cells],
            classes=tuple(replace(self._classes[old], index=new[old]) for old in order),
            parts=tuple(replace(p, class_index=new[p.class_index]) for p in parts),
            lines=tuple(replace(n, class_index=new[n.class_index]) for n in lines),
            knots=tuple(replace(k, class_index=new[k.class_index]) for k in knots),
            doubtful=_still_doubtful(read.doubtful, self._fixed),
        )


def _is_called(entry: ChartClass, name: str) -> bool:
    if entry.rgb is not None and "#{:02x}{:02x}{:02x}".format(*entry.rgb) == name.lower():
        return True
    return entry.symbol == name


def _is_new(name: str) -> bool:
    return re.match(rf"{NEW}\b", name, re.IGNORECASE) is not None


def _still_doubtful(
    doubtful: Sequence[tuple[int, int]], fixed: NDArray[np.bool_]
) -> tuple[tuple[int, int], ...]:
    return tuple((row, column) for row, column in doubtful if not fixed[row, column])


def _span(text: str, what: str, count: int) -> slice:
    """``7`` or ``7-9`` as a slice of the grid's rows or columns."""
    match = re.fullmatch(r"(\d{1,6})(?:\s*-\s*(\d{1,6}))?", text)
    if not match:
        raise ValueError(f"{what} {text!r} isn't like 7 or 7-9")
    first, last = int(match[1]), int(match[2] or match[1])
    if not first <= last < count:
        raise ValueError(f"{what} {text} isn't in the chart, which has 0 to {count - 1}")
    return slice(first, last + 1)
