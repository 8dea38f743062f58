"""How far cells and classes of a reopened page lie apart, on cells of one colour each."""

from __future__ import annotations

from types import SimpleNamespace
from typing import cast

import numpy as np
import pytest

from chartscan.chart import Chart, ChartClass
from chartscan.reading.reopen.looks import Looks
from chartscan.reading.reopen.reopened import Reopened

ROWS, COLUMNS, SIDE = 6, 10, 6
NOISE = 2.0  # L*: every cell is so much lighter or darker than its class


def looks_at(cells: np.ndarray[tuple[int, int], np.dtype[np.int32]], of: dict[int, float]) -> Looks:
    """Cells of one lightness each, those numbered ``cells`` as ``of`` says, with even noise."""
    sign = np.where(np.indices(cells.shape).sum(axis=0) % 2 == 0, 1, -1)
    lightness = np.vectorize(of.__getitem__)(cells) + NOISE * sign
    lab = np.zeros((*cells.shape, SIDE, SIDE, 3), np.float32)
    lab[..., 0] = lightness[..., None, None]
    classes = (ChartClass(0, "empty"), *(ChartClass(k, "stitch", (9, 9, 9)) for k in (1, 2)))
    chart = Chart(np.minimum(cells, 2), classes)
    return Looks(cast("Reopened", SimpleNamespace(chart=chart, patches=lab)))


def striped(*columns: int) -> np.ndarray[tuple[int, int], np.dtype[np.int32]]:
    """Classes by how many columns each has, from 1."""
    row = np.repeat(np.arange(1, len(columns) + 1, dtype=np.int32), columns)
    return np.tile(row, (ROWS, 1))


def test_classes_lie_apart_in_units_of_the_noise() -> None:
    """30 of L* with noise of 2 are 15; no cell is nearer to the other class."""
    found = looks_at(striped(6, 4), {1: 40.0, 2: 70.0}).likeness(1, 2)
    assert found.separation == pytest.approx(15, rel=0.05)
    assert found.astray == 0


def test_cells_astray_are_those_on_the_other_side_of_the_middle() -> None:
    """3 of L* apart with noise of 2: half the cells of both, the lighter and the darker, cross."""
    assert looks_at(striped(5, 5), {1: 40.0, 2: 43.0}).likeness(1, 2).astray == 0.5


@pytest.mark.parametrize("columns", [(6, 1, 3), (2, 2, 6), (2, 6, 2)])
def test_halves_are_told_the_smaller_first_whichever_is_lighter(
    columns: tuple[int, int, int],
) -> None:
    """Class 2 is two colours on the page: its cells are the second and the third stripe."""
    halves = looks_at(striped(*columns), {1: 90.0, 2: 30.0, 3: 60.0}).halves(2)
    dark = range(columns[0], columns[0] + columns[1])
    light = range(columns[0] + columns[1], COLUMNS)
    smaller, greys = (light, (71, 145)) if len(light) < len(dark) else (dark, (145, 71))
    assert sorted(halves.cells) == [(row, column) for row in range(ROWS) for column in smaller]
    assert [np.mean(colour) for colour in halves.colours] == pytest.approx(greys, abs=6)
    assert halves.separation > 8


def test_a_class_of_one_cell_has_no_halves() -> None:
    cells = striped(9, 1)
    cells[1:, 9] = 1
    with pytest.raises(ValueError, match="class 2 has no two cells"):
        looks_at(cells, {1: 40.0, 2: 70.0}).halves(2)
