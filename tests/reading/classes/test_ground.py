"""Which class is the empty ground, and which ink is a symbol rather than a mark."""

from __future__ import annotations

import json
from dataclasses import replace
from io import BytesIO
from pathlib import Path

import numpy as np
import pytest
from PIL import Image, ImageDraw

from chartscan.chart import Chart
from chartscan.chart.file import dump_chart
from chartscan.colour import lab_to_srgb
from chartscan.reading import read_pages
from chartscan.reading.cells.glyphs import BLANK
from chartscan.reading.classes.cloth import Cloth, lay_cloth
from chartscan.reading.classes.ground import ground_odds
from chartscan.reading.classes.sorting import Sorted
from chartscan.reading.lattice.model import FLAT, Lattice
from chartscan.reading.page.page import Page
from chartscan.reading.read import read_page
from tests.drawing.corpus import draw
from tests.drawing.score import score

PITCH = 20
RED, GREEN, BLUE, LILAC = (200, 30, 40), (40, 150, 60), (30, 60, 190), (229, 231, 249)
ALL_OVER = [LILAC, RED, GREEN, BLUE, (240, 150, 30), (90, 20, 110)]


def page(cells: np.ndarray, colours: list[tuple[int, int, int]], *, lines: bool) -> Image.Image:
    """Fills at 20 px a cell in a white margin of 100 px."""
    fills = np.array(colours, np.uint8)[np.kron(cells, np.ones((PITCH, PITCH), int))]
    if lines:
        fills[::PITCH] = fills[:, ::PITCH] = 120
        fills[-1] = fills[:, -1] = 120
    return Image.fromarray(np.pad(fills, ((100, 100), (100, 100), (0, 0)), constant_values=255))


def read(picture: Image.Image, folder: Path) -> Chart:
    """The chart on a picture kept as PNG."""
    picture.save(folder / "page.png")
    return read_pages([folder / "page.png"]).chart


def test_the_pale_class_that_the_key_leaves_out_is_the_fabric(tmp_path: Path) -> None:
    """Where a design covers a tinted fabric on white paper, its key lists the stitches only."""
    cells = np.random.default_rng(3).integers(0, 6, (20, 24))
    picture = page(cells, ALL_OVER, lines=True)
    draw = ImageDraw.Draw(picture)
    for place, colour in enumerate(ALL_OVER[1:]):
        draw.rectangle((590, 110 + 40 * place, 608, 128 + 40 * place), colour, (0, 0, 0))
    chart = read(picture, tmp_path)
    assert chart.classes[0].kind == "empty"
    assert chart.classes[0].rgb == LILAC


def test_without_a_key_no_class_of_a_design_stitched_all_over_is_the_fabric(tmp_path: Path) -> None:
    cells = np.random.default_rng(3).integers(0, 6, (20, 24))
    chart = read(page(cells, ALL_OVER, lines=True), tmp_path)
    assert [entry.kind for entry in chart.classes] == ["stitch"] * 6


def test_without_lines_only_the_paper_is_bare(tmp_path: Path) -> None:
    """A pale class on white paper is stitched where no line says that bare cells belong to it."""
    cells = np.random.default_rng(5).integers(0, 2, (22, 26))
    chart = read(page(cells, [(170, 200, 160), BLUE], lines=False), tmp_path)
    assert [entry.kind for entry in chart.classes] == ["stitch"] * 2
    assert chart.stitches == 22 * 26


def test_without_lines_a_border_all_round_is_stitched(tmp_path: Path) -> None:
    cells = np.zeros((22, 26), int)
    cells[5:15, 6:18] = 1
    chart = read(page(cells, [GREEN, BLUE], lines=False), tmp_path)
    assert [entry.kind for entry in chart.classes] == ["stitch"] * 2


def test_of_two_near_whites_the_one_that_is_the_papers_is_bare(tmp_path: Path) -> None:
    """The other stands in most of the outermost cells."""
    cells = np.ones((22, 26), int)
    cells[1:-1, 1:-1] = 0
    cells[6:16, 7:19] = cells[[0, -1], ::2] = 2
    chart = read(page(cells, [(255, 255, 255), (251, 253, 253), RED], lines=True), tmp_path)
    assert [entry.rgb for entry in chart.classes if entry.kind == "empty"] == [(255, 255, 255)]


