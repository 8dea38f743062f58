"""What is to be matched: the colours of a chart's classes, and how much each takes."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from chartscan.chart import Chart, ChartClass
from chartscan.colour import srgb_to_lab
from chartscan.palette.learn import Learnt
from chartscan.palette.settings import MatchSettings
from chartscan.palette.thread import Thread

Array = NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class Targets:
    """The classes that are matched by colour; arrays run in their order.

    Attributes:
        classes: the classes.
        lab: the colours to match, corrected where that was learnt, CIELAB (classes, 3).
        amounts: stitches, cells of backstitch or knots, at least a half (classes,).
        competing: which are stitched cells, and so compete for threads of their own (classes,).
    """

    classes: tuple[ChartClass, ...]
    lab: Array
    amounts: Array
    competing: NDArray[np.bool_]


def find_targets(chart: Chart, key: Mapping[int, Thread], learnt: Learnt | None) -> Targets:
    """The classes of ``chart`` that are worked, have a colour, and that ``key`` doesn't name."""
    worked = (c for c in chart.classes if c.kind != "empty" and c.index not in key)
    classes = tuple(c for c in worked if c.rgb is not None)
    rgb = np.array([c.rgb for c in classes], dtype=np.float64).reshape(-1, 3)
    counts = amounts(chart)
    return Targets(
        classes=classes,
        lab=srgb_to_lab(rgb) if learnt is None else learnt.correction.to_lab(rgb),
        amounts=np.maximum(0.5, counts[[c.index for c in classes]]),
        competing=np.array([c.kind == "stitch" for c in classes], dtype=bool),
    )


def amounts(chart: Chart) -> Array:
    """Stitches (a part counts half), cells of backstitch, or knots, by class index."""
    counts = np.array(chart.counts(), dtype=np.float64)
    for part in chart.parts:
        counts[part.class_index] += 0.5
    return counts


def needs_mm(chart: Chart, settings: MatchSettings) -> Array:
    """Single strand that each class roughly takes, in mm, by class index."""
    per_kind = {
        "stitch": settings.stitch_mm,
        "line": settings.line_mm,
        "knot": settings.knot_mm,
        "empty": 0.0,
    }
    needs: Array = amounts(chart) * np.array([per_kind[c.kind] for c in chart.classes])
    return needs
