"""A class split as its page has it: cells by their looks, said as blocks, or refused."""

from __future__ import annotations

from types import SimpleNamespace
from typing import cast

import numpy as np
import pytest
from numpy.typing import NDArray

from chartscan.chart import Chart, ChartClass
from chartscan.chart.corrections.standing import Standing
from chartscan.chart.corrections.tell import tell
from chartscan.errors import ChartError
from chartscan.reading.reopen.reopened import Reopened
from chartscan.reading.reopen.split import LEAST, split_line

ROWS, COLUMNS, SIDE = 6, 10, 6
NOISE = 2.0


def opened(lightness: NDArray[np.float64]) -> Reopened:
    """One class whose cells have those lightnesses, with noise of two from cell to cell."""
    sign = np.where(np.indices((ROWS, COLUMNS)).sum(axis=0) % 2 == 0, 1, -1)
    lab = np.zeros((ROWS, COLUMNS, SIDE, SIDE, 3), np.float32)
    lab[..., 0] = (lightness + NOISE * sign)[..., None, None]
    cells = np.ones((ROWS, COLUMNS), np.int32)
    classes = (ChartClass(0, "empty"), ChartClass(1, "stitch", (9, 9, 9)))
    return cast("Reopened", SimpleNamespace(chart=Chart(cells, classes), patches=lab))


def two(*columns: int) -> NDArray[np.float64]:
    """Cells of lightness 40, those of some columns 70."""
    lightness = np.full((ROWS, COLUMNS), 40.0)
    lightness[:, list(columns)] = 70.0
    return lightness


def split(lightness: NDArray[np.float64], line: str = "split 1") -> str:
    page = opened(lightness)
    return split_line(page, line, Standing(page.chart))


@pytest.mark.parametrize("columns", [(2, 3), (0,), (7, 8, 9), (1, 5)])
def test_the_line_names_the_cells_of_the_other_half_and_follows(columns: tuple[int, ...]) -> None:
    page = opened(two(*columns))
    line = split_line(page, "split 1", Standing(page.chart))
    done = tell(page.chart, [line])
    other = done.cells != page.chart.cells
    assert np.flatnonzero(other.all(axis=0)).tolist() == list(columns)
    assert other.sum() == ROWS * len(columns)


def test_the_new_class_has_the_colour_of_its_half() -> None:
    """CIELAB 70, 0, 0 is the grey 171 in sRGB, 40 is 94 (IEC 61966-2-1, D65)."""
    line = split(two(2, 3))
    assert line.endswith(('#ababab"', '#aaaaaa"', '#acacac"'))
    assert '"new ' in line


def test_the_smaller_half_is_the_new_one() -> None:
    done = tell(opened(two(*range(7))).chart, [split(two(*range(7)))])
    changed = (done.cells != 1).sum()
    assert changed == ROWS * 3


def test_cells_that_look_alike_are_not_split() -> None:
    """Two halves of a normal scatter lie 2.65 apart; a class needs 3.3."""
    rng = np.random.default_rng(4)
    with pytest.raises(ChartError, match="look like one class"):
        split(rng.normal(50, 8, (ROWS, COLUMNS)))
    assert np.sqrt(2 / np.pi) * 2 / np.sqrt(1 - 2 / np.pi) < LEAST


@pytest.mark.parametrize("apart", [10.0, 30.0, -25.0])
def test_halves_that_lie_apart_by_more_than_their_noise_are_split(apart: float) -> None:
    lightness = np.where(np.arange(COLUMNS) < 4, 40.0 + apart, 40.0) * np.ones((ROWS, 1))
    assert split(lightness).startswith("split 1 1-6,1-4 ")


def test_cells_of_no_noise_at_all_are_refused_in_plain_words() -> None:
    page = opened(two())
    page.patches[:] = 40.0
    with pytest.raises(ChartError, match=r"'split 1'.*name the cells"):
        split_line(page, "split 1", Standing(page.chart))


def test_lines_that_split_nothing_stay_as_they_are() -> None:
    for said in ("set 1,1 empty", "name 1 rust", "ground none"):
        assert split(two(2), said) == said


def test_a_class_of_one_cell_or_none_is_refused() -> None:
    page = opened(two(2))
    cells = np.ones((ROWS, COLUMNS), np.int32)
    cells[0, 0] = 2
    three = (*page.chart.classes, ChartClass(2, "stitch", (1, 1, 1)))
    one = cast("Reopened", SimpleNamespace(chart=Chart(cells, three), patches=page.patches))
    with pytest.raises(ChartError, match="no two cells"):
        split_line(one, "split 2", Standing(one.chart))
    with pytest.raises(ChartError, match="fills no cell"):
        split_line(page, "split 0", Standing(page.chart))
