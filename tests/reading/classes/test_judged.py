"""The last word on groups: glyphs that were taken for one while few were known."""

from __future__ import annotations

import numpy as np
import pytest
from numpy.typing import NDArray

from chartscan.reading.classes.appearance import AppearanceSettings, looks_of
from chartscan.reading.classes.grouping import Grouped
from chartscan.reading.classes.judged import judged
from chartscan.reading.classes.spread import Spread

SIDE = 12  # places along a cell
PAPER, INK = (94.0, 0.0, 2.0), -70.0  # CIELAB of the paper; lightness of ink on it
DISC, DIAMOND, RING = 0, 1, 2


def stamp(shape: int, down: float, across: float) -> NDArray[np.float64]:
    """How much of each place of a cell a sign of one size covers, moved a little."""
    fine = 8
    y, x = (np.mgrid[: SIDE * fine, : SIDE * fine] + 0.5) / (SIDE * fine) - 0.5
    y, x = y - down, x - across
    far = np.hypot(y, x)
    inside = (far < 0.36, abs(y) + abs(x) < 0.45, (far < 0.36) & (far > 0.26))[shape]
    return np.asarray(inside.reshape(SIDE, fine, SIDE, fine).mean(axis=(1, 3)))


def cells(shapes: NDArray[np.intp], noise: float, seed: int) -> NDArray[np.float32]:
    """CIELAB of cells that hold the ``shapes`` (rows, columns), −1 for bare ones."""
    rng = np.random.default_rng(seed)
    lab = np.broadcast_to(PAPER, (*shapes.shape, SIDE, SIDE, 3)).copy()
    for row, column in np.argwhere(shapes >= 0):
        lab[row, column, :, :, 0] += INK * stamp(shapes[row, column], *rng.normal(0, 0.01, 2))
    return (lab + rng.normal(0, noise, lab.shape)).astype(np.float32)


def groups_of(shapes: NDArray[np.intp], noise: float, seed: int) -> NDArray[np.intp]:
    """What all inked cells come to that were taken for one class."""
    return labels_of(cells(shapes, noise, seed), (shapes >= 0).astype(np.intp))


def labels_of(lab: NDArray[np.float32], taken: NDArray[np.intp]) -> NDArray[np.intp]:
    """What groups of cells come to that were taken for classes."""
    settings = AppearanceSettings()
    spread = Spread.of(looks_of(lab, settings.blur), settings)
    return judged(lab, Grouped(taken, spread), free=True, drawn=False).labels


def few(*counts: int, seed: int) -> NDArray[np.intp]:
    """A chart of 9 × 9 cells with so many of each shape on it."""
    shapes = np.full(81, -1)
    places = np.random.default_rng(seed).permutation(81)[: sum(counts)]
    shapes[places] = np.repeat(np.arange(len(counts)), counts)
    return shapes.reshape(9, 9)


@pytest.mark.parametrize("seed", range(6))
def test_discs_and_diamonds_taken_for_one_are_two_classes(seed: int) -> None:
    shapes = few(5, 5, seed=seed)
    labels = groups_of(shapes, 3.0, seed)
    assert len(np.unique(labels)) == 3
    assert len({(a, b) for a, b in zip(shapes.flat, labels.flat, strict=True)}) == 3


@pytest.mark.parametrize("seed", range(6))
def test_three_signs_of_few_cells_taken_for_one_are_three_classes(seed: int) -> None:
    """Groups of three make noise seem so wide that no pair of them stands out."""
    shapes = few(4, 7, 8, seed=seed)
    labels = groups_of(shapes, 3.0, seed)
    assert len(np.unique(labels)) == 4
    assert len({(a, b) for a, b in zip(shapes.flat, labels.flat, strict=True)}) == 4


def test_signs_taken_for_bare_cells_are_a_class() -> None:
    shapes = np.where(few(8, seed=4) == DISC, RING, -1)
    labels = labels_of(cells(shapes, 3.0, 4), np.zeros_like(shapes))
    assert np.array_equal(labels > 0, shapes == RING)


@pytest.mark.parametrize("seed", range(6))
def test_discs_alone_stay_one_class(seed: int) -> None:
    labels = groups_of(few(10, seed=seed), 3.0, seed)
    assert len(np.unique(labels)) == 2


def test_three_spoilt_cells_of_many_make_no_class() -> None:
    shapes = np.where(np.random.default_rng(3).random((24, 24)) < 0.3, DISC, -1)
    spoilt = np.flatnonzero(shapes == DISC)[:3]
    shapes.flat[spoilt] = DIAMOND
    assert len(np.unique(groups_of(shapes, 3.0, 3))) == 2


def test_print_that_is_rougher_than_the_bare_paper_around_it_is_not_unlike_its_class() -> None:
    """Of a scan read rightly 101 of 107 cells of a symbol were in doubt, and asked about."""
    shapes = np.where(np.random.default_rng(7).random((40, 40)) < 0.05, DISC, -1)
    lab = cells(shapes, 3.0, 7)
    printed = shapes == DISC
    lab[printed] += np.random.default_rng(8).normal(0, 6.0, lab[printed].shape)
    settings = AppearanceSettings()
    spread = Spread.of(looks_of(lab, settings.blur), settings)
    unsure = judged(lab, Grouped(printed.astype(np.intp), spread), free=True, drawn=False).unsure
    assert unsure.cells[printed].mean() < 0.1
