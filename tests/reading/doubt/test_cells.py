"""Single doubtful cells: each has one reason, the one that weighs most, and at most one rival."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from numpy.typing import NDArray

from chartscan.chart import Chart, Doubt
from chartscan.reading.classes.sorting import REASONS, Unsure
from chartscan.reading.clues import Clues
from chartscan.reading.doubt.against import Against
from chartscan.reading.doubt.cells import OVER_IT, RUNS_ON, UNLIKE, cell_doubts, with_unexplained
from chartscan.reading.doubt.numbers import Numbered, numbered
from tests.reading.staged import BLUE, RED, WHITE, classes, evidence

ROWS, COLUMNS = 4, 6
Mask = NDArray[np.bool_]
PLACES = [(0, 0), (0, 5), (3, 0), (2, 4)]


def at(*places: tuple[int, int], shape: tuple[int, int] = (ROWS, COLUMNS)) -> Mask:
    mask = np.zeros(shape, np.bool_)
    for place in places:
        mask[place] = True
    return mask


def chart_of(*doubtful: tuple[int, int]) -> Chart:
    cells = np.zeros((ROWS, COLUMNS), np.int32)
    cells[1:3, 1:5] = 1
    return Chart(cells, classes(WHITE, RED, BLUE), doubtful=doubtful)


def unsure(*cells: tuple[int, int, int, int, float], shape: tuple[int, int]) -> Unsure:
    """Row, column, reason, second and chance of each."""
    found = Unsure(np.zeros(shape, np.uint8), np.zeros(shape, np.intp), np.zeros(shape))
    for row, column, reason, second, chance in cells:
        found.reason[row, column] = reason
        found.second[row, column] = second
        found.chance[row, column] = chance
    return found


def known_of(
    *cells: tuple[int, int, int, int, float],
    origin: tuple[int, int] = (0, 0),
    shape: tuple[int, int] = (ROWS, COLUMNS),
    names: tuple[int, ...] = (0, 1, 2),
) -> Numbered:
    return Numbered(Clues(unsure=unsure(*cells, shape=shape)), origin, np.array(names, np.intp))


NOTHING = Against(at(), at())


def test_what_a_page_does_not_explain_makes_its_cells_doubtful_too() -> None:
    chart = chart_of((0, 5), (1, 1))
    held = Against(at((0, 0), (1, 1)), at((3, 5)))
    found = with_unexplained(chart, [evidence(chart)], [held])
    assert found.doubtful == ((0, 0), (0, 5), (1, 1), (3, 5))
    assert found == replace(chart, doubtful=found.doubtful)


def test_cells_of_a_page_lie_where_it_was_laid_and_no_further_than_the_chart() -> None:
    chart = chart_of()
    page = evidence(chart, origin=(1, 2))
    held = Against(at((0, 0), (3, 5)), at((2, 3), (0, 4)))
    assert with_unexplained(chart, [page], [held]).doubtful == ((1, 2), (3, 5))


def test_two_pages_tell_of_one_chart() -> None:
    chart = chart_of()
    pages = [evidence(chart), evidence(chart, origin=(0, 3))]
    held = [Against(at((1, 0)), at()), Against(at(), at((1, 2)))]
    assert with_unexplained(chart, pages, held).doubtful == ((1, 0), (1, 5))


@pytest.mark.parametrize("place", PLACES)
def test_ink_that_runs_on_weighs_more_than_looks_and_those_more_than_what_lies_over_it(
    place: tuple[int, int],
) -> None:
    chart = chart_of(place)
    pages = [evidence(chart)]
    for held, why in (
        (Against(at(place), at(place)), RUNS_ON),
        (Against(at(), at(place)), UNLIKE),
        (NOTHING, OVER_IT),
    ):
        assert cell_doubts(chart, [], pages, [held]) == (Doubt(*place, why),)


@pytest.mark.parametrize("reason", range(1, len(REASONS)))
def test_what_sorting_left_open_weighs_more_than_either(reason: int) -> None:
    chart = chart_of((1, 2))
    held = Against(at((1, 2)), at((1, 2)))
    known = known_of((1, 2, reason, 2, 0.123456))
    (doubt,) = cell_doubts(chart, [known], [evidence(chart)], [held])
    assert doubt == Doubt(1, 2, REASONS[reason], 2, 0.1235)


def test_a_rival_that_is_the_class_itself_or_is_gone_is_not_named() -> None:
    chart = chart_of((1, 2))
    for names in ((0, 1, 1), (0, 1, -1)):
        known = known_of((1, 2, 1, 2, 0.4), names=names)
        (doubt,) = cell_doubts(chart, [known], [evidence(chart)], [NOTHING])
        assert doubt == Doubt(1, 2, REASONS[1])


def test_a_page_tells_of_its_own_cells_only() -> None:
    """The second page begins at row 1, column 2, and has two rows of three cells."""
    chart = chart_of((0, 2), (1, 1), (1, 2), (2, 4), (2, 5), (3, 4))
    known = known_of((0, 0, 1, 2, 0.4), (1, 2, 2, 2, 0.3), origin=(1, 2), shape=(2, 3))
    doubts = cell_doubts(chart, [known], [evidence(chart)], [NOTHING])
    assert {(d.row, d.column): d.second for d in doubts if d.second} == {(1, 2): 2, (2, 4): 2}
    assert [d.reason for d in doubts] == [
        OVER_IT, OVER_IT, REASONS[1], REASONS[2], OVER_IT, OVER_IT,
    ]  # fmt: skip


def test_of_two_pages_with_a_cell_the_one_that_is_unsure_of_it_tells() -> None:
    chart = chart_of((1, 2))
    pages = [known_of(), Numbered(Clues(), (0, 0), np.arange(3)), known_of((1, 2, 2, 0, 0.2))]
    (doubt,) = cell_doubts(chart, pages, [evidence(chart)], [NOTHING])
    assert doubt == Doubt(1, 2, REASONS[2], 0, 0.2)


def test_cells_that_are_sure_have_no_doubt() -> None:
    chart = chart_of()
    assert cell_doubts(chart, [known_of((1, 2, 1, 2, 0.4))], [evidence(chart)], [NOTHING]) == ()


# -------------------------------------------------------- numbers and what became of them


def test_a_number_is_what_most_of_its_cells_are_now() -> None:
    chart = chart_of()
    labels = np.zeros((ROWS, COLUMNS), np.intp)
    labels[1:3, 1:4] = 1  # two of the eight red cells had another number
    labels[1:3, 4] = 2
    found = numbered(chart, evidence(chart, clues=Clues(labels=labels)))
    assert found is not None
    assert found.classes.tolist() == [0, 1, 1]
    labels[0, 0] = 4  # number 3 has no cell
    found = numbered(chart, evidence(chart, clues=Clues(labels=labels)))
    assert found is not None
    assert found.classes.tolist() == [0, 1, 1, -1, 0]


def test_a_page_that_sticks_out_of_the_chart_is_counted_as_far_as_it_lies_on_it() -> None:
    chart = chart_of()
    labels = np.full((ROWS, COLUMNS), 1, np.intp)
    labels[0, 0] = 0
    found = numbered(chart, evidence(chart, clues=Clues(labels=labels), origin=(2, 4)))
    assert found is not None
    assert found.origin == (2, 4)
    assert found.classes.tolist() == [1, 0]


def test_pages_read_from_their_paths_have_no_numbers() -> None:
    chart = chart_of()
    assert numbered(chart, evidence(chart)) is None
    assert numbered(chart, evidence(chart, clues=Clues())) is None
