"""Clusters of points: their means, and the nearest of some centres."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from chartscan.reading.classes.cluster import BLOCK, means_of, means_of_both, nearest


@given(st.integers(0, 60), st.integers(0, 12), st.integers(0, 2**32 - 1))
def test_means_are_those_of_each_label_and_nought_of_none(
    number: int, count: int, seed: int
) -> None:
    rng = np.random.default_rng(seed)
    points = rng.normal(size=(number, 3))
    labels = rng.choice([0, 1, 4, 300], number)
    found = means_of(points, labels, count)
    assert len(found) == max(count, int(labels.max(initial=-1)) + 1)
    for k, mean in enumerate(found):
        own = points[labels == k]
        assert mean == pytest.approx(own.mean(axis=0) if len(own) else np.zeros(3))


def test_means_of_single_precision_are_summed_in_double() -> None:
    points = np.full((100_000, 1), 0.1, dtype=np.float32)
    assert means_of(points, np.zeros(100_000, dtype=np.intp))[0, 0] == float(np.float32(0.1))


@pytest.mark.parametrize("number", [1, BLOCK - 1, BLOCK, 2 * BLOCK + 3])
def test_the_nearest_centre_is_the_nearest_on_either_side_of_a_block(number: int) -> None:
    rng = np.random.default_rng(number)
    points, centres = rng.normal(size=(number, 4)), rng.normal(size=(6, 4))
    apart = np.linalg.norm(points[:, None] - centres, axis=2)
    found, far = nearest(points, centres)
    assert (found == apart.argmin(axis=1)).all()
    assert far == pytest.approx(apart.min(axis=1))


def test_means_of_some_points_and_of_the_rest_are_those_of_each_alone() -> None:
    rng = np.random.default_rng(1_200_002)
    points = rng.normal(3.0, 1.0, (50, 4))
    some = rng.random(50) < 0.3
    one, other = means_of_both(points, some, points.sum(axis=0))
    np.testing.assert_allclose(one, points[some].mean(axis=0))
    np.testing.assert_allclose(other, points[~some].mean(axis=0))
