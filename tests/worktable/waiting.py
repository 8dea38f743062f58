"""Waiting for what the reader's process does."""

from __future__ import annotations

import time
from collections.abc import Callable

from chartscan.worktable.kept import Kept
from chartscan.worktable.table import Table

PATIENCE_S = 180.0  # machines are shared


def until(table: Table, chart: str, holds: Callable[[Kept], bool]) -> Kept:
    """The chart's card once something holds of it."""
    ends = time.monotonic() + PATIENCE_S
    while not holds(kept := table.shelf.get(chart)):
        assert time.monotonic() < ends, f"waited in vain; {kept}"
        time.sleep(0.02)
    return kept
