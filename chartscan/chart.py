"""The chart: what a page says, free of the page.

A :class:`Chart` holds a class index per cell, the classes those indices stand for, the marks
that lie over the cells (part stitches, backstitch, knots), and the cells the reader wasn't sure of.
Positions are in cell units from the top left corner of the grid, x to the right and y down.
Only :func:`load_chart` and :func:`save_chart` in here touch a file.
"""

from __future__ import annotations

import json
import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any, Literal, get_args

import numpy as np
from numpy.typing import NDArray

from chartscan.entry import Entry, numbers, whole
from chartscan.errors import ChartError
from chartscan.files import is_special, write_text

Kind = Literal["empty", "stitch", "line", "knot"]
Shape = Literal["triangle", "quarter"]
Corner = Literal["top left", "top right", "bottom left", "bottom right"]

FORMAT = "chartscan.chart"
VERSION = 1
COUNT_ROUNDED = 0.01  # cells: how far other programs may round the length of a line


@dataclass(frozen=True)
class ChartClass:
    """One colour-and-symbol of a chart, or its empty ground.

    Attributes:
        index: position in :attr:`Chart.classes`, the number used in ``cells``.
        kind: ``empty`` and ``stitch`` fill cells; ``line`` is backstitch; ``knot`` a French knot.
        rgb: sRGB 0..255 after ICC and white-balance correction; None where the page has one ink.
        symbol: a name for the glyph printed in the cell, or None where the cell is a plain colour.
    """

    index: int
    kind: Kind
    rgb: tuple[int, int, int] | None = None
    symbol: str | None = None


@dataclass(frozen=True)
class Part:
    """A piece of a cell at ``corner``: a ``triangle`` fills half of it, a ``quarter`` a quarter."""

    row: int
    column: int
    shape: Shape
    corner: Corner
    class_index: int


@dataclass(frozen=True)
class Line:
    """A run of backstitch through two or more ``points`` (x, y in cells)."""

    class_index: int
    points: tuple[tuple[float, float], ...]

    @property
    def length(self) -> float:
        """Length of the run in cells."""
        return math.fsum(
            math.dist(a, b) for a, b in zip(self.points, self.points[1:], strict=False)
        )


@dataclass(frozen=True)
class Knot:
    """A French knot at (``x``, ``y``) in cells."""

    class_index: int
    x: float
    y: float


@dataclass(frozen=True)
class Chart:
    """A chart as read: cells, classes, marks and doubts.

    Attributes:
        cells: class index per cell, shape (rows, columns), read-only int32.
        classes: every class; ``classes[i].index == i``.
        parts: part stitches; their cells are ``empty`` in ``cells``.
        lines: backstitch runs.
        knots: French knots.
        doubtful: (row, column) of every cell the reader isn't sure of.
        lattice: how the grid lies on the page, for the review picture; free form.
        source: file name, SHA-256 and page that the chart was read from; free form.
    """

    cells: NDArray[np.int32]
    classes: tuple[ChartClass, ...]
    parts: tuple[Part, ...] = ()
    lines: tuple[Line, ...] = ()
    knots: tuple[Knot, ...] = ()
    doubtful: tuple[tuple[int, int], ...] = ()
    lattice: Mapping[str, Any] = field(default_factory=dict)
    source: Mapping[str, Any] = field(default_factory=dict)

    def __post_init__(self) -> None:
        cells = np.array(self.cells, dtype=np.int32)
        cells.setflags(write=False)
        object.__setattr__(self, "cells", cells)
        _check(self)

    @property
    def rows(self) -> int:
        """Number of rows of the grid."""
        return int(self.cells.shape[0])

    @property
    def columns(self) -> int:
        """Number of columns of the grid."""
        return int(self.cells.shape[1])

    @property
    def stitches(self) -> int:
        """Number of whole stitches: cells of every stitch class, part stitches not counted."""
        counts = np.bincount(self.cells.ravel(), minlength=len(self.classes))
        return int(sum(counts[c.index] for c in self.classes if c.kind == "stitch"))

    def counts(self) -> tuple[float, ...]:
        """Count per class: cells of stitches and ground, length of lines in cells, knots."""
        cells = np.bincount(self.cells.ravel(), minlength=len(self.classes))
        length = [0.0] * len(self.classes)
        for line in self.lines:
            length[line.class_index] += line.length
        knots = np.bincount([k.class_index for k in self.knots] or [0], minlength=len(self.classes))
        by_kind: dict[str, Sequence[float]] = {"line": length, "knot": knots.tolist()}
        return tuple(by_kind.get(c.kind, cells.tolist())[c.index] for c in self.classes)

    def without(self, kinds: frozenset[str]) -> Chart:
        """This chart less whole kinds of mark: any of ``parts``, ``lines``, ``knots``."""
        emptied: dict[str, Any] = {
            kind: () for kind in ("parts", "lines", "knots") if kind in kinds
        }
        return replace(self, **emptied)


