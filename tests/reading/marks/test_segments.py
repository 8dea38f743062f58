"""Straight segments on the grid: what one line is, however it was found piece by piece."""

from __future__ import annotations

import math
from itertools import pairwise

import numpy as np
import pytest

from chartscan.reading.marks.segments import Ends, join, maximal

Step = frozenset[tuple[int, int]]


def _segments(*ends: tuple[int, int, int, int]) -> Ends:
    return np.array(ends, dtype=np.int32)


def _steps(ends: Ends) -> list[set[Step]]:
    """The unit steps of each segment, from hole to hole."""
    told = []
    for x0, y0, x1, y1 in ends.tolist():
        many = math.gcd(x1 - x0, y1 - y0)
        holes = [(x0 + k * (x1 - x0) // many, y0 + k * (y1 - y0) // many) for k in range(many + 1)]
        told.append({frozenset(pair) for pair in pairwise(holes)})
    return told


def _random(seed: int) -> Ends:
    """Forty segments on few lines, level, upright and aslant, drawn either way."""
    rng = np.random.default_rng(seed)
    ways = np.array([(1, 0), (0, 1), (1, 1), (1, -1), (2, 1), (1, -2)])
    way = ways[rng.integers(0, len(ways), 40)]
    start = way * rng.integers(-4, 5, (40, 1)) + rng.integers(0, 2, (40, 1)) * [3, 1]
    ends = np.concatenate([start, start + way * rng.integers(1, 5, (40, 1))], axis=1)
    turned = rng.random(40) < 0.5
    ends[turned] = ends[turned][:, [2, 3, 0, 1]]
    return ends.astype(np.int32)


@pytest.mark.parametrize("seed", range(8))
def test_pieces_of_a_line_become_one_line_and_nothing_else_does(seed: int) -> None:
    """The same steps, each in one segment; where two touch on one line they are one.

    A line in two pieces would be begun and ended twice, and take that much more thread.
    """
    ends = _random(seed)
    before, after = _steps(ends), _steps(join(ends))
    assert set().union(*before) == set().union(*after)
    assert sum(map(len, after)) == len(set().union(*after))
    joined = join(ends)
    assert len(join(joined)) == len(joined)


@pytest.mark.parametrize("seed", range(8))
def test_a_piece_within_a_longer_one_is_dropped_and_no_other(seed: int) -> None:
    ends = _random(seed)
    before, after = _steps(ends), _steps(maximal(ends))
    longest = [one for one in before if not any(one < other for other in before)]
    assert {frozenset(one) for one in after} == {frozenset(one) for one in longest}
    assert len(after) == len({frozenset(one) for one in longest})


def test_lines_are_joined_end_to_end_however_they_are_drawn() -> None:
    pieces = _segments((4, 2, 2, 2), (4, 2, 8, 2), (7, 2, 10, 2), (12, 2, 14, 2))
    assert join(pieces).tolist() == [[2, 2, 10, 2], [12, 2, 14, 2]]
    slanted = _segments((3, 3, 1, 1), (3, 3, 4, 4), (3, 3, 4, 2))
    assert sorted(join(slanted).tolist()) == [[1, 1, 4, 4], [3, 3, 4, 2]]


def test_parallel_lines_stay_apart_and_nothing_stays_nothing() -> None:
    beside = _segments((0, 0, 4, 0), (0, 1, 4, 1), (0, 0, 0, 4))
    assert len(join(beside)) == len(maximal(beside)) == 3
    assert len(maximal(np.zeros((0, 4), np.int32))) == 0
