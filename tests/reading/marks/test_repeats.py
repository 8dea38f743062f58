"""A glyph that repeats is a stitch, whatever marks lie over the cells around it."""

from __future__ import annotations

from io import BytesIO

import numpy as np
import pytest
from numpy.typing import NDArray
from PIL import Image

from chartscan.chart import Chart
from chartscan.reading.page.page import Page
from chartscan.reading.read import read_page
from tests.drawing.corpus import draw


def read(group: str, seed: int) -> tuple[Chart, NDArray[np.bool_]]:
    """The chart read from a drawn page, and which of its cells are stitched in truth."""
    sample = draw(group, seed)
    pixels = np.asarray(Image.open(BytesIO(sample.files[sample.truth["image"]])).convert("RGB"))
    kinds = [entry["kind"] for entry in sample.truth["classes"]]
    stitched = np.array([kind == "stitch" for kind in kinds])[np.array(sample.truth["cells"])]
    return read_page(Page(pixels, lossless=True)).chart, stitched


@pytest.mark.parametrize(
    "seed",
    [
        pytest.param(22, marks=pytest.mark.xfail(reason="688 of 1,487 stitches are read as bare")),
        63,
    ],
)
def test_a_chart_in_one_ink_keeps_its_stitches_under_backstitch(seed: int) -> None:
    """Told by what fills their cells, they would be bare: 1,487 and 376 stitches gone."""
    chart, stitched = read("backstitch-one-ink", seed)
    kinds = np.array([entry.kind == "stitch" for entry in chart.classes])
    assert kinds[chart.cells][stitched].all()
