"""An executable road, leg by leg, whose length is what the count of legs and moves says."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from chartscan.yardage.route import Road

RoadOf = Callable[..., Road]
Hole = tuple[int, int]
Leg = tuple[Hole, Hole]


@dataclass
class _Run:
    """Crosses side by side in a row, and by cell the runs of other rows worked from there."""

    row: int
    first: int
    last: int
    above: dict[int, _Run] = field(default_factory=dict)
    below: dict[int, _Run] = field(default_factory=dict)


def _tree(cells: set[tuple[int, int]]) -> tuple[_Run, int]:
    """The runs of an area joined by sides as a tree, and the cell to enter it at."""
    runs: dict[tuple[int, int], _Run] = {}
    for row, column in sorted(cells):
        before = runs.get((row, column - 1))
        run = before or _Run(row, column, column)
        run.last = column
        runs[row, column] = run
    first = min(cells)
    seen, border = {id(runs[first])}, [runs[first]]
    while border:
        run = border.pop()
        for column in range(run.first, run.last + 1):
            for step, hung in ((-1, run.above), (1, run.below)):
                other = runs.get((run.row + step, column))
                if other is not None and id(other) not in seen:
                    seen.add(id(other))
                    hung[column] = other
                    border.append(other)
    return runs[first], first[1]


def _work(run: _Run, at: int, rightwards: bool) -> Iterator[Leg]:
    """Work a run from its cell ``at``; the cells on the other side hang on that cell."""
    span = (at, run.last) if rightwards else (run.first, at)
    yield from _out_and_back(run, span, at, rightwards, main=True)


def _out_and_back(
    run: _Run, span: tuple[int, int], at: int, rightwards: bool, *, main: bool
) -> Iterator[Leg]:
    """Lower legs away from ``at``, upper legs back to it."""
    k = run.row
    columns = list(range(span[0], span[1] + 1))
    outwards = columns if rightwards else columns[::-1]
    for x in outwards:
        slash = ((x, k + 1), (x + 1, k))
        yield slash if rightwards else slash[::-1]
        yield from _hung_on(run, x, rightwards, beside=x == at and main)
    for x in reversed(outwards):
        back = ((x, k), (x + 1, k + 1))
        yield back[::-1] if rightwards else back


def _hung_on(run: _Run, x: int, rightwards: bool, *, beside: bool) -> Iterator[Leg]:
    """What is worked right after the lower leg of cell ``x``: runs above, below and beside.

    The needle moves down behind a run worked rightwards, so that what hangs above it comes first;
    it moves up behind one worked leftwards.
    """
    others = [run.above.get(x), run.below.get(x)]
    first, last = others if rightwards else others[::-1]
    if first is not None:
        yield from _work(first, x, not rightwards)
    if beside and rightwards and x > run.first:
        yield from _out_and_back(run, (run.first, x - 1), x - 1, rightwards=False, main=False)
    if beside and not rightwards and x < run.last:
        yield from _out_and_back(run, (x + 1, run.last), x + 1, rightwards=True, main=False)
    if last is not None:
        yield from _work(last, x, not rightwards)


def _walk(cells: set[tuple[int, int]]) -> list[Leg]:
    run, at = _tree(cells)
    # Entering at one end: everything lies on one side, nothing is left beside.
    return list(_work(run, at, rightwards=True))


@st.composite
def _areas(draw: st.DrawFn) -> set[tuple[int, int]]:
    """Areas joined by sides, grown at random: branches, holes and bays included."""
    cells = {(0, 0)}
    for _ in range(draw(st.integers(0, 60))):
        row, column = draw(st.sampled_from(sorted(cells)))
        step = draw(st.sampled_from([(0, 1), (1, 0), (0, -1), (-1, 0)]))
        cells.add((row + step[0], column + step[1]))
    return cells


@settings(max_examples=150, deadline=None)
@given(cells=_areas())
def test_every_area_joined_by_sides_can_be_walked_in_the_length_that_is_counted(
    cells: set[tuple[int, int]], road_of: RoadOf
) -> None:
    """Each leg once, ``/`` before ``\\`` in each cross, never down and up the same hole."""
    legs = _walk(cells)
    diagonals = [frozenset(leg) for leg in legs]
    assert len(set(diagonals)) == len(legs) == 2 * len(cells)
    for row, column in cells:
        slash = diagonals.index(frozenset({(column, row + 1), (column + 1, row)}))
        back = diagonals.index(frozenset({(column, row), (column + 1, row + 1)}))
        assert slash < back
    moves = [math.dist(a[1], b[0]) for a, b in pairwise(legs)]
    assert set(moves) <= {1.0}
    length = math.sqrt(2) * len(legs) + math.fsum(moves)
    assert length == pytest.approx(road_of(_drawn(cells)).length, abs=1e-9)


def _drawn(cells: set[tuple[int, int]]) -> np.ndarray:
    rows, columns = zip(*cells, strict=True)
    drawn = np.zeros((max(rows) - min(rows) + 1, max(columns) - min(columns) + 1), dtype=int)
    for row, column in cells:
        drawn[row - min(rows), column - min(columns)] = 1
    return drawn
