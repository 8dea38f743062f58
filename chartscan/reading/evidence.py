"""What a chart was read from, page by page: kept so that every cell can be traced to its pixels."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from chartscan.chart import Chart
from chartscan.reading.clues import Clues
from chartscan.reading.lattice.model import Lattice
from chartscan.reading.page.page import Page


@dataclass(frozen=True, eq=False)
class Evidence:
    """One page and what was read from it.

    Attributes:
        page: the decoded (or rendered) page.
        lattice: where this page's grid lies on it.
        chart: what this page alone says; class indices are this page's own until pages are joined,
            and those of the joined chart afterwards.
        glyphs: class index -> what its symbol looks like, grey uint8 (height, width), dark on
            light; classes without a symbol are left out.
        origin: (row, column) of this page's top left cell in the joined chart.
        clues: what was left in doubt; None where it was read from path objects.
    """

    page: Page
    lattice: Lattice
    chart: Chart
    glyphs: Mapping[int, NDArray[np.uint8]] = field(default_factory=dict)
    origin: tuple[int, int] = (0, 0)
    clues: Clues | None = None
