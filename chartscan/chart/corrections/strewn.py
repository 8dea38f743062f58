"""Marks that lie anywhere, lines or knots, found again by where they lie."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence

from chartscan.chart.corrections.acts import Point

REACH = 0.5  # cells: a mark told as near as this is the one that is meant; others are a cell away
AROUND = tuple((across, down) for across in (-1, 0, 1) for down in (-1, 0, 1))

Points = tuple[Point, ...]


class Strewn:
    """Marks in their order, each a class and its points (a knot has one)."""

    def __init__(self, marks: Iterable[tuple[int, Points]]) -> None:
        self._marks: dict[int, tuple[int, Points]] = {}
        self._near: dict[tuple[int, int], list[int]] = {}
        for index, points in marks:
            self._add(index, points)

    def __iter__(self) -> Iterator[tuple[int, Points]]:
        return iter(self._marks.values())

    def put(self, index: int, points: Points) -> None:
        """Put a mark of class ``index``, in place of one that lies there."""
        place = self._find(points)
        if place is None:
            self._add(index, points)
        else:
            self._marks[place] = index, points

    def _add(self, index: int, points: Points) -> None:
        place = next(reversed(self._marks), -1) + 1
        self._marks[place] = index, points
        for end in {_square(points[0]), _square(points[-1])}:
            self._near.setdefault(end, []).append(place)

    def take(self, points: Points) -> bool:
        """Take the mark away that lies there; whether there was one."""
        place = self._find(points)
        if place is not None:
            del self._marks[place]
        return place is not None

    def _find(self, points: Points) -> int | None:
        """Key of the mark through ``points``, either way round; the nearest within reach."""
        column, row = _square(points[0])
        best: tuple[float, int] | None = None
        for across, down in AROUND:
            for place in self._near.get((column + across, row + down), ()):
                if place in self._marks:
                    apart = _apart(points, self._marks[place][1])
                    if apart <= REACH and (best is None or apart < best[0]):
                        best = apart, place
        return None if best is None else best[1]


def _square(point: Point) -> tuple[int, int]:
    return math.floor(point[0]), math.floor(point[1])


def _apart(points: Sequence[Point], others: Sequence[Point]) -> float:
    """How far two marks lie apart where they do most, in cells; infinite for other shapes."""
    if len(points) != len(others):
        return math.inf
    return min(max(map(math.dist, points, others)), max(map(math.dist, points, reversed(others))))
