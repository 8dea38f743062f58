"""The contact sheet of classes, and the key template: which symbol is which thread."""

from __future__ import annotations

from collections.abc import Sequence

from chartscan.chart import Chart
from chartscan.reading.evidence import Evidence


def contact_sheet(chart: Chart, evidence: Sequence[Evidence]) -> bytes:
    """A PNG that shows every class: number, a clear crop, examples in place, count."""
    raise NotImplementedError


def key_template(chart: Chart) -> str:
    """CSV ``class,symbol,count,rgb,code`` with ``code`` left to be filled in."""
    raise NotImplementedError
