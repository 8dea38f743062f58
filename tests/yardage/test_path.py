"""The road from place to place against the best that a long search finds, and its invariants."""

from __future__ import annotations

import math
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from chartscan.yardage.geometry import Cell, carry_length
from chartscan.yardage.nearest import Neighbours, Undone
from chartscan.yardage.path import MOVE, PathSettings, _Exchanges, _Row, _Search, nearest_next, walk
from chartscan.yardage.places import NOWHERE, Places

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


def test_three_crosses_in_a_row_are_begun_at_an_end() -> None:
    """From the middle one the needle would go back over it: 3 and 8 cells instead of 3 and 4."""
    none, lone = np.zeros(3, dtype=np.int64), np.arange(3)
    places = Places(np.array([10, 14, 5]), none, lone, none, np.ones(3), Cell(1, 1))
    order = walk(places)
    assert order.tolist() in ([1, 0, 2], [2, 0, 1])
    assert places.ways(order[:-1], order[1:]).sum() == 3 + 4


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


def _some(seed: int, number: int = 13) -> tuple[Places, list[int]]:
    """Crosses in two groups, some of them two to an area, and a road through them at random."""
    rng = np.random.default_rng(seed)
    lone = _scattered(number, 0.2, seed)
    group = np.sort(rng.integers(0, 2, number))
    area = lone.area.copy()
    area[1::4] = area[:-1:4][: area[1::4].size]
    area[group != np.roll(group, 1)] += number  # no area lies in two groups
    places = Places(lone.column, lone.row, area, group, lone.within_mm, lone.cell)
    order = np.concatenate([rng.permutation(np.flatnonzero(group == g)) for g in np.unique(group)])
    return places, order.tolist()


def _road(places: Places, order: list[int]) -> float:
    """All ways within groups, one by one."""
    ways = places.measure()
    return math.fsum(ways(a, b) for a, b in pairwise(order) if places.group[a] == places.group[b])


def _exchanged(
    places: Places, order: list[int], kind: int, place: int, beside: int
) -> list[int] | None:
    """The road with that exchange made, by plain lists; None where it can't be made."""
    here, there = order.index(place), order.index(beside)
    low, high = sorted((here, there))
    if kind < MOVE:
        first, last = (low + 1, high + 1) if kind == 0 else (low, high)
        if last - first < 2:
            return None
        return order[:first] + order[first:last][::-1] + order[last:]
    turned, rest = divmod(kind - MOVE, 2 * PathSettings().longest)
    length, leftwards = divmod(rest, 2)
    end = here - length if turned else here + length
    if not 0 <= end < len(order) or places.group[order[end]] != places.group[place]:
        return None
    block = order[min(here, end) : max(here, end) + 1]
    across = there - 1 if leftwards else there + 1
    if beside in block or (0 <= across < len(order) and order[across] in block):
        return None
    others = [other for other in order if other not in block]
    at = others.index(beside) + (not leftwards)
    if (block[0] == place) == leftwards:  # the place itself comes to lie beside its neighbour
        block = block[::-1]
    return others[:at] + block + others[at:]


KINDS = range(MOVE + 4 * PathSettings().longest)


@pytest.mark.parametrize("seed", range(12))
def test_an_exchange_is_made_where_it_shortens_the_road_and_as_it_was_meant(seed: int) -> None:
    """Every turn and every move of every place, against plain lists; a slip takes more thread."""
    places, order = _some(seed)
    settings, before = PathSettings(), _road(places, order)
    made = 0
    for place, beside in np.argwhere(places.group[:, None] == places.group).tolist():
        for kind in KINDS if place != beside else ():
            wanted = _exchanged(places, order, kind, place, beside)
            row = _Row(places, np.array(order), settings)
            touched = row.exchange(_Exchanges([kind], [place], [beside]))
            gain = 0.0 if wanted is None else before - _road(places, wanted)
            if gain > settings.worth_mm + 1e-9:
                assert row.order.tolist() == wanted, (kind, place, beside)
                assert {place, beside} <= {*touched}
                made += 1
            else:
                assert row.order.tolist() == order, (kind, place, beside)
                assert touched == []
            assert row.position[row.order].tolist() == list(range(len(order)))
    assert made > 50


@pytest.mark.parametrize("seed", range(12))
def test_the_exchange_that_is_tried_is_the_one_that_shortens_the_road_most(seed: int) -> None:
    """Of all that bring a place beside a neighbour the best of each place, best first."""
    places, order = _some(seed)
    settings, before = PathSettings(), _road(places, order)
    points = places.points_mm
    near = Neighbours(points).nearest(points, settings.neighbours + 1)[:, 1:]
    look = np.arange(places.number)
    gains: dict[int, float] = {}
    for kind, place, beside in _Search(places, np.array(order), near, look, settings).best():
        found = _exchanged(places, order, kind, place, beside)
        assert found is not None
        gains[place] = before - _road(places, found)
    assert list(gains.values()) == sorted(gains.values(), reverse=True)
    for place in look.tolist():
        tried = [
            _exchanged(places, order, kind, place, beside)
            for beside in near[place].tolist()
            if places.group[beside] == places.group[place]
            for kind in KINDS
        ]
        best = max((before - _road(places, o) for o in tried if o is not None), default=0.0)
        if best > settings.worth_mm:
            assert gains[place] == pytest.approx(best)
        else:
            assert place not in gains
    assert NOWHERE not in gains
