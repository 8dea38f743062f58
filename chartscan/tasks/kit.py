"""Kitting up: chart, threads and fabric joined into one kit."""

from __future__ import annotations

from typing import TYPE_CHECKING

from chartscan.stash.kit import Kit, assemble, supplies
from chartscan.yardage import estimate

if TYPE_CHECKING:
    from chartscan.chart import Chart
    from chartscan.palette import Matches, Owned
    from chartscan.yardage import EstimateSettings, Fabric


def kit_chart(
    chart: Chart,
    matches: Matches,
    fabric: Fabric,
    working: EstimateSettings,
    owned: Owned | None = None,
    title: str = "",
) -> Kit:
    """Everything that a chart takes on a fabric with the threads that were chosen.

    Args:
        chart: the chart.
        matches: the thread of each class (:func:`chartscan.tasks.threads.choose_threads`).
        fabric: the ground.
        working: how the work is done; marks that it is done without count as not there.
        owned: what is at hand and free; it needn't be bought.
        title: what the project is called.

    Raises:
        YardageError: the chart can't be worked so.
    """
    needed = estimate(chart, fabric, working, supplies(matches))
    return assemble(chart, matches, needed, owned, title)
