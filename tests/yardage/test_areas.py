"""Areas, corners and carries against a plain search over all pairs of stitches."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from chartscan.chart import Chart, ChartClass, Corner, Part
from chartscan.yardage.areas import hook, join_areas, links
from chartscan.yardage.geometry import Cell, carry_length
from chartscan.yardage.places import Places
from chartscan.yardage.stitches import Stitches, list_stitches
from chartscan.yardage.turning import one_way_round

CLASSES = (ChartClass(0, "empty"), ChartClass(1, "stitch"), ChartClass(2, "stitch"))
SHARED: tuple[tuple[Corner, int], ...] = (("top left", 1), ("bottom right", 2))


@st.composite
def _stitches(draw: st.DrawFn) -> Stitches:
    """Sparse crosses of two classes, and cells that both share as part stitches."""
    rng = np.random.default_rng(draw(st.integers(0, 2**32 - 1)))
    rows, columns = draw(st.integers(1, 12)), draw(st.integers(1, 12))
    cells = rng.choice(3, (rows, columns), p=[0.8, 0.12, 0.08])
    cells[0, 0] = 1
    parts = tuple(
        Part(int(r), int(c), "triangle", corner, number)
        for r, c in np.argwhere((cells == 0) & (rng.random(cells.shape) < 0.1))
        for corner, number in SHARED
    )
    chart = Chart(cells.astype(np.int32), CLASSES, parts=parts)
    return list_stitches(chart, {}, "three-quarter", lambda _, __: 2)


def _link(a: tuple[int, int, int], b: tuple[int, int, int], cell: Cell, limit: float) -> float:
    """What joins two stitches, each (key, row, column): inf if nothing does, 0 if they touch."""
    down, right = b[1] - a[1], b[2] - a[2]
    if a[0] != b[0]:
        return math.inf
    if max(abs(down), abs(right)) <= 1:
        return 0.0
    length = carry_length(cell, right, down)
    return length if length <= limit else math.inf


def _shortest_tree(stitches: Stitches, cell: Cell, limit: float) -> tuple[float, int]:
    """Length of the shortest links that join all that can be joined (Prim), and the groups."""
    left = list(zip(stitches.key, stitches.row, stitches.column, strict=True))
    length, groups = 0.0, 0
    while left:
        reached = {left.pop(): 0.0}
        groups += 1
        ways = {place: _link(next(iter(reached)), place, cell, limit) for place in left}
        while ways and min(ways.values()) < math.inf:
            place = min(ways, key=lambda p: ways[p])
            length += ways.pop(place)
            left.remove(place)
            for other in ways:
                ways[other] = min(ways[other], _link(place, other, cell, limit))
    return length, groups


@settings(max_examples=80, deadline=None)
@given(
    stitches=_stitches(),
    limit=st.floats(0, 6),
    across=st.sampled_from([1.0, 1.3]),
)
def test_the_links_are_the_shortest_that_join_what_can_be_joined(
    stitches: Stitches, limit: float, across: float
) -> None:
    """Same length and same number of groups as a spanning tree over all pairs."""
    cell = Cell(across, 1.0)
    areas = join_areas(one_way_round(stitches, cell), cell, limit)
    length, groups = _shortest_tree(stitches, cell, limit)
    assert np.unique(areas.group).size == groups
    number = np.unique(areas.area).size
    assert _tree_within(areas.places, number - groups) == pytest.approx(length)


def _tree_within(places: Places, links_needed: int) -> float:
    """Length of the shortest links that join the areas of ``places``, group by group (Kruskal)."""
    ends = [(a, b) for a in range(places.number) for b in range(a) if _linkable(places, a, b)]
    first, second = (np.array([e[i] for e in ends], dtype=np.int64) for i in (0, 1))
    ways = places.ways(first, second)
    parent = {area: area for area in places.area.tolist()}
    length = 0.0
    for k in np.argsort(ways, kind="stable").tolist():
        a, b = (_root(parent, int(places.area[e])) for e in ends[k])
        if a != b:
            parent[a] = b
            length += float(ways[k])
            links_needed -= 1
    assert links_needed == 0
    return length


def _linkable(places: Places, a: int, b: int) -> bool:
    return bool(places.group[a] == places.group[b] and places.area[a] != places.area[b])


def _root(parent: dict[int, int], area: int) -> int:
    while parent[area] != area:
        area = parent[area]
    return area


@given(
    number=st.integers(1, 40),
    pairs=st.lists(st.tuples(st.integers(0, 39), st.integers(0, 39)), max_size=60),
)
def test_hooking_finds_the_sets_that_pairs_make(number: int, pairs: list[tuple[int, int]]) -> None:
    """Against a plain union one by one; each pair that joins two sets is told once."""
    pairs = [(a % number, b % number) for a, b in pairs]
    first, second = (np.array([p[i] for p in pairs], dtype=np.int64) for i in (0, 1))
    roots, joining = hook(np.arange(number), first, second)
    told = {i: {i} for i in range(number)}
    for a, b in (pairs[k] for k in joining.tolist()):
        assert told[a] is not told[b], "a ring"
        union = told[a] | told[b]
        told.update(dict.fromkeys(union, union))
    sets = {i: {i} for i in range(number)}
    for a, b in pairs:
        union = sets[a] | sets[b]
        sets.update(dict.fromkeys(union, union))
    assert [min(sets[i]) for i in range(number)] == roots.tolist()
    assert told == sets


def test_links_come_shortest_first_and_none_is_too_long() -> None:
    """Within the limit, each direction once."""
    found = links(Cell(1, 1), 3.0)
    assert found == sorted(found)
    steps = {(right, below) for _, right, below in found}
    assert len(steps) == len(found)
    assert {(2, 0), (4, 0), (0, 4)} <= steps
    assert not steps & {(1, 0), (0, 1), (1, 1), (5, 0), (-1, 0)}
    assert max(length for length, _, _ in found) <= 3.0
    assert links(Cell(1, 1), 0.0) == []


Drawn = set[tuple[int, int]]


def _narrow_pairs(cells: Drawn) -> int:
    """Two that hang together by a side alone, from each of which two corners lead straight on."""
    found = 0
    for x, y in cells:
        for right, below in ((1, 0), (0, 1)):
            pair = {(x, y), (x + right, y + below)}
            sides = {(a + i, b + j) for a, b in pair for i, j in ((1, 0), (-1, 0), (0, 1), (0, -1))}
            if not pair <= cells or (sides - pair) & cells:
                continue
            outwards = []
            for (a, b), sign in zip(sorted(pair), (-1, 1), strict=True):
                ways = [
                    (sign * right or turn, sign * below or turn) for turn in (-1, 1)
                ]  # the two slanting ways that lead on from that end
                outwards.append(
                    any({(a + i, b + j), (a + 2 * i, b + 2 * j)} <= cells for i, j in ways)
                )
            found += all(outwards)
    return found


@pytest.mark.parametrize("seed", range(60))
def test_where_a_corner_costs_more_than_a_side_is_counted(seed: int) -> None:
    """A pair between two slanting pieces, whole or with a cross missing, anywhere on the chart.

    There one move behind is a diagonal one (exhaustive search, see :mod:`areas`): who leaves it out
    buys too little thread for every lattice-like pattern.
    """
    rng = np.random.default_rng(770_000 + seed)
    up, down = rng.choice([-1, 1], 2).tolist()
    piece = [(-2, 2 * up), (-1, up), (0, 0), (1, 0), (2, down), (3, 2 * down)]
    if seed % 3:
        piece.pop(int(rng.integers(len(piece))))
    if rng.random() < 0.5:
        piece = [(y, x) for x, y in piece]
    low = [min(p[k] for p in piece) for k in (0, 1)]
    cells = {(x - low[0], y - low[1]) for x, y in piece}
    if seed % 2:  # not at the edge, and with company
        cells = {(x + 3, y + 2) for x, y in cells} | {(0, 0), (11, 9)}
    drawn = np.zeros((10, 12), dtype=np.int32)
    for x, y in cells:
        drawn[y, x] = 1
    stitches = list_stitches(Chart(drawn, CLASSES), {}, "three-quarter", lambda _, __: 2)
    cell = Cell(1.0, 1.0)
    areas = join_areas(one_way_round(stitches, cell), cell, 0.0)
    assert int(areas.narrow.sum()) == _narrow_pairs(cells)
    assert _narrow_pairs(cells) == (1 if seed % 3 == 0 else 0)
