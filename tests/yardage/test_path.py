"""The road from place to place against the best that a long search finds, and its invariants."""

from __future__ import annotations

import math
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from chartscan.yardage.geometry import Cell, carry_length
from chartscan.yardage.nearest import Undone
from chartscan.yardage.path import nearest_next, walk
from chartscan.yardage.places import Places

ONE_CROSS = 2 * math.sqrt(2) + 1


def _scattered(number: int, share: float, seed: int) -> Places:
    """Single crosses, ``share`` of all cells."""
    side = math.ceil((number / share) ** 0.5)
    at = np.random.default_rng(seed).choice(side * side, number, replace=False)
    row, column = np.divmod(at, side)
    lone = np.arange(number)
    return Places(column, row, lone, np.zeros(number, dtype=np.int64), np.ones(number), Cell(1, 1))


def _length(order: list[int], ways: list[list[float]]) -> float:
    return sum(ways[a][b] for a, b in pairwise(order))


def _best_found(places: Places, start: list[int], tries: int) -> float:
    """Two-exchange over all pairs, kicked out of its rut again and again: slow and thorough."""
    rng = np.random.default_rng(0)
    number = places.number
    everyone = np.arange(number)
    ways = [places.ways(np.full(number, k), everyone).tolist() for k in range(number)]
    best = _settled(list(start), ways)
    for _ in range(tries):
        a, b, c = sorted(rng.choice(number, 3, replace=False).tolist())
        kicked = _settled(best[:a] + best[b:c] + best[a:b] + best[c:], ways)
        best = min(best, kicked, key=lambda order: _length(order, ways))
    return _length(best, ways)


def _settled(order: list[int], ways: list[list[float]]) -> list[int]:
    better = True
    while better:
        better = False
        for i in range(len(order) - 1):
            for j in range(i + 1, len(order)):
                before = ways[order[i - 1]][order[i]] if i else 0.0
                now = ways[order[i - 1]][order[j]] if i else 0.0
                if j + 1 < len(order):
                    before += ways[order[j]][order[j + 1]]
                    now += ways[order[i]][order[j + 1]]
                if now < before - 1e-9:
                    order[i : j + 1] = order[i : j + 1][::-1]
                    better = True
    return order


@pytest.mark.parametrize("seed", [701, 702, 703])
@pytest.mark.parametrize("share", [0.03, 0.1])
def test_the_road_of_a_scattered_colour_is_within_5_per_cent_of_the_best_found(
    share: float, seed: int
) -> None:
    """Carries and crosses together, which is what the thread is for."""
    places = _scattered(40, share, seed)
    order = walk(places)
    crosses = places.number * ONE_CROSS
    found = crosses + float(places.ways(order[:-1], order[1:]).sum())
    assert found <= 1.05 * (crosses + _best_found(places, order.tolist(), 30))


@settings(max_examples=60, deadline=None)
@given(seed=st.integers(0, 2**32 - 1), number=st.integers(1, 60), groups=st.integers(1, 4))
def test_every_place_is_visited_once_and_groups_in_one_go(
    seed: int, number: int, groups: int
) -> None:
    """And mending never makes the road longer."""
    rng = np.random.default_rng(seed)
    lone = _scattered(number, 0.2, seed)
    group = rng.integers(0, groups, number)
    places = Places(lone.column, lone.row, lone.area, group, lone.within_mm, lone.cell)
    order, plain = walk(places), nearest_next(places)
    assert sorted(order.tolist()) == list(range(number))
    assert np.count_nonzero(np.diff(group[order])) == np.unique(group).size - 1

    def within(some: np.ndarray) -> float:
        same = group[some[:-1]] == group[some[1:]]
        return float(places.ways(some[:-1], some[1:])[same].sum())

    assert within(order) <= within(plain) + 1e-9


@given(
    a=st.tuples(st.integers(0, 9), st.integers(0, 9)),
    b=st.tuples(st.integers(0, 9), st.integers(0, 9)),
    across=st.sampled_from([1.0, 1.4]),
)
def test_a_way_between_areas_is_a_carry(
    a: tuple[int, int], b: tuple[int, int], across: float
) -> None:
    """One by one and for arrays; from nowhere it is nothing."""
    cell = Cell(across, 1.0)
    column, row = np.array([a[0], b[0]]), np.array([a[1], b[1]])
    places = Places(column, row, np.arange(2), np.zeros(2, dtype=int), np.ones(2), cell)
    if a != b:
        wanted = carry_length(cell, b[0] - a[0], b[1] - a[1])
        assert places.ways(np.array([0]), np.array([1]))[0] == pytest.approx(wanted)
        assert places.measure()(0, 1) == pytest.approx(wanted)
    assert places.ways(np.array([0]), np.array([-1]))[0] == places.measure()(-1, 0) == 0


@settings(max_examples=60, deadline=None)
@given(seed=st.integers(0, 2**32 - 1), number=st.integers(2, 900))
def test_the_nearest_is_the_nearest(seed: int, number: int) -> None:
    """Among those that aren't done, whatever the order they are done in; by a plain search."""
    rng = np.random.default_rng(seed)
    points = rng.integers(0, 30, (number, 2)).astype(float)
    undone = Undone(points)
    left = set(range(number))
    here = 0
    for _ in range(min(number - 1, 120)):
        undone.finish(here)
        left.discard(here)
        found = undone.nearest(undone.places[here], here)
        away = {k: math.dist(points[k], points[here]) for k in left}
        elsewhere = [d for d in away.values() if d > 0]
        assert found in left
        assert away[found] == pytest.approx(min(elsewhere) if elsewhere else 0.0)
        here = int(rng.choice(sorted(left)))
