"""What speaks for two groups being one class, term by term, on cells that are known."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from numpy.typing import NDArray

from chartscan.reading.classes.looks import Looks
from chartscan.reading.classes.same import NEAREST, TERMS, Pairs, SameWeights, pairs_of
from chartscan.reading.odds import chance_of

PLACES = 6
ROWS, COLUMNS = 12, 16
Labels = NDArray[np.intp]
Points = NDArray[np.float64]
EVERY = replace(SameWeights(), least=-np.inf)


def cells_of(seed: int = 1, kinds: int = 3) -> Labels:
    """The first group is the largest, the last the smallest."""
    rng = np.random.default_rng(seed)
    parts = np.arange(kinds, 0, -1) / (kinds * (kinds + 1) / 2)
    labels = rng.choice(kinds, (ROWS, COLUMNS), p=parts)
    labels.ravel()[:kinds] = np.arange(kinds)
    return labels


def seen(
    labels: Labels, inks: list[float], grounds: list[tuple[float, float, float]], noise: float
) -> tuple[NDArray[np.float64], Looks, Points]:
    """CIELAB of all places, looks and points: a bar of so much ink on each group's ground."""
    bar = np.zeros((PLACES, PLACES))
    bar[1:5, 2:4] = 1
    lab = np.array(grounds, float)[labels][:, :, None, None] + np.zeros((PLACES, PLACES, 3))
    lab[..., 0] -= np.array(inks)[labels][:, :, None, None] * bar
    lab += np.random.default_rng(3).normal(0, noise, lab.shape)
    ground = np.median(lab[:, :, 0], axis=2).reshape(-1, 3)
    ink = (lab[..., 0] - ground[:, 0].reshape(ROWS, COLUMNS, 1, 1)).reshape(ROWS * COLUMNS, -1)
    points = np.concatenate([ink, ground * PLACES], axis=1)
    return lab, Looks(points, PLACES**2), points / max(noise, 0.5)


def told(pairs: Pairs, one: int, other: int) -> dict[str, float]:
    """The terms of one pair by their names."""
    (at,) = np.flatnonzero((np.sort(pairs.groups, axis=1) == sorted((one, other))).all(axis=1))
    return dict(zip(TERMS, pairs.terms[at].tolist(), strict=True))


WHITES = [(98.0, 0.0, 0.0), (98.0, 0.0, 0.0), (60.0, 30.0, 10.0)]


def test_every_pair_is_looked_at_once_the_larger_group_first() -> None:
    labels = cells_of()
    lab, looks, points = seen(labels, [0.0, 40.0, 0.0], WHITES, 1.0)
    pairs = pairs_of(lab, labels, points, looks, EVERY)
    assert sorted(map(tuple, pairs.groups.tolist())) == [(0, 1), (0, 2), (1, 2)]
    number = np.bincount(labels.ravel())
    assert (number[pairs.groups[:, 0]] >= number[pairs.groups[:, 1]]).all()
    assert (pairs.terms[:, 0] == 1).all()


def test_the_chance_is_the_logistic_of_the_weighted_terms() -> None:
    terms = np.random.default_rng(2).normal(0, 1, (5, len(TERMS)))
    weights = SameWeights()
    score = terms @ np.array([getattr(weights, name) for name in TERMS])
    found = Pairs(np.zeros((5, 2), np.intp), terms).chances(weights)
    np.testing.assert_allclose(found, chance_of(score))


def test_distance_is_told_in_standard_deviations_along_it() -> None:
    """Points of unit scatter whose middles lie a given way apart, less what chance makes."""
    labels = cells_of(kinds=2)
    lab, looks, _ = seen(labels, [0.0, 0.0], WHITES[:2], 1.0)
    rng = np.random.default_rng(4)
    for apart in (0.0, 6.0, 20.0):
        points = rng.normal(0, 1, (labels.size, 4))
        points[:, 0] += apart * labels.ravel()
        heaps = [points[labels.ravel() == k] for k in (0, 1)]
        step = heaps[1].mean(axis=0) - heaps[0].mean(axis=0)
        way = step / np.linalg.norm(step)
        pooled = sum(((heap - heap.mean(axis=0)) @ way).var() * len(heap) for heap in heaps)
        chance = 4 * sum(1 / len(heap) for heap in heaps)
        squared = max(0.0, step @ step - chance) / (pooled / (labels.size - 2))
        found = np.exp(told(pairs_of(lab, labels, points, looks, EVERY), 0, 1)["apart"])
        assert found == pytest.approx(max(np.sqrt(squared), NEAREST))


