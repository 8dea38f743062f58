"""Open questions of a chart: named by every command that builds on it."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

if TYPE_CHECKING:
    from chartscan.chart import Chart


def name_questions(chart: Chart, path: Path | None = None) -> None:
    """Name what is open on standard error, a line each, and the way to answer it."""
    for question in chart.questions:
        click.echo(f"Question: {' '.join(question.text.split())}", err=True)
    if chart.questions and path is not None:
        click.echo(f"Answer with: chartscan check {path}", err=True)


def questions_json(chart: Chart) -> list[dict[str, Any]]:
    """What is open, for ``--json``."""
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
