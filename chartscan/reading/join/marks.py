"""Marks of several pages laid together: each taken once, lines over a seam made whole."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from chartscan.chart import Knot, Line, Part
from chartscan.reading.evidence import Evidence

Point = tuple[float, float]
LEVEL = 1e-4  # radians short of half a turn that are none
SAME = 0.05  # cells; marks read on two pages differ by less


@dataclass(frozen=True)
class Region:
    """Where a page lies in the whole chart, and which of its own cells count.

    Attributes:
        top: row of its first cell in the whole chart.
        left: column of its first cell in the whole chart.
        first_row: first of its own rows that counts.
        last_row: the row after the last that counts.
        first_column: first of its own columns that counts.
        last_column: the column after the last that counts.
    """

    top: int
    left: int
    first_row: int
    last_row: int
    first_column: int
    last_column: int

    def owns(self, row: int, column: int) -> bool:
        """Whether a cell of the page counts."""
        return (
            self.first_row <= row < self.last_row and self.first_column <= column < self.last_column
        )

    def holds(self, x: float, y: float) -> bool:
        """Whether a point of the page lies in what counts, edges included."""
        return (
            self.first_column - SAME <= x <= self.last_column + SAME
            and self.first_row - SAME <= y <= self.last_row + SAME
        )

    def moved(self, x: float, y: float) -> Point:
        """A point of the page in the whole chart."""
        return x + self.left, y + self.top


def joined_marks(
    pages: Sequence[Evidence],
    regions: Sequence[Region],
    mappings: Sequence[NDArray[np.int32]],
) -> tuple[tuple[Part, ...], tuple[Line, ...], tuple[Knot, ...]]:
    """Part stitches, lines and knots of the whole chart."""
    parts: list[Part] = []
    knots: dict[tuple[float, float], Knot] = {}
    segments: dict[int, list[tuple[Point, Point]]] = defaultdict(list)
    for page, region, mapping in zip(pages, regions, mappings, strict=True):
        for part in page.chart.parts:
            if region.owns(part.row, part.column):
                row, column = part.row + region.top, part.column + region.left
                index = int(mapping[part.class_index])
                parts.append(Part(row, column, part.shape, part.corner, index))
        for knot in page.chart.knots:
            if region.holds(knot.x, knot.y):
                x, y = region.moved(knot.x, knot.y)
                place = (round(2 * x) / 2, round(2 * y) / 2)
                knots.setdefault(place, Knot(int(mapping[knot.class_index]), x, y))
        for line in page.chart.lines:
            for start, end in pairwise(line.points):
                piece = _clipped(start, end, region)
                if piece is not None:
                    segments[int(mapping[line.class_index])].append(
                        (region.moved(*piece[0]), region.moved(*piece[1]))
                    )
    lines = tuple(
        Line(index, piece) for index in sorted(segments) for piece in _united(segments[index])
    )
    return tuple(parts), lines, tuple(knots.values())


def _clipped(start: Point, end: Point, region: Region) -> tuple[Point, Point] | None:
    """What of a segment lies in the cells that count (Liang and Barsky's clipping, 1984)."""
    low = (region.first_column, region.first_row)
    high = (region.last_column, region.last_row)
    enter, leave = 0.0, 1.0
    for axis in (0, 1):
        step = end[axis] - start[axis]
        if abs(step) < 1e-9:
            if not low[axis] - SAME <= start[axis] <= high[axis] + SAME:
                return None
            continue
        ends = sorted(((low[axis] - start[axis]) / step, (high[axis] - start[axis]) / step))
        enter, leave = max(enter, ends[0]), min(leave, ends[1])
    if leave - enter < 1e-9:
        return None
    at = [
        tuple(start[axis] + t * (end[axis] - start[axis]) for axis in (0, 1))
        for t in (enter, leave)
    ]
    return (at[0][0], at[0][1]), (at[1][0], at[1][1])


def _united(segments: list[tuple[Point, Point]]) -> list[tuple[Point, Point]]:
    """Segments on one straight line that touch or overlap made one."""
    straights: dict[tuple[float, float], list[tuple[float, float]]] = defaultdict(list)
    for (x0, y0), (x1, y1) in segments:
        angle = math.atan2(y1 - y0, x1 - x0) % math.pi
        angle = 0.0 if math.pi - angle < LEVEL else round(angle, 4)
        dx, dy = math.cos(angle), math.sin(angle)
        off = x0 * dy - y0 * dx
        along = sorted((x0 * dx + y0 * dy, x1 * dx + y1 * dy))
        straights[angle, round(off / SAME) * SAME].append((along[0], along[1]))
    united: list[tuple[Point, Point]] = []
    for (angle, off), spans in straights.items():
        dx, dy = math.cos(angle), math.sin(angle)
        merged: list[tuple[float, float]] = []
        for start, end in sorted(spans):
            if merged and start <= merged[-1][1] + SAME:
                merged[-1] = (merged[-1][0], max(end, merged[-1][1]))
            else:
                merged.append((start, end))
        for start, end in merged:
            first = (start * dx + off * dy, start * dy - off * dx)
            last = (end * dx + off * dy, end * dy - off * dx)
            united.append((_tidy(first), _tidy(last)))
    return united


def _tidy(point: Point) -> Point:
    """A point at a half crossing said exactly; others to a thousandth of a cell."""
    halves = [round(2 * v) / 2 for v in point]
    near = all(abs(h - v) <= SAME for h, v in zip(halves, point, strict=True))
    x, y = halves if near else (round(v, 3) for v in point)
    return x, y
