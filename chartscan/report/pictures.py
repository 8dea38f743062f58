"""Pictures of symbols inside a page, so that it needs no second file."""

from __future__ import annotations

import base64

from chartscan.chart import ChartClass


def symbol_uri(entry: ChartClass) -> str | None:
    """The symbol of a class as a ``data:`` address; None where it has none."""
    if entry.picture is None:
        return None
    return "data:image/png;base64," + base64.b64encode(entry.picture).decode("ascii")