def _check(chart: Chart) -> None:
    """Raise ChartError where cells, classes and marks contradict each other."""
    cells, classes = chart.cells, chart.classes
    if cells.ndim != 2 or cells.size == 0:
        raise ChartError("the cells of a chart are rows × columns, at least 1×1")
    if [c.index for c in classes] != list(range(len(classes))):
        raise ChartError("class indices must run 0, 1, 2 … in order")
    if cells.min() < 0 or cells.max() >= len(classes):
        raise ChartError("a cell names a class that isn't listed")
    counts = np.bincount(cells.ravel(), minlength=len(classes)).tolist()
    if any(n and c.kind in ("line", "knot") for n, c in zip(counts, classes, strict=True)):
        raise ChartError("a cell's class must be empty or a stitch")
    wanted: dict[Kind, list[int]] = {
        "stitch": [p.class_index for p in chart.parts],
        "line": [line.class_index for line in chart.lines],
        "knot": [k.class_index for k in chart.knots],
    }
    for kind, indices in wanted.items():
        if any(not 0 <= i < len(classes) or classes[i].kind != kind for i in indices):
            raise ChartError(f"a mark names a class that isn't a {kind}")
    places = [(p.row, p.column) for p in chart.parts] + list(chart.doubtful)
    if any(not (0 <= r < chart.rows and 0 <= c < chart.columns) for r, c in places):
        raise ChartError("a part stitch or a doubtful cell lies outside the grid")
    points = [p for line in chart.lines for p in line.points] + [(k.x, k.y) for k in chart.knots]
    # One cell of grace: a line along the frame may be read a little beside it. NaN is nowhere.
    if not all(-1 <= x <= chart.columns + 1 and -1 <= y <= chart.rows + 1 for x, y in points):
        raise ChartError("a line or a knot lies outside the grid")


# ---------------------------------------------------------------------------- file


def save_chart(chart: Chart, path: Path) -> None:
    """Write ``chart`` as a chart file, version 1 (UTF-8 JSON), whole or not at all."""
    write_text(path, dump_chart(chart))


def dump_chart(chart: Chart) -> str:
    """The text of a chart file: one row of cells a line, so that two readings can be compared."""
    head = {"format": FORMAT, "version": VERSION, "columns": chart.columns, "rows": chart.rows}
    classes = [
        {
            "index": c.index,
            "kind": c.kind,
            "rgb": list(c.rgb) if c.rgb is not None else None,
            "symbol": c.symbol,
            "count": round(n, 4) if c.kind == "line" else int(n),
        }
        for c, n in zip(chart.classes, chart.counts(), strict=True)
    ]
    marks = {
        "parts": [
            {
                "row": p.row,
                "column": p.column,
                "shape": p.shape,
                "corner": p.corner,
                "class": p.class_index,
            }
            for p in chart.parts
        ],
        "lines": [
            {"class": n.class_index, "points": [list(p) for p in n.points]} for n in chart.lines
        ],
        "knots": [{"class": k.class_index, "x": k.x, "y": k.y} for k in chart.knots],
        "doubtful": [list(place) for place in chart.doubtful],
        "lattice": dict(chart.lattice),
        "source": dict(chart.source),
    }
    fields = [f'"{key}": {json.dumps(value)}' for key, value in head.items()]
    fields.append(
        '"cells": [\n  ' + ",\n  ".join(json.dumps(row) for row in chart.cells.tolist()) + "\n ]"
    )
    fields.append('"classes": [\n  ' + ",\n  ".join(json.dumps(c) for c in classes) + "\n ]")
    fields += [f'"{key}": {json.dumps(value, ensure_ascii=False)}' for key, value in marks.items()]
    text = "{" + ",\n ".join(fields) + "}\n"
    return text.encode("utf-8", "replace").decode()  # a file's name may not be UTF-8


def load_chart(path: Path) -> Chart:
    """Read a chart file.

    Raises:
        ChartError: the file is missing, isn't a chart file of version 1, or contradicts itself.
    """
    try:
        if is_special(path):
            raise ChartError(f"{path}: isn't a plain file; save the chart file to disk first")
        data = json.loads(path.read_text(encoding="utf-8"))
    except OSError as error:
        raise ChartError(f"{path}: can't be opened ({error.strerror})") from error
    except (UnicodeDecodeError, json.JSONDecodeError, RecursionError) as error:
        raise ChartError(
            f"{path}: isn't a chart file (not JSON); read the picture again"
        ) from error
    try:
        return parse_chart(data)
    except ChartError as error:
        raise ChartError(f"{path}: {error}") from error


