"""The judging of chances: how far they are off, and how far luck alone would put them off."""

from __future__ import annotations

import numpy as np
import pytest

from tests.drawing.score_questions import (
    Told,
    asking,
    calibration,
    calibration_error,
    error_by_chance,
)


def told(chance: float, so: int, number: int) -> list[Told]:
    """So many answers with one chance, of which ``so`` are so."""
    return [Told("size", chance, k < so) for k in range(number)]


def test_chances_that_come_true_as_often_as_they_say_are_not_off() -> None:
    assert calibration_error(calibration([*told(0.25, 5, 20), *told(0.75, 15, 20)])) == 0


def test_chances_that_say_too_much_are_off_by_what_they_say_too_much() -> None:
    assert calibration_error(calibration(told(0.95, 15, 20))) == pytest.approx(0.2)


def test_luck_is_nought_where_all_is_certain_and_less_the_more_answers_there_are() -> None:
    assert error_by_chance([]) == error_by_chance(told(1.0, 5, 5)) == 0
    few, many = error_by_chance(told(0.5, 0, 10)), error_by_chance(told(0.5, 0, 1000))
    assert 0.1 < few < 0.15  # the mean deviation of ten tosses: 0.123 by the binomial law
    assert many < 0.02


@pytest.mark.parametrize(("named", "so"), [(((0, 0), (0, 1), (0, 2)), True), (((5, 5),), False)])
def test_a_class_that_took_in_a_few_cells_of_each_of_several_is_two_where_those_are_named(
    named: tuple[tuple[int, int], ...], so: bool
) -> None:
    """One cell in a hundred of each of three other classes: none is a heap by itself."""
    cells = np.zeros((10, 10), dtype=np.int64)
    cells[0, :3] = 1, 2, 3
    classes = [{"kind": "empty" if k == 0 else "stitch", "index": k} for k in range(4)]
    answers = [{"text": "", "tell": f"{verb} 0", "chance": 0.5} for verb in ("split", "whole")]
    question = {"kind": "mixed", "classes": [0], "cells": named, "answers": answers}
    chart = {"cells": 0 * cells, "classes": classes, "questions": [question]}
    told = asking({"cells": cells, "classes": classes}, chart, perfect=False).answers
    assert [answer.so for answer in told] == [so, not so]