def test_a_symbol_in_few_cells_beside_a_filled_class_is_a_class(tmp_path: Path) -> None:
    """Rings in a tenth of the white cells are symbols: they are alike and clear of the sides."""
    rng = np.random.default_rng(8)
    cells = (np.arange(30) % 3 > 0).astype(int)[None].repeat(24, axis=0)
    picture = page(cells, [(255, 255, 255), (0, 0, 0)], lines=True)
    draw = ImageDraw.Draw(picture)
    white = np.argwhere(cells == 0)
    rings = white[rng.permutation(len(white))[:30]]
    for row, column in rings:
        x, y = 100 + PITCH * int(column) + 5, 100 + PITCH * int(row) + 5
        draw.ellipse((x, y, x + 11, y + 11), outline=(0, 0, 0), width=2)
    chart = read(picture, tmp_path)
    names = chart.cells[rings[:, 0], rings[:, 1]]
    assert len(np.unique(names)) == 1
    assert np.count_nonzero(chart.cells == names[0]) == 30


def page_in_margins(margins: tuple[int, int, int, int]) -> tuple[Page, Lattice]:
    """Lilac all over, with lines, in white margins (left, top, right, bottom) of so many px."""
    fills = np.zeros((12 * PITCH + 1, 15 * PITCH + 1, 3), np.uint8) + np.array(LILAC, np.uint8)
    fills[::PITCH] = fills[:, ::PITCH] = 60
    left, top, right, bottom = margins
    pixels = np.pad(fills, ((top, bottom), (left, right), (0, 0)), constant_values=255)
    place = np.array([[PITCH, 0, left + 0.5], [0, PITCH, top + 0.5], [0, 0, 1.0]])
    return Page(pixels, lossless=True), Lattice(15, 12, place, FLAT, drawn=True)


@pytest.mark.parametrize("margins", [(40, 40, 40, 40), (12, 15, 9, 11), (0, 10, 0, 30)])
def test_the_paper_is_seen_on_a_page_cropped_close_to_the_grid(
    margins: tuple[int, int, int, int],
) -> None:
    page, lattice = page_in_margins(margins)
    assert paper_of(page, lattice) == [255, 255, 255]


@pytest.mark.parametrize("margins", [(0, 0, 0, 0), (4, 3, 2, 4), (30, 0, 0, 0)])
def test_no_paper_is_seen_where_too_little_of_it_is_on_the_page(
    margins: tuple[int, int, int, int],
) -> None:
    page, lattice = page_in_margins(margins)
    assert paper_of(page, lattice) is None


def test_sides_that_tell_of_two_papers_tell_of_none() -> None:
    page, lattice = page_in_margins((12, 15, 9, 11))
    pixels = page.pixels.copy()
    pixels[:15] = (180, 160, 140)  # the table that the page lies on
    assert paper_of(replace(page, pixels=pixels), lattice) is None


def paper_of(page: Page, lattice: Lattice) -> list[float] | None:
    """The colour of the paper as the stage of the ground has it."""
    labels = np.zeros((lattice.rows, lattice.columns), np.intp)
    found = Sorted(labels, np.array([LILAC], float), np.array([BLANK]), labels.astype(bool))
    paper = lay_cloth(page, lattice, found, exact=True, part=False).paper
    return None if paper is None else paper.tolist()


@pytest.mark.parametrize(
    ("lightness", "ink", "bare"),
    [
        ((68.0, 61.0), (18.0, 42.0), 0),  # threads on paper, and heavy crosses
        ((75.0, 6.0, 99.0), (15.0, 23.0, 42.0), 0),  # heavy crosses are a ground; light ones lie on
        ((10.0, 90.0, 95.0), (6.0, 40.0, 38.0), None),  # black all over is no fabric
    ],
)
def test_ruled_cells_of_an_old_print_are_bare_where_they_have_the_least_ink(
    lightness: tuple[float, ...], ink: tuple[float, ...], bare: int | None
) -> None:
    """Each class is grey; its ground, and what is printed in its cells beside that, in CIELAB L."""
    n = len(ink)
    labels = np.random.default_rng(7).choice(
        n, (40, 50), p=np.r_[0.6, np.full(n - 1, 0.4 / (n - 1))]
    )
    grey = lab_to_srgb(np.array([(level, 0.0, 0.0) for level in lightness]))
    cloth = Cloth(labels, grey, np.array(ink), np.full(3, 250.0), exact=False, drawn=True)
    assert ground_odds(cloth).taken(0.5) == bare


@pytest.mark.parametrize("seed", [310001, 310002])
def test_plates_of_crosses_on_threads_are_read_cell_by_cell(seed: int) -> None:
    sample = draw("plate", seed)
    pixels = np.asarray(Image.open(BytesIO(sample.files["image.jpg"])).convert("RGB"))
    chart = read_page(Page(pixels, lossless=False)).chart
    assert score(sample.truth, json.loads(dump_chart(chart))).perfect
