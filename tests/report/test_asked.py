"""A question on the terminal: where to look, and chances that never claim to be certain."""

from __future__ import annotations

from io import StringIO

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from rich.console import Console

from chartscan.chart import Answer, Chart, ChartClass, Question
from chartscan.report.asked import chance_in_words, print_question

CHART = Chart(
    np.array([[0, 1, 1], [0, 0, 1]], dtype=np.int32),
    (ChartClass(0, "empty", (255, 255, 255)), ChartClass(1, "stitch", (20, 40, 60))),
)


def printed(question: Question) -> str:
    target = Console(file=StringIO(), width=100)
    print_question(target, CHART, question, 1)
    assert isinstance(target.file, StringIO)
    return target.file.getvalue()


def test_the_cells_to_look_at_are_named_as_they_are_printed_on_charts() -> None:
    answers = (Answer("it is two", "split 1", 1.0), Answer("it is one class", "whole 1", 0.0))
    text = printed(Question("mixed", (1,), ((0, 1), (1, 2)), "Class 1 may be two.", answers))
    assert "look at row 1 column 2; row 2 column 3\n" in text
    assert "1) it is two (over 99%)" in text
    assert "2) it is one class (under 1%)" in text


def test_of_many_cells_the_most_telling_are_named_and_that_there_are_more() -> None:
    text = printed(Question("marks", (), tuple((0, 0) for _ in range(6)), "Over them.", ()))
    assert text.count("row 1 column 1") == 5
    assert "…" in text


@pytest.mark.parametrize(
    ("chance", "words"),
    [(0, "under 1%"), (0.01, "1%"), (0.5, "50%"), (0.99, "99%"), (0.995, "over 99%")],
)
def test_a_chance_in_words(chance: float, words: str) -> None:
    assert chance_in_words(chance) == words


@given(st.floats(0, 1))
def test_no_chance_is_told_as_certain(chance: float) -> None:
    assert chance_in_words(chance) not in ("0%", "100%")
