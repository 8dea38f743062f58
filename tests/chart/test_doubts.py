"""Doubts and questions belong to a chart: they are checked, kept in its file, and compared."""

from __future__ import annotations

import json

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from chartscan.chart import (
    Answer,
    Chart,
    ChartClass,
    Doubt,
    Question,
    dump_chart,
    parse_chart,
)
from chartscan.errors import ChartError

PLACES = st.tuples(st.integers(0, 2), st.integers(0, 3))
CHANCES = st.integers(0, 100).map(lambda hundredths: hundredths / 100)
ANSWERS = st.builds(Answer, st.text(max_size=9), st.text(max_size=9), CHANCES)
QUESTIONS = st.builds(
    Question,
    st.sampled_from(["ground", "same", "mixed", "size", "marks", "page"]),
    st.lists(st.integers(0, 2), max_size=3).map(tuple),
    st.lists(PLACES, max_size=5).map(tuple),
    st.text(max_size=20),
    st.lists(ANSWERS, max_size=3).map(tuple),
)


def _chart(doubts: tuple[Doubt, ...] = (), questions: tuple[Question, ...] = ()) -> Chart:
    return Chart(
        np.arange(12, dtype=np.int32).reshape(3, 4) % 3,
        (
            ChartClass(0, "empty", (255, 255, 255)),
            ChartClass(1, "stitch", (10, 20, 30)),
            ChartClass(2, "stitch", (90, 20, 30), "symbol 1"),
        ),
        doubtful=tuple((doubt.row, doubt.column) for doubt in doubts),
        doubts=doubts,
        questions=questions,
    )


@given(st.lists(QUESTIONS, max_size=3).map(tuple), st.lists(PLACES, max_size=4, unique=True))
def test_what_is_asked_and_doubted_is_the_same_after_saving_and_loading(
    questions: tuple[Question, ...], places: list[tuple[int, int]]
) -> None:
    doubts = tuple(Doubt(r, c, "between two colours", 1, 0.25) for r, c in places)
    chart = _chart(doubts, questions)
    assert parse_chart(json.loads(dump_chart(chart))) == chart


def test_charts_differ_where_one_cell_or_one_question_does() -> None:
    chart = _chart()
    cells = chart.cells.copy()
    cells[1, 1] = 0
    question = Question("ground", (1,), ((0, 1),), "Is it bare?", (Answer("yes", "ground 1", 0.6),))
    assert chart == _chart()
    assert chart != Chart(cells, chart.classes)
    assert chart != _chart(questions=(question,))


@pytest.mark.parametrize(
    ("doubts", "question", "words"),
    [
        ((Doubt(0, 0, "soft", 7, 0.2),), (), "names a class"),
        ((), (Question("same", (1, 3), (), "?", ()),), "names a class"),
        ((), (Question("same", (1, 2), ((3, 0),), "?", ()),), "outside the grid"),
    ],
)
def test_a_doubt_about_what_is_not_there_is_refused(
    doubts: tuple[Doubt, ...], question: tuple[Question, ...], words: str
) -> None:
    with pytest.raises(ChartError, match=words):
        _chart(doubts, question)
