"""A page reads the same, to the last byte, over however many threads its work is shared."""

from __future__ import annotations

from pathlib import Path

import pytest

from chartscan import cores
from chartscan.chart.file import dump_chart
from chartscan.reading import read_pages
from tests.drawing.corpus import draw


def test_a_photograph_reads_the_same_over_one_two_and_three_threads(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    sample = draw("mild-photo", 1_200_001)
    sample.write(tmp_path)
    path = tmp_path / sample.truth["image"]
    monkeypatch.delenv(cores.LIMIT, raising=False)
    charts = set()
    for threads in (1, 2, 3):
        monkeypatch.setattr(cores, "available_cores", lambda threads=threads: threads)
        charts.add(dump_chart(read_pages([path]).chart))
    assert len(charts) == 1
