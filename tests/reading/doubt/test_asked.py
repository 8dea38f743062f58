"""The words that all questions share, and the clues of a page in terms of the whole chart."""

from __future__ import annotations

import numpy as np
import pytest

from chartscan.chart import Chart, ChartClass
from chartscan.chart.doubts import MOST_CELLS
from chartscan.reading.clues import Clues
from chartscan.reading.doubt.asked import alternating, listed, named, places, sentence, spread
from chartscan.reading.doubt.multiple import blocks_of, told_by_place
from chartscan.reading.doubt.numbers import numbered
from chartscan.reading.evidence import Evidence
from chartscan.reading.lattice.model import FLAT, Lattice
from chartscan.reading.page.page import Page


def test_a_class_is_named_by_what_a_person_sees_of_it() -> None:
    cells = np.zeros((40, 30), dtype=np.int32)
    cells[0, 0] = 1
    classes = (ChartClass(0, "empty", (212, 212, 9)), ChartClass(1, "stitch", None, "dot"))
    chart = Chart(cells, classes)
    assert named(chart, 0) == "class 0, #d4d409, 1,199 cells"
    assert named(chart, 1) == "class 1, dot, 1 cell"


def test_questions_are_sentences() -> None:
    assert sentence("class 4 is bare") == "Class 4 is bare."
    assert sentence("Is it?") == "Is it?"
    assert sentence("It is.") == "It is."
    assert [listed(list(words)) for words in ("a", "ab", "abc")] == ["a", "a and b", "a, b and c"]


@pytest.mark.parametrize("number", [1, MOST_CELLS - 1, MOST_CELLS, MOST_CELLS + 1, 1000])
def test_cells_to_look_at_are_taken_from_all_over_the_chart(number: int) -> None:
    """Forty at most, the first and the last among them, evenly: not forty of one corner."""
    cells = np.zeros((40, 25), dtype=bool)
    cells.flat[:number] = True
    shown = spread(cells)
    assert len(shown) == len(set(shown)) == min(number, MOST_CELLS)
    at = [25 * row + column for row, column in shown]
    assert (at[0], at[-1]) == (0, number - 1)
    assert np.ptp(np.diff(at)) <= 1 if number > 1 else True
    assert places(np.argwhere(cells), 2) == ((shown[0], shown[-1]) if number > 1 else shown)


def test_cells_of_two_classes_are_shown_in_turn() -> None:
    one = [(0, k) for k in range(3)]
    two = [(1, k) for k in range(5)]
    assert alternating(one, two) == ((0, 0), (1, 0), (0, 1), (1, 1), (0, 2), (1, 2))
    many = [(0, k) for k in range(100)]
    assert len(alternating(many, many)) == MOST_CELLS


def _page(labels: np.ndarray | None, origin: tuple[int, int], chart: Chart) -> Evidence:
    page = Page(np.zeros((80, 80, 3), np.uint8), lossless=True)
    lattice = Lattice(8, 8, np.diag([8.0, 8.0, 1.0]), FLAT, drawn=True)
    return Evidence(page, lattice, chart, clues=Clues(labels=labels), origin=origin)


def test_what_a_number_of_a_page_became_is_what_most_of_its_cells_are() -> None:
    """Marks took single cells out since; the page is the second of two, and its edge was cut."""
    cells = np.zeros((6, 9), dtype=np.int32)
    cells[2:, 4:] = 2
    cells[2, 4] = 1
    classes = tuple(ChartClass(k, "stitch" if k else "empty", (k, k, k)) for k in range(3))
    chart = Chart(cells, classes)
    labels = np.zeros((4, 9), dtype=np.intp)
    labels[:, 2:] = 1
    labels[:, 7:] = 3  # two columns that lie beyond the chart
    found = numbered(chart, _page(labels, (2, 2), chart))
    assert found is not None
    assert found.classes.tolist() == [0, 2, -1, -1]
    assert found.origin == (2, 2)
    assert numbered(chart, _page(None, (0, 0), chart)) is None


def test_cells_read_as_four_each_are_told_by_their_place() -> None:
    """A design of random cells, each of them as two by two of which one holds the symbol."""
    rng = np.random.default_rng(8)
    plain = rng.integers(0, 4, (60, 60)).astype(np.int32)
    assert told_by_place(plain, 2) < 0.02
    quartered = np.zeros((60, 60), dtype=np.int32)
    quartered[::2, ::2] = 1
    assert told_by_place(quartered, 2) == pytest.approx(1, abs=0.01)
    found = blocks_of(quartered, (2, 3))
    assert found.side == 2
    assert blocks_of(np.zeros((9, 9), dtype=np.int32), (2, 3)).told == 0


def test_how_far_the_place_tells_a_class_is_theils_coefficient() -> None:
    """By hand: of four places one has class 1 half the time, of 4,000 cells.

    Class 1 is an eighth: its entropy is ln 8 / 8 + 7/8 · ln (8/7); what the place leaves open is a
    quarter of ln 2. Less (4 − 1)(2 − 1)/(2 · 4,000), by Miller. Titles in :mod:`multiple`.
    """
    cells = np.zeros((80, 50), dtype=np.int32)
    cells[::4, ::2] = 1
    of_class = np.log(8) / 8 + 7 / 8 * np.log(8 / 7)
    shared = of_class - np.log(2) / 4
    assert told_by_place(cells, 2) == pytest.approx((shared - 3 / 8000) / of_class)
