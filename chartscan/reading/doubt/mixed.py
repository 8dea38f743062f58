"""Classes that may be two: asked where their cells fall into heaps."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from chartscan.chart import Answer, Chart, Question
from chartscan.chart.doubts import MOST_CELLS
from chartscan.colour import lab_to_srgb, round_rgb
from chartscan.reading.doubt.against import under_marks
from chartscan.reading.doubt.asked import Asked, Place, named, sentence
from chartscan.reading.doubt.numbers import Numbered

if TYPE_CHECKING:
    from chartscan.reading.classes.heaps import Heap


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
    marked = under_marks(chart)
    for page in known:
        for heap in page.clues.heaps:
            index = int(page.classes[heap.group])
            if index < 0 or heap.chance < settings.asked:
                continue
            cells = _places(heap, page, chart)
            if sum(marked[place] for place in cells) > len(cells) / 2:
                continue  # marks make them look otherwise
            cost = len(cells) * heap.chance
            if index not in found or cost > found[index].cost:
                found[index] = Asked(_question(chart, index, cells, heap), cost)
    return list(found.values())


def _places(heap: Heap, page: Numbered, chart: Chart) -> tuple[Place, ...]:
    """Row and column in the chart of the cells of a heap, those that it has."""
    labels = page.clues.labels
    if labels is None:
        return ()
    rows, columns = np.unravel_index(heap.cells, labels.shape)
    places = np.stack([rows, columns], axis=1) + page.origin
    return tuple(
        (row, column)
        for row, column in places.tolist()
        if row < chart.rows and column < chart.columns
    )


def _question(chart: Chart, index: int, cells: tuple[Place, ...], heap: Heap) -> Question:
    from chartscan.chart.corrections.lines import NEW, block_of, hex_of  # clean pages need none
    from chartscan.chart.corrections.twins import as_blocks

    blocks = " ".join(block_of(block) for block in as_blocks(set(cells)))
    colour = ""
    if heap.lab is not None and chart.classes[index].rgb is not None:
        rgb = round_rgb(np.clip(lab_to_srgb(np.array(heap.lab)), 0, 255))
        colour = f' "{NEW} {hex_of(rgb)}"'
    answers = (
        Answer("it is one class", f"whole {index}", 1 - heap.chance),
        Answer("it is two", f"split {index} {blocks}{colour}", heap.chance),
    )
    text = sentence(
        f"{named(chart, index)}, was taken for one, but {len(cells):,} of them look a little "
        "otherwise"
    )
    likely = tuple(sorted(answers, key=lambda a: -a.chance))
    return Question("mixed", (index,), cells[:MOST_CELLS], text, likely)
