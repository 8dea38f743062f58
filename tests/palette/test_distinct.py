"""A thread of its own for each colour: against brute force, and against scipy."""

from __future__ import annotations

import itertools

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray

from chartscan.errors import MatchError
from chartscan.palette.distinct import assign, gaps

Array = NDArray[np.float64]


def _best(cost: Array, barred: tuple[int, int] | None = None) -> float:
    """The least total by trying every assignment."""
    cost = cost.copy()
    if barred:
        cost[barred] = np.inf
    rows, columns = cost.shape
    return min(
        (
            float(cost[range(rows), list(columns_of)].sum())
            for columns_of in itertools.permutations(range(columns), rows)
        ),
        default=np.inf,
    )


@settings(deadline=None)  # the first call imports scipy
@given(st.integers(0, 2**32 - 1), st.integers(1, 4), st.integers(0, 3), st.booleans())
def test_assignment_and_gaps_are_those_of_brute_force(
    seed: int, rows: int, spare: int, holes: bool
) -> None:
    rng = np.random.default_rng(seed)
    cost = np.round(rng.uniform(0, 10, (rows, rows + spare)), 2)
    if holes:  # some pairs forbidden, never all ways
        cost[(rng.random(cost.shape) < 0.3) & (np.eye(*cost.shape) == 0)] = np.inf
    chosen = assign(cost)
    total = float(cost[np.arange(rows), chosen].sum())
    assert total == pytest.approx(_best(cost))
    assert len(set(chosen.tolist())) == rows
    expected = [_best(cost, (row, int(column))) - total for row, column in enumerate(chosen)]
    np.testing.assert_allclose(gaps(cost, chosen), expected, atol=1e-9)


def test_gaps_of_a_large_case_are_those_of_assigning_anew() -> None:
    from scipy.optimize import linear_sum_assignment

    cost = np.random.default_rng(1).gamma(2, 5, (60, 200))
    chosen = assign(cost)
    total = cost[np.arange(60), chosen].sum()
    found = gaps(cost, chosen)
    for row in range(60):
        other = cost.copy()
        other[row, chosen[row]] = 1e6
        rows, columns = linear_sum_assignment(other)
        assert found[row] == pytest.approx(other[rows, columns].sum() - total, abs=1e-9)


def test_with_no_thread_to_spare_swaps_are_the_only_way() -> None:
    cost = np.array([[0.0, 1.0], [2.0, 0.0]])
    np.testing.assert_allclose(gaps(cost, assign(cost)), [3.0, 3.0])
    assert np.isinf(gaps(np.array([[1.0]]), np.array([0])))


def test_a_cost_below_zero_is_borne() -> None:
    cost = np.array([[-2.0, 1.0, 5.0], [-2.0, 0.5, 4.0]])
    chosen = assign(cost)
    np.testing.assert_allclose(
        gaps(cost, chosen), [_best(cost, (i, int(c))) - _best(cost) for i, c in enumerate(chosen)]
    )


def test_more_colours_than_threads_are_refused() -> None:
    with pytest.raises(
        MatchError, match="3 colours can't each have a thread of their own out of 2"
    ):
        assign(np.ones((3, 2)))
    with pytest.raises(MatchError, match="no way to give each colour a thread of its own"):
        assign(np.array([[1.0, np.inf], [1.0, np.inf]]))


def test_no_colours_need_no_threads() -> None:
    assert len(assign(np.empty((0, 4)))) == 0
    assert len(gaps(np.empty((0, 4)), np.empty(0, dtype=np.intp))) == 0
