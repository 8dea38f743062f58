"""One axis of a grid: which lines lie on the page, and how they are fitted to edges."""

from __future__ import annotations

import numpy as np
import pytest

from chartscan.reading.lattice.axis import Axis, evenly_spaced, phase


@pytest.mark.parametrize(
    ("origin", "first", "last"),
    [
        (5.0, 5.0, 95.0),
        (8.0, -2.0, 98.0),  # 2 of 10 px before the page: cropped at the frame
        (6.9, 6.9, 96.9),  # 3.1 px before it nothing is looked for
        (2.0, 2.0, 102.0),
        (-18.0, 2.0, 102.0),
    ],
)
def test_a_line_that_was_cropped_off_with_the_frame_is_still_a_line(
    origin: float, first: float, last: float
) -> None:
    """Else the outermost row or column of the design would be lost; none is made up farther off."""
    lines = Axis(origin, 10.0, 1, 1, 1).lines(100)
    assert (lines[0], lines[-1]) == pytest.approx((first, last))
    np.testing.assert_allclose(np.diff(lines), 10.0)


@pytest.mark.parametrize(("pitch", "origin"), [(12.0, 7.0), (9.7, 3.0), (31.0, 0.0)])
def test_the_pitch_is_found_near_a_guess_and_where_its_lines_lie(
    pitch: float, origin: float
) -> None:
    """4 % off at first; a twentieth of a pixel is half a cell at most over a hundred cells."""
    edges = np.round(origin + pitch * np.arange(60))
    found, start = phase(edges, np.ones(60), 1.04 * pitch)
    assert found == pytest.approx(pitch, abs=0.05)
    off = (start - origin + found / 2) % found - found / 2
    assert abs(off) < 0.1 * pitch


def test_what_weighs_more_says_where_the_lines_lie() -> None:
    """A frame drawn between lines doesn't draw them to it."""
    edges = np.concatenate([10 * np.arange(40.0), 10 * np.arange(40.0) + 5])
    for heavy in (0, 1):
        weight = np.where(np.arange(80) // 40 == heavy, 3.0, 1.0)
        pitch, start = phase(edges, weight, 10.2)
        assert pitch == pytest.approx(10, abs=0.05)
        assert (start - 5 * heavy + 5) % 10 - 5 == pytest.approx(0, abs=1)


def test_lines_are_laid_through_edges_by_weighted_least_squares() -> None:
    """As numpy's polyfit does it, whose weights are the roots of these."""
    rng = np.random.default_rng(12)
    index = rng.permutation(30).astype(float)
    weight = rng.uniform(0.1, 3, 30)
    position = 4 + 9.3 * index + rng.normal(0, 0.4, 30)
    pitch, origin = evenly_spaced(index, position, weight)
    assert (pitch, origin) == pytest.approx(np.polyfit(index, position, 1, w=np.sqrt(weight)))
