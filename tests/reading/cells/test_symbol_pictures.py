"""Pictures of symbols, by glyphs drawn at known places of their cells."""

from __future__ import annotations

import io
from dataclasses import replace

import numpy as np
import pytest
from numpy.typing import NDArray
from PIL import Image

from chartscan.chart import Chart, ChartClass
from chartscan.reading.cells.crops import CropSettings, crops
from chartscan.reading.evidence import Evidence
from chartscan.reading.page.page import Page
from chartscan.reading.review.symbols import with_pictures
from tests.reading.staged import RED, WHITE, Pixels, Rgb, evidence, fill, straight, tiled

SIDE, ROWS, COLUMNS = 24, 8, 9
Picture = NDArray[np.uint8]
LEFT_BAR = (slice(6, 18), slice(4, 9))
LOW_BAR = (slice(16, 20), slice(5, 19))


def cell(ground: Rgb, ink: Rgb, *boxes: tuple[slice, slice]) -> Pixels:
    picture = fill(ground, SIDE)
    for box in boxes:
        picture[box] = ink
    picture[0] = picture[:, 0] = 100
    return picture


def cells_of(kinds: int) -> NDArray[np.int32]:
    return np.random.default_rng(2).integers(0, kinds, (ROWS, COLUMNS)).astype(np.int32)


def chart_of(cells: NDArray[np.int32], *symbols: str | None) -> Chart:
    kinds = enumerate(symbols)
    return Chart(cells, tuple(ChartClass(k, "stitch", WHITE, s) for k, s in kinds))


def pictured(pictures: list[Pixels], *symbols: str | None, **changed: float) -> dict[int, Picture]:
    cells = cells_of(len(pictures))
    page = Page(tiled(cells, pictures), lossless=True)
    settings = replace(CropSettings(), **changed)  # type: ignore[arg-type]  # by name
    return crops(page, straight(COLUMNS, ROWS, SIDE), chart_of(cells, *symbols), settings)


def expected(box: tuple[slice, slice], side: int, inset: float) -> Picture:
    """Black where a place of the picture lies in the box, by its middle."""
    along = (inset + (np.arange(side) + 0.5) * (1 - 2 * inset) / side) * SIDE
    down, across = ((along >= s.start) & (along < s.stop) for s in box)
    return np.where(down[:, None] & across, 0, 255).astype(np.uint8)


@pytest.mark.parametrize("side", [16, 32])
@pytest.mark.parametrize("inset", [0.08, 0.2])
@pytest.mark.parametrize("box", [LEFT_BAR, LOW_BAR])
def test_a_picture_shows_the_inside_of_the_cell(
    side: int, inset: float, box: tuple[slice, slice], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("chartscan.reading.cells.crops.THIN_LINES", inset)
    found = pictured([cell(WHITE, (0, 0, 0), box)], "a", side=side)[0]
    truth = expected(box, side, inset)
    off = found != truth
    assert off.mean() < 0.1  # pixels that lie across a place's middle
    assert not off[1:-1, 1:-1].all()
    assert np.abs(np.argwhere(found < 128).mean(0) - np.argwhere(truth < 128).mean(0)).max() < 0.6


def test_light_ink_on_a_dark_ground_is_turned_over() -> None:
    dark = pictured([cell(WHITE, (0, 0, 0), LEFT_BAR)], "a")[0]
    light = pictured([cell((40, 10, 60), WHITE, LEFT_BAR)], "a")[0]
    assert (dark == light).all()


def test_a_faint_glyph_is_stretched_and_one_fainter_than_noise_is_not() -> None:
    """Stretched to black from thirty levels of luma on; ten become a third."""
    for depth, darkest in ((120, 0), (31, 0), (15, 127), (10, 170)):
        grey: Rgb = (255 - depth,) * 3
        found = pictured([cell(WHITE, grey, LEFT_BAR)], "a")[0]
        assert abs(int(found.min()) - darkest) <= 2
        assert found.max() == 255


def test_classes_without_a_symbol_or_a_cell_have_no_picture() -> None:
    cells = cells_of(2)
    pixels = tiled(cells, [cell(WHITE, RED, LEFT_BAR), cell(WHITE, RED, LOW_BAR)])
    chart = chart_of(cells, "a", None, "b")
    assert set(crops(Page(pixels, lossless=True), straight(COLUMNS, ROWS, SIDE), chart)) == {0}


def test_each_class_has_the_mean_of_its_cells(monkeypatch: pytest.MonkeyPatch) -> None:
    """In one cell of many a blot lies over the glyph."""
    cells = np.zeros((ROWS, COLUMNS), np.int32)
    pixels = tiled(cells, [cell(WHITE, (0, 0, 0), LEFT_BAR)])
    clean = crops(Page(pixels, lossless=True), straight(COLUMNS, ROWS, SIDE), chart_of(cells, "a"))
    blotted = pixels.copy()
    blotted[:SIDE, SIDE // 2 : SIDE] = 0
    found = crops(Page(blotted, lossless=True), straight(COLUMNS, ROWS, SIDE), chart_of(cells, "a"))
    off = clean[0].astype(int) - found[0]
    assert 0 < off.max() <= 255 / (ROWS * COLUMNS) * 1.5 + 1
    monkeypatch.setattr("chartscan.reading.cells.crops.SHOWN_BY", 1)
    only = crops(Page(blotted, lossless=True), straight(COLUMNS, ROWS, SIDE), chart_of(cells, "a"))
    assert (only[0][8:24, 16:30] < 128).all()  # the first cell alone


# --------------------------------------------------------------- kept with the chart


def opened(picture: bytes | None) -> Picture:
    assert picture is not None
    return np.asarray(Image.open(io.BytesIO(picture)))


def page_with(glyphs: dict[int, Picture]) -> Evidence:
    cells = cells_of(2)
    pixels = tiled(cells, [cell(WHITE, RED, LEFT_BAR), cell(WHITE, RED, LOW_BAR)])
    return replace(evidence(chart_of(cells, "a", "b"), pixels, SIDE), glyphs=glyphs)


def shade(level: int) -> Picture:
    return np.full((32, 32), level, np.uint8)


def test_the_picture_of_a_symbol_is_that_of_the_first_page_that_shows_it() -> None:
    pages = [page_with({0: shade(10)}), page_with({0: shade(20), 1: shade(30)})]
    chart = with_pictures(pages[0].chart, pages)
    assert [int(opened(c.picture)[0, 0]) for c in chart.classes] == [10, 30]
    assert all(opened(c.picture).shape == (32, 32) for c in chart.classes)
    assert replace(chart, classes=pages[0].chart.classes) == pages[0].chart


def test_a_page_that_kept_no_pictures_is_looked_at_again() -> None:
    page = page_with({})
    chart = with_pictures(page.chart, [page])
    made = crops(page.page, page.lattice, page.chart)
    for entry in chart.classes:
        assert (opened(entry.picture) == made[entry.index]).all()


def test_a_chart_without_symbols_stays_as_it_is() -> None:
    plain = evidence(chart_of(cells_of(2), None, None))
    assert with_pictures(plain.chart, [plain]) is plain.chart
    assert with_pictures(plain.chart, []) is plain.chart
