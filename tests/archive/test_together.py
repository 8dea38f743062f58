"""Pages that make one chart: seen, proposed, joined, taken apart."""

from __future__ import annotations

from itertools import pairwise
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.typing import NDArray

from chartscan.archive.fitting import Fit, fits
from chartscan.archive.layouts import layouts
from chartscan.chart import Chart, ChartClass, load_chart
from chartscan.errors import ArchiveError
from chartscan.tasks import archive
from chartscan.tasks.archive import read_archive
from chartscan.tasks.catalogue import count_charts, list_charts
from chartscan.tasks.together import join_charts, list_proposals, take_apart
from tests.archive.conftest import FILLS, draw_cells, draw_page

if TYPE_CHECKING:
    from tests.archive.conftest import InlineCrew

Cells = NDArray[np.int64]


def design(seed: int, rows: int = 36, columns: int = 48) -> Cells:
    """Patches of some cells in four colours, with a few single stitches; nothing repeats."""
    rng = np.random.default_rng([62, seed])
    middles = rng.uniform(0, 1, (rows * columns // 25, 2)) * (rows, columns)
    fills = rng.integers(0, len(FILLS), len(middles))
    y, x = np.mgrid[:rows, :columns]
    far = (y[..., None] - middles[:, 0]) ** 2 + (x[..., None] - middles[:, 1]) ** 2
    cells = fills[far.argmin(axis=-1)]
    specks = rng.random(cells.shape) < 0.05
    cells[specks] = rng.integers(0, len(FILLS), int(specks.sum()))
    return np.asarray(cells)


def _chart(cells: Cells) -> Chart:
    fills = [tuple(int(fill[n : n + 2], 16) for n in (1, 3, 5)) for fill in FILLS]
    classes = [
        ChartClass(n, "stitch" if n else "empty", (fill[0], fill[1], fill[2]))
        for n, fill in enumerate(fills)
    ]
    return Chart(cells.astype(np.int32), tuple(classes))


@given(seed=st.integers(0, 40), repeated=st.integers(2, 5), turned=st.booleans())
def test_a_chart_goes_on_where_it_was_cut(seed: int, repeated: int, turned: bool) -> None:
    before, after = _cut(seed, repeated, turned)
    (fit,) = fits(before, after)
    assert (fit.way, fit.repeated) == ("below" if turned else "right", repeated)
    assert fit.agreed == fit.compared


def test_a_design_that_runs_on_without_repeats_is_mostly_seen() -> None:
    """Cut beside its patches it can't be: 28 of these 41 were, when this was written."""
    found = [list(fits(*_cut(seed, 0, turned=False))) for seed in range(41)]
    assert {fit.way for seen in found for fit in seen} == {"right"}
    assert {fit.repeated for seen in found for fit in seen} <= {0, 1}, "two columns may be alike"
    assert sum(map(bool, found)) >= 28


def _cut(seed: int, repeated: int, turned: bool) -> tuple[Chart, Chart]:
    """A design cut after 24 columns (rows), of which so many are on both parts."""
    cells = design(seed)
    before, after = _chart(cells[:, :24]), _chart(cells[:, 24 - repeated :])
    if turned:
        before, after = _chart(cells[:, :24].T), _chart(cells[:, 24 - repeated :].T)
    return before, after


@given(first=st.integers(0, 40), second=st.integers(41, 80))
def test_charts_of_one_size_that_are_two_stay_two(first: int, second: int) -> None:
    assert not list(fits(_chart(design(first, 36, 36)), _chart(design(second, 36, 36))))


@given(first=st.integers(0, 40), second=st.integers(41, 80), wide=st.integers(1, 3))
def test_one_frame_around_two_charts_makes_them_no_whole(
    first: int, second: int, wide: int
) -> None:
    """A series often has one border; what a page repeats of itself tells nothing."""
    framed = []
    for seed in (first, second):
        cells = design(seed, 36, 36)
        bands = np.arange(36) // 2 % len(FILLS)
        for n in range(wide):
            cells[n], cells[-1 - n] = bands, bands
            cells[:, n], cells[:, -1 - n] = bands, bands
        framed.append(_chart(cells))
    first_chart, second_chart = framed
    assert not list(fits(first_chart, second_chart))


def test_bare_margins_make_no_whole() -> None:
    charts = []
    for seed in (1, 2):
        cells = design(seed, 36, 36)
        cells[:, :3] = cells[:, -3:] = cells[:3] = cells[-3:] = 0
        charts.append(_chart(cells))
    first, second = charts
    assert not list(fits(first, second))


@given(rows=st.integers(1, 3), columns=st.integers(1, 3), alone=st.integers(0, 3))
def test_layouts_are_found_in_reading_order(rows: int, columns: int, alone: int) -> None:
    table = np.arange(rows * columns).reshape(rows, columns) + alone
    right = {int(a): int(b) for row in table for a, b in pairwise(row)}
    below = {int(a): int(b) for row in table.T for a, b in pairwise(row)}
    pages = list(range(alone + table.size + 2))
    found = list(layouts(pages, right, below))
    assert found == ([table.tolist()] if table.size > 1 else [])


def test_a_row_that_is_too_short_is_left_out() -> None:
    assert list(layouts([1, 2, 3], {1: 2}, {1: 3})) == [[[1, 2]]]


@pytest.fixture
def guild(tmp_path: Path, crew: InlineCrew) -> Path:
    """A catalogue of a chart on four pages, of which two columns and rows repeat, and two more."""
    cells, shelf = design(5), tmp_path / "shelf"
    draw_page(shelf / "page-1.png", 26, 20, seed=3)
    parts = [(rows, columns) for rows in ((0, 20), (18, 36)) for columns in ((0, 26), (24, 48))]
    for number, ((top, bottom), (left, right)) in enumerate(parts, start=9):
        draw_cells(shelf / f"page-{number}.png", cells[top:bottom, left:right])
    draw_page(shelf / "page-13.png", 26, 20, seed=14)
    into = tmp_path / "guild.catalogue"
    assert read_archive([shelf], into, crew).proposed == 1
    return into


def _names(into: Path) -> list[str]:
    return [Path(entry.path).name for entry in list_charts(into)]


def _numbers(into: Path) -> list[int]:
    by_name = {Path(entry.path).name: entry.number for entry in list_charts(into)}
    return [by_name[f"page-{n}.png"] for n in (9, 10, 11, 12)]


def test_four_pages_are_proposed_and_joined_on_her_word(guild: Path, crew: InlineCrew) -> None:
    numbers = _numbers(guild)
    (whole,) = list_proposals(guild)
    assert (whole.charts, whole.layout) == (tuple(numbers), (2, 2))
    assert "2 columns or rows are on both pages" in whole.why
    join_charts(guild, [numbers[2]])
    assert list_proposals(guild) == ()
    entries = {entry.number: entry for entry in list_charts(guild)}
    joined = entries[numbers[0]]
    assert (len(entries), joined.columns, joined.rows, joined.pages) == (3, 48, 36, 4)
    whole_chart = load_chart(joined.chart_file)
    fills = [entry.rgb for entry in whole_chart.classes]
    drawn = [entry.rgb for entry in _chart(design(5)).classes]
    expected = np.array([fills.index(fill) for fill in drawn])[design(5)]
    assert (whole_chart.cells == expected).all()
    with pytest.raises(ArchiveError, match="joined of several pages already"):
        join_charts(guild, [numbers[0], next(n for n in entries if n not in numbers)])


def test_what_was_joined_outlives_other_runs_and_versions(
    guild: Path, crew: InlineCrew, monkeypatch: pytest.MonkeyPatch
) -> None:
    join_charts(guild, _numbers(guild)[:1])
    monkeypatch.setattr(archive, "__version__", "999")
    run = read_archive([guild.parent / "shelf"], guild, crew)
    assert (run.pages, run.kept, run.proposed) == ({"chart": 2}, 4, 0)
    assert count_charts(guild) == 3


def test_what_was_joined_is_taken_apart_and_not_proposed_again(
    guild: Path, crew: InlineCrew
) -> None:
    before = list(list_charts(guild))
    numbers = _numbers(guild)
    join_charts(guild, numbers[:1])
    take_apart(guild, numbers[3])
    assert list(list_charts(guild)) == before
    draw_page(guild.parent / "shelf" / "page-20.png", 26, 20, seed=7)
    assert read_archive([guild.parent / "shelf"], guild, crew).proposed == 0
    with pytest.raises(ArchiveError, match="nothing is proposed"):
        join_charts(guild, numbers[:1])
    join_charts(guild, numbers, (2, 2))
    assert count_charts(guild) == 4


def test_a_page_that_came_later_makes_the_whole_larger(tmp_path: Path, crew: InlineCrew) -> None:
    cells, shelf, into = design(6), tmp_path / "shelf", tmp_path / "c"
    for number, left in enumerate((0, 14)):
        draw_cells(shelf / f"{number}.png", cells[:, left : left + 16])
    assert read_archive([shelf], into, crew).proposed == 1
    draw_cells(shelf / "2.png", cells[:, 28:])
    assert read_archive([shelf], into, crew).proposed == 1
    (whole,) = list_proposals(into)
    assert whole.layout == (1, 3)


def test_a_page_that_was_changed_since_is_not_joined(guild: Path) -> None:
    numbers = _numbers(guild)
    draw_cells(guild.parent / "shelf" / "page-9.png", np.roll(design(5)[:20, :26], 3, axis=0))
    with pytest.raises(Exception, match=r"was changed since|don't fit"):
        join_charts(guild, numbers[:1])
    assert count_charts(guild) == 6


def test_fits_say_what_speaks_for_them() -> None:
    cells = design(9)
    (fit,) = fits(_chart(cells[:, :24]), _chart(cells[:, 22:]))
    assert fit == Fit("right", 2, 72, 72)
