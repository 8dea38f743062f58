"""The inks over a page: which colours they are, and how much of each covers every sample."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray

from chartscan.reading.marks.ground import Ground
from chartscan.reading.marks.inks import InkSettings, find_colours, lay_inks, see_left
from chartscan.reading.marks.patches import Patches
from tests.reading.marks.flat_page import patches_of
from tests.reading.staged import WHITE, Rgb

SIDE, ROWS, COLUMNS = 10, 6, 8
SHAPE = (ROWS * SIDE, COLUMNS * SIDE)
TOLERANCE = 5.0
GREEN: Rgb = (20, 110, 40)
PURPLE: Rgb = (120, 20, 140)
NONE = np.zeros((0, 3))
Cover = NDArray[np.float64]


def band(top: int, bottom: int, soft: float = 0.5) -> Cover:
    """A level band over most of the page, its outermost rows covered in part."""
    cover = np.zeros(SHAPE)
    cover[top:bottom, 5:-5] = 1
    cover[[top - 1, bottom], 5:-5] = soft
    return cover


def laid(
    *inked: tuple[Rgb, Cover], ground: NDArray[np.uint8] | None = None
) -> tuple[Patches, Ground]:
    """Inks laid over a ground one after the other (Porter and Duff, 1984: over)."""
    below = np.full((*SHAPE, 3), WHITE, np.uint8) if ground is None else ground
    page = below.astype(np.float64)
    for colour, cover in inked:
        page += cover[..., None] * (np.array(colour) - page)
    patches = patches_of(np.rint(page).astype(np.uint8), SIDE)
    expected = below.astype(np.int16)
    left = np.abs(patches.pixels - expected).max(axis=-1) > TOLERANCE
    return patches, Ground(expected, left, np.ones(SHAPE, np.bool_))


def colours(page: tuple[Patches, Ground], banned: NDArray[np.float64] = NONE) -> list[Rgb]:
    left = see_left(*page, TOLERANCE)
    found = find_colours(page[0], left, TOLERANCE, InkSettings(), banned)
    return [(int(r), int(g), int(b)) for r, g, b in np.rint(found)]


def covers(page: tuple[Patches, Ground], *inks: Rgb) -> list[NDArray[np.float32]]:
    left = see_left(*page, TOLERANCE)
    told = np.array(inks, np.float64).reshape(-1, 3)
    return [ink.cover for ink in lay_inks(page[1], left, told, TOLERANCE, InkSettings())]


# ---------------------------------------------------------------------------- left


def test_what_is_left_is_listed_with_what_is_seen_and_what_was_below() -> None:
    page = laid((GREEN, band(10, 14)))
    left = see_left(*page, TOLERANCE)
    assert left.shape == SHAPE
    assert (np.argwhere(page[1].left) == np.stack([left.y, left.x], axis=1)).all()
    assert (left.seen[left.pair] == page[0].pixels[left.y, left.x]).all()
    assert (left.below[left.pair] == page[1].expected[left.y, left.x]).all()
    assert len(left.seen) == 2  # full and half covered
    solid = np.zeros(SHAPE, np.bool_)
    solid[left.y, left.x] = left.solid
    assert solid[10:14, 5:-5].all()
    assert not solid[[8, 15]].any()


# -------------------------------------------------------------------------- colours


def test_soft_edges_of_a_line_are_no_ink_of_their_own() -> None:
    assert colours(laid((GREEN, band(10, 14)))) == [GREEN]


def test_two_inks_are_told_the_larger_first() -> None:
    page = laid((GREEN, band(10, 13)), (PURPLE, band(30, 38)))
    assert colours(page) == [PURPLE, GREEN]


def test_an_ink_that_blends_another_into_white_is_one_all_the_same() -> None:
    light: Rgb = tuple((v + 255) // 2 for v in GREEN)  # type: ignore[assignment]  # three
    page = laid((GREEN, band(10, 14, 0.0)), (light, band(30, 34, 0.0)))
    assert set(colours(page)) == {GREEN, light}


def test_colours_that_are_banned_are_not_found_again() -> None:
    page = laid((GREEN, band(10, 13)), (PURPLE, band(30, 38)))
    found = colours(page, np.array([PURPLE], np.float64))
    assert GREEN in found
    assert PURPLE not in found


@pytest.mark.parametrize(("width", "seen"), [(12, True), (8, False)])
def test_an_ink_accounts_for_a_tenth_of_a_cell_at_least(width: int, seen: bool) -> None:
    """Ten of a hundred samples, here in one solid spot."""
    cover = np.zeros(SHAPE)
    cover[20 : 20 + width // 2, 20:22] = 1
    assert bool(colours(laid((GREEN, cover)))) is seen


def test_where_nothing_is_left_there_is_no_ink() -> None:
    assert colours(laid()) == []
    assert covers(laid(), GREEN) == []
    assert covers(laid((GREEN, band(10, 14)))) == []


# --------------------------------------------------------------------------- cover


@settings(max_examples=30)
@given(st.floats(0.1, 1.0), st.tuples(*[st.integers(0, 255)] * 3))
def test_cover_is_the_share_of_the_ink_in_the_blend(share: float, ground: Rgb) -> None:
    if np.abs(np.subtract(ground, GREEN)).max() < 60:
        return  # on its own colour it is lost
    below = np.full((*SHAPE, 3), ground, np.uint8)
    page = laid((GREEN, band(10, 14, share)), ground=below)
    (cover,) = covers(page, GREEN)
    assert np.abs(cover - np.where(page[1].left, band(10, 14, share), 0)).max() < 0.03


def test_each_sample_is_of_the_ink_that_fits_it() -> None:
    page = laid((GREEN, band(10, 14)), (PURPLE, band(30, 34)))
    green, purple = covers(page, GREEN, PURPLE)
    assert (green[:20].sum() > 0) and not green[25:].any()  # noqa: PT018 - one picture
    assert (purple[25:].sum() > 0) and not purple[:20].any()  # noqa: PT018 - one picture


def test_what_no_blend_explains_is_covered_by_none() -> None:
    page = laid((GREEN, band(10, 14)), ((250, 240, 20), band(30, 34)))
    (cover,) = covers(page, GREEN)
    assert not cover[25:].any()


def test_an_ink_is_hidden_under_another_and_on_its_own_colour() -> None:
    ground = np.full((*SHAPE, 3), WHITE, np.uint8)
    ground[:, 60:] = GREEN
    page = laid((GREEN, band(10, 14)), (PURPLE, band(12, 20)), ground=ground)
    left = see_left(*page, TOLERANCE)
    told = np.array([GREEN, PURPLE], np.float64)
    green, purple = lay_inks(page[1], left, told, TOLERANCE, InkSettings())
    assert green.hidden[13:19, 6:50].all()  # under the other
    assert green.hidden[30:, 60:].all()  # on its own colour
    assert not green.hidden[30:, :60].any()
    assert not purple.hidden[30:, 60:].any()
