"""Lines rounded to one side of the grid tell by how much, and only where they agree."""

from __future__ import annotations

import numpy as np
import pytest

from chartscan.reading.marks.inkfield import LineSettings, common_shift
from chartscan.reading.marks.inks import Ink

SIDE = 14
SIZE = 20 * SIDE


def shift_of(down: int, across: int) -> list[float]:
    """The shift told by two inks, one with level and one with upright lines, and much slanting."""
    covers = np.zeros((2, SIZE, SIZE), np.float32)
    slant = np.arange(2 * SIDE, 18 * SIDE)
    for k, at in enumerate((2, 5, 11)):
        covers[0, at * SIDE + down - 1 : at * SIDE + down + 1, 3 * SIDE : 6 * SIDE] = 1
        covers[1, 3 * SIDE : 6 * SIDE, at * SIDE + across - 1 : at * SIDE + across + 1] = 1
        covers[:, slant, slant[::-1] - k] = 1
    bare = np.zeros((SIZE, SIZE), np.bool_)
    inks = [Ink(np.zeros(3), cover, bare) for cover in covers]
    return [float(v) for v in common_shift(inks, bare, SIDE, LineSettings())]


@pytest.mark.parametrize("by", [-1, 1])
def test_lines_of_all_inks_rounded_to_one_side_tell_the_shift(by: int) -> None:
    assert shift_of(by, by) == pytest.approx([by, by], abs=0.3)


@pytest.mark.parametrize(("down", "across"), [(0, 0), (1, -1), (1, 0), (3, 3)])
def test_lines_on_the_grid_or_at_odds_tell_none(down: int, across: int) -> None:
    assert shift_of(down, across) == [0, 0]
