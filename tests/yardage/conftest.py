"""Charts and roads from patterns written as text: ``X`` a cross, ``.`` nothing, ``/`` a new row."""

from __future__ import annotations

import math
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray

from chartscan.chart import Chart, ChartClass
from chartscan.yardage.geometry import Cell
from chartscan.yardage.route import Road, route
from chartscan.yardage.settings import Order
from chartscan.yardage.stitches import list_stitches

MakeChart = Callable[[object], Chart]
RoadOf = Callable[..., Road]
SQUARE = Cell(1, 1)


def _cells(pattern: object) -> NDArray[np.int32]:
    if isinstance(pattern, str):
        rows = [[int(x) if x.isdigit() else int(x == "X") for x in r] for r in pattern.split("/")]
        return np.array(rows, dtype=np.int32)
    return np.asarray(pattern, dtype=np.int32)


@pytest.fixture(scope="session")
def make_chart() -> MakeChart:
    """A chart of crosses from a text pattern or an array of class indices; 0 is empty."""

    def make(pattern: object) -> Chart:
        cells = _cells(pattern)
        classes = [ChartClass(0, "empty")]
        classes += [ChartClass(i, "stitch", (i % 256, 9, 9)) for i in range(1, cells.max() + 1)]
        return Chart(cells, tuple(classes))

    return make


@pytest.fixture(scope="session")
def road_of(make_chart: MakeChart) -> RoadOf:
    """The road of the one class of a pattern, in cells of 1 × 1."""

    def road(
        pattern: object,
        order: Order = "rows",
        carry: float = 0.0,
        cell: Cell = SQUARE,
        restart: float = math.inf,
    ) -> Road:
        stitches = list_stitches(make_chart(pattern), {}, "three-quarter", lambda _, __: 1)
        (found,) = route(stitches, cell, order, carry, restart)
        return found

    return road


@pytest.fixture(autouse=True)
def own_records(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Keep every test away from the records of whoever runs it."""
    path = tmp_path / "records" / "usage.json"
    monkeypatch.setenv("CHARTSCAN_USAGE", str(path))
    return path
