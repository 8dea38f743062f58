"""A reading tells how far it is, and can be stopped between any two of its steps."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from chartscan.errors import GridError
from chartscan.progress import Cancelled, part_of, without_end
from chartscan.reading import read_pages
from tests.conftest import Drawn


class Listener:
    """Hears every step, and stops the reading at the ``last`` of them."""

    def __init__(self, last: int | None = None) -> None:
        self.heard: list[tuple[str, float]] = []
        self._last = last

    def __call__(self, step: str, done: float) -> None:
        """Note what is told."""
        self.heard.append((step, done))
        if len(self.heard) == self._last:
            raise Cancelled


@pytest.mark.parametrize("fixture", ["clean_chart", "scanned_chart", "chart_on_pages"])
def test_a_reading_never_goes_back_and_says_what_it_does(
    fixture: str, request: pytest.FixtureRequest
) -> None:
    drawn: Drawn = request.getfixturevalue(fixture)
    listener = Listener()
    read_pages(drawn.pages, progress=listener)
    done = [part for _, part in listener.heard]
    assert done == sorted(done)
    assert done[0] == 0
    assert done[-1] < 1
    steps = {step.split()[0] for step, _ in listener.heard}
    assert {"opening", "looking", "sorting"} <= steps


def test_a_reading_stops_at_any_of_its_steps(scanned_chart: Drawn) -> None:
    whole = Listener()
    read_pages(scanned_chart.pages, progress=whole)
    assert len(whole.heard) > 5, "through growing and grouping too"
    for last in range(1, len(whole.heard) + 1):
        listener = Listener(last)
        with pytest.raises(Cancelled):
            read_pages(scanned_chart.pages, progress=listener)
        assert listener.heard == whole.heard[:last]


def test_a_page_without_a_grid_tells_of_every_try(tmp_path: Path) -> None:
    """Stripes of uneven width: something grows here and there, and nothing comes of it."""
    rng = np.random.default_rng(71)
    rows = np.repeat(rng.integers(0, 2, 400), rng.integers(1, 6, 400))[:600]
    page = np.where(rows[:, None] ^ rng.integers(0, 2, (600, 600)), 255, 60).astype(np.uint8)
    path = tmp_path / "stripes.png"
    Image.fromarray(page).save(path)
    listener = Listener()
    with pytest.raises(GridError):
        read_pages([path], progress=listener)
    assert sum(step == "looking for the grid" for step, _ in listener.heard) > 3


def test_a_part_of_the_work_is_told_as_a_part() -> None:
    listener = Listener()
    part = part_of(listener, 0.25, 0.75)
    for done in (0.0, 0.5, 1.0, 7.0):
        part("step", done)
    assert [done for _, done in listener.heard] == [0.25, 0.5, 0.75, 0.75]


def test_work_without_a_known_end_comes_nearer_and_never_there() -> None:
    listener = Listener()
    tried = without_end(listener, "step", 4)
    for _ in range(40):
        tried()
    done = [part for _, part in listener.heard]
    assert done[3] == pytest.approx(0.5)
    assert done[7] == pytest.approx(0.75)
    assert done == sorted(done)
    assert done[-1] < 1
