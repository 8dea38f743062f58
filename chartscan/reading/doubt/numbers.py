"""What the numbers that cells were sorted into became: classes of the whole chart."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from chartscan.chart import Chart
from chartscan.reading.clues import Clues
from chartscan.reading.evidence import Evidence


@dataclass(frozen=True, eq=False)
class Numbered:
    """The clues of one page in terms of the whole chart.

    Attributes:
        clues: what was left in doubt on the page.
        origin: row and column of the page's first cell in the chart.
        classes: class of the chart for each number, −1 where no cell of it is left: (numbers,).
    """

    clues: Clues
    origin: tuple[int, int]
    classes: NDArray[np.intp]


def numbered(chart: Chart, page: Evidence) -> Numbered | None:
    """The clues of a page by the chart's classes; None where its cells weren't sorted by looks.

    Marks may have taken cells out of a number since, and pages may have been joined: what most of
    its cells are now is what it became.
    """
    clues = page.clues
    if clues is None or clues.labels is None:
        return None
    labels = clues.labels
    row, column = page.origin
    cells = chart.cells[row : row + labels.shape[0], column : column + labels.shape[1]]
    labels = labels[: cells.shape[0], : cells.shape[1]]
    count = int(clues.labels.max()) + 1
    met = np.zeros((count, len(chart.classes)), dtype=np.intp)
    np.add.at(met, (labels.ravel(), cells.ravel()), 1)
    classes = np.where(met.any(axis=1), met.argmax(axis=1), -1)
    return Numbered(clues, page.origin, classes)
