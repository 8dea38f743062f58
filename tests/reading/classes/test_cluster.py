"""Points grouped without their number being known: heaps that lie apart, and only those."""

from __future__ import annotations

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from chartscan.reading.classes.appearance import AppearanceSettings
from chartscan.reading.classes.cluster import cluster, regroup

GROUPS = AppearanceSettings().groups
DIMENSIONS = 8
APART = 14.0  # standard deviations from middle to middle, along one axis at least


def _heaps(seed: int, sizes: list[int]) -> tuple[np.ndarray, np.ndarray]:
    """Heaps of normal noise whose middles lie ``APART``: points and the heap of each, shuffled."""
    rng = np.random.default_rng(seed)
    truth = rng.permutation(np.repeat(np.arange(len(sizes)), sizes))
    places = np.stack(np.unravel_index(np.arange(len(sizes)), (3,) * DIMENSIONS), axis=1)
    return APART * places[truth] + rng.normal(size=(len(truth), DIMENSIONS)), truth


def _same_parts(one: np.ndarray, other: np.ndarray) -> bool:
    """Whether two labellings part the points alike."""
    pairs = len(set(zip(one.tolist(), other.tolist(), strict=True)))
    return pairs == len(set(one.tolist())) == len(set(other.tolist()))


@settings(max_examples=25, deadline=None)
@given(st.integers(0, 2**32), st.lists(st.integers(5, 400), min_size=1, max_size=9))
def test_heaps_that_lie_apart_are_told_apart(seed: int, sizes: list[int]) -> None:
    points, truth = _heaps(seed, sizes)
    labels = cluster(points, GROUPS)
    assert _same_parts(labels, truth)
    assert (np.diff(np.bincount(labels)) <= 0).all()  # commonest first


@settings(max_examples=25, deadline=None)
@given(st.integers(0, 2**32), st.integers(1, 5))
def test_joining_stops_at_the_number_that_is_told(seed: int, wanted: int) -> None:
    points, _ = _heaps(seed, [60, 50, 40, 30, 20])
    assert cluster(points, GROUPS, wanted=wanted).max() + 1 == wanted


def test_groups_cut_too_small_are_joined_again() -> None:
    points, truth = _heaps(3, [200, 100, 80])
    halves = 2 * truth + (points[:, -1] > np.median(points[:, -1]))
    assert _same_parts(regroup(points, halves, GROUPS), truth)
