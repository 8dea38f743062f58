"""Classes that may be two: asked where their cells fall into heaps."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from chartscan.chart import Answer, Chart, Question
from chartscan.chart.doubts import MOST_CELLS
from chartscan.reading.doubt.asked import Asked, named, sentence
from chartscan.reading.doubt.numbers import Numbered


@dataclass(frozen=True)
class MixedDoubts:
    """When it is asked whether a class is two.

    Attributes:
        asked: least chance. Merged classes are the reader's blind spot: of 9 in drawn charts (seeds
            70001 to 70060) one reached it, and so did 2 of 560 that were right.
    """

    asked: float = 0.15


def mixed_questions(
    chart: Chart, known: Sequence[Numbered], settings: MixedDoubts = MixedDoubts()
) -> list[Asked]:
    """A question for every class that may be two, the likeliest heap of each."""
    found: dict[int, Asked] = {}
    for page in known:
        labels = page.clues.labels
        for heap in page.clues.heaps:
            index, chance = int(page.classes[heap.group]), heap.chance()
            if index < 0 or chance < settings.asked or labels is None:
                continue
            rows, columns = np.unravel_index(heap.cells, labels.shape)
            cells = tuple(
                (int(row) + page.origin[0], int(column) + page.origin[1])
                for row, column in zip(rows, columns, strict=True)
            )
            cells = tuple(
                (row, column)
                for row, column in cells
                if row < chart.rows and column < chart.columns
            )
            cost = len(cells) * chance
            if index not in found or cost > found[index].cost:
                found[index] = Asked(_question(chart, index, cells, chance), cost)
    return list(found.values())


def _question(
    chart: Chart, index: int, cells: tuple[tuple[int, int], ...], chance: float
) -> Question:
    answers = (
        Answer("it is one class", f"whole {index}", 1 - chance),
        Answer("it is two", f"split {index}", chance),
    )
    text = sentence(
        f"{named(chart, index)}, was taken for one, but {len(cells):,} of them look a little "
        "otherwise"
    )
    likely = tuple(sorted(answers, key=lambda a: -a.chance))
    return Question("mixed", (index,), cells[:MOST_CELLS], text, likely)
