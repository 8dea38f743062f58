"""What is told of a reading is followed from where it was, and what was found there is kept."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from chartscan.chart.corrections.tell import tell
from chartscan.reading import read_pages
from chartscan.tasks.corrections import follow
from tests.drawing.corpus import draw


def _page(group: str, seed: int, folder: Path) -> Path:
    sample = draw(group, seed)
    sample.write(folder)
    return folder / str(sample.truth["image"])


@pytest.mark.parametrize("fewer", [0, 1])
def test_where_no_marks_were_seen_another_number_of_colours_brings_none(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, fewer: int
) -> None:
    page = _page("symbols-on-colour", 660101, tmp_path)
    chart = read_pages([page]).chart
    assert not chart.lines
    assert not chart.questions
    stitches = sum(c.kind == "stitch" for c in chart.classes)

    def searched(*_: object) -> None:
        raise AssertionError("marks were looked for")

    monkeypatch.setattr("chartscan.reading.read.find_marks", searched)
    again = follow(tell(chart, [f"colours {stitches - fewer}"]), [page]).reading.chart
    assert sum(c.kind == "stitch" for c in again.classes) == stitches - fewer
    if not fewer:
        assert np.array_equal(again.cells, chart.cells)


def test_lines_that_were_read_are_read_again_when_colours_are_told(tmp_path: Path) -> None:
    page = _page("backstitch", 660102, tmp_path)
    chart = read_pages([page]).chart
    assert chart.lines
    stitches = sum(c.kind == "stitch" for c in chart.classes)
    again = follow(tell(chart, [f"colours {stitches}"]), [page]).reading.chart
    assert {line.points for line in again.lines} == {line.points for line in chart.lines}
