"""The review picture: the page with the reading drawn over it, for a person to judge."""

from __future__ import annotations

from collections.abc import Sequence

from chartscan.chart import Chart
from chartscan.reading.evidence import Evidence


def review_picture(
    chart: Chart, evidence: Sequence[Evidence], layout: tuple[int, int] | None = None
) -> bytes:
    """A PNG of the pages with lattice, colours, numbers, marks and doubts drawn on them."""
    raise NotImplementedError
