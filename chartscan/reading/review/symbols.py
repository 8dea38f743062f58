"""The symbols of a chart as small pictures that stay with it once its pages are put away."""

from __future__ import annotations

import io
from collections.abc import Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from chartscan.chart import Chart
from chartscan.reading.cells.crops import crops
from chartscan.reading.evidence import Evidence


def with_pictures(chart: Chart, evidence: Sequence[Evidence]) -> Chart:
    """``chart`` with the picture of every symbol, from the first page that shows it."""
    shown: dict[int, NDArray[np.uint8]] = {}
    for page in evidence:
        # A chart that was read from a PDF's paths needed no crops until now.
        for index, glyph in (page.glyphs or crops(page.page, page.lattice, page.chart)).items():
            shown.setdefault(index, glyph)
    if not shown:
        return chart
    classes = tuple(
        replace(entry, picture=_png(shown[entry.index])) if entry.index in shown else entry
        for entry in chart.classes
    )
    return replace(chart, classes=classes)


def _png(grey: NDArray[np.uint8]) -> bytes:
    """A grey picture, shape (height, width), as the bytes of a PNG file."""
    from PIL import Image

    stream = io.BytesIO()
    Image.fromarray(grey).save(stream, format="PNG", optimize=True)
    return stream.getvalue()
