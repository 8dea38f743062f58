"""A reading opened again: what it shows is the page, and what it says of cells is true."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from chartscan.chart import Chart, dump_chart, parse_chart
from chartscan.chart.corrections.tell import tell
from chartscan.errors import ChartError, PageError
from chartscan.reading import ReadSettings, read_pages
from chartscan.reading.kept import kept_pages
from chartscan.reading.overlay import overlay
from chartscan.reading.reopen.looks import Looks
from chartscan.reading.reopen.pictures import crop, mean_picture, straightened
from chartscan.reading.reopen.reopened import Reopened, reopen
from tests.conftest import DrawChart, Drawn

CLOSE = 12  # levels of 255: how near the middle of a cell is to its class on a good scan


@pytest.fixture(scope="module")
def scanned(tmp_path_factory: pytest.TempPathFactory) -> tuple[Chart, Path]:
    """A chart read from a scan, as its file gives it back, and the scan."""
    from tests.drawing.corpus import draw

    sample = draw("mild-scan", 2)
    folder = tmp_path_factory.mktemp("scan")
    sample.write(folder)
    picture = folder / sample.truth["image"]
    return parse_chart(json.loads(dump_chart(read_pages([picture]).chart))), picture


@pytest.fixture
def opened(scanned: tuple[Chart, Path]) -> Reopened:
    chart, picture = scanned
    return reopen(chart, [picture])


def test_the_page_made_straight_shows_every_cell_in_its_own_square(opened: Reopened) -> None:
    picture = straightened(opened.pages[0], cell=16)
    chart = opened.chart
    assert picture.shape == (16 * chart.rows, 16 * chart.columns, 3)
    off = []
    for entry in chart.classes:
        for row, column in np.argwhere(chart.cells == entry.index).tolist():
            inside = picture[16 * row + 5 : 16 * row + 11, 16 * column + 5 : 16 * column + 11]
            off.append(np.abs(np.median(inside, axis=(0, 1)) - np.array(entry.rgb)).max())
    assert np.median(off) < CLOSE


def test_a_crop_is_the_cell_with_those_around_it(opened: Reopened) -> None:
    whole = straightened(opened.pages[0], cell=20)
    cut = crop(opened, 7, 9, around=2, cell=20)
    assert cut.shape == (100, 100, 3)
    there = whole[5 * 20 : 10 * 20, 7 * 20 : 12 * 20]
    cells = [each.reshape(5, 20, 5, 20, 3).mean(axis=(1, 3)) for each in (cut, there)]
    assert np.abs(cells[0] - cells[1]).max() < CLOSE
    assert np.ptp(cells[0], axis=(0, 1)).max() > CLOSE, "and not of one colour all over"
    with pytest.raises(ValueError, match="lies on no page"):
        crop(opened, 500, 0)


def test_the_mean_picture_of_a_class_has_its_colour(opened: Reopened) -> None:
    plain = [c for c in opened.chart.classes if c.symbol is None]
    assert plain
    for entry in plain:
        picture = mean_picture(opened, entry.index)
        assert picture is not None
        middle = np.median(picture[8:24, 8:24], axis=(0, 1))
        assert np.abs(middle - np.array(entry.rgb)).max() < CLOSE


def test_a_cell_set_wrong_has_its_own_class_first_among_the_candidates(
    scanned: tuple[Chart, Path],
) -> None:
    chart, picture = scanned
    for row, column in [(5, 5), (9, 12), (15, 20), (3, 25)]:
        right = int(chart.cells[row, column])
        wrong = next(c.index for c in chart.classes if c.index != right)
        told = tell(chart, [f"set {row + 1},{column + 1} {wrong}"])
        found = Looks(reopen(told, [picture])).candidates(row, column)
        assert found[0].class_index == right
        assert sum(candidate.chance for candidate in found) == pytest.approx(1, abs=0.01)


def test_two_classes_put_together_come_apart_where_they_were(draw_chart: DrawChart) -> None:
    picture = draw_chart("mild-scan", 9).pages[0]  # green and black
    chart = parse_chart(json.loads(dump_chart(read_pages([picture]).chart)))
    one, other = (c.index for c in chart.classes if c.kind == "stitch")
    looks = Looks(reopen(chart, [picture]))
    assert looks.likeness(one, other).separation > 8
    assert looks.likeness(one, other).astray == 0
    told = tell(chart, [f"one {one} {other}"])
    halves = Looks(reopen(told, [picture])).halves(one)
    cells = {(int(r), int(c)) for r, c in np.argwhere(chart.cells == other)}
    rest = {(int(r), int(c)) for r, c in np.argwhere(chart.cells == one)}
    assert set(halves.cells) in (cells, rest)
    assert halves.separation > 8


def test_pages_that_make_one_chart_are_opened_each_in_its_place(chart_on_pages: Drawn) -> None:
    reading = read_pages(chart_on_pages.pages)
    chart = parse_chart(json.loads(dump_chart(reading.chart)))
    again = reopen(chart, list(reversed(chart_on_pages.pages)))
    assert [page.kept.origin for page in again.pages] == [e.origin for e in reading.evidence]
    last = again.pages[-1]
    row, column = chart.rows - 1, chart.columns - 1
    assert last.holds(row, column)
    entry = chart.classes[chart.cells[row, column]]
    middle = crop(again, row, column, around=0)[10:22, 10:22]
    assert np.abs(np.median(middle, axis=(0, 1)) - np.array(entry.rgb or (255,) * 3)).max() < CLOSE


def test_a_picture_that_changed_or_is_gone_is_told_in_one_line(
    scanned: tuple[Chart, Path], tmp_path: Path, clean_chart: Drawn
) -> None:
    chart, picture = scanned
    changed = tmp_path / picture.name
    changed.write_bytes(picture.read_bytes() + b"\0")
    with pytest.raises(PageError, match="has changed since the chart was read"):
        reopen(chart, [changed])
    with pytest.raises(PageError, match="isn't the picture that was given"):
        reopen(chart, [clean_chart.pages[0]])
    with pytest.raises(PageError, match="there is no such file"):
        reopen(chart, [tmp_path / "gone.png"])


@pytest.mark.parametrize(
    "lattice",
    [
        {},
        {"homography": [[1, 0, 0]]},
        {"homography": "x"},
        {"homography": [[1, 0, 0], [0, 1, 0], [0, 0, float("inf")]]},
        {"pages": [{}]},
    ],
)
def test_a_chart_that_does_not_say_where_its_grid_lies_can_not_be_opened(
    scanned: tuple[Chart, Path], lattice: dict[str, object]
) -> None:
    chart, picture = scanned
    with pytest.raises(ChartError, match="read the picture again"):
        reopen(replace(chart, lattice=lattice), [picture])


def test_light_and_size_of_a_page_are_kept_in_the_chart_file(scanned: tuple[Chart, Path]) -> None:
    chart, picture = scanned
    (kept,) = kept_pages(chart)
    (page,) = read_pages([picture]).evidence
    assert kept.size == page.page.size
    assert kept.light is not None
    assert kept.lattice.to_pixels(np.array([3.0, 7.0])) == pytest.approx(
        page.lattice.to_pixels(np.array([3.0, 7.0])), abs=0.01
    )


@pytest.mark.parametrize("turn", [90, 180, 270])
def test_a_page_read_turned_lies_over_the_page_as_it_was_read_before(
    clean_chart: Drawn, turn: int
) -> None:
    before = read_pages(clean_chart.pages).chart
    after = read_pages(clean_chart.pages, ReadSettings(turn=turn)).chart
    laid = overlay(before, after)
    assert laid is not None
    places, inside = laid.cells()
    assert inside.all()
    looks = np.array([c.rgb for c in after.classes])[after.cells[places[..., 0], places[..., 1]]]
    assert (looks == np.array([c.rgb for c in before.classes])[before.cells]).all()
