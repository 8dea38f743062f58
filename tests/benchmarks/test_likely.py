"""How well, and how quickly, the quick look tells charts from other pages, by kind of page.

``pytest tests/benchmarks/test_likely.py -m benchmark -s`` prints a table: how many pages of a kind
go on to the reader, with the 95 % interval of that share.
"""

from __future__ import annotations

import os
import time
from collections.abc import Iterator
from pathlib import Path

import pytest

from chartscan.archive.examine import _may_hold_chart
from tests.drawing.corpus import GROUPS, draw
from tests.drawing.intervals import wilson
from tests.drawing.others import OTHERS, draw_among_text, draw_other

pytestmark = pytest.mark.benchmark

FIRST = int(os.environ.get("CHARTSCAN_BENCHMARK_SEED", "65001"))  # below: for trying out
COUNT = int(os.environ.get("CHARTSCAN_BENCHMARK_CHARTS", "3"))
GRIDS = ("crossword", "number-puzzle", "squared")  # they are grids: the reader has to tell
PAGES_A_SECOND = 20  # and core, decoding included


def _charts(folder: Path) -> Iterator[tuple[str, Path]]:
    for seed in range(FIRST, FIRST + COUNT):
        for group in GROUPS:
            if group in ("large", "pdf"):  # minutes to draw; read from its paths
                continue
            for name, data in draw(group, seed).files.items():
                if not name.endswith((".csv", ".json")):
                    yield group, _written(folder / f"{group}-{seed}-{name}", data)
        yield "among text", _written(folder / f"among-{seed}.jpg", draw_among_text(seed))


def _others(folder: Path) -> Iterator[tuple[str, Path]]:
    for seed in range(FIRST, FIRST + COUNT):
        for kind in OTHERS:
            yield kind, _written(folder / f"{kind}-{seed}.jpg", draw_other(kind, seed))


def _written(path: Path, data: bytes) -> Path:
    path.write_bytes(data)
    return path


def _looked_at(pages: Iterator[tuple[str, Path]]) -> tuple[dict[str, list[bool]], float]:
    """Which pages go on to the reader, by kind; seconds of a core for each."""
    taken: dict[str, list[bool]] = {}
    spent = 0.0
    for kind, path in pages:
        began = time.process_time()
        taken.setdefault(kind, []).append(_may_hold_chart(path, None))
        spent += time.process_time() - began
    return taken, spent / sum(map(len, taken.values()))


def _said(taken: dict[str, list[bool]], words: str) -> None:
    everything = [flag for flags in taken.values() for flag in flags]
    for kind, flags in (*taken.items(), ("all", everything)):
        low, high = (round(100 * end) for end in wilson(sum(flags), len(flags)))
        print(f"{kind:32} {words} {sum(flags)} of {len(flags)} ({low} to {high} %)")  # noqa: T201


def test_no_chart_is_lost(tmp_path: Path) -> None:
    """99 of 100 charts go on to the reader."""
    taken, _ = _looked_at(_charts(tmp_path))
    _said(taken, "kept")
    flags = [flag for kind in taken.values() for flag in kind]
    assert sum(flags) >= 0.99 * len(flags)


def test_most_other_pages_are_passed_over_quickly(tmp_path: Path) -> None:
    taken, each_s = _looked_at(_others(tmp_path))
    _said(taken, "let through")
    print(f"{1 / each_s:.1f} pages a second and core, decoding included")  # noqa: T201
    flags = [flag for kind, found in taken.items() if kind not in GRIDS for flag in found]
    assert sum(flags) <= len(flags) / 2
    assert each_s <= 1 / PAGES_A_SECOND
