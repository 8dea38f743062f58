"""Whether any cell shows more than its ground."""

from __future__ import annotations

import numpy as np
import pytest

from chartscan.reading.cells.glyphs import is_bare
from chartscan.reading.cells.sampling import Cells

ROWS, COLUMNS, SIDE = 20, 30, 6


def cells_of(ink: np.ndarray) -> Cells:
    """Cells of two grounds with ``ink`` on them and noise of 3 levels all over."""
    noise = np.random.default_rng(1).normal(0, 3, (ROWS, COLUMNS, SIDE, SIDE))
    ground = np.full((ROWS, COLUMNS, 3), 200.0)
    ground[:, ::2] = (90, 120, 160)
    return Cells(ground, (ink + noise).astype(np.float32), np.zeros((ROWS, COLUMNS)), exact=False)


def test_plain_fills_with_noise_are_bare() -> None:
    assert is_bare(cells_of(np.zeros((ROWS, COLUMNS, SIDE, SIDE))))


@pytest.mark.parametrize("depth", [-60.0, 60.0])
def test_one_cell_with_a_mark_is_not(depth: float) -> None:
    ink = np.zeros((ROWS, COLUMNS, SIDE, SIDE))
    ink[7, 12, 2:4, 2:4] = depth
    assert not is_bare(cells_of(ink))


def test_a_faint_glyph_in_all_cells_of_a_ground_is_seen_in_their_mean() -> None:
    """Eight levels are less than the noise of a place, but not of the mean of 300."""
    ink = np.zeros((ROWS, COLUMNS, SIDE, SIDE))
    ink[:, ::2, 2:4, 2:4] = -8
    assert not is_bare(cells_of(ink))


def test_few_places_tell_nothing() -> None:
    few = Cells(np.zeros((5, 5, 3)), np.zeros((5, 5, 4, 4), np.float32), np.zeros((5, 5)), False)
    assert not is_bare(few)
