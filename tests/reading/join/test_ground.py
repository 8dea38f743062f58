"""Bare fabric of a joined chart, and what of a page counts for it."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from numpy.typing import NDArray

from chartscan.chart import Chart, ChartClass, Knot, Line, Part
from chartscan.reading.clues import Clues
from chartscan.reading.evidence import Evidence
from chartscan.reading.join.ground import BARE, joined_odds, with_ground
from chartscan.reading.join.marks import Region
from chartscan.reading.join.own import own_part
from tests.reading.staged import BLUE, RED, WHITE, YELLOW, classes, evidence, fill, tiled

ROWS, COLUMNS = 14, 18
Cells = NDArray[np.int32]


def framed(inner: int, outer: int) -> Cells:
    """A block of one class, two cells of another all around it."""
    cells = np.full((ROWS, COLUMNS), outer, np.int32)
    cells[2:-2, 2:-2] = inner
    return cells


def pages_of(chart: Chart, paper: tuple[int, int, int] | None = WHITE) -> list[Evidence]:
    clues = Clues(paper=None if paper is None else np.array(paper, float))
    return [evidence(chart, clues=clues)]


def test_what_lies_around_in_the_colour_of_the_paper_is_bare_though_a_page_said_otherwise() -> None:
    chart = Chart(framed(0, 1), classes(BLUE, WHITE))
    found = with_ground(chart, pages_of(chart))
    assert [(c.index, c.kind, c.rgb) for c in found.classes] == [
        (0, "empty", WHITE),
        (1, "stitch", BLUE),
    ]
    assert (found.cells == framed(1, 0)).all()


def test_marks_go_with_their_classes() -> None:
    listed = (
        *(replace(c, kind="stitch") for c in classes(BLUE, WHITE, RED)),
        ChartClass(3, "line", RED),
        ChartClass(4, "knot", RED),
    )
    chart = Chart(
        framed(0, 1),
        listed,
        parts=(Part(3, 3, "quarter", "top left", 0),),
        lines=(Line(3, ((1.0, 1.0), (4.0, 1.0))),),
        knots=(Knot(4, 2.5, 2.5),),
    )
    found = with_ground(chart, pages_of(chart))
    assert [c.rgb for c in found.classes] == [WHITE, BLUE, RED, RED, RED]
    assert [c.kind for c in found.classes] == ["empty", "stitch", "stitch", "line", "knot"]
    indices = (found.parts[0].class_index, found.lines[0].class_index, found.knots[0].class_index)
    assert indices == (1, 3, 4)


def test_a_ground_that_stands_is_left_as_it_is() -> None:
    chart = Chart(framed(1, 0), classes(WHITE, BLUE))
    assert with_ground(chart, pages_of(chart)) is chart


def test_pages_read_from_their_paths_say_themselves_what_is_bare() -> None:
    chart = Chart(framed(0, 1), classes(BLUE, WHITE))
    assert with_ground(chart, [evidence(chart)]) is chart
    stitched = Chart(framed(0, 1), tuple(replace(c, kind="stitch") for c in chart.classes))
    assert with_ground(stitched, [evidence(stitched)]).classes[0].rgb == WHITE


def test_a_chart_stitched_all_over_has_no_ground() -> None:
    """Dark colours, white paper around: what was taken for bare is a stitch like all others."""
    rng = np.random.default_rng(4)
    cells = rng.integers(0, 4, (ROWS, COLUMNS)).astype(np.int32)
    chart = Chart(cells, classes((60, 20, 90), (20, 70, 30), (120, 10, 10), (10, 10, 110)))
    assert joined_odds(chart, pages_of(chart)).taken(BARE) is None
    found = with_ground(chart, pages_of(chart))
    assert {c.kind for c in found.classes} == {"stitch"}
    assert (found.cells == chart.cells).all()


def test_paper_is_that_of_most_pages_and_none_where_no_page_shows_any() -> None:
    chart = Chart(framed(1, 0), classes(YELLOW, WHITE))
    tinted = joined_odds(chart, pages_of(chart, YELLOW) * 2 + pages_of(chart, WHITE))
    assert int(tinted.chances.argmax()) == 0
    unseen = joined_odds(chart, pages_of(chart, None))
    told = joined_odds(chart, pages_of(chart, WHITE))
    assert unseen.chances.tolist() != told.chances.tolist()
    assert joined_odds(chart, [evidence(chart)]).chances.tolist() == unseen.chances.tolist()


def test_lines_that_one_page_lacks_are_not_drawn() -> None:
    """Where no lines are drawn, what isn't the paper's colour is bare less likely."""
    chart = Chart(framed(1, 0), classes(YELLOW, RED))
    page = pages_of(chart)[0]
    bare = replace(page, lattice=replace(page.lattice, drawn=False))
    chances = [
        float(joined_odds(chart, pages).chances[0]) for pages in ([page, page], [page, bare])
    ]
    assert chances[1] < chances[0]


# ---------------------------------------------------------------- what counts of a page

SIDE = 16


def glyph(ground: tuple[int, int, int], upright: bool) -> NDArray[np.uint8]:
    """A bar in black, clear of the rim of its cell."""
    cell = fill(ground, SIDE)
    bar = (slice(4, 12), slice(7, 9)) if upright else (slice(7, 9), slice(4, 12))
    cell[bar] = 0
    return cell


def shaded_page() -> Evidence:
    """Two symbols in black on white, and one of them on a tint in the first four columns."""
    cells = np.random.default_rng(6).integers(0, 3, (ROWS, COLUMNS)).astype(np.int32)
    cells[:, :4] = np.where(cells[:, :4] == 1, 3, 0)
    grounds = [glyph(WHITE, True), glyph(WHITE, False), glyph(YELLOW, True)]
    pixels = tiled(cells, [fill(WHITE, SIDE), *grounds])
    listed = (
        ChartClass(0, "empty", WHITE),
        ChartClass(1, "stitch", (250, 250, 250), "a"),
        ChartClass(2, "stitch", (251, 251, 251), "b"),
        ChartClass(3, "stitch", YELLOW, "c"),
    )
    return evidence(Chart(cells, listed), pixels, SIDE)


def test_symbols_in_one_ink_have_no_colour_though_their_repeats_are_tinted() -> None:
    page = shaded_page()
    own = own_part(page, Region(0, 0, 0, ROWS, 4, COLUMNS)).chart
    assert [c.rgb for c in own.classes] == [WHITE, None, None, YELLOW]
    assert (own.cells[:, :4] == 0).all()
    assert (own.cells[:, 4:] == page.chart.cells[:, 4:]).all()


def test_where_the_tinted_cells_count_symbols_keep_their_colours() -> None:
    page = shaded_page()
    own = own_part(page, Region(0, 0, 0, ROWS, 0, COLUMNS)).chart
    assert own == page.chart


@pytest.mark.parametrize("first", [2, 5])
def test_only_cells_that_count_stay_from_the_first_row_on(first: int) -> None:
    own = own_part(shaded_page(), Region(0, 0, first, ROWS - 1, 4, COLUMNS - 3)).chart
    kept = np.zeros((ROWS, COLUMNS), np.bool_)
    kept[first : ROWS - 1, 4 : COLUMNS - 3] = True
    assert (own.cells[~kept] == 0).all()
    assert (own.cells[kept] == shaded_page().chart.cells[kept]).all()


def test_a_page_without_bare_cells_is_left_as_it_is() -> None:
    page = shaded_page()
    stitched = tuple(replace(c, kind="stitch") for c in page.chart.classes)
    page = replace(page, chart=replace(page.chart, classes=stitched))
    assert own_part(page, Region(0, 0, 0, ROWS, 4, COLUMNS)) is page
