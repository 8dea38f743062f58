"""Pages sent with their bytes are read as they are where they lie."""

from __future__ import annotations

from dataclasses import replace

from chartscan.archive.examine import examine
from chartscan.archive.sending import with_bytes
from chartscan.archive.values import Leaf, Limits
from chartscan.reading.page.page import digest_of
from tests.conftest import DrawChart


def test_of_a_pdf_the_page_alone_is_sent(draw_chart: DrawChart) -> None:
    path = draw_chart("pdf", 31001).pages[0]
    leaf = Leaf(str(path), digest_of(path), 2)
    sent = with_bytes(leaf)
    assert sent.content is not None
    assert len(sent.content) < path.stat().st_size
    near, far = examine(leaf, Limits()), examine(sent, Limits())
    assert far.leaf == replace(sent, content=None), "the bytes don't come back"
    assert near.state == "chart"
    assert (far.state, far.facts, far.chart) == (near.state, near.facts, near.chart)
