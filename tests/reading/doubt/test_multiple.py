"""A grid whose every cell was read as several is read anew in its own cells, where both say so."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from numpy.typing import NDArray

from chartscan.reading.doubt.multiple import as_one, blocks_of
from chartscan.reading.lattice.located import Located, Rival, SizeOdds
from chartscan.reading.lattice.model import FLAT, Lattice

COLUMNS, ROWS, PITCH = 12, 10, 6.0


def read_in_thirds() -> NDArray[np.int32]:
    """Cells with their sign in the middle ninth, each read as nine."""
    cells = np.zeros((3 * ROWS, 3 * COLUMNS), dtype=np.int32)
    cells[1::3, 1::3] = np.random.default_rng(3).integers(1, 4, (ROWS, COLUMNS))
    return cells


def located(own: float = 2.2, coarser: float = 3.3) -> Located:
    matrix = np.array([[PITCH, 0, 20], [0, PITCH, 30], [0, 0, 1.0]])
    lattice = Lattice(3 * COLUMNS, 3 * ROWS, matrix, FLAT, True)
    rivals = (Rival(COLUMNS, ROWS, coarser), Rival(3 * COLUMNS, 3 * ROWS - 1, -1.0))
    return Located(lattice, SizeOdds(own, rivals, votes=0.9, decided=False))


def test_nine_cells_that_were_one_become_one() -> None:
    """A plate of 44 by 45 was kitted up as 132 by 135: nine times the fabric."""
    found = as_one(located(), read_in_thirds())
    assert found is not None
    assert (found.lattice.columns, found.lattice.rows) == (COLUMNS, ROWS)
    assert found.lattice.pitch == pytest.approx((3 * PITCH, 3 * PITCH))
    ends = np.array([[0.0, 0], [COLUMNS, ROWS]])
    assert found.lattice.to_pixels(ends) == pytest.approx(located().lattice.to_pixels(3 * ends))


def test_what_was_read_first_stays_a_rival() -> None:
    found = as_one(located(), read_in_thirds())
    assert found is not None
    assert found.odds.log_odds == 3.3
    assert found.odds.rivals[0] == Rival(3 * COLUMNS, 3 * ROWS, 2.2)
    assert found.odds.margin == pytest.approx(1.1)
    assert found.odds.votes == 0.0  # nothing grew to that size


def test_neither_judge_nor_cells_decide_alone() -> None:
    assert as_one(located(own=3.4), read_in_thirds()) is None
    scattered = np.random.default_rng(3).permutation(read_in_thirds().ravel())
    assert as_one(located(), scattered.reshape(3 * ROWS, 3 * COLUMNS)) is None


def test_a_grid_that_was_told_or_is_exact_stays() -> None:
    told = replace(located(), odds=SizeOdds())
    assert as_one(told, read_in_thirds()) is None


def test_fields_that_alternate_are_no_blocks_where_one_is_left_over() -> None:
    """A board of 7 by 8 hangs on its place altogether, and was asked about for that."""
    board = (np.indices((7, 8)).sum(axis=0) % 2).astype(np.int32)
    assert blocks_of(board, (2, 3)).told == 0
    assert blocks_of(board[:6], (2, 3)).told == pytest.approx(1, abs=0.1)
