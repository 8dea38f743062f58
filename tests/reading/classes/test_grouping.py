"""Points grouped by gaps between heaps, whose number, place and scatter are known."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.typing import NDArray

from chartscan.reading.classes.appearance import AppearanceSettings
from chartscan.reading.classes.cluster import (
    by_size,
    cluster,
    principal_axes,
    regroup,
)
from chartscan.reading.classes.grouping import cut_small, grown_together
from chartscan.reading.classes.looks import Looks
from chartscan.reading.classes.spread import USUAL, Spread

Points = NDArray[np.float64]
Labels = NDArray[np.intp]
SEEN = AppearanceSettings()
SETTINGS = replace(SEEN.groups, separation=4.0)  # points are in units of the noise


def heaps(*middles: tuple[float, ...], each: int = 120, scatter: float = 1.0,
          seed: int = 1) -> tuple[Points, Labels]:  # fmt: skip
    """So many normal points around each middle, mixed, and which heap each is of."""
    rng = np.random.default_rng(seed)
    truth = rng.permutation(np.repeat(np.arange(len(middles)), each))
    return np.array(middles)[truth] + rng.normal(0, scatter, (len(truth), len(middles[0]))), truth


def same(labels: Labels, truth: Labels) -> bool:
    """Whether two groupings are one, whatever their numbers."""
    pairs = set(zip(labels.tolist(), truth.tolist(), strict=True))
    return len(pairs) == len(set(labels.tolist())) == len(set(truth.tolist()))


# ----------------------------------------------------------------------------- clusters


@pytest.mark.parametrize("number", [1, 2, 3, 7])
def test_heaps_with_gaps_between_them_are_a_class_each(number: int) -> None:
    points, truth = heaps(*((14.0 * k, 9.0 * (k % 3)) for k in range(number)))
    assert same(cluster(points, SETTINGS), truth)


@pytest.mark.parametrize(("apart", "classes"), [(1.0, 1), (8.0, 2)])
def test_two_heaps_are_one_class_unless_they_lie_apart(apart: float, classes: int) -> None:
    """In standard deviations; the halves of one normal heap are 2.7 apart."""
    points, _ = heaps((0.0, 0.0, 0.0), (apart, 0.0, 0.0), each=400)
    assert len(set(cluster(points, SETTINGS).tolist())) == classes


def test_labels_are_numbered_by_falling_size() -> None:
    points = np.concatenate([heaps((0.0, 0.0), each=n)[0] + shift
                             for n, shift in ((30, 0.0), (200, 30.0), (90, 60.0))])  # fmt: skip
    labels = cluster(points, SETTINGS)
    assert np.bincount(labels).tolist() == [200, 90, 30]


@pytest.mark.parametrize(
    ("seed", "shift", "turn"), [(1, 0.0, 1.0), (2, -50.0, 0.0), (3, 20.0, 2.5)]
)
def test_where_the_points_lie_and_how_they_are_turned_says_nothing(
    seed: int, shift: float, turn: float
) -> None:
    points, truth = heaps((0.0, 0.0), (12.0, 3.0), (-4.0, 15.0))
    order = np.random.default_rng(seed).permutation(len(points))
    c, s = np.cos(turn), np.sin(turn)
    moved = points[order] @ np.array([[c, -s], [s, c]]) + shift
    assert same(cluster(moved, SETTINGS), truth[order])


@pytest.mark.parametrize("wanted", [1, 2, 3, 4])
def test_a_number_that_is_told_is_kept_to(wanted: int) -> None:
    points, truth = heaps((0.0, 0.0), (12.0, 0.0), (0.0, 14.0))
    labels = cluster(points, SETTINGS, wanted=wanted)
    assert len(set(labels.tolist())) == wanted
    if wanted == 3:
        assert same(labels, truth)


def test_a_number_that_is_told_of_points_all_alike_is_not_made_up() -> None:
    assert cluster(np.zeros((40, 2)), SETTINGS, wanted=3).max() == 0


def test_no_points_one_point_and_points_all_alike() -> None:
    assert cluster(np.zeros((0, 3)), SETTINGS).tolist() == []
    assert cluster(np.ones((1, 3)), SETTINGS).tolist() == [0]
    assert cluster(np.ones((50, 3)), SETTINGS).tolist() == [0] * 50


def test_two_heaps_farther_apart_than_they_scatter_are_two() -> None:
    """Six and a half standard deviations apart; the halves of one normal heap are 2.7."""
    tops, truth = heaps((0.0, 0.0), (6.5, 0.0), each=450)
    labels = cluster(tops, SETTINGS)
    assert len(set(labels.tolist())) == 2
    assert np.mean(labels == truth) in (pytest.approx(0.0, abs=0.01), pytest.approx(1.0, abs=0.01))


def test_a_class_of_one_cell_must_lie_farther_off_where_specks_are_about() -> None:
    points, _ = heaps((0.0, 0.0), each=200)
    with_speck = np.concatenate([points, [[9.0, 0.0]]])
    for rare, classes in ((0.0, 2), (3.0, 1)):
        known = replace(SETTINGS, rare=rare)
        assert len(set(cluster(with_speck, known).tolist())) == classes


def test_groups_cut_too_small_are_grown_together_again() -> None:
    points, truth = heaps((0.0, 0.0), (14.0, 0.0), each=300)
    shreds = by_size(2 * truth + (points[:, 1] > 0))
    assert len(set(shreds.tolist())) == 4
    assert same(regroup(points, shreds, SETTINGS), truth)


@given(st.lists(st.integers(-3, 9), min_size=1, max_size=60))
def test_numbering_by_size_changes_no_group(numbers: list[int]) -> None:
    labels = np.array(numbers)
    found = by_size(labels)
    assert same(found, labels)
    counts = np.bincount(found).tolist()
    assert counts == sorted(counts, reverse=True)
    assert set(found.tolist()) == set(range(len(counts)))


def test_axes_are_those_in_which_points_differ_most() -> None:
    """Against the singular values of the centred points."""
    rng = np.random.default_rng(5)
    points = rng.normal(0, 1, (500, 6)) * np.array([9.0, 0.1, 4.0, 0.2, 1.0, 0.3])
    axes = principal_axes(points, 2)
    assert axes.shape == (6, 2)
    np.testing.assert_allclose(axes.T @ axes, np.eye(2), atol=1e-9)
    right = np.linalg.svd(points - points.mean(axis=0), full_matrices=False)[2][:2]
    np.testing.assert_allclose(axes @ axes.T, right.T @ right, atol=1e-6)
    assert (principal_axes(points, 6) == np.eye(6)).all()


# ------------------------------------------------------------------------------- spread

PLACES = 5


def looks_of(noise: float, number: int = 240, seed: int = 2) -> tuple[Looks, Labels]:
    """Three classes of glyphs on two grounds, and noise of so many units at every place."""
    rng = np.random.default_rng(seed)
    ink = np.zeros((3, PLACES, PLACES))
    ink[1, 1:4, 2] = ink[2, 2, 1:4] = -40
    ground = np.array([(98.0, 0, 0), (70.0, 20, 10), (98.0, 0, 0)]) * PLACES
    means = np.concatenate([ink.reshape(3, -1), ground], axis=1)
    truth = rng.integers(0, 3, number)
    return Looks(means[truth] + rng.normal(0, noise, (number, 28)), PLACES**2), truth


def test_points_are_looks_along_the_axes_from_their_mean() -> None:
    looks, _ = looks_of(2.0)
    spread = Spread.of(looks, SEEN)
    np.testing.assert_allclose(spread.points.mean(axis=0), 0, atol=1e-9)
    off = looks.points - looks.points.mean(axis=0)
    np.testing.assert_allclose(spread.points, off @ spread.axes)


@pytest.mark.parametrize("noise", [3.0, 6.0])
def test_noise_within_classes_is_scaled_to_one_unit(noise: float) -> None:
    """Nine tenths of the cells, the likest to their class, tell it."""
    looks, truth = looks_of(noise, 900)
    spread = Spread.of(looks, replace(SEEN, shaken=0.0))
    white = spread.whitened(spread.within(truth))
    scatter = np.stack([white[truth == k] - white[truth == k].mean(axis=0) for k in range(3)][:1])
    size = np.linalg.norm(scatter[0], axis=1)
    usual = scatter[0][size <= np.quantile(size, USUAL)]
    assert np.sqrt((usual**2).mean()) == pytest.approx(1.0, abs=0.1)


def test_a_page_without_noise_is_taken_to_have_a_little() -> None:
    looks, truth = looks_of(0.0)
    spread = Spread.of(looks, replace(SEEN, shaken=0.0))
    scaling = spread.scaling(spread.within(truth))
    lengths = np.linalg.norm(scaling, axis=0)
    np.testing.assert_allclose(lengths, 1 / SEEN.quiet, rtol=1e-6)


def test_a_lattice_that_lies_aside_adds_noise_where_glyphs_have_edges() -> None:
    looks, truth = looks_of(1.0)
    still = Spread.of(looks, replace(SEEN, shaken=0.0)).within(truth)
    shaken = Spread.of(looks, replace(SEEN, shaken=0.1)).within(truth)
    assert np.linalg.eigvalsh(shaken - still).min() > -1e-6
    assert np.trace(shaken) > np.trace(still)
    blank = Looks(np.where(np.arange(28) < 25, 0.0, looks.points), 25)
    one, other = (Spread.of(blank, replace(SEEN, shaken=s)).within(truth) for s in (0.0, 0.1))
    np.testing.assert_allclose(one, other)


def test_slopes_are_how_a_group_changes_as_it_moves() -> None:
    """By a step so small that the second difference doesn't count."""
    looks, truth = looks_of(0.0)
    spread = Spread.of(looks, SEEN)
    slopes = spread.slopes(truth, 0.02)
    ink = looks.points[truth == 1][0, :25].reshape(PLACES, PLACES)
    step = 0.02 * PLACES / (1 - 2 * SEEN.inset)
    down = np.gradient(ink, axis=0).ravel() * step
    np.testing.assert_allclose(slopes[1, :, 0], down @ spread.axes[:25], atol=1e-9)


# ------------------------------------------------------------------------ round by round


@pytest.mark.parametrize("noise", [1.0, 4.0])
def test_cells_are_cut_small_and_grow_together_into_their_classes(noise: float) -> None:
    looks, truth = looks_of(noise, 400)
    spread = Spread.of(looks, SEEN)
    small = cut_small(spread)
    assert all(len(set(truth[small == k].tolist())) == 1 for k in range(small.max() + 1))
    assert same(grown_together(spread, small), truth)


def test_a_told_number_is_kept_through_all_rounds() -> None:
    looks, _ = looks_of(2.0, 400)
    spread = Spread.of(looks, SEEN)
    for wanted in (2, 3):
        labels = grown_together(spread, cut_small(spread, wanted), wanted)
        assert len(set(labels.tolist())) == wanted


def test_every_round_is_told_of() -> None:
    looks, _ = looks_of(2.0, 400)
    spread = Spread.of(looks, SEEN)
    told: list[int] = []
    grown_together(spread, cut_small(spread), tried=lambda: told.append(1))
    assert 1 <= len(told) <= len(SEEN.apart) - 1
