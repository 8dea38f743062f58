"""The review picture and the contact sheet show what was read, where it was read."""

from __future__ import annotations

import io
from dataclasses import replace

import numpy as np
import pytest
from numpy.typing import NDArray
from PIL import Image

from chartscan.chart import Chart, ChartClass, Knot, Line, Part, Question
from chartscan.colour.vision import DEFICIENCIES, seen_lab
from chartscan.reading.evidence import Evidence
from chartscan.reading.lattice.model import FLAT, Lattice
from chartscan.reading.page.page import Page
from chartscan.reading.review.contact import contact_sheet, look
from chartscan.reading.review.drawing import LINE, class_tile
from chartscan.reading.review.falsecolour import FalseColourSettings, false_colours, paints
from chartscan.reading.review.key import ASKED
from chartscan.reading.review.picture import DOUBT, ReviewSettings, review_picture
from chartscan.reading.review.straighten import straighten

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


class Panels:
    """The two halves of a review: where each one's grid begins, and how large its cells are."""

    def __init__(self, evidence: Evidence, chart: Chart | None = None) -> None:
        self.picture = opened(review_picture(chart or evidence.chart, [evidence]))
        line = (self.picture == LINE).all(axis=2)
        columns = np.flatnonzero(line.sum(axis=0) > 12 * PITCH - 5)
        rows = np.flatnonzero(line.sum(axis=1) > 15 * PITCH - 5)
        self.left, self.top = int(columns[0]), int(rows[0])
        grey = (self.picture == (120, 120, 120)).all(axis=2).sum(axis=0) > 12 * PITCH - 30
        self.right = int(np.flatnonzero(grey)[0])

    def page(self, x: float, y: float) -> tuple[int, ...]:
        """The page's half at a place in cells."""
        return self._at(self.left, x, y)

    def reading(self, x: float, y: float) -> tuple[int, ...]:
        """The reading's half at a place in cells."""
        return self._at(self.right, x, y)

    def _at(self, left: int, x: float, y: float) -> tuple[int, ...]:
        place = round(self.top + y * PITCH), round(left + x * PITCH)
        return tuple(int(v) for v in self.picture[place])


def test_page_and_reading_stand_side_by_side(evidence: Evidence) -> None:
    panels = Panels(evidence)
    assert panels.page(5.5, 2.5) == panels.reading(5.5, 2.5) == RED
    assert panels.page(8.5, 8.5) == RED
    assert panels.reading(8.5, 8.5) == BLUE  # the mistake stands out
    assert panels.reading(0.5, 6.5) == (255, 255, 255)


def test_lattice_marks_and_doubts_are_drawn(evidence: Evidence) -> None:
    panels = Panels(evidence)
    assert panels.page(10, 3.5) == LINE
    assert panels.reading(3.5, 11) == (0, 120, 0)
    assert panels.reading(0.8, 0.8) == RED
    for half in (panels.page, panels.reading):
        around = [half(3.5 + 0.86 * x, 2.5 + 0.86 * y) for x, y in ((1, 0), (0, 1), (-1, 0))]
        assert DOUBT in around


def test_nothing_hides_what_a_cell_of_the_page_shows(evidence: Evidence) -> None:
    pixels = evidence.page.pixels.copy()
    pixels[MARGIN:-MARGIN:3, MARGIN:-MARGIN] = 0  # a symbol in every cell
    page = replace(evidence, page=replace(evidence.page, pixels=pixels))
    chart = replace(evidence.chart, doubtful=())
    panels = Panels(page, chart)
    flat = straighten([page], (12, 15), ReviewSettings().flat)
    inside = 3
    for row, column in np.ndindex(12, 15):
        y, x = panels.top + row * PITCH, panels.left + column * PITCH
        seen = panels.picture[y + inside : y + PITCH - inside, x + inside : x + PITCH - inside]
        y, x = (row + flat.margin) * PITCH, (column + flat.margin) * PITCH
        shown = np.asarray(flat.picture)[
            y + inside : y + PITCH - inside, x + inside : x + PITCH - inside
        ]
        assert (seen == shown).all()


