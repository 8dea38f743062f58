"""A line at one side of some columns makes no class of their cells; a thread of its own does."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from chartscan.reading.classes.slivers import without_slivers

ROWS, COLUMNS, SIDE = 20, 30, 8


def patches(changed: NDArray[np.bool_], where: slice, by: float) -> NDArray[np.float32]:
    """Cells of one green, those ``changed`` darker by ``by`` in some columns of their places."""
    rng = np.random.default_rng(4)
    lab = np.tile(np.array([60.0, -30, 20]), (ROWS, COLUMNS, SIDE, SIDE, 1))
    lab += rng.normal(0, 0.3, lab.shape)
    lab[:, :, :, where, 0] -= by * changed[:, :, None, None]
    return lab.astype(np.float32)


def columns_of(*numbers: int) -> NDArray[np.bool_]:
    changed = np.zeros((ROWS, COLUMNS), dtype=np.bool_)
    changed[:, list(numbers)] = True
    return changed


def test_a_line_at_the_side_of_every_tenth_column_makes_no_class() -> None:
    changed = columns_of(9, 19, 29)
    lab = patches(changed, slice(SIDE - 1, SIDE), 25.0)
    labels = changed.astype(np.intp).ravel()
    assert without_slivers(lab, labels).max() == 0


def test_the_same_sliver_in_scattered_cells_is_a_glyph() -> None:
    changed = np.random.default_rng(1).random((ROWS, COLUMNS)) < 0.1
    lab = patches(changed, slice(SIDE - 1, SIDE), 25.0)
    labels = changed.astype(np.intp).ravel()
    assert without_slivers(lab, labels).max() == 1


def test_a_stripe_of_another_thread_stays_a_class() -> None:
    changed = columns_of(9, 19, 29)
    lab = patches(changed, slice(0, SIDE), 6.0)
    labels = changed.astype(np.intp).ravel()
    assert without_slivers(lab, labels).max() == 1
