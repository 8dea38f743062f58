"""The road against exact minima, found by a search that knows nothing of the road's own rules.

The search is a dynamic programme over what is done and where the thread is. A thread alternates
legs in front and moves behind, and can't come up through the hole it went down by.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable, Sequence

import numpy as np
import pytest
from numpy.typing import NDArray

from chartscan.yardage.route import Road

RoadOf = Callable[..., Road]
Pattern = tuple[tuple[int, int], ...]
SIDES_AND_CORNERS = [(r, c) for r in (-1, 0, 1) for c in (-1, 0, 1) if (r, c) != (0, 0)]
FIXED_PATTERNS = {1: 1, 2: 4, 3: 20, 4: 110, 5: 638, 6: 3832}  # OEIS A006770, fixed polyplets


def _patterns(size: int) -> set[Pattern]:
    """Every pattern of ``size`` cells joined by sides or corners, up to shifts."""
    found: set[Pattern] = {((0, 0),)}
    for _ in range(size - 1):
        found = {
            _shifted((*pattern, (r + dr, c + dc)))
            for pattern in found
            for r, c in pattern
            for dr, dc in SIDES_AND_CORNERS
            if (r + dr, c + dc) not in pattern
        }
    return found


def _shifted(cells: tuple[tuple[int, int], ...]) -> Pattern:
    top, left = min(r for r, _ in cells), min(c for _, c in cells)
    return tuple(sorted((r - top, c - left) for r, c in cells))


def _one_of_each(patterns: set[Pattern]) -> list[Pattern]:
    """One of those that are alike by half turns and mirrors on diagonals, which keep the legs."""
    kept = {
        min(
            _shifted(tuple((f * r, f * c) if keep else (f * c, f * r) for r, c in pattern))
            for f in (1, -1)
            for keep in (True, False)
        )
        for pattern in patterns
    }
    return sorted(kept)


def _legs(pattern: Pattern) -> list[tuple[tuple[int, int], tuple[int, int]]]:
    """For each cell its ``/`` leg and then its ``\\`` leg, as pairs of holes (x, y)."""
    slash = [((c, r + 1), (c + 1, r)) for r, c in pattern]
    back = [((c, r), (c + 1, r + 1)) for r, c in pattern]
    return [leg for pair in zip(slash, back, strict=True) for leg in pair]


def _minima(patterns: Sequence[Pattern], *, slash_first: bool) -> NDArray[np.float64]:
    """Length of the shortest thread for each of ``patterns``, all of one size, in cells."""
    legs = np.array([_legs(p) for p in patterns], dtype=float)  # pattern, leg, end, xy
    count = legs.shape[1]
    # State 2k: leg k worked from its first hole to its second; 2k + 1: the other way.
    starts = legs.reshape(len(patterns), 2 * count, 2)
    ends = legs[:, :, ::-1].reshape(len(patterns), 2 * count, 2)
    moves = np.linalg.norm(ends[:, :, None] - starts[:, None, :], axis=-1)
    moves[moves == 0] = np.inf
    best: dict[int, NDArray[np.float64]] = {}
    for done in range(1 << count):
        if slash_first and any(done >> k & 1 > done >> (k - 1) & 1 for k in range(1, count, 2)):
            continue
        row = np.full((len(patterns), 2 * count), np.inf)
        for k in range(count):
            before = best.get(done & ~(1 << k)) if done >> k & 1 else None
            if before is not None:
                row[:, 2 * k : 2 * k + 2] = _step(before, moves[:, :, 2 * k : 2 * k + 2])
        best[done] = row if done else np.full((len(patterns), 1), 0.0)
    moved = best[(1 << count) - 1].min(axis=1)
    return np.asarray(math.sqrt(2) * count + moved, dtype=np.float64)


def _step(before: NDArray[np.float64], moves: NDArray[np.float64]) -> NDArray[np.float64]:
    """Shortest moves behind up to a leg that comes after ``before``; the first leg needs none."""
    if before.shape[1] == 1:
        return np.zeros((before.shape[0], 2))
    shortest: NDArray[np.float64] = (before[:, :, None] + moves).min(axis=1)
    return shortest


def _drawn(pattern: Pattern) -> NDArray[np.int32]:
    cells = np.zeros((1 + max(r for r, _ in pattern), 1 + max(c for _, c in pattern)), dtype=int)
    cells[tuple(zip(*pattern, strict=True))] = 1
    return cells.astype(np.int32)


@pytest.mark.parametrize("size", [1, 2, 3, 4, 5, 6])
def test_no_road_is_shorter_than_the_exact_minimum(size: int, road_of: RoadOf) -> None:
    """With every ``/`` below its ``\\``, for all patterns joined by sides or corners."""
    everything = _patterns(size)
    assert len(everything) == FIXED_PATTERNS[size]
    patterns = _one_of_each(everything)
    minima = _minima(patterns, slash_first=True)
    for pattern, exact in zip(patterns, minima.tolist(), strict=True):
        cells = _drawn(pattern)
        for order in ("rows", "crosses"):
            road = road_of(cells, order)
            assert road.length >= exact - 1e-9, (order, pattern)
            assert road.least <= exact + 1e-9, pattern


@pytest.mark.parametrize("size", [1, 2, 3, 4, 5])
def test_the_bound_is_the_minimum_where_legs_may_go_in_any_order(
    size: int, road_of: RoadOf
) -> None:
    """So that no better bound can be proven for joined areas."""
    patterns = _one_of_each(_patterns(size))
    minima = _minima(patterns, slash_first=False)
    bounds = [road_of(_drawn(pattern)).least for pattern in patterns]
    assert np.allclose(minima, bounds, atol=1e-9)


@pytest.mark.parametrize("size", [2, 3, 4, 5, 6])
def test_areas_joined_by_sides_or_corners_are_at_their_exact_minimum(
    size: int, road_of: RoadOf
) -> None:
    """The narrow ones included, where every ``/`` below its ``\\`` costs a diagonal move."""
    patterns = _one_of_each(_patterns(size))
    for pattern, exact in zip(patterns, _minima(patterns, slash_first=True).tolist(), strict=True):
        assert road_of(_drawn(pattern)).length == pytest.approx(exact, abs=1e-9), pattern


@pytest.mark.parametrize("size", [2, 3, 4, 5, 6])
def test_areas_joined_by_sides_attain_the_minimum(size: int, road_of: RoadOf) -> None:
    """Row by row costs nothing over the shortest thread there is."""
    for pattern in _one_of_each(_patterns(size)):
        road = road_of(_drawn(pattern))
        if road.areas == 1 and _joined_by_sides(pattern):
            assert road.length == pytest.approx(road.least, abs=1e-9), pattern


def _joined_by_sides(pattern: Pattern) -> bool:
    seen, border = set(), [pattern[0]]
    while border:
        r, c = border.pop()
        if (r, c) in pattern and (r, c) not in seen:
            seen.add((r, c))
            border += [(r + 1, c), (r - 1, c), (r, c + 1), (r, c - 1)]
    return len(seen) == len(pattern)


def test_the_search_itself_knows_the_published_lengths() -> None:
    """One, two and three crosses in a row: 2√2·n + (2n − 1), and a knight's move pair."""
    for n in (1, 2, 3):
        row = tuple((0, c) for c in range(n))
        assert _minima([row], slash_first=True)[0] == pytest.approx(
            2 * math.sqrt(2) * n + 2 * n - 1
        )
    apart = [((0, 0), (1, 2))]
    assert _minima(apart, slash_first=True)[0] == pytest.approx(9.0711, abs=5e-5)
    assert _minima(apart, slash_first=False)[0] == pytest.approx(8.6569, abs=5e-5)


