"""What the road costs in time and memory, and how near it comes to the bound."""

from __future__ import annotations

import math
import time
import tracemalloc
from collections.abc import Callable
from functools import partial
from pathlib import Path
from statistics import median

import numpy as np
import pytest
from numpy.typing import NDArray
from PIL import Image

from chartscan.chart import Chart, ChartClass, Line
from chartscan.yardage import (
    EstimateSettings,
    Requirement,
    Supply,
    estimate,
    in_all,
    make_fabric,
    runs_out,
)
from chartscan.yardage.draws import Job, draw_hands, draw_job
from chartscan.yardage.geometry import Cell
from chartscan.yardage.lines import route_lines
from chartscan.yardage.requirement import LengthRange
from chartscan.yardage.risk import combine
from chartscan.yardage.together import enough_for_all

COLOURS, RUNS = 90, 3
FABRICS = (make_fabric(14), make_fabric(28, 1))  # carries reach 6 and 13 cells


def say(text: str) -> None:
    """Print one figure."""
    print(f"\n{text}", end="")  # noqa: T201 - a benchmark's product is its figures


def half_scattered(rows: int, columns: int) -> NDArray[np.int32]:
    """Blocks of ten cells a side in 90 colours, half of all cells scattered anew."""
    rng = np.random.default_rng(400)
    blocks = rng.integers(1, COLOURS + 1, (rows // 10, columns // 10))
    cells = np.repeat(np.repeat(blocks, 10, axis=0), 10, axis=1)
    scattered = rng.random(cells.shape) < 0.5
    cells[scattered] = rng.integers(1, COLOURS + 1, int(scattered.sum()))
    return cells.astype(np.int32)


def colours() -> NDArray[np.uint8]:
    """90 sRGB colours and white, well apart."""
    levels = np.array([20, 95, 170, 245])
    grid = np.stack(np.meshgrid(levels, levels, levels, levels[:2] // 4), -1).reshape(-1, 4)
    distinct = (grid[:, :3] - grid[:, 3:]).astype(np.uint8)
    return np.concatenate([[[255, 255, 255]], distinct[:COLOURS]]).astype(np.uint8)


def chart_of(cells: NDArray[np.int32]) -> Chart:
    """A chart of crosses."""
    kinds = [ChartClass(i, "stitch" if i else "empty") for i in range(COLOURS + 1)]
    return Chart(cells, tuple(kinds))


def timed(work: Callable[[], object], runs: int = RUNS) -> float:
    """Median processor seconds of a few runs; others may be busy on the same machine."""
    seconds = []
    for _ in range(runs):
        start = time.process_time()
        work()
        seconds.append(time.process_time() - start)
    return median(seconds)


@pytest.mark.benchmark
def test_time_grows_with_stitches_and_nothing_else() -> None:
    """Four sizes, each twice the cells: seconds per stitch stay within a factor of 1.5."""
    for fabric in FABRICS:
        per_stitch = []
        for rows, columns in ((200, 280), (280, 400), (400, 560), (560, 800)):
            chart = chart_of(half_scattered(rows, columns))
            seconds = timed(lambda chart=chart, fabric=fabric: estimate(chart, fabric))  # type: ignore[misc]
            per_stitch.append(seconds / chart.cells.size)
            say(
                f"{fabric.count:g}/{fabric.over}: {columns}×{rows}, {chart.cells.size:,} stitches:"
                f" {seconds:.2f} s, {1e6 * per_stitch[-1]:.2f} µs a stitch"
            )
        assert max(per_stitch[1:]) <= 1.5 * min(per_stitch)


@pytest.mark.benchmark
def test_an_estimate_takes_no_more_than_five_readings(tmp_path: Path) -> None:
    """400 × 560 cells at 12 px, 90 colours, half scattered: estimate against reading the same."""
    from chartscan.reading import read_pages

    cells = half_scattered(560, 400)
    page = np.kron(colours()[cells], np.ones((12, 12, 1), dtype=np.uint8))
    page[::12] = page[:, ::12] = 60
    path = tmp_path / "page.png"
    Image.fromarray(np.pad(page, ((40, 40), (40, 40), (0, 0)), constant_values=255)).save(path)
    chart = chart_of(cells)
    reading = timed(lambda: read_pages([path]), runs=1)
    for fabric in FABRICS:
        seconds = timed(lambda fabric=fabric: estimate(chart, fabric))  # type: ignore[misc]
        say(
            f"{fabric.count:g}/{fabric.over}: estimate {seconds:.2f} s, reading {reading:.2f} s:"
            f" ratio {seconds / reading:.2f}"
        )
        assert seconds <= 5 * reading


@pytest.mark.benchmark
def test_memory_stays_under_500_mb() -> None:
    """All that is allocated for 400 × 560 cells, 90 colours, half of them scattered."""
    chart = chart_of(half_scattered(560, 400))
    for fabric in FABRICS:
        tracemalloc.start()
        estimate(chart, fabric)
        peak = tracemalloc.get_traced_memory()[1] / 1e6
        tracemalloc.stop()
        say(f"{fabric.count:g}/{fabric.over}: peak memory {peak:.0f} MB")
        assert peak < 500


def _share(requirement: Requirement, *names: str) -> float:
    return math.fsum(t.mm for t in requirement.terms if t.name in names)


@pytest.mark.benchmark
def test_the_road_is_near_the_bound_where_it_can_be() -> None:
    """Solid from 400 crosses within 3 %; a hundred single crosses several times as much each."""
    for side in (20, 40, 100):
        (r,) = estimate(chart_of(np.ones((side, side), np.int32)), make_fabric(14)).threads
        road = _share(r, "front", "back", "carries")
        say(
            f"solid {side}×{side}: road {road / r.least_mm:.4f} of the bound, all"
            f" {r.length_mm.likely / r.least_mm:.3f}; {side**2 * 48_000 / r.length_mm.likely:,.0f}"
            " crosses a skein"
        )
        assert road <= 1.03 * r.least_mm
    cells = np.zeros((150, 150), np.int32)
    cells[::15, ::15] = 1
    (single,) = estimate(chart_of(cells), make_fabric(14)).threads
    (block,) = estimate(chart_of(np.ones((10, 10), np.int32)), make_fabric(14)).threads
    ratio = single.length_mm.likely / block.length_mm.likely
    say(f"100 isolated crosses take {ratio:.1f} times what a block of 100 takes")
    assert ratio > 3


@pytest.mark.benchmark
def test_orders_of_work_compared() -> None:
    """What each order and habit costs on a half scattered chart, against the default."""
    chart = chart_of(half_scattered(120, 160))
    base = in_all(estimate(chart, make_fabric(14))).length_mm.likely
    for name, told in {
        "cross by cross": EstimateSettings(order="crosses"),
        "no carries": EstimateSettings(carry_mm=0),
        "carries to 25 mm": EstimateSettings(carry_mm=25),
        "no loop start": EstimateSettings(loop_start=False),
        "needlefuls of 300 mm": EstimateSettings(working_mm=300),
    }.items():
        ratio = in_all(estimate(chart, make_fabric(14), told)).length_mm.likely / base
        say(f"{name}: {ratio:.3f} of the default")
        assert 0.5 < ratio < 2


@pytest.mark.benchmark
def test_the_chances_of_90_colours_take_under_half_a_second() -> None:
    """All that a chance costs beyond the road: projects drawn, put-ups counted, risks shared."""
    sizes = np.random.default_rng(90).integers(5, 4000, COLOURS).tolist()
    settings, sold = EstimateSettings(), Supply()

    def chances() -> float:
        hands = draw_hands()
        needed = []
        for number, size in enumerate(sizes):
            drawn = draw_job(Job(8.0 * size, 1 + size // 20, 2, number), hands, sold, settings)
            likely = float(np.median(drawn.used_mm))
            whole = LengthRange(likely, likely, likely)
            one = Requirement(number, size, (), 2, whole, 0.0, 1, 0, drawn=drawn)
            needed.append(combine([one], sold))
        return runs_out(enough_for_all(needed, 0.05, "project")).chance

    seconds = timed(chances)
    say(f"{COLOURS} colours: {seconds:.2f} s; some thread runs out in {chances():.3f} of projects")
    assert seconds < 0.5


@pytest.mark.benchmark
def test_pieces_of_line_take_time_as_they_are_many() -> None:
    """Short pieces all over 400 × 400 cells: twice as many take hardly more than twice."""
    took = {}
    for number in (16_000, 32_000):
        corners = np.random.default_rng(number).integers(0, 399, (number, 2)).astype(float)
        lines = [Line(1, ((x, y), (x + 1, y))) for x, y in corners.tolist()]
        took[number] = timed(partial(route_lines, lines, Cell(1.8, 1.8), "backstitch", 12))
        say(f"{number:,} pieces of line: {took[number]:.2f} s")
    assert took[32_000] < 3 * took[16_000]
