"""A group in two: the halves that are found, and how far apart they are said to lie."""

from __future__ import annotations

import numpy as np
import pytest

from chartscan.reading.classes.halves import HeapWeights, Mask, Points, adapted, best_halves

WEIGHTS = HeapWeights()


def heaps(apart: float, sizes: tuple[int, int], seed: int = 0) -> tuple[Points, Mask]:
    """Normal points of five coordinates about two middles so far apart, and which are which."""
    generator = np.random.default_rng(seed)
    second = np.repeat([False, True], sizes)
    points = generator.normal(size=(sum(sizes), 5))
    points[:, 0] += apart * second
    return points, second


@pytest.mark.parametrize("sizes", [(310, 290), (400, 60), (4000, 500)])
def test_two_heaps_are_the_halves(sizes: tuple[int, int]) -> None:
    points, second = heaps(10.0, sizes)
    found = best_halves(points, np.arange(len(points)), WEIGHTS)
    assert found is not None
    np.testing.assert_array_equal(found.smaller, second)
    assert found.apart == pytest.approx(10.0, abs=0.5)
    assert found.gap > 1


def test_one_heap_wider_than_noise_is_no_farther_apart_than_halves_of_one_are() -> None:
    points = np.random.default_rng(1).normal(size=(500, 5)) * (3, 1, 1, 1, 1)
    found = best_halves(points, np.arange(len(points)), WEIGHTS)
    assert found is not None
    assert found.apart < 3.2
    assert found.gap < 0.2


def test_what_is_no_wider_than_noise_is_not_cut() -> None:
    points = np.random.default_rng(1).normal(size=(500, 5))
    assert best_halves(points, np.arange(len(points)), WEIGHTS) is None


def test_how_far_apart_halves_are_is_told_in_their_own_noise() -> None:
    """Twice as noisy along the line between them, they are half as far apart."""
    points, second = heaps(12.0, (2000, 2000))
    noisy = np.random.default_rng(2).normal(size=len(points))
    noisier = points + np.sqrt(3) * noisy[:, None] * (1, 0, 0, 0, 0)
    one, other = (
        adapted(each, second[None], np.arange(len(each)), WEIGHTS, moved=False)[0]
        for each in (points, noisier)
    )
    assert other.apart == pytest.approx(one.apart / 2, rel=0.05)


def test_halves_with_too_few_points_for_a_class_are_left_out() -> None:
    points, second = heaps(30.0, (100, 2))
    assert adapted(points, second[None], np.arange(len(points)), WEIGHTS) == []
