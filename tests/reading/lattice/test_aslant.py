"""Whether edges move aside from band to band of a page."""

from __future__ import annotations

import numpy as np
import pytest

from chartscan.reading.lattice.aslant import is_aslant
from chartscan.reading.lattice.edges import Edges, find_edges

WIDTH, HEIGHT, PITCH = 1400, 1000, 20


def edges_of(lean: float, spread: float = 0.0) -> Edges:
    """Edges of upright lines 3 px wide that move ``lean`` px a row.

    With ``spread`` those at the right move by that much more, and those at the left by as much
    less, as perspective makes them.
    """
    y, x = np.mgrid[0:HEIGHT, 0:WIDTH].astype(np.float64)
    moved = x + y * (lean + spread * (x / WIDTH - 0.5))
    grey = np.where(moved % PITCH < 3, 60, 240).astype(np.float64)
    grey += np.random.default_rng(3).normal(0, 3, grey.shape)
    pixels = np.clip(grey, 0, 255).astype(np.uint8)[..., None].repeat(3, axis=2)
    return find_edges(pixels, 700, lossless=False)


@pytest.mark.parametrize("lean", [0.0, 0.001])
def test_lines_that_run_down_or_nearly_so_are_not_aslant(lean: float) -> None:
    assert not is_aslant(edges_of(lean))


@pytest.mark.parametrize(("lean", "spread"), [(0.02, 0.0), (-0.04, 0.0), (0.0, 0.2)])
def test_lines_that_lean_are_aslant(lean: float, spread: float) -> None:
    """A turn by one degree moves a line 0.017 px a row; perspective moves both halves apart."""
    assert is_aslant(edges_of(lean, spread))


def test_a_page_with_few_rows_tells_nothing() -> None:
    edges = find_edges(np.zeros((40, 2000, 3), np.uint8), 700, lossless=False)
    assert not is_aslant(edges)


def test_noise_alone_is_not_aslant() -> None:
    noise = np.random.default_rng(5).integers(0, 256, (800, 1200, 3), dtype=np.uint8)
    assert not is_aslant(find_edges(noise, 700, lossless=False))
