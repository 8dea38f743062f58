"""Specks of dust go where their cells belong; rare glyphs stay a class of their own."""

from __future__ import annotations

import numpy as np
import pytest
from numpy.typing import NDArray

from chartscan.reading.classes.dust import without_dust

SIDE = 9


def blank_page(noise: float = 1.0) -> tuple[NDArray[np.float64], NDArray[np.intp]]:
    """Forty cells of paper and forty of a red, all labelled rightly."""
    generator = np.random.default_rng(4)
    lab = generator.normal(0, noise, (8, 10, SIDE, SIDE, 3))
    lab[:4] += (95, 0, 2)
    lab[4:] += (50, 60, 30)
    labels = np.repeat(np.array([0, 1], np.intp), 40)
    return lab, labels


@pytest.mark.parametrize("row", [1, 6])
def test_a_cell_with_a_speck_aside_is_like_the_others(row: int) -> None:
    lab, labels = blank_page()
    lab[row, 3, 1:3, 6:8] = (10, 0, 0)
    right = labels.copy()
    labels[row * 10 + 3] = 2
    assert np.array_equal(without_dust(lab, labels), right)


def test_dust_at_many_places_is_no_class() -> None:
    lab, labels = blank_page()
    right = labels.copy()
    for k in range(10):
        down, across = divmod(7 * k, SIDE - 1)
        lab[1, k, down % (SIDE - 1), across] = (5, 0, 0)
        labels[10 + k] = 2
    labels[10 + 4] = 0  # the speck in its middle might be a dot
    moved = without_dust(lab, labels)
    assert (moved == right).mean() > 0.95


def test_a_dot_in_the_middle_stays_a_class() -> None:
    lab, labels = blank_page()
    lab[1, 3, 3:6, 3:6] = (10, 0, 0)
    labels[13] = 2
    assert without_dust(lab, labels)[13] == 2


def test_a_rare_glyph_stays_a_class() -> None:
    """A cross reaches all over its cell: more than a speck."""
    lab, labels = blank_page()
    cross = np.eye(SIDE, dtype=bool) | np.eye(SIDE, dtype=bool)[::-1]
    lab[2, 2][cross] = (10, 0, 0)
    labels[22] = 2
    assert without_dust(lab, labels)[22] == 2


def test_a_rare_colour_stays_a_class() -> None:
    lab, labels = blank_page()
    lab[2, 2] += (-8, 10, 0)
    labels[22] = 2
    assert without_dust(lab, labels)[22] == 2


def test_a_lone_dot_on_a_dusty_page_is_dust() -> None:
    lab, labels = blank_page()
    right = labels.copy()
    lab[1, 3, 3:6, 3:6] = (10, 0, 0)
    lab[2, 7, 0:2, 0:2] = (10, 0, 0)
    labels[13], labels[27] = 2, 3
    assert np.array_equal(without_dust(lab, labels), right)


def test_a_speck_that_put_a_cell_into_a_large_group_is_seen_through() -> None:
    lab, labels = blank_page()
    right = labels.copy()
    lab[5, 5, 1:4, 1:4] = (100, 0, 0)
    labels[55] = 0
    assert np.array_equal(without_dust(lab, labels), right)
