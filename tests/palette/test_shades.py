"""The order of shades, by trying every choice and by properties."""

from __future__ import annotations

import itertools
from collections.abc import Sequence

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.typing import NDArray

from chartscan.palette.shades import (
    ShadeSettings,
    hue_groups,
    keep_order,
    keep_orders,
    lost_steps,
    needed_steps,
)

Array = NDArray[np.float64]
SETTINGS = ShadeSettings()


def _total(cost: Array, lightness: Array, thread_l: Array, chosen: tuple[int, ...]) -> float:
    """Cost of a choice, by hand: differences, and 5 for each lost step.

    A step of less than 1 in the chart needs none in thread, another half of itself, 2 at most.
    """
    lost = 0
    for at, (dark, light) in enumerate(itertools.pairwise(chosen)):
        step = float(lightness[at + 1] - lightness[at])
        least = 0.0 if step < 1 else min(2.0, step / 2)
        lost += float(thread_l[light] - thread_l[dark]) < least
    return sum(float(cost[at, taken]) for at, taken in enumerate(chosen)) + 5.0 * lost


@given(st.integers(0, 2**32 - 1), st.integers(2, 4), st.integers(4, 6))
def test_the_order_is_kept_at_the_least_cost_there_is(seed: int, count: int, threads: int) -> None:
    rng = np.random.default_rng(seed)
    lightness = np.sort(rng.uniform(10, 90, count))
    thread_l = rng.uniform(10, 90, threads)
    cost = np.abs(lightness[:, None] - thread_l[None]) + rng.uniform(0, 8, (count, threads))
    chosen = keep_order(cost, lightness, thread_l, SETTINGS, distinct=False)
    assert chosen is not None
    best = min(
        _total(cost, lightness, thread_l, choice)
        for choice in itertools.product(range(threads), repeat=count)
    )
    assert _total(cost, lightness, thread_l, tuple(chosen.tolist())) == pytest.approx(best)


@given(st.integers(0, 2**32 - 1), st.integers(2, 4), st.integers(4, 6))
def test_a_thread_for_each_shade_is_the_least_of_its_own_cost(
    seed: int, count: int, threads: int
) -> None:
    """By trying every choice without a thread that serves twice."""
    rng = np.random.default_rng(seed)
    lightness = np.sort(rng.uniform(10, 90, count))
    thread_l = rng.uniform(10, 90, threads)
    cost = np.abs(lightness[:, None] - thread_l[None]) + rng.uniform(0, 8, (count, threads))
    chosen = keep_order(cost, lightness, thread_l, SETTINGS)
    assert chosen is not None
    assert len(set(chosen.tolist())) == count
    best = min(
        _total(cost, lightness, thread_l, choice)
        for choice in itertools.permutations(range(threads), count)
    )
    assert _total(cost, lightness, thread_l, tuple(chosen.tolist())) == pytest.approx(best)


@given(st.integers(0, 2**32 - 1))
def test_two_hues_that_want_each_others_threads_share_them_at_the_least_cost(seed: int) -> None:
    """By trying every way to give five threads to two pairs of shades."""
    rng = np.random.default_rng(seed)
    thread_l = rng.uniform(20, 80, 5)
    lightness = [np.sort(rng.uniform(20, 80, 2)) for _ in range(2)]
    costs = [np.abs(each[:, None] - thread_l) + rng.uniform(0, 4, (2, 5)) for each in lightness]

    def total(chosen: Sequence[int]) -> float:
        pairs = (tuple(chosen[:2]), tuple(chosen[2:]))
        return sum(
            _total(cost, of, thread_l, pair)
            for cost, of, pair in zip(costs, lightness, pairs, strict=True)
        )

    found = keep_orders(costs, lightness, thread_l, SETTINGS)
    assert found is not None
    best = min(map(total, itertools.permutations(range(5), 4)))
    assert total(np.concatenate(found).tolist()) == pytest.approx(best)


@given(st.integers(0, 2**32 - 1), st.integers(2, 12))
def test_in_a_rich_range_no_step_is_lost(seed: int, count: int) -> None:
    rng = np.random.default_rng(seed)
    lightness = np.sort(rng.uniform(15, 85, count))
    thread_l = np.linspace(5, 95, 400)
    cost = np.abs(lightness[:, None] - thread_l[None]) + rng.uniform(0, 3, (count, 400))
    chosen = keep_order(cost, lightness, thread_l, SETTINGS)
    assert chosen is not None
    made = np.diff(thread_l[chosen])
    assert (made >= needed_steps(lightness, SETTINGS)).all()
    assert len(set(chosen.tolist())) == count


