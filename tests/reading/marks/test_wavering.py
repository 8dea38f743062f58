"""Marks on grid lines that waver, as scans have them, and knots that lie beside the grid."""

from __future__ import annotations

import numpy as np
import pytest

from chartscan.reading.marks.fills import Fills
from chartscan.reading.marks.ground import lay_ground
from chartscan.reading.marks.inks import Ink
from chartscan.reading.marks.knots import KnotSettings, find_dots
from chartscan.reading.marks.patches import Patches
from chartscan.reading.marks.rims import Rims

SIDE = 20
ROWS = 6
PURPLE = (180, 60, 175)


def left_over(colour: tuple[int, int, int]) -> np.ndarray:
    """What is left of a stroke in ``colour`` along the middle line of a page of two columns."""
    size = ROWS * SIDE
    bare = np.full((size, 2 * SIDE, 3), 250, np.int16)
    seen = bare.copy()
    seen[:, SIDE - 1] = 60
    seen[:, SIDE] = 140
    seen[::2, SIDE] = 230  # the line wavers
    seen[SIDE : 3 * SIDE, SIDE - 1 : SIDE + 1] = colour
    beside = np.zeros(2 * SIDE)
    patches = Patches(seen, SIDE, ROWS, 2, beside, np.zeros(size))
    rim = np.zeros(2 * SIDE, np.bool_)
    rim[SIDE - 1 : SIDE + 1] = True
    fills = Fills(
        np.full((1, 3), 250.0), np.array([0]), np.array([0]), np.zeros((ROWS, 2), np.intp),
        rim, np.zeros(size, np.bool_), 14.0, False,
    )  # fmt: skip
    upright = Rims(
        np.array([SIDE - 1, SIDE]), np.array([1, 1]),
        np.array([[60.0] * 3, [35.0] * 3], np.float32),
        np.array([0.0, 0.3], np.float32), np.array([0.0, 0.3], np.float32),
        np.array([30.0, 40.0], np.float32), np.zeros(2, np.bool_),
    )  # fmt: skip
    level = Rims(
        np.array([0]), np.array([0]), np.zeros((1, 3), np.float32), np.ones(1, np.float32),
        np.zeros(1, np.float32), np.zeros(1, np.float32), np.zeros(1, np.bool_),
    )  # fmt: skip
    left = lay_ground(patches, fills, bare, (upright, level)).left
    return left[:, SIDE - 1 : SIDE + 1]


def test_a_coloured_stroke_on_a_wavering_line_is_left_and_the_line_is_not() -> None:
    left = left_over(PURPLE)
    assert left[SIDE : 3 * SIDE].all()
    assert not left[:SIDE].any()
    assert not left[3 * SIDE :].any()


def test_what_the_line_itself_may_look_like_is_not_left() -> None:
    assert not left_over((100, 100, 100)).any()


@pytest.mark.parametrize("by", [(0.0, 0.0), (1.6, -1.6)])
def test_knots_are_found_where_all_lie_beside_the_grid(by: tuple[float, float]) -> None:
    size = 8 * SIDE
    places = np.array([(1.0, 1.5), (3.0, 3.0), (5.5, 2.0), (6.5, 6.0), (2.5, 6.5)])
    y, x = np.mgrid[:size, :size] + 0.5
    cover = np.zeros((size, size), np.float32)
    for place in places:
        away = np.hypot(x - place[0] * SIDE - by[0], y - place[1] * SIDE - by[1])
        cover = np.maximum(cover, np.clip(0.25 * SIDE + 0.5 - away, 0, 1).astype(np.float32))
    ink = Ink(np.zeros(3), cover, np.zeros((size, size), np.bool_))
    found = find_dots(ink, SIDE, KnotSettings()).places
    assert sorted(map(tuple, found)) == sorted(map(tuple, places))
