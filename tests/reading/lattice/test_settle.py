"""A lattice settles on lines that bend near a fold, and stays where there is nothing to see."""

from __future__ import annotations

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray

from chartscan.reading.lattice.model import FLAT, Lattice
from chartscan.reading.lattice.settle import settle

PITCH, COLUMNS, ROWS, MARGIN = 12.0, 40, 50, 30


def bend(y: NDArray[np.float64], deep: float) -> NDArray[np.float64]:
    """Px by which paper is moved beside a fold across the middle of the grid."""
    far = (y - (MARGIN + ROWS * PITCH / 2)) / (4 * PITCH)
    return deep * far * np.exp(0.5 - 0.5 * far**2)


def folded(deep: float, noise: float) -> NDArray[np.float32]:
    """A grid of dark lines two px wide; lines across are moved by the fold."""
    height, width = int(ROWS * PITCH) + 2 * MARGIN, int(COLUMNS * PITCH) + 2 * MARGIN
    y, x = np.mgrid[0:height, 0:width] + 0.5
    u, v = (x - MARGIN) / PITCH, (y - bend(y, deep) - MARGIN) / PITCH
    page = np.full((height, width), 235.0)
    inside = (u > -0.1) & (u < COLUMNS + 0.1) & (v > -0.1) & (v < ROWS + 0.1)
    for place in (u, v):
        page[inside & (np.abs(place - np.round(place)) <= 1 / PITCH)] = 60
    page += np.random.default_rng(5).normal(0, noise, page.shape)
    return page.astype(np.float32)


def plain() -> Lattice:
    return Lattice(
        COLUMNS, ROWS, np.array([[PITCH, 0, MARGIN], [0, PITCH, MARGIN], [0, 0, 1.0]]), FLAT, True
    )


@settings(max_examples=6)
@given(deep=st.floats(-3.0, 3.0))
def test_lines_moved_by_a_fold_are_found(deep: float) -> None:
    """An eighth of a cell off at most, where lines had moved by up to a quarter."""
    lattice = settle(folded(deep, 12.0), plain())
    rows = np.arange(1, ROWS, dtype=np.float64)
    seen = lattice.to_pixels(np.stack([np.full_like(rows, COLUMNS / 2), rows], axis=1))[:, 1]
    there: NDArray[np.float64] = MARGIN + rows * PITCH
    for _ in range(20):  # where the moved line lies: y = line + bend(y)
        there = MARGIN + rows * PITCH + bend(there, deep)
    assert np.abs(seen - there).max() <= 0.12 * PITCH


def test_without_lines_nothing_moves() -> None:
    blank = np.full((660, 540), 200.0, np.float32)
    lattice = settle(blank, plain())
    nodes = np.array([[0.0, 0], [COLUMNS, 0], [COLUMNS, ROWS], [3, 44]])
    assert np.abs(lattice.to_pixels(nodes) - plain().to_pixels(nodes)).max() < 0.5
