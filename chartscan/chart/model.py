"""The chart: what a page says, free of the page.

A :class:`Chart` holds a class index per cell, the classes those indices stand for, the marks
that lie over the cells (part stitches, backstitch, knots), and the cells the reader wasn't sure of.
Positions are in cell units from the top left corner of the grid, x to the right and y down.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, fields, replace
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from chartscan.chart.doubts import Doubt, Question
from chartscan.chart.kinds import Corner, Kind, Shape
from chartscan.errors import ChartError

if TYPE_CHECKING:
    from chartscan.chart.corrections.acts import Act


@dataclass(frozen=True)
class ChartClass:
    """One colour-and-symbol of a chart, or its empty ground.

    Attributes:
        index: position in :attr:`Chart.classes`, the number used in ``cells``.
        kind: ``empty`` and ``stitch`` fill cells; ``line`` is backstitch; ``knot`` a French knot.
        rgb: sRGB 0..255 after ICC and white-balance correction; None where the page has one ink.
        symbol: a name for the glyph printed in the cell, or None where the cell is a plain colour.
        name: what the stitcher calls it, or None.
        picture: what the glyph looks like on the page, a small PNG, dark on light; None where
            there is no glyph, or no page is at hand.
    """

    index: int
    kind: Kind
    rgb: tuple[int, int, int] | None = None
    symbol: str | None = None
    name: str | None = None
    picture: bytes | None = None


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
        doubts: why, and what else it may be, for those doubtful cells of which that is known.
        questions: what the reader isn't sure of and asks, the dearest first.
        lattice: how the grid lies on the page, for the review picture; free form.
        source: file name, SHA-256 and page that the chart was read from; free form.
        corrections: what the stitcher said of the reading, in order; all else here is as it stands
            after them.
        as_read: the chart before any correction, from which leaving one out starts; None where
            there are none.
    """

    cells: NDArray[np.int32]
    classes: tuple[ChartClass, ...]
    parts: tuple[Part, ...] = ()
    lines: tuple[Line, ...] = ()
    knots: tuple[Knot, ...] = ()
    doubtful: tuple[tuple[int, int], ...] = ()
    lattice: Mapping[str, Any] = field(default_factory=dict)
    source: Mapping[str, Any] = field(default_factory=dict)
    doubts: tuple[Doubt, ...] = ()
    questions: tuple[Question, ...] = ()
    corrections: tuple[Act, ...] = ()
    as_read: Chart | None = None

    def __post_init__(self) -> None:
        cells = np.array(self.cells, dtype=np.int32)
        cells.setflags(write=False)
        object.__setattr__(self, "cells", cells)
        _check(self)

    def __eq__(self, other: object) -> bool:
        """Whether both say the same, cell by cell (arrays have no equality of their own)."""
        if not isinstance(other, Chart):
            return NotImplemented
        return np.array_equal(self.cells, other.cells) and all(
            getattr(self, each.name) == getattr(other, each.name)
            for each in fields(self)
            if each.name != "cells"
        )

    __hash__ = None  # type: ignore[assignment]  # its lattice and source are mappings

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
    rows, columns = cells.shape
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
    if any(not (0 <= r < rows and 0 <= c < columns) for r, c in places):
        raise ChartError("a part stitch or a doubtful cell lies outside the grid")
    _check_doubts(chart)
    if bool(chart.corrections) != (chart.as_read is not None):
        raise ChartError("corrections and the chart as it was read must both be there, or neither")
    if chart.as_read is not None and chart.as_read.corrections:
        raise ChartError("the chart as it was read has corrections itself")
    points = [p for line in chart.lines for p in line.points] + [(k.x, k.y) for k in chart.knots]
    # One cell of grace: a line along the frame may be read a little beside it. NaN is nowhere.
    if not all(-1 <= x <= columns + 1 and -1 <= y <= rows + 1 for x, y in points):
        raise ChartError("a line or a knot lies outside the grid")


def _check_doubts(chart: Chart) -> None:
    """Raise ChartError where a doubt or a question names what isn't in the chart."""
    doubtful = set(chart.doubtful)
    if any((doubt.row, doubt.column) not in doubtful for doubt in chart.doubts):
        raise ChartError("a doubt is told of a cell that isn't doubtful")
    named = [i for question in chart.questions for i in question.classes]
    named += [doubt.second for doubt in chart.doubts if doubt.second is not None]
    if any(not 0 <= index < len(chart.classes) for index in named):
        raise ChartError("a question or a doubt names a class that isn't there")
    rows, columns = chart.cells.shape
    cells = [place for question in chart.questions for place in question.cells]
    if any(not (0 <= r < rows and 0 <= c < columns) for r, c in cells):
        raise ChartError("a question names a cell outside the grid")
