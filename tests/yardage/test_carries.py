"""Stretches joined by carries: what is joined can be walked, and is short."""

from __future__ import annotations

import math
from itertools import pairwise, permutations, product

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.typing import NDArray

from chartscan.yardage.carries import join

Ends = NDArray[np.float64]

place = st.tuples(st.integers(0, 30), st.integers(0, 30))
stretches = st.lists(st.tuples(place, place), min_size=1, max_size=40)


def _ends(told: list[tuple[tuple[float, float], tuple[float, float]]]) -> Ends:
    return np.array(told, dtype=np.float64)


def _least(ends: Ends) -> float:
    """The least of all ways to go through every stretch once, either way round, by trying them."""
    best = math.inf
    for order in permutations(range(len(ends))):
        for ways in product((0, 1), repeat=len(ends)):
            walk = [(ends[s][w], ends[s][1 - w]) for s, w in zip(order, ways, strict=True)]
            best = min(best, sum(math.dist(a[1], b[0]) for a, b in pairwise(walk)))
    return best


def _spanning(ends: Ends, group: NDArray[np.int64]) -> float:
    """The least that joins each group's stretches at all, by Prim's way; no walk is shorter."""
    total = 0.0
    for number in range(int(group.max()) + 1):
        some = ends[group == number]
        away = np.full(len(some), np.inf)
        away[0] = 0.0
        left = set(range(len(some)))
        while left:
            here = min(left, key=away.__getitem__)
            left.discard(here)
            total += float(away[here])
            ways = np.linalg.norm(some[:, :, None, :] - some[here][None, None], axis=-1)
            away = np.minimum(away, ways.min(axis=(1, 2)))
    return total


@given(stretches, st.floats(0.5, 40))
def test_every_carry_is_one_and_joins_two_groups(
    told: list[tuple[tuple[float, float], tuple[float, float]]], limit: float
) -> None:
    ends = _ends(told)
    joined = join(ends, limit)
    assert joined.number == len(ends) - joined.carries_mm.size
    assert all(0 < mm <= limit + 1e-9 for mm in joined.carries_mm)
    assert set(joined.group.tolist()) == set(range(joined.number))
    assert joined.carries_mm.sum() >= _spanning(ends, joined.group) - 1e-6


@given(stretches, st.floats(0.5, 40))
def test_what_could_be_joined_is(
    told: list[tuple[tuple[float, float], tuple[float, float]]], limit: float
) -> None:
    """Each group has two free ends; those of single stretches are known, and have none near."""
    ends = _ends(told)
    joined = join(ends, limit)
    sizes = np.bincount(joined.group)
    single = [s for s in range(len(ends)) if sizes[joined.group[s]] == 1]
    for one in single:
        for other in single:
            away = np.linalg.norm(ends[one][:, None] - ends[other][None], axis=-1)
            assert one == other or not ((away > 0) & (away <= limit)).any()


@pytest.mark.parametrize("number", [2, 7, 400])
def test_knots_in_a_row_are_worked_along_it(number: int) -> None:
    row = np.repeat(np.column_stack([np.arange(number) * 3.0, np.zeros(number)])[:, None], 2, 1)
    shuffled = row[np.random.default_rng(5).permutation(number)]
    joined = join(shuffled, 3.0)
    assert joined.number == 1
    assert joined.carries_mm.sum() == pytest.approx(3.0 * (number - 1))
    assert join(shuffled, 2.9).number == number


def test_two_at_the_very_place_are_not_joined_there() -> None:
    """A thread that comes up through the hole it went down by undoes its stitch."""
    twice = _ends([((0, 0), (0, 0)), ((0, 0), (0, 0))])
    assert join(twice, 12).number == 2
    third = _ends([((0, 0), (0, 0)), ((0, 0), (0, 0)), ((5, 0), (5, 0))])
    assert join(third, 12).carries_mm.tolist() == [5, 5]


def test_few_stretches_take_little_more_than_the_least() -> None:
    """40 × 5 stretches on a cloth of 20 mm, against every way there is: 10 % over on the mean."""
    ratios = []
    for seed in range(40):
        rng = np.random.default_rng(70_000 + seed)
        start = rng.uniform(0, 20, (5, 1, 2))
        ends = np.concatenate([start, start + rng.uniform(-3, 3, (5, 1, 2))], axis=1)
        least, found = _least(ends), float(join(ends, 100).carries_mm.sum())
        assert found >= least - 1e-9
        ratios.append(found / least)
    assert np.mean(ratios) < 1.10
    assert max(ratios) < 1.5


def test_no_stretch_is_no_group() -> None:
    joined = join(np.zeros((0, 2, 2)), 12)
    assert (joined.number, joined.carries_mm.size) == (0, 0)
