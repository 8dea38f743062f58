"""How right readings are, per group of charts that the reader was not made on.

The charts are those of ``tests.drawing`` from :data:`FIRST` on; the figures asked are in
``tests.drawing.figures``. Run with ``pytest tests/benchmarks/test_accuracy.py -m benchmark -s``.
"""

from __future__ import annotations

import os
import sys
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest

from tests.drawing.corpus import GROUPS, draw
from tests.drawing.figures import ASKED, figures
from tests.drawing.runner import Result, describe, read, summary

FIRST = 9001  # seeds below are for trying out
COUNT = {"large": 3}
USUAL = int(os.environ.get("CHARTSCAN_BENCHMARK_CHARTS", "20"))
SECONDS = 180.0


def run(group: str, folder: Path) -> list[Result]:
    """Draw and read the charts of ``group``, two at a time."""

    def one(seed: int) -> Result:
        place = folder / f"{group}-{seed:04d}"
        draw(group, seed).write(place)
        return read(place, SECONDS)

    with ThreadPoolExecutor(2) as pool:
        return list(pool.map(one, range(FIRST, FIRST + COUNT.get(group, USUAL))))


@pytest.mark.benchmark
@pytest.mark.parametrize("group", sorted(GROUPS))
def test_readings_of_a_group_reach_what_is_asked(group: str, tmp_path: Path) -> None:
    results = run(group, tmp_path)
    poor = [describe(r) for r in results if r.score is None or not r.score.perfect]
    sys.stdout.write("\n".join(["", *poor, *summary(results)]) + "\n")
    got = figures([r.score for r in results])
    assert got.reaches(ASKED[group]), f"{group}: {got} where {ASKED[group]} is asked"
