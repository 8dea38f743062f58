"""How pages were joined: asked where another overlap agrees nearly as well."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from chartscan.chart import Answer, Chart, Question
from chartscan.reading.doubt.asked import Asked, places, sentence

if TYPE_CHECKING:
    from chartscan.reading.join.seam import Seam


@dataclass(frozen=True)
class PageDoubts:
    """When it is asked how pages were joined.

    Attributes:
        near: by how much less another overlap may agree, as a part of its cells, to be a rival.
        level: chance of a rival that agrees as well; nothing else speaks for either.
        asked: least chance to ask.
    """

    near: float = 0.1
    level: float = 0.4
    asked: float = 0.1


def page_questions(
    chart: Chart, seams: Sequence[Seam], settings: PageDoubts = PageDoubts()
) -> list[Asked]:
    """A question for each seam at which another overlap agrees nearly as well.

    Where shading or bold lines say how many columns repeat, nothing is asked.
    """
    found = []
    for seam in seams:
        lead = seam.share - seam.rival_share
        chance = settings.level * max(0.0, 1 - lead / settings.near)
        if chance >= settings.asked and not seam.told:
            found.append(Asked(_question(chart, seam, chance), chance * chart.cells.size / 2))
    return found


def _question(chart: Chart, seam: Seam, chance: float) -> Question:
    line = np.arange(chart.rows if seam.what == "column" else chart.columns)
    across = np.full(len(line), min(seam.at, (chart.columns, chart.rows)[seam.what == "row"] - 1))
    cells = np.stack([line, across] if seam.what == "column" else [across, line], axis=1)
    many = f"{seam.count} {seam.what}{'s' if seam.count != 1 else ''}"
    text = sentence(
        f"{seam.names} were joined over {many}, but {seam.rival} would agree nearly as well"
    )
    answers = (
        Answer(f"{many} repeated, as read", "page as-read", 1 - chance),
        Answer(
            f"{seam.rival} repeated, to be told when the pages are read again",
            "page look-again",
            chance,
        ),
    )
    return Question("page", (), places(cells), text, answers)
