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
from chartscan.yardage.stitches import Stitches, list_stitches

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
    """What joins two stitches, each (key, row, column): inf where nothing does, 0 for sides."""
    down, right = b[1] - a[1], b[2] - a[2]
    if a[0] != b[0]:
        return math.inf
    if abs(down) + abs(right) <= 1:
        return 0.0
    if abs(down) == abs(right) == 1:
        return cell.diagonal
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
    areas = join_areas(stitches, cell, limit)
    length, groups = _shortest_tree(stitches, cell, limit)
    assert areas.corner_mm.sum() + areas.carry_mm.sum() == pytest.approx(length)
    assert np.unique(areas.group).size == groups
    assert areas.carry_mm.max() <= limit + 1e-9
    joined = (areas.group == np.arange(areas.group.size)).sum()
    by_sides = (areas.area == np.arange(areas.area.size)).sum()
    links_made = (areas.corner_mm > 0).sum() + (areas.carry_mm > 0).sum()
    assert by_sides - links_made == joined


@given(
    number=st.integers(1, 40),
    pairs=st.lists(st.tuples(st.integers(0, 39), st.integers(0, 39)), max_size=60),
)
def test_hooking_finds_the_sets_that_pairs_make(number: int, pairs: list[tuple[int, int]]) -> None:
    """Against a plain union one by one; each root that is hooked is told once."""
    pairs = [(a % number, b % number) for a, b in pairs]
    first, second = (np.array([p[i] for p in pairs], dtype=np.int64) for i in (0, 1))
    roots, hooked = hook(np.arange(number), first, second)
    sets = {i: {i} for i in range(number)}
    for a, b in pairs:
        union = sets[a] | sets[b]
        sets.update(dict.fromkeys(union, union))
    assert [min(sets[i]) for i in range(number)] == roots.tolist()
    assert sorted(hooked.tolist()) == [i for i in range(number) if min(sets[i]) != i]


def test_links_come_shortest_first_and_none_is_too_long() -> None:
    """Corners always; carries within the limit, each direction once."""
    found = links(Cell(1, 1), 3.0)
    assert found == sorted(found)
    steps = {(right, below) for _, right, below in found}
    assert len(steps) == len(found)
    assert {(1, 1), (-1, 1), (2, 0), (4, 0), (0, 4)} <= steps
    assert not steps & {(1, 0), (0, 1), (5, 0), (-1, 0)}
    assert max(length for length, _, _ in found) <= 3.0
    assert links(Cell(1, 1), 0.0) == [(math.sqrt(2), -1, 1), (math.sqrt(2), 1, 1)]
