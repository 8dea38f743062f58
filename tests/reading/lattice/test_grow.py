"""A lattice grows from one corner of a page over all of it, however the page leans."""

from __future__ import annotations

import numpy as np
import pytest
from numpy.typing import NDArray

from chartscan.reading.lattice.grow import CAREFUL, begin, grow, reaches
from chartscan.reading.lattice.model import project
from chartscan.reading.lattice.seeds import find_seeds

COLUMNS, ROWS = 60, 50


def leaning(lean: tuple[float, float]) -> tuple[NDArray[np.float32], NDArray[np.float64]]:
    """A grid seen aslant, on paper with some noise, and the map from its cells to pixels."""
    homography = np.array([[10.0, 0.3, 40.0], [-0.2, 9.0, 45.0], [*lean, 1.0]])
    corners = np.array([[0.0, 0], [COLUMNS, 0], [COLUMNS, ROWS], [0, ROWS]])
    width, height = project(homography, corners).max(axis=0).astype(int) + 40
    y, x = np.mgrid[0:height, 0:width] + 0.5
    cells = project(np.linalg.inv(homography), np.stack([x, y], axis=-1).reshape(-1, 2))
    u, v = cells.T.reshape(2, height, width)
    page = np.full((height, width), 235.0)
    inside = (np.abs(u - COLUMNS / 2) < COLUMNS / 2 + 0.1) & (np.abs(v - ROWS / 2) < ROWS / 2 + 0.1)
    for place in (u, v):
        page[inside & (np.abs(place - np.round(place)) <= 0.08)] = 60
    page += np.random.default_rng(5).normal(0, 8, page.shape)
    return page.astype(np.float32), homography


@pytest.mark.parametrize("lean", [(0.0, 0.0), (-0.005, -0.003), (-0.002, -0.005)])
def test_growth_from_any_seed_keeps_in_step_with_a_page_that_leans(
    lean: tuple[float, float],
) -> None:
    """Cells at the far side may be twice as large: no line is left out and none counted twice."""
    page, homography = leaning(lean)
    places = np.array([[3.0, 3], [COLUMNS - 3, 3], [COLUMNS - 3, ROWS - 3], [3, ROWS - 3]])
    for seed in find_seeds(page):
        begun = begin(page, seed, reaches(page, seed), CAREFUL.in_step)
        grown = grow(page, seed, begun)
        assert grown is not None
        cells = grown.lattice.to_cells(project(homography, places))
        assert np.abs(cells - np.round(cells)).max() <= 0.2
        assert np.abs(np.diff(cells, axis=0) - np.diff(places, axis=0)).max() <= 0.2
