"""The robust fit of samples behind grid lines: exact, among outliers, and where rows are alike."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray
from scipy.optimize import least_squares

from chartscan.reading.marks.blendfit import LEAN, fit_blend
from chartscan.reading.marks.rims import RimSettings

Doubles = NDArray[np.float64]
FLOORS = RimSettings().floors
ROWS = 60


def fills(seed: int, rows: int = ROWS, columns: int = 1) -> tuple[Doubles, Doubles]:
    left, right = np.random.default_rng(seed).uniform(0, 255, (2, rows, columns, 3))
    return left, right


def blend(left: Doubles, right: Doubles, before: float, after: float, base: Doubles) -> Doubles:
    return np.asarray(before * left + after * right + base)


def fit(
    value: Doubles, left: Doubles, right: Doubles, usual: Doubles | None = None
) -> tuple[Doubles, Doubles]:
    """(n, 5): before, after and base; and the spread (n,)."""
    rows, columns = value.shape[:2]
    known = np.zeros((columns, 5)) if usual is None else usual
    base, before, after, spread = fit_blend(
        value, left, right, np.ones((rows, columns)), known, FLOORS
    )
    return np.column_stack([before, after, base]).astype(np.float64), np.asarray(spread, np.float64)


SHARE = st.floats(0, 1)
BASE = st.tuples(*[st.floats(-60, 120)] * 3).map(np.array)


@settings(max_examples=40)
@given(SHARE, SHARE, BASE, st.integers(0, 10**6))
def test_a_blend_without_noise_comes_back(
    before: float, after: float, base: Doubles, seed: int
) -> None:
    left, right = fills(seed)
    solved, spread = fit(blend(left, right, before, after, base), left, right)
    assert np.abs(solved[0, :2] - (before, after)).max() < 1e-3
    assert np.abs(solved[0, 2:] - base).max() < 0.1
    assert spread[0] < 0.1


@pytest.mark.parametrize("share", [0.1, 0.2, 0.3])
def test_rows_with_a_mark_on_the_line_do_not_count(share: float) -> None:
    """Up to three rows in ten are of an ink, whatever fills lie beside them."""
    left, right = fills(4)
    base = np.array([40.0, 45.0, 50.0])
    value = blend(left, right, 0.3, 0.2, base)
    value[: round(share * ROWS)] = (20, 30, 90)
    solved, spread = fit(value, left, right)
    np.testing.assert_allclose(solved[0, :2], (0.3, 0.2), atol=0.01)
    np.testing.assert_allclose(solved[0, 2:], base, atol=1.0)
    assert spread[0] < 1.5


def test_noise_is_fitted_as_another_library_does_it() -> None:
    """SciPy's least squares with the same loss: ρ(z) = z / (1 + z), Geman and McClure, 1987.

    There channels are weighed one by one, here rows by their worst channel: noise is equal in all.
    """
    rng = np.random.default_rng(9)
    left, right = fills(9, rows=200)
    value = blend(left, right, 0.4, 0.35, np.array([20.0, 60.0, 10.0]))
    value = value + rng.normal(0, 3, (200, 1, 1))

    def off(unknown: Doubles) -> Doubles:
        lean = np.sqrt(LEAN) * unknown / 1e3
        apart = blend(left, right, unknown[0], unknown[1], unknown[2:]) - value
        return np.concatenate([apart.ravel(), lean])

    def loss(z: Doubles) -> Doubles:
        return np.stack([z / (1 + z), 1 / (1 + z) ** 2, -2 / (1 + z) ** 3])

    start = np.array([0.3, 0.3, 30.0, 30.0, 30.0])
    reference = least_squares(off, start, loss=loss, f_scale=3.0).x
    solved, spread = fit(value, left, right)
    np.testing.assert_allclose(solved[0, :2], reference[:2], atol=0.01)
    np.testing.assert_allclose(solved[0, 2:], reference[2:], atol=1.5)
    assert 1 < spread[0] < 3  # the median of |N(0, 3)| is 2.02


def test_where_the_same_fills_lie_beside_all_of_the_line_the_usual_is_leant_on() -> None:
    """One grey on both sides: any before + after of one sum explains it, and so do many bases."""
    left, right = np.full((2, ROWS, 1, 3), 200.0)
    usual = np.array([[0.3, 0.1, 70.0, 70.0, 70.0]])
    value = blend(left, right, 0.3, 0.1, np.full(3, 70.0))
    solved, _ = fit(value, left, right, usual)
    np.testing.assert_allclose(solved, usual, atol=1e-3)
    other = np.array([[0.1, 0.3, 70.0, 70.0, 70.0]])
    again, _ = fit(value, left, right, other)
    np.testing.assert_allclose(again, other, atol=1e-3)


def test_columns_are_fitted_each_by_itself() -> None:
    left, right = fills(6, columns=3)
    truth = [(0.1, 0.7, 5.0), (0.5, 0.5, 0.0), (0.0, 0.2, 90.0)]
    value = np.concatenate(
        [
            blend(left[:, k : k + 1], right[:, k : k + 1], before, after, np.full(3, base))
            for k, (before, after, base) in enumerate(truth)
        ],
        axis=1,
    )
    value[:20, 1] = 0
    solved, _ = fit(value, left, right)
    for row, (before, after, base) in zip(solved, truth, strict=True):
        np.testing.assert_allclose(row, [before, after, base, base, base], atol=0.2)


def test_left_and_right_change_places_with_the_sides() -> None:
    left, right = fills(8)
    value = blend(left, right, 0.6, 0.1, np.array([30.0, 10.0, 80.0]))
    one, other = fit(value, left, right)[0], fit(value, right, left)[0]
    np.testing.assert_allclose(one[:, [1, 0, 2, 3, 4]], other, atol=1e-4)


def test_channels_change_places_with_the_colours() -> None:
    left, right = fills(8)
    value = blend(left, right, 0.6, 0.1, np.array([30.0, 10.0, 80.0]))
    one = fit(value, left, right)[0]
    other = fit(*(v[..., [2, 0, 1]] for v in (value, left, right)))[0]
    np.testing.assert_allclose(one[:, [0, 1, 4, 2, 3]], other, atol=1e-4)


def test_rows_that_are_told_to_be_marked_do_not_count_though_they_are_most() -> None:
    left, right = fills(11)
    base = np.array([40.0, 45.0, 50.0])
    value = blend(left, right, 0.3, 0.2, base)
    value[:45] = (20, 30, 90)
    prior = np.ones((ROWS, 1))
    prior[:45] = RimSettings().marked
    start = np.array([[0.3, 0.2, 30.0, 30.0, 30.0]])
    _, before, after, _ = fit_blend(value, left, right, prior, start, FLOORS)
    np.testing.assert_allclose([before[0], after[0]], (0.3, 0.2), atol=0.05)
