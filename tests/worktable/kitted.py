"""A chart on the table that is read already, for the screens that come after the check."""

from __future__ import annotations

from dataclasses import replace

from chartscan.chart import Chart
from chartscan.worktable.table import Table


def lay(table: Table, chart: Chart, title: str = "Robin") -> str:
    """Lay ``chart`` on the shelf as read; its id."""
    kept = table.shelf.add(title)
    table.shelf.add_file(kept.id, ".png", "robin.png", b"picture")
    table.shelf.change(kept.id, None, lambda k: replace(k, state="read"), chart)
    return kept.id