def test_numbers_are_whole_and_beside_the_page(evidence: Evidence) -> None:
    """They stood over printed numbers and were cut where a page has no margin."""
    crop = evidence.page.pixels[MARGIN:-MARGIN, MARGIN:-MARGIN]
    homography = np.array([[PITCH, 0, 0], [0, PITCH, 0], [0, 0, 1.0]])
    bare = replace(
        evidence,
        page=replace(evidence.page, pixels=np.ascontiguousarray(crop)),
        lattice=replace(evidence.lattice, homography=homography),
    )
    panels = Panels(bare)
    margin = ReviewSettings().flat.margin * PITCH
    ink = (panels.picture != 255).any(axis=2)
    above = np.argwhere(ink[: panels.top - margin, : panels.right - 2 * PITCH])
    beside = np.argwhere(ink[:, : panels.left - margin])
    for inked in (above, beside):
        assert len(inked) > 50
        assert inked.min() > 0, "cut at the picture's edge"


def test_a_page_in_perspective_is_laid_flat(evidence: Evidence) -> None:
    tilted = evidence.lattice.homography + np.array([[0, 1.0, 0], [0.5, 0, 0], [2e-3, 1e-3, 0]])
    lattice = replace(evidence.lattice, homography=tilted)
    panels = Panels(evidence)
    picture = opened(review_picture(evidence.chart, [replace(evidence, lattice=lattice)]))
    line = (picture == LINE).all(axis=2).sum(axis=0)
    assert (line > 12 * 14).sum() >= 2, "the grid's lines are upright"
    assert panels.picture.shape[0] < 2 * picture.shape[0]


def test_one_ink_classes_get_paint_that_tells_them_apart() -> None:
    classes = (
        ChartClass(0, "empty", (255, 255, 255)),
        *(ChartClass(i, "stitch", None, f"symbol {i}") for i in range(1, 61)),
        ChartClass(61, "stitch", RED, "a"),
        ChartClass(62, "stitch", RED, "b"),
    )
    painted, false = paints(Chart(np.zeros((5, 5), dtype=np.int32), classes))
    assert false
    assert len(set(painted[1:])) == 62
    tiles = {class_tile(c, painted[c.index], 14).tobytes() for c in classes[1:]}
    assert len(tiles) == 62, "patterns are seen at the smallest size"


def test_own_colours_stay_where_they_are_well_apart() -> None:
    classes = (
        ChartClass(0, "empty", (255, 255, 255)),
        ChartClass(1, "stitch", RED),
        ChartClass(2, "stitch", BLUE),
    )
    painted, false = paints(Chart(np.zeros((5, 5), dtype=np.int32), classes))
    assert not false
    assert [p.rgb for p in painted[1:]] == [RED, BLUE]


@pytest.mark.parametrize("deficiency", [None, *DEFICIENCIES])
def test_false_colours_differ_for_every_eye(deficiency: str | None) -> None:
    """The least difference that the settings state, by an independent library's CIEDE2000."""
    from colour.difference import delta_E_CIE2000

    rgb = np.array([*false_colours(), FalseColourSettings.ground])
    lab = seen_lab(rgb, deficiency)
    apart = delta_E_CIE2000(lab[:, None], lab[None])
    assert apart[np.triu_indices(len(rgb), 1)].min() > 12.7


@pytest.mark.parametrize("question", [True, False])
def test_questions_stand_beside_the_classes(evidence: Evidence, question: bool) -> None:
    asked = Question("ground", (0,), (), "Class 0 was taken for bare fabric: " + 30 * "word ", ())
    chart = replace(evidence.chart, questions=(asked,) if question else ())
    picture = opened(review_picture(chart, [evidence]))
    assert (picture == ASKED).all(axis=2).any() == question


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
