"""The best few threads, against trying every set of them."""

from __future__ import annotations

import itertools

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from chartscan.errors import MatchError
from chartscan.palette.fewer import fewest


@given(st.integers(0, 2**32 - 1), st.integers(1, 4))
def test_few_threads_are_nearly_the_best_few_there_are(seed: int, limit: int) -> None:
    """Local search is proven within 5 times the best; on small cases it is nearly always best."""
    rng = np.random.default_rng(seed)
    colours, threads = rng.uniform(0, 50, (6, 3)), rng.uniform(0, 50, (7, 3))
    cost = np.linalg.norm(colours[:, None] - threads[None], axis=2)
    weights = rng.integers(1, 100, 6).astype(np.float64)
    chosen = fewest(cost, weights, limit)
    assert len(set(chosen.tolist())) <= limit
    total = float((weights * cost[np.arange(6), chosen]).sum())
    best = min(
        float((weights * cost[:, list(some)].min(axis=1)).sum())
        for some in itertools.combinations(range(7), limit)
    )
    assert best - 1e-9 <= total <= 1.3 * best + 1e-9


def test_with_threads_enough_each_colour_keeps_its_nearest() -> None:
    cost = np.random.default_rng(1).uniform(0, 9, (5, 8))
    np.testing.assert_array_equal(fewest(cost, np.ones(5), 5), cost.argmin(axis=1))


def test_the_colour_with_few_stitches_gives_way() -> None:
    cost = np.array([[0.0, 5.0], [5.0, 0.0]])
    assert fewest(cost, np.array([100.0, 3.0]), 1).tolist() == [0, 0]
    assert fewest(cost, np.array([3.0, 100.0]), 1).tolist() == [1, 1]


def test_a_thread_that_is_nobodys_nearest_can_serve_all_best() -> None:
    corners = np.array([[1.0, 0.0], [-0.5, 0.866], [-0.5, -0.866]])
    threads = np.array([*corners, [0.0, 0.0]])
    cost = np.linalg.norm(corners[:, None] - threads[None], axis=2)
    cost[:, :3] -= 0.1 * np.eye(3)  # nearest of all: the one at its own corner
    assert fewest(cost, np.ones(3), 1).tolist() == [3, 3, 3]


def test_what_is_dropped_first_is_what_is_missed_least() -> None:
    """Two threads serve all four at a total of 2; from other beginnings no exchange leads there."""
    cost = np.array(
        [[6, 3, 1, 9, 0, 3], [1, 1, 5, 0, 2, 2], [8, 2, 0, 0, 8, 4], [0, 9, 8, 8, 7, 2]]
    )
    assert fewest(cost.astype(np.float64), np.ones(4), 2).tolist() == [2, 0, 2, 0]


def test_threads_of_the_key_stay_and_count() -> None:
    cost = np.array([[0.0, 5.0, 1.0], [5.0, 0.0, 1.0]])
    assert fewest(cost, np.ones(2), 1, fixed={2}).tolist() == [2, 2]
    with pytest.raises(MatchError, match="the key alone names 2 threads, more than 1"):
        fewest(cost, np.ones(2), 1, fixed={0, 1})


def test_colours_that_no_few_threads_can_work_are_refused() -> None:
    cost = np.array([[0.0, np.inf], [np.inf, 0.0]])
    with pytest.raises(MatchError, match="no 1 threads can work every colour"):
        fewest(cost, np.ones(2), 1)
