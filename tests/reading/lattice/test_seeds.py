"""Seeds: tiles of a page that repeat both ways, with their steps."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from chartscan.reading.lattice.seeds import SeedSettings, _starts, find_seeds


def ruled(pitch: float, degrees: float, side: int = 400) -> np.ndarray:
    """Thin dark lines on noisy paper, ``pitch`` px apart both ways, turned clockwise."""
    y, x = np.mgrid[0:side, 0:side].astype(np.float64)
    turn = np.radians(degrees)
    across = x * np.cos(turn) + y * np.sin(turn)
    down = y * np.cos(turn) - x * np.sin(turn)
    near = np.minimum(*(np.abs((w + pitch / 2) % pitch - pitch / 2) for w in (across, down)))
    page = 230 - 120 * np.clip(1.2 - near, 0, 1) + np.random.default_rng(1).normal(0, 4, x.shape)
    return np.asarray(page.clip(0, 255), dtype=np.uint8)


@pytest.mark.parametrize("pitch", [9.0, 13.7, 21.0])
@pytest.mark.parametrize("degrees", [0.0, 4.0, -11.0])
def test_steps_are_those_of_the_lines(pitch: float, degrees: float) -> None:
    seed = find_seeds(ruled(pitch, degrees))[0]
    turn = np.radians(degrees)
    true = pitch * np.array([[np.cos(turn), -np.sin(turn)], [np.sin(turn), np.cos(turn)]])
    assert np.abs(seed.steps - true).max() < 0.04 * pitch


def test_on_noise_nothing_is_strong() -> None:
    rng = np.random.default_rng(2)
    noise = rng.normal(200, 12, (400, 400)).clip(0, 255).astype(np.uint8)
    lined = find_seeds(ruled(13.7, 2.0))[0].strength
    assert max((s.strength for s in find_seeds(noise)), default=0.0) < lined / 2


@given(st.integers(20, 900), st.integers(20, 200))
def test_tiles_lie_over_the_whole_page_and_half_over_each_other(length: int, side: int) -> None:
    """Else a small grid lies across the seam of two and is seen whole in neither."""
    length = max(length, side)
    starts = np.array(_starts(length, side, SeedSettings(tiles=100)))
    assert starts[0] == 0
    assert starts[-1] == length - side or length - side < side / 2
    assert np.diff(starts).max(initial=0) <= side / 2 + 1
