"""A glyph that repeats is a stitch, whatever marks lie over the cells around it."""

from __future__ import annotations

from io import BytesIO

import numpy as np
import pytest
from numpy.typing import NDArray
from PIL import Image

from chartscan.reading.evidence import Evidence
from chartscan.reading.page.page import Page
from chartscan.reading.read import ReadSettings, joined, read_page
from tests.drawing.corpus import draw


def evidence_of(group: str, seed: int) -> tuple[Evidence, NDArray[np.bool_]]:
    """The reading of a drawn page, and which of its cells are stitched in truth."""
    sample = draw(group, seed)
    pixels = np.asarray(Image.open(BytesIO(sample.files[sample.truth["image"]])).convert("RGB"))
    kinds = [entry["kind"] for entry in sample.truth["classes"]]
    stitched = np.array([kind == "stitch" for kind in kinds])[np.array(sample.truth["cells"])]
    return read_page(Page(pixels, lossless=True)), stitched


@pytest.mark.parametrize("seed", [22, 63])
def test_a_chart_in_one_ink_keeps_its_stitches_under_backstitch(seed: int) -> None:
    """Told by what fills their cells, they would be bare: 1,487 and 376 stitches gone."""
    evidence, stitched = evidence_of("backstitch-one-ink", seed)
    chart = evidence.chart
    kinds = np.array([entry.kind == "stitch" for entry in chart.classes])
    assert kinds[chart.cells][stitched].all()


def test_lines_over_symbols_that_were_not_read_are_asked_about() -> None:
    evidence, _ = evidence_of("backstitch-one-ink", 22)
    chart = joined([evidence], [], ReadSettings()).chart
    assert "marks" in [question.kind for question in chart.questions]
