"""Bold lines that reach into the cells beside them make no classes."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from chartscan.reading.classes.bleed import without_bleeding

ROWS, COLUMNS, SIDE = 30, 40, 6
Labels = NDArray[np.intp]


def paper() -> NDArray[np.float64]:
    """CIELAB of bare cells, every tenth line bold: it darkens the last place before it."""
    lab = np.zeros((ROWS, COLUMNS, SIDE, SIDE, 3))
    lab[..., 0] = 97 + np.random.default_rng(4).normal(0, 0.3, lab.shape[:4])
    lab[:, 9::10, :, -1, 0] -= 6
    lab[9::10, :, -1, :, 0] -= 6
    return lab


def at_crossings() -> NDArray[np.bool_]:
    crossing = np.zeros((ROWS, COLUMNS), bool)
    crossing[9::10, 9::10] = True
    return crossing


def without(lab: NDArray[np.float64], labels: Labels) -> Labels:
    return without_bleeding(lab, labels.ravel()).reshape(ROWS, COLUMNS)


def test_cells_where_bold_lines_cross_are_no_class_of_their_own() -> None:
    assert not without(paper(), at_crossings().astype(np.intp)).any()


def test_a_class_of_its_own_there_stays() -> None:
    lab, labels = paper(), at_crossings().astype(np.intp)
    lab[at_crossings(), :, :, 1] += 8
    assert np.array_equal(without(lab, labels), labels)


def test_a_few_cells_may_lie_beside_lines_by_chance() -> None:
    lab, labels = paper(), np.zeros((ROWS, COLUMNS), np.intp)
    labels[9, 9] = labels[19, 9] = 1
    lab[labels == 1, 0, 0, 0] -= 20
    assert np.array_equal(without(lab, labels), labels)


def test_without_bold_lines_nothing_changes() -> None:
    lab = paper()
    lab[..., 0] = 97
    labels = at_crossings().astype(np.intp)
    assert np.array_equal(without(lab, labels), labels)
