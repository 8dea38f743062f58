"""The review picture and the contact sheet show what was read, where it was read."""

from __future__ import annotations

import io
from dataclasses import replace

import numpy as np
import pytest
from numpy.typing import NDArray
from PIL import Image

from chartscan.chart import Chart, ChartClass, Knot, Line, Part
from chartscan.reading.evidence import Evidence
from chartscan.reading.lattice.model import FLAT, Lattice
from chartscan.reading.page.page import Page
from chartscan.reading.review.contact import contact_sheet, look
from chartscan.reading.review.picture import DOUBT, LINE, class_colours, review_picture

PITCH, MARGIN = 20, 60
RED, BLUE = (210, 30, 40), (30, 60, 200)


@pytest.fixture
def evidence() -> Evidence:
    """A page of 12 × 15 red and blue cells, read with one mistake, one doubt and some marks."""
    cells = np.zeros((12, 15), dtype=np.int32)
    cells[2:10, 3:12] = 1
    cells[4:6, 4:7] = 2
    pixels = np.full((12 * PITCH + 2 * MARGIN, 15 * PITCH + 2 * MARGIN, 3), 255, dtype=np.uint8)
    table = np.array([(255, 255, 255), RED, BLUE], dtype=np.uint8)
    pixels[MARGIN:-MARGIN, MARGIN:-MARGIN] = np.kron(
        table[cells], np.ones((PITCH, PITCH, 1), dtype=np.uint8)
    )
    cells[8, 8] = 2  # the page shows red there
    chart = Chart(
        cells,
        (
            ChartClass(0, "empty", (255, 255, 255)),
            ChartClass(1, "stitch", RED),
            ChartClass(2, "stitch", BLUE),
            ChartClass(3, "line", (0, 120, 0)),
            ChartClass(4, "knot", (120, 0, 120)),
        ),
        parts=(Part(0, 0, "triangle", "bottom right", 1),),
        lines=(Line(3, ((1, 11), (6, 11))),),
        knots=(Knot(4, 13, 6),),
        doubtful=((2, 3),),
    )
    homography = np.array([[PITCH, 0, MARGIN], [0, PITCH, MARGIN], [0, 0, 1.0]])
    lattice = Lattice(15, 12, homography, FLAT, drawn=False)
    return Evidence(Page(pixels, lossless=True, file="a.png"), lattice, chart)


def opened(png: bytes) -> NDArray[np.uint8]:
    with Image.open(io.BytesIO(png)) as image:
        assert image.format == "PNG"
        return np.asarray(image)


def at(picture: NDArray[np.uint8], x: float, y: float) -> tuple[int, ...]:
    return tuple(int(v) for v in picture[int(MARGIN + y * PITCH), int(MARGIN + x * PITCH)])


def test_each_cell_shows_what_was_read_in_it(evidence: Evidence) -> None:
    picture = opened(review_picture(evidence.chart, [evidence]))
    assert at(picture, 5.5, 2.5) == RED
    assert at(picture, 8.5, 8.5) == BLUE  # the mistake stands out: blue in a red cell
    paler = [0.75 * v + 0.25 * 255 for v in RED]
    assert at(picture, 8.85, 8.85) == pytest.approx(paler, abs=1)
    assert at(picture, 0.5, 6.5) == (255, 255, 255)


def test_lattice_marks_and_doubts_are_drawn(evidence: Evidence) -> None:
    picture = opened(review_picture(evidence.chart, [evidence]))
    assert at(picture, 10, 3.5) == LINE
    assert at(picture, 3, 11) == (0, 120, 0)
    assert at(picture, 0.8, 0.8) == RED
    around = [at(picture, 3.5 + 0.93 * dx, 2.5 + 0.93 * dy) for dx, dy in ((1, 0), (0, 1), (-1, 0))]
    assert DOUBT in around


def test_a_lattice_in_perspective_is_drawn_where_it_lies(evidence: Evidence) -> None:
    tilted = evidence.lattice.homography + np.array([[0, 1.0, 0], [0.5, 0, 0], [2e-3, 1e-3, 0]])
    lattice = replace(evidence.lattice, homography=tilted)
    picture = opened(review_picture(evidence.chart, [replace(evidence, lattice=lattice)]))
    scale = 1 if picture.shape[0] < 2 * evidence.page.size[1] else 2
    x, y = lattice.to_pixels(np.array([10.0, 9.5])) * scale
    near = picture[int(y) - 2 : int(y) + 3, int(x) - 2 : int(x) + 3].reshape(-1, 3)
    assert (near == LINE).all(axis=1).any()


def test_pages_stand_side_by_side_or_as_laid_out(evidence: Evidence) -> None:
    chart = evidence.chart
    below = replace(evidence, origin=(0, 0))
    wide = opened(review_picture(chart, [evidence, below]))
    tall = opened(review_picture(chart, [evidence, below], layout=(2, 1)))
    assert wide.shape[1] > tall.shape[1]
    assert tall.shape[0] == 2 * evidence.page.size[1]


def test_one_ink_classes_get_colours_that_tell_them_apart() -> None:
    classes = (
        ChartClass(0, "empty", (255, 255, 255)),
        *(ChartClass(i, "stitch", None, f"symbol {i}") for i in range(1, 13)),
        ChartClass(13, "stitch", RED, "a"),
        ChartClass(14, "stitch", RED, "b"),
    )
    colours = class_colours(Chart(np.zeros((5, 5), dtype=np.int32), classes))
    assert len(set(colours[1:])) == 14


def test_a_tall_list_of_classes_goes_on_beside_itself(evidence: Evidence) -> None:
    many = tuple(ChartClass(i, "stitch", (i, i, 99)) for i in range(5, 155))
    chart = replace(evidence.chart, classes=(*evidence.chart.classes, *many))
    few = opened(review_picture(evidence.chart, [evidence]))
    assert opened(review_picture(chart, [evidence])).shape[1] > few.shape[1]


def test_the_contact_sheet_has_a_card_for_every_class(evidence: Evidence) -> None:
    sheet = opened(contact_sheet(evidence.chart, [evidence]))
    colours = {tuple(c) for c in np.unique(sheet.reshape(-1, 3), axis=0).tolist()}
    assert {RED, BLUE, (0, 120, 0), (120, 0, 120)} <= colours
    assert sheet.shape[0] >= 3 * 100  # five cards in two columns


def test_the_contact_sheet_of_many_pages_finds_each_class_on_its_page(evidence: Evidence) -> None:
    far = replace(evidence, origin=(100, 0))
    cells = np.zeros((112, 15), dtype=np.int32)
    cells[102:110, 3:12] = 1
    chart = Chart(cells, evidence.chart.classes)
    assert opened(contact_sheet(chart, [evidence, far])).size


def test_look_straightens_and_is_white_off_the_page(evidence: Evidence) -> None:
    assert (look(evidence, (4, 4), 2.0, 8) == BLUE).all()
    assert (look(evidence, (-20, -20), 1.0, 8) == 255).all()