def test_a_carry_is_as_long_as_the_shortest_thread_for_two_crosses(road_of: RoadOf) -> None:
    """For every offset of two lone crosses that a carry may span, the road is the exact minimum."""
    offsets = [(r, c) for r, c in itertools.product(range(5), range(-4, 5)) if max(r, abs(c)) > 1]
    for r, c in offsets:
        pattern = _shifted(((0, 0), (r, c)))
        exact = _minima([pattern], slash_first=True)[0]
        assert road_of(_drawn(pattern), carry=9).length == pytest.approx(exact), (r, c)


SHAPES = {
    "star": "..X../...../X.X.X/...../..X..",
    "wide star": "...X.../......./......./X..X..X/......./......./...X...",
    "T": "X.X.X/...../..X../...../..X..",
    "T of pairs": "XX.XX/...../.XX..",
    "cross": ".X./.../X.X/.../.X.",
    "cross with a solid heart": "..X../...../X.XX.X/...../..X..",
    "slanting star": "X...X/...../..X../...../X...X",
    "comb": "X.X.X/...../X.X.X",
}


@pytest.mark.parametrize("shape", SHAPES)
def test_no_road_between_pieces_is_shorter_than_one_uncut_thread(
    shape: str, road_of: RoadOf
) -> None:
    """A spanning tree would be 6 to 10 % below for some of these; no needle can branch."""
    rows = SHAPES[shape].split("/")
    pattern = _shifted(
        tuple((r, c) for r, row in enumerate(rows) for c, cell in enumerate(row) if cell == "X")
    )
    exact = _minima([pattern], slash_first=True)[0]
    road = road_of(_drawn(pattern), carry=9)
    assert road.length >= exact - 1e-9
    assert road.length <= 1.1 * exact
