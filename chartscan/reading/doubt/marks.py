"""Marks that seem to be there and weren't read: asked where cells have something over them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from chartscan.chart import Answer, Chart, Question
from chartscan.reading.doubt.against import Against, Mask, beside_lines, lay, under_marks
from chartscan.reading.doubt.asked import Asked, sentence, spread
from chartscan.reading.evidence import Evidence


@dataclass(frozen=True)
class MarkDoubts:
    """When marks are asked about.

    Attributes:
        cells: cells with something over them from which on it is asked.
        half: cells at which it is as likely as not that marks were missed, where none were read.
        read: so many more for each cell that lies under marks that were: what is left beside those
            is mostly of theirs. Of two right scans (marks-scanned, seeds 210001 and 210002) none
            and 24 cells were left beside 467 and 876.
        asked: least chance to ask.
    """

    cells: int = 6
    half: float = 20.0
    read: float = 0.2
    asked: float = 0.15


def mark_questions(
    chart: Chart,
    pages: Sequence[Evidence],
    held: Sequence[Against],
    settings: MarkDoubts = MarkDoubts(),
) -> list[Asked]:
    """The question whether marks were missed; none where next to nothing lies over cells.

    What a frame or bold lines do to the cells beside them is no mark.
    ``held``: what each page shows and the chart doesn't explain.
    """
    over = np.zeros(chart.cells.shape, dtype=np.bool_)
    runs = np.zeros_like(over)
    for page, seen in zip(pages, held, strict=True):
        here = page.clues.over if page.clues is not None else ()
        lying = seen.unexplained.copy()
        lying[tuple(np.array(here, dtype=np.intp).reshape(-1, 2).T)] = True
        lay(over, page.origin, lying)
        lay(runs, page.origin, seen.runs_on)
    over &= ~beside_lines(over & ~runs)
    number, read = int(over.sum()), int(under_marks(chart).sum())
    chance = number / (number + settings.half + settings.read * read)
    if number < settings.cells or chance < settings.asked:
        return []
    return [Asked(_question(chart, over, runs, chance), number * chance)]


def _question(chart: Chart, over: Mask, runs: Mask, chance: float) -> Question:
    """The question; a class half of whose cells lie under something may be none, and is named."""
    why = "; ink runs on from cell to cell there" if runs.any() else ""
    text = sentence(
        f"over {int(over.sum()):,} cells lies something that was read neither as a symbol nor as a "
        f"line, a part stitch or a knot{why}"
    )
    count = np.bincount(chart.cells.ravel(), minlength=len(chart.classes))
    under = np.bincount(chart.cells[over], minlength=len(chart.classes))
    mostly = np.flatnonzero((under > 0) & (under >= count / 2))
    classes = tuple(int(k) for k in mostly[np.argsort(-under[mostly], kind="stable")])
    answers = (
        Answer("marks are missing there, to be added by hand", "marks look-again", chance),
        Answer("it is nothing", "marks as-read", 1 - chance),
    )
    likely = tuple(sorted(answers, key=lambda a: -a.chance))
    return Question("marks", classes, spread(over), text, likely)
