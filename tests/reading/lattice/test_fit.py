"""A map from cells to pixels, fitted to where lines were seen, some of them wrongly."""

from __future__ import annotations

import numpy as np
import pytest
from numpy.typing import NDArray

from chartscan.reading.lattice.fit import FitSettings, _residual, fit_projective
from chartscan.reading.lattice.model import project
from chartscan.reading.lattice.projective import fit_homography

Floats = NDArray[np.float64]
GRID = np.stack(np.meshgrid(np.arange(0, 60, 4.0), np.arange(0, 40, 4.0)), axis=-1).reshape(-1, 2)
ASLANT = np.array([[13.0, 0.8, 120.0], [-0.5, 12.0, 80.0], [4e-4, -3e-4, 1.0]])
LEANING = np.array([[13.0, 0.8, 120.0], [-0.5, 12.0, 80.0], [0.0, 0.0, 1.0]])
EVENLY = np.ones_like(GRID)


@pytest.mark.parametrize(("true", "affine"), [(ASLANT, False), (LEANING, False), (LEANING, True)])
def test_what_was_seen_exactly_is_fitted_exactly(true: Floats, affine: bool) -> None:
    seen = project(true, GRID)
    found = fit_projective(GRID, seen, EVENLY, affine=affine)
    assert found[2, 2] == 1
    np.testing.assert_allclose(found, true, rtol=1e-5, atol=1e-6)


def test_a_map_without_perspective_has_none() -> None:
    found = fit_projective(GRID, project(ASLANT, GRID), EVENLY, affine=True)
    assert found[2].tolist() == [0, 0, 1]


def test_one_block_in_ten_that_was_seen_a_cell_off_moves_nothing_by_a_tenth_of_a_pixel() -> None:
    """Else a fold or a stain would shift the whole grid, and every cell be read beside itself."""
    rng = np.random.default_rng(4)
    seen = project(ASLANT, GRID) + rng.normal(0, 0.1, GRID.shape)
    wrong = rng.choice(len(GRID), len(GRID) // 10, replace=False)
    seen[wrong] += 12.0
    found = fit_projective(GRID, seen, EVENLY, affine=False)
    assert np.abs(project(found, GRID) - project(ASLANT, GRID)).max() < 0.1


def test_where_only_the_level_lines_were_seen_only_they_are_believed() -> None:
    """What is right and left of such a block is told by nothing there, whatever stands in it."""
    seen, weight = project(ASLANT, GRID), EVENLY.copy()
    blind = np.arange(len(GRID)) % 3 == 0
    seen[blind, 0] += 500.0
    weight[blind, 0] = 0.0
    found = fit_projective(GRID, seen, weight, affine=False)
    np.testing.assert_allclose(project(found, GRID), project(ASLANT, GRID), atol=0.01)


def test_what_is_seen_clearly_counts_for_more() -> None:
    """Half of the blocks lie two pixels right of the others, and are seen a tenth as well."""
    seen = project(LEANING, GRID)
    weak = np.random.default_rng(6).random(len(GRID)) < 0.5
    seen[weak, 0] += 2.0
    found = fit_projective(GRID, seen, np.where(weak[:, None], 0.1, 1.0), affine=True)
    assert 0 <= (project(found, GRID) - project(LEANING, GRID))[:, 0].mean() < 0.4


def test_blocks_on_one_line_make_no_map() -> None:
    line = np.stack([np.arange(20.0), np.zeros(20)], axis=-1)
    with pytest.raises(np.linalg.LinAlgError):
        fit_projective(line, 12 * line, np.ones_like(line), affine=False)


def test_four_corners_that_a_person_told_are_met() -> None:
    told = np.array([[102.0, 80.0], [1410.0, 95.0], [1398.0, 1790.0], [88.0, 1771.0]])
    corners = np.array([[0.0, 0.0], [60.0, 0.0], [60.0, 80.0], [0.0, 80.0]])
    np.testing.assert_allclose(project(fit_homography(corners, told), corners), told, atol=1e-6)


def test_a_bend_is_told_by_what_is_seen_across_and_down_each_by_itself() -> None:
    """Upright lines are seen on the left alone, level ones on the right alone."""
    middles = np.stack(np.meshgrid(np.arange(2, 60, 4.0), np.arange(2, 40, 4.0)), axis=-1)
    off = np.broadcast_to(np.array([0.8, -0.6]), middles.shape)
    left = middles[..., 0] < 30
    weight = np.stack([left, ~left], axis=-1).astype(np.float64)
    bend = _residual(off, weight, middles, (60, 40), FitSettings())
    np.testing.assert_allclose(bend[:, 1:4, 0], 0.8, atol=0.05)
    np.testing.assert_allclose(bend[:, -4:-1, 1], -0.6, atol=0.05)
