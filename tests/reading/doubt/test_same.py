"""Two classes that may be one, one that may be two: when it is asked, in what words, how dear."""

from __future__ import annotations

import numpy as np
import pytest

from chartscan.chart import Chart, ChartClass
from chartscan.reading.classes.heaps import Heap
from chartscan.reading.clues import Clues
from chartscan.reading.doubt.mixed import mixed_questions
from chartscan.reading.doubt.numbers import Numbered
from chartscan.reading.doubt.page import page_questions
from chartscan.reading.doubt.same import same_questions
from chartscan.reading.join.seam import Seam

CLASSES = (
    ChartClass(0, "empty", (255, 255, 255)),
    ChartClass(1, "stitch", (200, 30, 40)),
    ChartClass(2, "stitch", (198, 32, 44), "dot"),
    ChartClass(3, "empty", (250, 250, 250)),
)
CELLS = np.repeat([0, 1, 2, 3], [40, 30, 6, 24]).astype(np.int32).reshape(10, 10)
CHART = Chart(CELLS, CLASSES)


def _page(
    *alike: tuple[int, int, float], classes: tuple[int, ...] = (0, 1, 2, 3), row: int = 0
) -> Numbered:
    labels = CELLS[row:].astype(np.intp)
    return Numbered(Clues(labels=labels, alike=alike), (row, 0), np.array(classes))


def test_classes_that_differ_by_little_are_asked_about_in_words() -> None:
    (asked,) = same_questions(CHART, [_page((1, 2, 0.4))])
    question = asked.question
    assert (question.kind, question.classes) == ("same", (1, 2))
    assert question.text == (
        "Class 1, #c81e28, 30 cells, and class 2, dot, #c6202c, 6 cells, were taken for two: they"
        " differ by little more than the page's own noise."
    )
    told = [(answer.text, answer.tell, answer.chance) for answer in question.answers]
    assert told == [
        ("they are two", "apart 1 2", pytest.approx(0.6)),
        ("they are one class", "one 1 2", 0.4),
    ]
    assert asked.cost == pytest.approx(6 * 0.4), "the smaller class would be wrong"
    (other,) = same_questions(CHART, [_page((1, 2, 0.8))])
    assert [answer.tell for answer in other.question.answers] == ["one 1 2", "apart 1 2"]


@pytest.mark.parametrize(("chance", "asked"), [(0.09, 0), (0.1, 1)])
def test_an_unlikely_pair_is_left_alone(chance: float, asked: int) -> None:
    """A list of idle questions is waved through, and the one that matters with it."""
    assert len(same_questions(CHART, [_page((1, 2, chance))])) == asked


def test_two_pages_speak_of_one_pair_and_the_surer_one_is_heard() -> None:
    """Numbers are each page's own, and so is which of two comes first."""
    first, second = _page((1, 2, 0.2)), _page((1, 0, 0.5), (2, 3, 0.9), classes=(1, 2, 0, 0))
    asked = same_questions(CHART, [first, second])
    assert [(a.question.classes, a.question.answers[1].chance) for a in asked] == [((1, 2), 0.5)]


def test_bare_fabric_twice_is_nobodys_thread_and_a_lost_number_is_no_class() -> None:
    assert same_questions(CHART, [_page((0, 3, 0.5))]) == []
    assert len(same_questions(CHART, [_page((0, 1, 0.5))])) == 1
    assert same_questions(CHART, [_page((1, 2, 0.5), classes=(0, 1, -1, 3))]) == []


def _heap(group: int, cells: list[int], chance: float) -> Heap:
    return Heap(group, np.array(cells, dtype=np.intp), chance)


def _heaped(*heaps: Heap, row: int = 0, classes: tuple[int, ...] = (0, 1, 2, 3)) -> Numbered:
    clues = Clues(labels=np.zeros((10, 10), dtype=np.intp), heaps=heaps)
    return Numbered(clues, (row, 0), np.array(classes))


def test_a_class_in_two_heaps_is_asked_about_in_words_and_shows_the_smaller() -> None:
    (asked,) = mixed_questions(CHART, [_heaped(_heap(1, [45, 46, 57], 0.3))])
    question = asked.question
    assert (question.kind, question.classes) == ("mixed", (1,))
    assert question.cells == ((4, 5), (4, 6), (5, 7))
    assert question.text == (
        "Class 1, #c81e28, 30 cells, was taken for one, but 3 of them look a little otherwise."
    )
    told = {answer.tell: answer.chance for answer in question.answers}
    assert list(told) == ["whole 1", "split 1 5,6-7 6,8"]
    assert list(told.values()) == pytest.approx([0.7, 0.3])
    assert asked.cost == pytest.approx(3 * 0.3)


def test_cells_of_a_second_page_are_those_of_the_chart() -> None:
    """It begins six rows further down; what is beyond the chart is on another page."""
    (asked,) = mixed_questions(CHART, [_heaped(_heap(1, [5, 31, 45], 0.3), row=6)])
    assert asked.question.cells == ((6, 5), (9, 1))


def test_of_several_heaps_of_a_class_the_dearest_is_asked_about() -> None:
    heaps = (_heap(1, [40, 41], 0.4), _heap(1, [42, 43, 44, 45], 0.3), _heap(2, [70], 0.14))
    (asked,) = mixed_questions(CHART, [_heaped(*heaps)])
    assert asked.cost == pytest.approx(1.2)
    assert mixed_questions(CHART, [_heaped(_heap(1, [40], 0.5), classes=(0, -1, 2, 3))]) == []


@pytest.mark.parametrize(
    ("share", "rival", "told", "chance"),
    [(0.98, 0.98, False, 0.4), (0.98, 0.93, False, 0.2), (0.98, 0.9, False, None),
     (0.98, 0.98, True, None)],
)  # fmt: skip
def test_a_seam_is_asked_about_by_how_far_the_rival_is_behind(
    share: float, rival: float, told: bool, chance: float | None
) -> None:
    """As good is as likely as all else leaves open; by a tenth of its cells worse is none."""
    seam = Seam("one and two", "column", 8, 2, share, "4 columns", rival, told)
    asked = page_questions(CHART, [seam])
    assert [a.question.answers[1].chance for a in asked] == (
        [] if chance is None else [pytest.approx(chance)]
    )
    for one in asked:
        assert one.cost == pytest.approx((chance or 0) * 50), "half of the chart would be wrong"
        assert one.question.text == (
            "One and two were joined over 2 columns, but 4 columns would agree nearly as well."
        )
        assert one.question.answers[0].text == "2 columns repeated, as read"
        assert {column for _, column in one.question.cells} == {8}
        assert [row for row, _ in one.question.cells] == list(range(10))