def test_a_nearest_thread_on_the_wrong_side_gives_way() -> None:
    lightness, thread_l = np.array([40.0, 50.0]), np.array([46.0, 45.0, 52.0])
    cost = np.array(
        [[1.0, 9.0, 9.0], [9.0, 0.5, 1.5]]
    )  # nearest: 46 for the dark, 45 for the light
    chosen = keep_order(cost, lightness, thread_l, SETTINGS)
    assert chosen is not None
    assert chosen.tolist() == [0, 2]


def test_a_step_that_costs_too_much_is_given_up() -> None:
    lightness, thread_l = np.array([40.0, 50.0]), np.array([46.0, 45.0, 90.0])
    cost = np.array([[1.0, 9.0, 40.0], [9.0, 0.5, 40.0]])
    chosen = keep_order(cost, lightness, thread_l, SETTINGS)
    assert chosen is not None
    assert chosen.tolist() == [0, 1]
    lab = np.array([[40.0, 30, 0], [50, 30, 0]])
    (lost,) = lost_steps(lab, np.array([[46.0, 30, 0], [45, 30, 0]]), hue_groups(lab))
    assert (lost.darker, lost.lighter) == (0, 1)
    assert lost.chart_gap == pytest.approx(10)
    assert lost.thread_gap == pytest.approx(-1)


def test_colours_that_may_have_no_thread_have_no_order() -> None:
    cost = np.full((2, 3), np.inf)
    assert keep_order(cost, np.array([1.0, 2.0]), np.array([1.0, 2.0, 3.0]), SETTINGS) is None


def test_shades_of_one_hue_are_grouped_dark_to_light_and_greys_apart() -> None:
    hues = [(10, 80), (10, 30), (10, 50), (200, 40), (205, 70), (120, 50)]
    lab = [[light, 40 * np.cos(np.deg2rad(h)), 40 * np.sin(np.deg2rad(h))] for h, light in hues]
    lab += [[90, 1, 1], [20, -2, 3]]
    groups = {tuple(group.tolist()) for group in hue_groups(np.array(lab))}
    assert groups == {(1, 2, 0), (3, 4), (7, 6)}


def test_reds_on_both_sides_of_zero_degrees_are_one_group() -> None:
    lab = np.array([[50.0, 40, -3], [60, 40, 3], [40, 40, 0]])
    assert [g.tolist() for g in hue_groups(lab)] == [[2, 0, 1]]


@given(st.lists(st.tuples(st.floats(0, 100), st.floats(8, 60), st.floats(0, 360)), max_size=25))
def test_no_group_spans_more_hue_than_allowed_and_none_holds_a_colour_twice(
    colours: list[tuple[float, float, float]],
) -> None:
    angle = np.deg2rad([h for _, _, h in colours])
    chroma = np.array([c for _, c, _ in colours])
    lab = np.stack(
        [[light for light, _, _ in colours], chroma * np.cos(angle), chroma * np.sin(angle)]
    )
    groups = hue_groups(lab.T.reshape(-1, 3))
    members = [i for group in groups for i in group.tolist()]
    assert len(members) == len(set(members))
    for group in groups:
        assert (np.diff(lab[0, group]) >= 0).all()


def test_a_step_too_small_to_see_needs_none_in_thread() -> None:
    np.testing.assert_allclose(needed_steps(np.array([10, 10.5, 12.5, 30]), SETTINGS), [0, 1, 2])


@pytest.mark.parametrize("hue", [(40.0, 0.0), (-40.0, 0.0), (0.0, 40.0), (0.0, -40.0)])
def test_red_green_yellow_and_blue_are_no_greys(hue: tuple[float, float]) -> None:
    lab = [[30, *hue], [60, *hue], [20, 0, 0], [80, 0, 0]]
    groups = {tuple(group.tolist()) for group in hue_groups(np.array(lab, dtype=np.float64))}
    assert groups == {(0, 1), (2, 3)}
