"""Odds of the ground, and of two groups being one class: what must hold whatever the weights."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from chartscan.reading.classes.appearance import AppearanceSettings, looks_of
from chartscan.reading.classes.cloth import Cloth
from chartscan.reading.classes.ground import GroundOdds, ground_odds, settled_odds
from chartscan.reading.classes.heaps import chance_of_pair, heaps_of
from chartscan.reading.classes.same import pairs_of
from chartscan.reading.classes.spread import Spread

WHITE, CREAM, RED, BLUE = (255, 255, 255), (250, 240, 220), (200, 30, 40), (30, 60, 190)


def cloth(
    *colours: tuple[int, int, int], ringed: bool, paper: tuple[int, int, int] | None
) -> Cloth:
    """Classes scattered over 20 × 24 cells, the first of them all round where it is ``ringed``."""
    labels = np.random.default_rng(2).integers(0, len(colours), (20, 24))
    if ringed:
        labels[0] = labels[-1] = labels[:, 0] = labels[:, -1] = 0
    seen = None if paper is None else np.array(paper, dtype=np.float64)
    return Cloth(
        labels, np.array(colours, dtype=np.float64), np.zeros(len(colours)), seen, exact=True
    )


def test_a_class_in_the_papers_colour_that_lies_all_round_is_bare() -> None:
    odds = ground_odds(cloth(WHITE, RED, BLUE, ringed=True, paper=WHITE))
    assert odds.taken(0.9) == 0


def test_of_colours_scattered_to_the_edge_none_is_bare() -> None:
    odds = ground_odds(cloth(RED, BLUE, (40, 150, 60), ringed=False, paper=WHITE))
    assert odds.taken(0.1) is None


def test_of_two_whites_of_a_worn_page_that_is_bare_which_covers_it() -> None:
    """A few bare cells in the shade of a bold line, or of print beside them, are a hair whiter."""
    labels = np.random.default_rng(4).choice(3, (9, 9), p=(0.6, 0.05, 0.35))
    labels[0] = 0
    labels[0, ::2] = 1
    paper = np.array([230.0, 232.0, 229.0])
    colours = np.array([(252.0, 252.0, 252.0), (255.0, 255.0, 255.0), (250.0, 250.0, 250.0)])
    page = Cloth(labels, colours, np.array([0.4, 4.5, 50.0]), paper, exact=False)
    assert ground_odds(page).taken(0.5) == 0


def test_a_swatch_in_the_key_speaks_for_a_stitch_and_its_lack_for_fabric() -> None:
    page = cloth(CREAM, RED, BLUE, ringed=True, paper=WHITE)
    plain = ground_odds(page).chances[0]
    listed = ground_odds(page.with_key(np.array([1.0, 1.0, 1.0]))).chances[0]
    unseen = ground_odds(page.with_key(np.array([0.5, 1.0, 1.0]))).chances[0]
    left_out = ground_odds(page.with_key(np.array([0.0, 1.0, 1.0]))).chances[0]
    assert listed < plain < left_out
    assert plain <= unseen < left_out


@given(
    st.lists(st.tuples(*[st.integers(0, 255)] * 3), min_size=1, max_size=12),
    st.booleans(),
    st.one_of(st.none(), st.tuples(*[st.integers(0, 255)] * 3)),
)
def test_chances_of_the_ground_are_chances(
    colours: list[tuple[int, int, int]], ringed: bool, paper: tuple[int, int, int] | None
) -> None:
    odds = ground_odds(cloth(*colours, ringed=ringed, paper=paper))
    assert odds.chances.shape == (len(colours) + 1,)
    assert odds.chances.min() >= 0
    assert odds.chances.sum() == pytest.approx(1.0)


def test_what_is_told_is_certain() -> None:
    assert settled_odds(2, 4).taken(0.99) == 2
    assert settled_odds(None, 4).taken(0.01) is None
    assert GroundOdds(np.array([1.0])).taken(0.5) is None


def seen(step: float) -> tuple[np.ndarray, np.ndarray]:
    """Noisy plain cells in two groups whose lightness differs by ``step``."""
    rng = np.random.default_rng(5)
    labels = (rng.random((16, 18)) < 0.4).astype(np.intp)
    lab = np.tile(np.array([60.0, 10, 5]), (16, 18, 6, 6, 1)) + rng.normal(
        0, 1.5, (16, 18, 6, 6, 3)
    )
    lab[..., 0] += step * labels[:, :, None, None]
    return lab.astype(np.float32), labels


def test_the_farther_two_groups_are_apart_the_less_likely_are_they_one() -> None:
    chances = []
    for step in (0.0, 3.0, 9.0):
        lab, labels = seen(step)
        looks = looks_of(lab, 0.6)
        spread = Spread.of(looks, AppearanceSettings())
        white = spread.whitened(spread.within(labels.ravel()))
        pairs = pairs_of(lab, labels, white, looks)
        chances.append(float(pairs.chances()[0]) if len(pairs.groups) else 0.0)
    assert chances[0] > 0.7
    assert chances == sorted(chances, reverse=True)
    assert chances[2] < 0.1


def test_two_classes_taken_for_one_fall_into_two_heaps() -> None:
    one = {}
    for step in (0.0, 8.0):
        lab, labels = seen(step)
        spread = Spread.of(looks_of(lab, 0.6), AppearanceSettings())
        heaps = list(heaps_of(lab, np.zeros_like(labels), spread))
        one[step] = heaps[0].chance if heaps else 0.0
        if step:
            found = np.isin(np.arange(labels.size), heaps[0].cells)
            np.testing.assert_array_equal(found, labels.ravel() == 1)
    assert one[8.0] > 0.9
    assert one[0.0] < 0.1


def test_noise_is_not_told_by_groups_that_are_two_classes_each() -> None:
    """Where every group is, all of it would pass for noise."""
    rng = np.random.default_rng(6)
    true = rng.integers(0, 4, (16, 18))
    lab = np.tile(np.array([60.0, 10, 5]), (16, 18, 6, 6, 1))
    lab += rng.normal(0, 1.5, (16, 18, 6, 6, 3))
    lab[..., 0] += np.array([-20.0, -11.0, 11.0, 20.0])[true][:, :, None, None]
    lab = lab.astype(np.float32)
    spread = Spread.of(looks_of(lab, 0.6), AppearanceSettings())
    heaps = list(heaps_of(lab, (true > 1).astype(np.intp), spread))
    assert [heap.group for heap in heaps] == [0, 1]
    assert all(heap.chance > 0.8 for heap in heaps)


def test_two_groups_are_two_classes_only_where_they_differ() -> None:
    chances = []
    for step in (0.0, 8.0):
        lab, labels = seen(step)
        spread = Spread.of(looks_of(lab, 0.6), AppearanceSettings())
        chances.append(chance_of_pair(lab, labels, spread, (0, 1)))
    assert chances[0] < 0.05
    assert chances[1] > 0.8


def test_shadows_of_a_ruled_ground_are_no_symbols_where_all_else_is_black() -> None:
    """An old print: the bare cells are ruled, the crosses are so heavy that they fill theirs."""
    ruled = cloth((238, 238, 238), (41, 41, 41), ringed=True, paper=WHITE)
    scanned = replace(ruled, exact=False, ink=np.array([14.5, 17.9]))
    assert ground_odds(scanned).taken(0.9) == 0
    coloured = replace(scanned, colours=np.array([(238, 238, 238), (40, 20, 120)], float))
    assert ground_odds(coloured).taken(0.5) is None


def test_a_class_that_the_light_was_told_by_is_less_likely_bare_where_paper_is_brighter() -> None:
    page = cloth(WHITE, RED, BLUE, ringed=True, paper=(250, 250, 250))
    lit = ground_odds(page).chances[0]
    told = ground_odds(replace(page, paper=np.array([297.0, 298.0, 298.0]))).chances[0]
    assert told < 0.87 < lit
