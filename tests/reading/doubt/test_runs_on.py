"""Ink that runs on from cell to cell: lines that were taken for symbols, and symbols that end."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from numpy.typing import NDArray
from PIL import Image, ImageDraw

from chartscan.chart import Chart
from chartscan.reading.doubt.runs_on import RunSettings, runs_on
from chartscan.reading.lattice.model import Lattice
from chartscan.reading.marks.sight import SightSettings
from chartscan.reading.page.page import Page
from tests.reading.staged import WHITE, classes, straight, turned

ROWS, COLUMNS, PITCH = 9, 12, 20
INK = (40, 40, 160)
Cells = NDArray[np.int32]
Mask = NDArray[np.bool_]
Way = tuple[float, float, float, float]  # from (x, y) to (x, y) in cells


def page_of(*ways: Way, ink: tuple[int, int, int] = INK, width: int = 3) -> Page:
    """White cells with thin grid lines, and lines in ink."""
    picture = Image.new("RGB", (COLUMNS * PITCH, ROWS * PITCH), "white")
    draw = ImageDraw.Draw(picture)
    for column in range(COLUMNS):
        draw.line((column * PITCH, 0, column * PITCH, ROWS * PITCH), fill=(150, 150, 150))
    for row in range(ROWS):
        draw.line((0, row * PITCH, COLUMNS * PITCH, row * PITCH), fill=(150, 150, 150))
    for way in ways:
        draw.line([PITCH * v for v in way], fill=ink, width=width)
    return Page(np.asarray(picture), lossless=True)


def chart_of(*symbols: tuple[int, int]) -> Chart:
    """Bare cells, and those that were taken for a symbol, two classes in turn along a row."""
    cells = np.zeros((ROWS, COLUMNS), np.int32)
    for row, column in symbols:
        cells[row, column] = 1 + column % 2
    return Chart(cells, classes(WHITE, WHITE, WHITE))


LATTICE = straight(COLUMNS, ROWS, PITCH)
NONE_KNOWN = np.zeros((ROWS, COLUMNS), np.bool_)
ACROSS: Way = (1.5, 4.5, 9.5, 4.5)
LEVEL = [(4, column) for column in range(1, 10)]


def found(
    page: Page, chart: Chart, known: Mask = NONE_KNOWN, **changed: object
) -> set[tuple[int, int]]:
    settings = replace(RunSettings(), **changed)  # type: ignore[arg-type]  # by name
    mask = runs_on(page, LATTICE, chart, known, settings)
    return {(int(r), int(c)) for r, c in np.argwhere(mask)}


def test_a_line_taken_for_symbols_runs_through_all_of_its_cells_and_no_other() -> None:
    assert found(page_of(ACROSS), chart_of(*LEVEL)) == set(LEVEL)


def test_an_empty_page_shows_nothing() -> None:
    assert found(page_of(), chart_of(*LEVEL)) == set()


@pytest.mark.parametrize("quarters", [1, 2, 3])
def test_it_is_the_same_whichever_way_the_sheet_lies(quarters: int) -> None:
    ways: list[Way] = [ACROSS, (1.0, 2.0, 4.0, 8.0)]
    page, lattice, cells = page_of(*ways), LATTICE, chart_of(*LEVEL).cells
    expected = runs_on(page, LATTICE, chart_of(*LEVEL), NONE_KNOWN)
    assert expected.any()
    for _ in range(quarters):
        lattice, page = turned(lattice, page)
        cells, expected = np.rot90(cells), np.rot90(expected)
    chart = Chart(cells, classes(WHITE, WHITE, WHITE))
    seen = runs_on(page, lattice, chart, np.zeros(cells.shape, np.bool_))
    assert (seen == expected).all()


def test_a_line_from_corner_to_corner_runs_on_aslant() -> None:
    steps = [(k, k + 1) for k in range(1, 8)]
    way: Way = (2.0, 1.0, 9.0, 8.0)
    assert found(page_of(way), chart_of(*steps)) == set(steps)
    rising = [(8 - k, k + 1) for k in range(1, 8)]
    mirrored: Way = (2.0, 8.0, 9.0, 1.0)
    assert found(page_of(mirrored), chart_of(*rising)) == set(rising)


def test_a_line_moves_along_a_side_on_its_way_over_it(monkeypatch: pytest.MonkeyPatch) -> None:
    """At 45° through the middles of sides: a quarter of a cell from one side to the other."""
    page = page_of((1.0, 1.5, 6.0, 6.5))
    steps = [place for k in range(1, 6) for place in ((k, k), (k + 1, k))]
    cells = np.zeros((ROWS, COLUMNS), np.int32)
    for row, column in steps:
        cells[row, column] = 1 + (row + column) % 2
    chart = Chart(cells, classes(WHITE, WHITE, WHITE))
    assert found(page, chart) == set(steps)
    monkeypatch.setattr(RunSettings, "aslant", 0)
    assert found(page, chart) == set()


def test_symbols_that_keep_to_their_cells_do_not_run_on() -> None:
    inside = [(c + 0.25, 4.5, c + 0.75, 4.5) for c in range(1, 10)]
    assert found(page_of(*inside), chart_of(*LEVEL)) == set()


def test_two_cells_of_one_class_do_not_tell_of_a_line() -> None:
    """Symbols that reach the sides of their cells meet in every row of one class."""
    cells = np.zeros((ROWS, COLUMNS), np.int32)
    cells[4, 1:10] = 1
    chart = Chart(cells, classes(WHITE, WHITE))
    reaching = page_of((1.1, 4.5, 9.9, 4.5))
    assert found(reaching, chart) == set()


@pytest.mark.parametrize(("cells", "seen"), [(4, False), (5, True)])
def test_fewer_than_four_places_are_not_believed(cells: int, seen: bool) -> None:
    """A line through so many cells passes from one into the next one time less."""
    way: Way = (1.5, 4.5, 0.5 + cells, 4.5)
    run = [(4, column) for column in range(1, 1 + cells)]
    assert found(page_of(way), chart_of(*run)) == (set(run) if seen else set())


def test_what_is_known_to_lie_under_a_line_is_left_out() -> None:
    known = NONE_KNOWN.copy()
    known[4, 5] = True
    assert found(page_of(ACROSS), chart_of(*LEVEL), known) == set(LEVEL) - {(4, 5)}
    known[4, 3:8] = True
    assert found(page_of(ACROSS), chart_of(*LEVEL), known) == set()


def test_ink_of_two_colours_does_not_run_on() -> None:
    """Each cell has a bar from side to side, in turn in two inks."""
    page = page_of(*[(c + 0.0, 4.5, c + 0.95, 4.5) for c in range(1, 10)])
    assert found(page, chart_of(*LEVEL)) == set(LEVEL)
    pixels = page.pixels.copy()
    odd = np.zeros(pixels.shape[:2], np.bool_)
    for column in range(2, 10, 2):
        odd[:, column * PITCH : (column + 1) * PITCH] = True
    pixels[odd & (pixels == INK).all(axis=2)] = (200, 30, 30)
    assert found(Page(pixels, lossless=True), chart_of(*LEVEL)) == set()


def test_a_fill_is_no_line() -> None:
    """Bars wider than half of a side are a fill, however they run on."""
    wide = page_of(ACROSS, width=14)
    assert found(wide, chart_of(*LEVEL)) == set()
    assert found(page_of(ACROSS, width=6), chart_of(*LEVEL)) == set(LEVEL)


@pytest.mark.parametrize(("depth", "seen"), [(14, False), (17, True)])
def test_faint_ink_is_seen_from_three_times_what_one_colour_may_vary_on(
    depth: int, seen: bool
) -> None:
    page = page_of(ACROSS, ink=(255 - depth,) * 3)
    assert bool(found(page, chart_of(*LEVEL))) is seen
    lossy = Page(page.pixels, lossless=False)
    assert not found(lossy, chart_of(*LEVEL))


def test_noise_hides_what_stands_out_by_less_than_three_times_as_much() -> None:
    rng = np.random.default_rng(8)
    page = page_of(ACROSS, ink=(205, 205, 205))
    noise = rng.choice([-20, 20], page.pixels.shape)
    noisy = Page(np.clip(page.pixels + noise, 0, 255).astype(np.uint8), lossless=True)
    assert found(page, chart_of(*LEVEL)) == set(LEVEL)
    assert found(noisy, chart_of(*LEVEL)) == set()


def test_cells_that_are_too_small_are_not_looked_at() -> None:
    page, chart = page_of(ACROSS), chart_of(*LEVEL)
    for pitch, cells in ((PITCH, set(LEVEL)), (PITCH + 0.1, set())):
        assert found(page, chart, sight=SightSettings(pitch=pitch)) == cells


def test_a_class_most_of_whose_ends_end_is_a_symbol() -> None:
    """A dash in the right half of its cells meets what follows it in one of three only."""
    cells = np.zeros((ROWS, COLUMNS), np.int32)
    dashes = []
    for row in range(ROWS):
        for column in (1, 4, 7):
            cells[row, column] = 1
            dashes.append((column + 0.5, row + 0.5, column + 0.97, row + 0.5))
    meeting = [(2.0, row + 0.5, 2.5, row + 0.5) for row in range(5)]
    for row in range(5):
        cells[row, 2] = 2
    chart = Chart(cells, classes(WHITE, WHITE, WHITE))
    page = page_of(*dashes, *meeting)
    share = 5 / 27  # of the ends of the first class; all five of the second go on
    assert found(page, chart, goes_on=share - 0.01) != set()
    seen = found(page, chart)
    assert seen == {(row, column) for row in range(5) for column in (1, 2)}


def test_nothing_hangs_on_where_the_lattice_begins() -> None:
    page = page_of(ACROSS)
    framed = np.pad(page.pixels, ((30, 10), (17, 5), (0, 0)), constant_values=255)
    moved: Lattice = straight(COLUMNS, ROWS, PITCH, 17, 30)
    mask = runs_on(Page(framed, lossless=True), moved, chart_of(*LEVEL), NONE_KNOWN)
    assert {(int(r), int(c)) for r, c in np.argwhere(mask)} == set(LEVEL)