def test_scatter_below_the_pages_noise_counts_as_that_noise() -> None:
    labels = cells_of(kinds=2)
    lab, looks, _ = seen(labels, [0.0, 0.0], WHITES[:2], 1.0)
    points = np.zeros((labels.size, 2))
    points[:, 0] = 4.0 * labels.ravel()
    found = np.exp(told(pairs_of(lab, labels, points, looks, EVERY), 0, 1)["apart"])
    assert found == pytest.approx(4 / np.sqrt(SameWeights().noise), rel=0.02)


def test_the_difference_is_the_mean_of_all_places() -> None:
    """Eight places of 36 lie 40 apart, on grounds that are the same."""
    labels = cells_of()
    lab, looks, points = seen(labels, [0.0, 40.0, 0.0], WHITES, 0.0)
    pairs = pairs_of(lab, labels, points, looks, EVERY)
    assert np.expm1(told(pairs, 0, 1)["differ"]) == pytest.approx(40 * 8 / 36)
    apart = np.linalg.norm(np.subtract(WHITES[0], WHITES[2]))
    assert np.expm1(told(pairs, 0, 2)["differ"]) == pytest.approx(apart)


def test_the_smaller_group_tells_by_its_number() -> None:
    labels = cells_of()
    lab, looks, points = seen(labels, [0.0, 0.0, 0.0], [WHITES[0]] * 3, 1.0)
    pairs = pairs_of(lab, labels, points, looks, EVERY)
    for larger, smaller in pairs.groups.tolist():
        count = int((labels == smaller).sum())
        assert told(pairs, larger, smaller)["number"] == pytest.approx(np.log(count))


def test_touching_is_the_part_of_the_smaller_groups_neighbours() -> None:
    """A block of 2 × 3 in the other group has ten neighbours of its 24 sides there."""
    labels = np.zeros((ROWS, COLUMNS), np.intp)
    labels[4:6, 5:8] = 1
    lab, looks, points = seen(labels, [0.0, 0.0], WHITES[:2], 1.0)
    pairs = pairs_of(lab, labels, points, looks, EVERY)
    assert told(pairs, 0, 1)["touch"] == pytest.approx(10 / 24)
    labels[:] = 0
    labels[0, 0] = 1
    lab, looks, points = seen(labels, [0.0, 0.0], WHITES[:2], 1.0)
    assert told(pairs_of(lab, labels, points, looks, EVERY), 0, 1)["touch"] == pytest.approx(2 / 4)


@pytest.mark.parametrize("inks", [(0.0, 40.0), (10.0, 40.0), (40.0, 40.0)])
def test_ink_is_the_lesser_of_both_and_glyphs_tell_by_what_differs(
    inks: tuple[float, float],
) -> None:
    """Ink over the cell is the root of the mean square: of eight places in 36."""
    labels = cells_of(kinds=2)
    lab, looks, points = seen(labels, list(inks), WHITES[:2], 0.0)
    found = told(pairs_of(lab, labels, points, looks, EVERY), 0, 1)
    amount = [ink * np.sqrt(8 / 36) for ink in inks]
    dark = SameWeights().dark
    assert found["ink"] == pytest.approx(min(amount[0], dark) / dark)
    if inks[0] == inks[1]:
        assert found["glyph"] == pytest.approx(0.0, abs=1e-6)
    else:
        assert found["glyph"] > 0.5


def test_pairs_that_cannot_be_one_are_not_looked_into() -> None:
    labels = cells_of()
    lab, looks, points = seen(labels, [0.0, 40.0, 0.0], WHITES, 1.0)
    assert len(pairs_of(lab, labels, points, looks).groups) == 1  # two whites, one with a bar
    pairs = pairs_of(lab, labels, points, looks, replace(SameWeights(), least=0.0))
    assert not len(pairs.groups)
    assert pairs.terms.shape == (0, len(TERMS))
    assert pairs.chances().shape == (0,)


def test_one_class_cut_in_two_at_random_is_likelier_one_than_two_glyphs_are() -> None:
    rng = np.random.default_rng(6)
    labels = cells_of(kinds=2)
    lab, looks, points = seen(np.zeros_like(labels), [20.0], WHITES[:1], 1.0)
    halves = rng.integers(0, 2, labels.shape)
    one = pairs_of(lab, halves, points, looks, EVERY).chances()
    lab, looks, points = seen(labels, [20.0, 0.0], WHITES[:2], 1.0)
    two = pairs_of(lab, labels, points, looks, EVERY).chances()
    assert one[0] > 0.9
    assert two[0] < 0.1
