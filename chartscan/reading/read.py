"""The recipe of a reading: page, lattice, cells, classes, marks, chart."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from chartscan.chart import Chart
from chartscan.progress import Progress, silent


@dataclass(frozen=True)
class ReadSettings:
    """What the stitcher tells the reader (to come)."""


@dataclass(frozen=True)
class Reading:
    """A chart and the evidence it was read from."""

    chart: Chart
    warnings: tuple[str, ...] = ()


def read_pages(
    paths: Sequence[Path],
    settings: ReadSettings = ReadSettings(),
    progress: Progress = silent,
) -> Reading:
    """Read one chart from one or several pictures or PDFs."""
    raise NotImplementedError
