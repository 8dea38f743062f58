"""Where ink is looked up between samples: at the border, and beyond it."""

from __future__ import annotations

import numpy as np
import pytest

from chartscan.reading.marks.inkfield import Field

SIDE = 8  # samples a cell
BARE, HIDDEN, INK, OUTSIDE = range(4)


def field(shift: tuple[float, float] = (0.0, 0.0)) -> Field:
    """Two cells by one: ink in the left column of points, hidden in the lowest row but there."""
    state = np.zeros((SIDE + 1, 2 * SIDE + 1), dtype=np.uint8)
    state[-1] = HIDDEN
    state[:, 0] = INK
    return Field(state, SIDE, np.array(shift))


@pytest.mark.parametrize(
    ("x", "y", "seen"),
    [
        (0.0, 0.0, INK),
        (0.12, 1.0, INK),  # the nearest point is the border's
        (0.13, 1.0, BARE),
        (4.0, 2.0, HIDDEN),
        (4.5, 2.5, HIDDEN),  # two samples outside, still as the border
        (4.0, 2.75, OUTSIDE),
        (-0.5, -0.5, INK),
        (-0.75, 1.0, OUTSIDE),
        (1e6, 1.0, OUTSIDE),
        (1.0, -1e6, OUTSIDE),
    ],
)
def test_points_are_the_nearest_ones_and_the_border_reaches_out_a_little(
    x: float, y: float, seen: int
) -> None:
    here = field()
    assert here.at(np.array([x, y])) == seen
    assert here.where(np.array([x]), np.array([y])).tolist() == [seen]


def test_lines_that_lie_beside_the_grid_are_found_there() -> None:
    moved = field((1.0, -1.0))
    assert moved.at(np.array([[-0.25, 1.0], [0.0, 1.0], [3.0, 2.25]])).tolist() == [
        INK,
        BARE,
        HIDDEN,
    ]


def test_whole_half_cells_do_as_well() -> None:
    every = np.array([[0, 0], [2, 1], [4, 2]], dtype=np.int32)
    assert field().at(every).tolist() == [INK, BARE, HIDDEN]


@pytest.mark.parametrize("shift", [(0.0, 0.0), (0.8, -1.2)])
def test_the_way_along_segments_shows_what_its_points_show(shift: tuple[float, float]) -> None:
    seen, rng = field(shift), np.random.default_rng(1_440_020)
    last = [2 * (side - 1) // SIDE for side in seen.state.shape[::-1]]
    ends = np.concatenate([rng.integers(0, np.array(last) + 1, (60, 2)) for _ in range(2)], axis=1)
    parts = (np.arange(23) + 0.5) / 23
    points = ends[:, None, :2] * (1 - parts)[:, None] + ends[:, None, 2:] * parts[:, None]
    np.testing.assert_array_equal(seen.along(ends, parts), seen.at(points))
