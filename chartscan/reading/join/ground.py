"""Which class of a chart joined from several pages is bare fabric: a page alone sees some edges."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from chartscan.chart import Chart, Kind
from chartscan.reading.classes.cloth import cloth_of_chart
from chartscan.reading.classes.ground import GroundOdds, ground_odds
from chartscan.reading.evidence import Evidence

BARE = 0.45  # chance from which on a class is taken for bare fabric, as on a page alone


def with_ground(chart: Chart, pages: Sequence[Evidence]) -> Chart:
    """The chart with the bare fabric that the whole of it tells, as class 0, or with none.

    Pages that were read from path objects say themselves which cells nothing was painted on.
    """
    sure = any(c.kind == "empty" for c in chart.classes)
    if sure and all(page.clues is None for page in pages):
        return chart
    bare = joined_odds(chart, pages).taken(BARE)
    order = [c.index for c in chart.classes if c.index != bare]
    if bare is not None:
        order.insert(0, bare)
    kinds: dict[int, Kind] = {
        c.index: "empty" if c.index == bare else "stitch" if c.kind == "empty" else c.kind
        for c in chart.classes
    }
    if all(kinds[c.index] == c.kind for c in chart.classes):
        return chart
    new = np.empty(len(order), dtype=np.int32)
    new[order] = np.arange(len(order))
    classes = (
        replace(chart.classes[old], index=index, kind=kinds[old]) for index, old in enumerate(order)
    )
    return replace(
        chart,
        cells=new[chart.cells],
        classes=tuple(classes),
        parts=tuple(replace(p, class_index=int(new[p.class_index])) for p in chart.parts),
        lines=tuple(replace(n, class_index=int(new[n.class_index])) for n in chart.lines),
        knots=tuple(replace(k, class_index=int(new[k.class_index])) for k in chart.knots),
    )


def joined_odds(chart: Chart, pages: Sequence[Evidence]) -> GroundOdds:
    """The odds of each class of a joined chart of being bare fabric; nought for marks."""
    papers = [p.clues.paper for p in pages if p.clues is not None and p.clues.paper is not None]
    paper = np.median(papers, axis=0) if papers else None
    drawn = all(page.lattice.drawn for page in pages)
    return ground_odds(cloth_of_chart(chart, paper, drawn=drawn))