def parse_chart(data: object) -> Chart:
    """The chart that decoded JSON ``data`` describes; ChartError where it breaks the contract."""
    if not isinstance(data, dict) or data.get("format") != FORMAT:
        raise ChartError("isn't a chart file; `chartscan read` makes one from a picture")
    if data.get("version") != VERSION:
        raise ChartError(
            f"is of version {data.get('version')!r}; this program reads version {VERSION}"
        )
    try:
        chart = _parse(Entry(data))
        _check_file(Entry(data), chart)
    except (ChartError, ValueError, OverflowError) as error:
        raise ChartError(f"is damaged: {error}; read the picture again") from error
    return chart


def _parse(file: Entry) -> Chart:
    """The chart; ValueError or ChartError where a value is missing or of the wrong kind."""
    file.need("classes")
    return Chart(
        cells=_parse_cells(file.need("cells")),
        classes=tuple(_parse_class(c) for c in file.entries("classes", "class")),
        parts=tuple(_parse_part(p) for p in file.entries("parts", "part stitch")),
        lines=tuple(_parse_line(n) for n in file.entries("lines", "line")),
        knots=tuple(
            Knot(k.whole("class"), k.number("x"), k.number("y"))
            for k in file.entries("knots", "knot")
        ),
        doubtful=tuple(
            _parse_place(place, f"doubtful cell {i}")
            for i, place in enumerate(file.list_or_empty("doubtful"))
        ),
        lattice=file.object_or_empty("lattice"),
        source=file.object_or_empty("source"),
    )


def _parse_cells(rows: object) -> NDArray[np.int32]:
    if not isinstance(rows, list) or not rows or not all(isinstance(row, list) for row in rows):
        raise ValueError("'cells' isn't a list of rows")
    for place, row in enumerate(rows):
        if len(row) != len(rows[0]):
            raise ValueError(f"row {place} of 'cells' holds {len(row)} cells, row 0 {len(rows[0])}")
        if not all(type(cell) is int for cell in row):
            raise ValueError(f"row {place} of 'cells' holds something else than class numbers")
    return np.array(rows, dtype=np.int32)


def _parse_class(entry: Entry) -> ChartClass:
    rgb = entry.data.get("rgb")
    if rgb is not None:
        words = f"'rgb' of {entry.words}"
        if not isinstance(rgb, list) or len(rgb) != 3:
            raise ValueError(f"{words} isn't a list of 3 numbers")
        red, green, blue = (whole(level, words) for level in rgb)
        if not all(0 <= level <= 255 for level in (red, green, blue)):
            raise ValueError(f"{words} is {rgb}, not from 0 to 255")
        rgb = (red, green, blue)
    kind = entry.choice("kind", get_args(Kind))
    return ChartClass(entry.whole("index"), kind, rgb, entry.text_or_none("symbol"))


def _parse_part(entry: Entry) -> Part:
    shape = entry.choice("shape", get_args(Shape))
    corner = entry.choice("corner", get_args(Corner))
    return Part(entry.whole("row"), entry.whole("column"), shape, corner, entry.whole("class"))


def _parse_line(entry: Entry) -> Line:
    points = [numbers(p, 2, f"a point of {entry.words}") for p in entry.list_or_empty("points")]
    if len(points) < 2:
        raise ValueError(f"{entry.words} has fewer than two points")
    return Line(entry.whole("class"), tuple((x, y) for x, y in points))


def _parse_place(place: object, words: str) -> tuple[int, int]:
    if not isinstance(place, list) or len(place) != 2:
        raise ValueError(f"{words} isn't a row and a column")
    return whole(place[0], words), whole(place[1], words)


def _check_file(file: Entry, chart: Chart) -> None:
    """Raise ValueError where what the file says besides the cells contradicts them."""
    size = file.whole("columns"), file.whole("rows")
    if size != (chart.columns, chart.rows):
        raise ValueError(
            f"it says {size[0]}×{size[1]} but holds {chart.columns}×{chart.rows} cells"
        )
    units = {"line": "cells of line", "knot": "knots"}
    for entry, kind, counted in zip(
        file.entries("classes", "class"), chart.classes, chart.counts(), strict=True
    ):
        if entry.data.get("count") is None:
            continue
        said = entry.number("count")
        if abs(said - counted) > (COUNT_ROUNDED if kind.kind == "line" else 0):
            held = f"{units.get(kind.kind, 'cells')} of it: {counted:.7g}"
            raise ValueError(f"{entry.words} says {said:.7g}, but the file holds {held}")
    _check_part_cells(chart)


def _check_part_cells(chart: Chart) -> None:
    """Raise ValueError where a part stitch lies in a cell that is stitched whole."""
    for part in chart.parts:
        if chart.classes[chart.cells[part.row, part.column]].kind != "empty":
            raise ValueError(
                f"the cell with {part.row} rows above and {part.column} columns before it holds"
                " a whole stitch and a part stitch"
            )
