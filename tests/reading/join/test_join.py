"""Joining pages: repeats are found, checked and counted once; what doesn't fit is an error."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray

from chartscan.chart import Chart, ChartClass, Knot, Line, Part
from chartscan.errors import GridError
from chartscan.reading.evidence import Evidence
from chartscan.reading.join.pages import join
from chartscan.reading.lattice.bold import Bold, find_bold
from chartscan.reading.lattice.model import FLAT, Lattice
from chartscan.reading.page.page import Page
from chartscan.reading.read import ReadSettings, read_pages
from tests.drawing.corpus import draw

Cells = NDArray[np.intp]
PITCH, MARGIN = 12, 7
COLOURS = np.array([(255, 255, 255), (200, 40, 60), (30, 90, 160), (240, 210, 120), (60, 60, 60)])
SHADE = 0.8


def design(rows: int, columns: int, seed: int = 1) -> Cells:
    return np.random.default_rng(seed).integers(0, 5, (rows, columns))


def read(
    cells: Cells,
    start: tuple[int, int] = (0, 0),
    shaded: tuple[int, int] = (0, 0),
    bold: int = 0,
    name: str = "page.png",
) -> Evidence:
    """A page with ``cells``, as a perfect reader would have it.

    Args:
        cells: what is on it.
        start: row and column of its first cell in the whole, for its bold lines.
        shaded: rows and columns at its start that it prints darker.
        bold: every how many lines one is bold; 0 for no lines at all.
        name: its file.
    """
    rows, columns = cells.shape
    colour = COLOURS[cells].astype(np.float64)
    colour[: shaded[0]] *= SHADE
    colour[shaded[0] :, : shaded[1]] *= SHADE
    cell_pixels = np.kron(colour.round(), np.ones((PITCH, PITCH, 1))).astype(np.uint8)
    pixels = np.full((rows * PITCH + 2 * MARGIN, columns * PITCH + 2 * MARGIN, 3), 255, np.uint8)
    pixels[MARGIN:-MARGIN, MARGIN:-MARGIN] = cell_pixels
    for axis, count, first in ((1, columns, start[1]), (0, rows, start[0])):
        for i in range(count + 1 if bold else 0):
            width = 2 if (first + i) % bold == 0 else 1
            at = MARGIN + i * PITCH
            pixels[(slice(None),) * axis + (slice(at - width // 2, at - width // 2 + width),)] = 90
    shown, inverse = np.unique(colour.round().reshape(-1, 3), axis=0, return_inverse=True)
    order = sorted(range(len(shown)), key=lambda i: (tuple(shown[i]) != (255.0,) * 3, i))
    new = np.argsort(order).astype(np.int32)
    classes = tuple(
        ChartClass(
            i,
            "empty" if tuple(shown[k]) == (255.0,) * 3 else "stitch",
            (int(shown[k][0]), int(shown[k][1]), int(shown[k][2])),
        )
        for i, k in enumerate(order)
    )
    homography = np.array([[PITCH, 0, MARGIN], [0, PITCH, MARGIN], [0, 0, 1.0]])
    lattice = Lattice(columns, rows, homography, FLAT, drawn=bool(bold))
    chart = Chart(new[inverse.ravel()].reshape(rows, columns), classes)
    return Evidence(Page(pixels, lossless=True, file=name), lattice, chart)


def shown(chart: Chart) -> NDArray[np.intp]:
    return np.array([c.rgb or (0, 0, 0) for c in chart.classes])[chart.cells]


def test_one_page_stays_as_it_is() -> None:
    page = read(design(8, 9))
    joined = join([page])
    assert joined.chart is page.chart
    assert joined.notes == ()


@settings(max_examples=25, deadline=None)
@given(
    st.integers(0, 6),
    st.booleans(),
    st.sampled_from([0, 10]),
    st.integers(0, 10**6),
)
def test_any_repeat_of_a_varied_design_is_counted_once(
    repeat: int, shaded: bool, bold: int, seed: int
) -> None:
    whole = design(14, 44, seed)
    before = read(whole[:, :22], bold=bold)
    after = read(
        whole[:, 22 - repeat :],
        (0, 22 - repeat),
        (0, repeat if shaded else 0),
        bold,
    )
    joined = join([before, after])
    np.testing.assert_array_equal(shown(joined.chart), COLOURS[whole])
    assert len(joined.chart.classes) == 5
    assert joined.evidence[1].origin == (0, 22 - repeat)


def test_a_layout_with_repeats_both_ways_comes_out_whole() -> None:
    whole = design(40, 50)
    pages = [
        read(
            whole[top : top + 20 + (3 if top else 0), left : left + 25 + (2 if left else 0)],
            (top, left),
            (3 if top else 0, 2 if left else 0),
            bold=10,
        )
        for top in (0, 17)
        for left in (0, 23)
    ]
    joined = join(pages, (2, 2))
    np.testing.assert_array_equal(shown(joined.chart), COLOURS[whole])
    assert len(joined.chart.classes) == 5
    assert "2 columns repeated (shaded), counted once" in joined.notes[0]
    assert "3 rows repeated (shaded), counted once" in joined.notes[1]


def test_a_page_before_that_is_shaded_gives_way() -> None:
    whole = design(14, 44)
    mirrored = read(whole[:, :24][:, ::-1], shaded=(0, 2))
    before = replace(
        mirrored,
        chart=replace(mirrored.chart, cells=mirrored.chart.cells[:, ::-1]),
        page=replace(mirrored.page, pixels=mirrored.page.pixels[:, ::-1].copy()),
    )
    joined = join([before, read(whole[:, 22:])])
    np.testing.assert_array_equal(shown(joined.chart), COLOURS[whole])


def test_blank_edges_are_told_apart_by_the_bold_lines() -> None:
    """Two blank margins agree at any width; lines that run on say that three columns repeat."""
    whole = np.zeros((14, 44), dtype=int)
    whole[4:8, 5:12], whole[5:9, 30:38] = 1, 2
    before, after = read(whole[:, :25], bold=10), read(whole[:, 22:], (0, 22), bold=10)
    assert join([before, after]).chart.columns == 44


def test_a_page_that_does_not_fit_says_where() -> None:
    whole = design(14, 44)
    after = whole[:, 19:].copy()
    after[:, 2] = (after[:, 2] + 1) % 5
    with pytest.raises(GridError, match=r"two.png don't fit: 3 columns .* row 1, column 3"):
        join([read(whole[:, :22], name="one.png"), read(after, shaded=(0, 3), name="two.png")])


def test_what_the_stitcher_says_repeats_does_so_however_badly_it_agrees() -> None:
    whole = design(14, 44)
    pages = [read(whole[:, :22], name="one.png"), read(whole[:, 22:], name="two.png")]
    joined = join(pages, repeats=(4,))
    assert joined.chart.columns == 40
    assert joined.evidence[1].origin == (0, 18)
    assert "4 columns repeated" in joined.notes[0]
    assert join(pages, repeats=(None,)).chart.columns == 44
    assert join(pages, repeats=(0,)).chart.columns == 44


def test_seams_across_are_told_before_those_down() -> None:
    whole = design(30, 30)
    quarters = [read(whole[t : t + 15, x : x + 15]) for t in (0, 15) for x in (0, 15)]
    joined = join(quarters, (2, 2), repeats=(None, 5))
    assert (joined.chart.columns, joined.chart.rows) == (30, 25)
    assert [page.origin for page in joined.evidence] == [(0, 0), (0, 15), (10, 0), (10, 15)]


def test_more_than_a_page_cannot_repeat() -> None:
    with pytest.raises(GridError, match="can't have 20 columns or rows in common"):
        join([read(design(14, 20))] * 2, repeats=(20,))


def test_pages_of_different_height_are_refused() -> None:
    with pytest.raises(GridError, match=r"two.png: has 13 rows, but one.png beside it has 14"):
        join([read(design(14, 20), name="one.png"), read(design(13, 20), name="two.png")])


def test_the_number_of_pages_fits_the_layout() -> None:
    with pytest.raises(GridError, match="3 pages don't fill 2 rows of 2"):
        join([read(design(9, 9))] * 3, (2, 2))


def test_a_middle_page_without_a_margin_shares_the_ground_of_the_others() -> None:
    whole = design(14, 44)
    after = read(whole[:, 22:])
    as_stitch = tuple(replace(c, kind="stitch") for c in after.chart.classes)
    after = replace(after, chart=replace(after.chart, classes=as_stitch))
    joined = join([read(whole[:, :22]), after])
    assert [c.kind for c in joined.chart.classes].count("empty") == 1
    assert joined.chart.stitches == int((whole > 0).sum())


def test_a_bare_edge_that_no_page_sees_whole_is_empty_in_the_whole() -> None:
    whole = np.pad(np.random.default_rng(4).integers(1, 5, (18, 42)), 1)
    pages = []
    for rows in (slice(0, 10), slice(10, 20)):
        for columns in (slice(0, 22), slice(22, 44)):
            page = read(whole[rows, columns])
            classes = tuple(replace(c, kind="stitch") for c in page.chart.classes)
            pages.append(replace(page, chart=replace(page.chart, classes=classes)))
    chart = join(pages, (2, 2)).chart
    assert chart.classes[0].kind == "empty"
    assert chart.stitches == 18 * 42
    np.testing.assert_array_equal(shown(chart), COLOURS[whole])
    assert join(pages, (2, 2), told=True).chart.stitches == 20 * 44


def test_marks_on_a_repeat_are_taken_once_and_lines_over_a_seam_are_whole() -> None:
    whole = design(14, 44)
    before, after = read(whole[:, :24]), read(whole[:, 22:])

    def marked(page: Evidence, shift: int) -> Evidence:
        chart = page.chart
        index = len(chart.classes)
        classes = (
            *chart.classes,
            ChartClass(index, "line", (0, 0, 0)),
            ChartClass(index + 1, "knot", (9, 9, 9)),
        )
        cells = chart.cells.copy()
        cells[5, 23 - shift] = 0
        ends = (max(0, 18 - shift), min(chart.columns, 28 - shift))
        marks = replace(
            chart,
            cells=cells,
            classes=classes,
            parts=(Part(5, 23 - shift, "triangle", "top left", 1),),
            lines=(Line(index, ((ends[0], 3), (ends[1], 3))),),
            knots=(Knot(index + 1, 23 - shift, 7),),
        )
        return replace(page, chart=marks)

    chart = join([marked(before, 0), marked(after, 22)]).chart
    assert [(p.row, p.column) for p in chart.parts] == [(5, 23)]
    assert [(k.x, k.y) for k in chart.knots] == [(23.0, 7.0)]
    assert [line.points for line in chart.lines] == [((18.0, 3.0), (28.0, 3.0))]


@pytest.mark.parametrize("start", [0, 3, 47])
def test_bold_lines_are_found_with_their_count(start: int) -> None:
    page = read(design(31, 42), (0, start), bold=10)
    assert find_bold(page.page, page.lattice, axis=0) == Bold(10, -start % 10)


def test_even_lines_have_no_bold_ones() -> None:
    page = read(design(31, 42), bold=1)
    assert find_bold(page.page, page.lattice, axis=0) is None


def test_no_shade_is_made_up_for_a_whole_period_of_columns(tmp_path: Path) -> None:
    """Bold lines say none or ten; of ten, two colours would have to be each other in shade."""
    sample = draw("pages", 132002)
    sample.write(tmp_path)
    pages = [tmp_path / name for name in sample.truth["images"]]
    chart = read_pages(pages, ReadSettings(layout=(2, 2))).chart
    assert (chart.columns, chart.rows) == (sample.truth["columns"], sample.truth["rows"])
