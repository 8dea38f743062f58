"""A lattice is laid on lines that bend near a fold, and stays where that brings nothing."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray

from chartscan.reading.lattice.model import FLAT, Lattice
from chartscan.reading.lattice.refine import RefineSettings, refined, strays

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


def seen(page: NDArray[np.float32]) -> Callable[[int], NDArray[np.float32]]:
    return lambda factor: page[::factor, ::factor]


def beside(lattice: Lattice, deep: float) -> float:
    """Cells by which the lattice's rows lie beside those of the page, at most, half-way across."""
    rows = np.arange(1, ROWS, dtype=np.float64)
    lies = lattice.to_pixels(np.stack([np.full_like(rows, COLUMNS / 2), rows], axis=1))[:, 1]
    there: NDArray[np.float64] = MARGIN + rows * PITCH
    for _ in range(20):  # where the moved line lies: y = line + bend(y)
        there = MARGIN + rows * PITCH + bend(there, deep)
    return float(np.abs(lies - there).max() / PITCH)


@settings(max_examples=6, deadline=None)
@given(deep=st.floats(-3.0, 3.0))
def test_lines_moved_by_a_fold_are_found(deep: float) -> None:
    """An eighth of a cell off at most, where lines had moved by up to a quarter."""
    assert beside(refined(seen(folded(deep, 12.0)), plain()).lattice, deep) <= 0.12


def test_columns_are_moved_as_rows_are() -> None:
    """The same page and lattice with x and y swapped come to nearly the same: rows go first."""
    page, lattice, swap = folded(3.0, 12.0), plain(), np.eye(3)[[1, 0, 2]]
    other = replace(
        lattice, columns=ROWS, rows=COLUMNS, homography=swap @ lattice.homography @ swap
    )
    down = np.array([[COLUMNS / 2, row] for row in range(ROWS + 1)])
    here = refined(seen(page), lattice).lattice.to_pixels(down)
    there = refined(seen(np.ascontiguousarray(page.T)), other).lattice.to_pixels(down[:, ::-1])
    np.testing.assert_allclose(there[:, ::-1], here, atol=0.05 * PITCH)


def test_without_lines_nothing_moves() -> None:
    blank = np.full((660, 540), 200.0, np.float32)
    found = refined(seen(blank), plain())
    nodes = np.array([[0.0, 0], [COLUMNS, 0], [COLUMNS, ROWS], [3, 44]])
    assert np.abs(found.lattice.to_pixels(nodes) - plain().to_pixels(nodes)).max() < 0.5
    assert found.gain == 0.0


def test_what_gets_out_of_step_stays_where_it_was() -> None:
    page = folded(0.0, 12.0)
    gain = refined(seen(page), plain()).gain
    for least, moves in ((gain - 1e-6, True), (gain + 1e-6, False)):
        found = refined(seen(page), plain(), RefineSettings(in_step=(-least, -least)))
        assert found.gain == gain
        assert found.lattice.straight is not moves
        assert (found.evidence is found.before) is not moves


def test_moving_far_takes_more() -> None:
    """Symbols are in step with the cells, too: a lattice might jump onto them."""
    page = folded(3.0, 0.0)
    aside = np.array([[1.0, 0, 0.3], [0, 1, 0.3], [0, 0, 1]])
    lattice = replace(plain(), homography=plain().homography @ aside)
    gain = refined(seen(page), lattice).gain
    found = refined(seen(page), lattice, RefineSettings(far=(0.3, gain + 1e-6)))
    assert found.lattice is lattice
    less = RefineSettings(far=(0.3, gain - 1e-6))
    assert refined(seen(page), lattice, less).lattice is not lattice


@pytest.mark.parametrize("deep", [0.0, 1.5, 3.0])
def test_how_far_rows_lie_beside_their_lines_is_known_from_a_few_strips(deep: float) -> None:
    """A fold that moves lines by up to a quarter of a cell, and none."""
    there = deep / PITCH
    assert strays(seen(folded(deep, 12.0)), plain()) == pytest.approx(there, abs=0.07)
