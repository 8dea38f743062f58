"""Open questions of a chart: a line each, and the ``questions`` of every ``--json`` object."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from chartscan.plaintext import plain

if TYPE_CHECKING:
    from chartscan.chart import Chart


def question_lines(chart: Chart) -> list[str]:
    """What is open, in a line each."""
    return [plain(question.text) for question in chart.questions]


def questions_object(chart: Chart) -> list[dict[str, Any]]:
    """What is open, as JSON; cells count from 0."""
    return [
        {
            "kind": question.kind,
            "classes": list(question.classes),
            "cells": [list(place) for place in question.cells],
            "text": question.text,
            "answers": [
                {"text": each.text, "tell": each.tell, "chance": round(each.chance, 4)}
                for each in question.answers
            ],
        }
        for question in chart.questions
    ]
