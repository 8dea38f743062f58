"""What of a page counts, and in what ink: shaded repeats tell nothing of its symbols' colours."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from chartscan.reading.classes.one_ink import in_one_ink
from chartscan.reading.evidence import Evidence
from chartscan.reading.join.marks import Region


def own_part(page: Evidence, region: Region) -> Evidence:
    """The page with those of its cells bare that count on another page.

    Symbols printed in one ink have no colour then, though that ink stands on a tint in the repeats:
    so they are compared with those of the other pages by their shapes alone.
    """
    chart = page.chart
    empty = next((c.index for c in chart.classes if c.kind == "empty"), None)
    if empty is None:
        return page
    cells = np.full_like(chart.cells, empty)
    own = np.s_[region.first_row : region.last_row, region.first_column : region.last_column]
    cells[own] = chart.cells[own]
    used = set(np.unique(cells).tolist())
    alone = in_one_ink(page.page, page.lattice, replace(chart, cells=cells))
    classes = tuple(
        a if a.index in used else c for a, c in zip(alone.classes, chart.classes, strict=True)
    )
    return replace(page, chart=replace(alone, classes=classes))
