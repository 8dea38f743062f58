"""Marks that seem to be there and weren't read: asked where cells have something over them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from chartscan.chart import Answer, Chart, Question
from chartscan.reading.doubt.asked import Asked, Place, places, sentence
from chartscan.reading.evidence import Evidence


@dataclass(frozen=True)
class MarkDoubts:
    """When marks are asked about.

    Attributes:
        cells: cells with something over them from which on it is asked.
        half: cells at which it is as likely as not that marks were missed.
    """

    cells: int = 6
    half: float = 20.0


def mark_questions(
    chart: Chart, pages: Sequence[Evidence], settings: MarkDoubts = MarkDoubts()
) -> list[Asked]:
    """The question whether marks were missed; none where next to nothing lies over cells."""
    over = [
        (row + page.origin[0], column + page.origin[1])
        for page in pages
        if page.clues is not None
        for row, column in page.clues.over
    ]
    over = [(r, c) for r, c in over if r < chart.rows and c < chart.columns]
    if len(over) < settings.cells:
        return []
    chance = len(over) / (len(over) + settings.half)
    return [Asked(_question(over, chance), len(over) * chance)]


def _question(over: list[Place], chance: float) -> Question:
    text = sentence(
        f"over {len(over):,} cells lies something that was read neither as a symbol nor as a line, "
        "a part stitch or a knot"
    )
    answers = (
        Answer("marks are missing there; look again", "marks look-again", chance),
        Answer("it is nothing", "marks as-read", 1 - chance),
    )
    likely = tuple(sorted(answers, key=lambda a: -a.chance))
    return Question("marks", (), places(np.array(over, dtype=np.intp)), text, likely)
