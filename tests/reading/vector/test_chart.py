"""From painted cells to a chart, without a page: what is a symbol, a mark, bare, or a piece."""

from __future__ import annotations

from collections import Counter
from typing import get_args

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from chartscan.chart import Chart, ChartClass, Corner, Knot, Line, Part, Shape
from chartscan.reading.vector.cells import Cells, CellSettings, Dot, Misfit
from chartscan.reading.vector.chart import OPPOSITE, to_chart
from chartscan.reading.vector.objects import Rgb

ROWS, COLUMNS = 6, 8
WHITE: Rgb = (255, 255, 255)
RED: Rgb = (200, 40, 60)
BLUE: Rgb = (30, 90, 160)
BLACK: Rgb = (0, 0, 0)
COMMON = CellSettings().common


def blank(rows: int = ROWS, columns: int = COLUMNS, tint: Rgb = WHITE) -> Cells:
    """Cells on which nothing is painted but what fills the grid as a whole."""
    ground = np.full((rows, columns, 3), tint, np.uint8)
    return Cells(ground, np.zeros((rows, columns), np.bool_), tint)


def filled(colour: Rgb, rows: int = ROWS, columns: int = COLUMNS) -> Cells:
    """Cells each painted in one colour."""
    cells = blank(rows, columns)
    cells.cover(slice(0, rows), slice(0, columns), colour)
    return cells


def one(cells: Cells, row: int, column: int, colour: Rgb) -> None:
    cells.cover(slice(row, row + 1), slice(column, column + 1), colour)


def sign(cells: Cells, row: int, column: int, *marks: tuple[object, ...], ink: Rgb = BLACK) -> None:
    for mark in marks:
        cells.symbols[row, column].append(mark)
        cells.inks[row, column].append(ink)


def read(cells: Cells, empty: Rgb | None = None, no_empty: bool = False) -> Chart:
    return to_chart(cells, empty, no_empty)


def looks(chart: Chart) -> list[tuple[str, Rgb | None, str | None]]:
    return [(c.kind, c.rgb, c.symbol) for c in chart.classes]


# ------------------------------------------------------------------- bare fabric


@pytest.mark.parametrize("tint", [WHITE, (240, 230, 210)])
def test_where_nothing_is_painted_all_is_bare_in_the_tint_of_the_grid(tint: Rgb) -> None:
    chart = read(blank(tint=tint))
    assert looks(chart) == [("empty", tint, None)]
    assert (chart.cells == 0).all()


def test_cells_painted_as_the_paper_are_bare_as_those_that_are_not() -> None:
    cells = blank()
    one(cells, 1, 1, WHITE)
    one(cells, 2, 3, RED)
    chart = read(cells)
    assert looks(chart) == [("empty", WHITE, None), ("stitch", RED, None)]
    assert np.argwhere(chart.cells).tolist() == [[2, 3]]


@pytest.mark.parametrize(("others", "bare"), [(12, True), (13, False)])
def test_where_all_is_painted_half_of_the_rim_makes_the_ground(others: int, bare: bool) -> None:
    """24 of 6 × 8 cells lie outermost; each of those left goes to a colour of its own."""
    cells = filled(BLUE)
    ring = [(r, c) for r in range(ROWS) for c in range(COLUMNS) if r in (0, 5) or c in (0, 7)]
    assert len(ring) == 24
    for number, (row, column) in enumerate(ring[:others]):
        one(cells, row, column, (10 * number, 5, 9))
    assert [c.rgb for c in read(cells).classes if c.kind == "empty"] == ([BLUE] if bare else [])


def test_a_rim_under_symbols_is_no_bare_fabric() -> None:
    cells = filled(BLUE)
    for row in range(ROWS):
        for column in range(COLUMNS):
            sign(cells, row, column, ("letter", "a"))
    assert looks(read(cells)) == [("stitch", BLUE, "a")]


def test_what_is_told_of_the_ground_is_followed() -> None:
    cells = blank()
    one(cells, 1, 1, RED)
    told = read(cells, empty=RED)
    assert looks(told) == [("empty", RED, None), ("stitch", WHITE, None)]
    assert np.argwhere(told.cells == 0).tolist() == [[1, 1]]
    none = read(cells, no_empty=True)
    assert looks(none) == [("stitch", WHITE, None), ("stitch", RED, None)]


def test_classes_are_numbered_as_they_come_up_row_by_row() -> None:
    cells = blank()
    for place, colour in (((0, 5), RED), ((1, 0), BLUE), ((1, 1), RED), ((4, 4), (9, 8, 7))):
        one(cells, *place, colour)
    assert [c.rgb for c in read(cells).classes] == [WHITE, RED, BLUE, (9, 8, 7)]


@given(st.lists(st.tuples(*[st.integers(0, 255)] * 3), min_size=1, max_size=12))
def test_every_colour_is_kept_to_the_last_bit(colours: list[Rgb]) -> None:
    cells = blank(1, len(colours))
    for column, colour in enumerate(colours):
        one(cells, 0, column, colour)
    chart = read(cells, no_empty=True)
    assert [chart.classes[k].rgb for k in chart.cells[0]] == colours
    assert len(chart.classes) == len(set(colours))


# ----------------------------------------------------------------------- symbols


def test_a_symbol_on_bare_paper_is_a_stitch_in_the_colour_of_its_ink() -> None:
    cells = blank()
    sign(cells, 0, 0, ("letter", "x"), ink=RED)
    sign(cells, 0, 1, ("letter", "x"), ink=BLACK)
    sign(cells, 0, 2, ("letter", "x"), ink=RED)
    chart = read(cells)
    assert looks(chart)[:2] == [("empty", WHITE, None), ("stitch", RED, "x")]
    assert looks(chart)[2][:2] == ("stitch", None)
    assert chart.cells[0, :4].tolist() == [1, 2, 1, 0]


@pytest.mark.parametrize(("spread", "coloured"), [(24, False), (25, True)])
def test_an_ink_is_a_colour_from_so_far_beside_grey_on(spread: int, coloured: bool) -> None:
    ink: Rgb = (100, 100 + spread, 110)
    cells = blank()
    sign(cells, 2, 2, ("letter", "x"), ink=ink)
    assert read(cells).classes[1].rgb == (ink if coloured else None)


def test_a_symbol_over_a_fill_has_the_colour_of_the_fill() -> None:
    cells = blank()
    one(cells, 3, 3, BLUE)
    sign(cells, 3, 3, ("letter", "x"), ink=RED)
    assert looks(read(cells)) == [("empty", WHITE, None), ("stitch", BLUE, "x")]


def test_a_symbol_on_the_tint_of_the_grid_has_its_colour_only_where_another_is_bare() -> None:
    cells = blank()
    one(cells, 1, 1, BLUE)
    sign(cells, 3, 3, ("letter", "x"), ink=RED)
    for bare, colour in ((None, RED), (BLUE, WHITE)):
        chart = read(cells, empty=bare, no_empty=bare is None)
        assert chart.classes[int(chart.cells[3, 3])] == ChartClass(
            int(chart.cells[3, 3]), "stitch", colour, "x"
        )


def test_letters_make_a_name_and_drawings_a_number() -> None:
    cells = blank()
    sign(cells, 0, 0, ("letter", "a"), ("letter", "b"))
    sign(cells, 0, 1, ("dot", 0.4))
    sign(cells, 0, 2, ("letter", "a"), ("dot", 0.4))
    assert [c.symbol for c in read(cells).classes] == [None, "ab", "drawn 2", "drawn 3"]


def test_two_symbols_of_one_letter_have_two_names() -> None:
    cells = blank()
    sign(cells, 0, 0, ("letter", "a", "plain"))
    sign(cells, 0, 1, ("letter", "a", "slanted"))
    assert [c.symbol for c in read(cells).classes] == [None, "a", "a (2)"]


@pytest.mark.parametrize(("off", "same"), [(0.039, True), (0.041, False)])
def test_symbols_are_the_same_up_to_the_rounding_of_their_points(off: float, same: bool) -> None:
    cells = blank()
    sign(cells, 0, 0, ("fill", ((0.25, 0.25), (0.75, 0.5))))
    sign(cells, 0, 1, ("fill", ((0.25, 0.25), (0.75, 0.5 + off))))
    chart = read(cells)
    assert (chart.cells[0, 0] == chart.cells[0, 1]) == same


def test_a_symbol_of_more_points_or_marks_is_another() -> None:
    cells = blank()
    sign(cells, 0, 0, ("fill", ((0.25, 0.25), (0.75, 0.5))))
    sign(cells, 0, 1, ("fill", ((0.25, 0.25), (0.75, 0.5), (0.5, 0.5))))
    sign(cells, 0, 2, ("fill", ((0.25, 0.25), (0.75, 0.5))), ("dot", 0.1))
    assert len(set(read(cells).cells[0, :3].tolist())) == 3


# --------------------------------------------------------------- lines and knots

STYLE = (RED, 0.5)


def ticks(number: int) -> list[np.ndarray]:
    """The same short stroke in so many cells, row by row."""
    stroke = np.array([(0.25, 0.25), (0.75, 0.5)])
    return [stroke + np.array((k % COLUMNS, k // COLUMNS)) for k in range(number)]


def test_strokes_repeated_alike_in_many_cells_are_a_symbol_in_fewer_lines() -> None:
    for number, symbol in ((COMMON, True), (COMMON - 1, False)):
        cells = blank()
        cells.strokes[STYLE] = ticks(number)
        chart = read(cells)
        assert len(chart.lines) == (0 if symbol else number)
        assert (chart.cells > 0).sum() == (number if symbol else 0)


def test_strokes_of_which_one_leaves_its_cell_are_all_lines() -> None:
    cells = blank()
    cells.strokes[STYLE] = [*ticks(COMMON), np.array([(0.5, 5.5), (1.5, 5.2)])]
    assert len(read(cells).lines) == COMMON + 1


def test_a_stroke_along_a_grid_line_lies_in_no_cell() -> None:
    cells = blank()
    cells.strokes[STYLE] = [np.array([(k, 1.0), (k + 1, 1.0)], float) for k in range(COLUMNS)]
    cells.strokes[STYLE] += [np.array([(k, 2.0), (k + 1, 2.0)], float) for k in range(COLUMNS)]
    assert len(read(cells).lines) == 2 * COLUMNS


def test_lines_keep_their_points_and_their_colour() -> None:
    cells = blank()
    run = np.array([(0.0, 1.0), (2.5, 1.0), (3.0, 4.0)])
    cells.strokes[RED, 0.5] = [run]
    cells.strokes[BLUE, 0.5] = [run + 1]
    chart = read(cells)
    assert chart.lines == (
        Line(1, ((0.0, 1.0), (2.5, 1.0), (3.0, 4.0))),
        Line(2, ((1.0, 2.0), (3.5, 2.0), (4.0, 5.0))),
    )
    assert looks(chart)[1:] == [("line", RED, None), ("line", BLUE, None)]


def test_lines_of_one_colour_and_two_widths_are_one_class() -> None:
    cells = blank()
    cells.strokes[RED, 0.5] = [np.array([(0.0, 1.0), (2.0, 1.0)])]
    cells.strokes[RED, 0.8] = [np.array([(0.0, 3.0), (2.0, 3.0)])]
    assert {line.class_index for line in read(cells).lines} == {1}


@pytest.mark.parametrize(("width", "casing"), [(0.9, True), (0.5, False), (0.3, False)])
def test_what_lies_broader_below_the_same_lines_sets_them_off(width: float, casing: bool) -> None:
    runs = [np.array([(0.0, 1.0), (2.0, 1.0)]), np.array([(2.0, 1.0), (2.0, 3.0)])]
    cells = blank()
    cells.strokes[WHITE, width] = runs[:1]
    cells.strokes[RED, 0.5] = runs
    colours = Counter(
        chart.classes[line.class_index].rgb for chart in (read(cells),) for line in chart.lines
    )
    assert colours == (Counter({RED: 2}) if casing else Counter({RED: 2, WHITE: 1}))


def test_a_broad_line_with_more_runs_than_the_narrow_one_is_a_line_of_its_own() -> None:
    cells = blank()
    runs = [np.array([(0.0, 1.0), (2.0, 1.0)]), np.array([(2.0, 1.0), (2.0, 3.0)])]
    cells.strokes[WHITE, 0.9] = runs
    cells.strokes[RED, 0.5] = runs[:1]
    assert len(read(cells).lines) == 3


def test_dots_in_middles_are_a_symbol_and_at_crossings_knots() -> None:
    cells = blank()
    cells.dots = [Dot(2.5, 1.5, 0.4, RED), Dot(3.5, 4.5, 0.4, RED), Dot(4.0, 2.0, 0.4, BLUE)]
    chart = read(cells)
    assert chart.knots == (Knot(2, 4.0, 2.0),)
    assert np.argwhere(chart.cells == 1).tolist() == [[1, 2], [4, 3]]
    assert looks(chart)[1:] == [("stitch", RED, "drawn 1"), ("knot", BLUE, None)]


def test_a_kind_of_dot_that_lies_at_one_crossing_is_a_knot_everywhere() -> None:
    cells = blank()
    cells.dots = [Dot(2.5, 1.5, 0.4, RED), Dot(3.0, 4.5, 0.4, RED)]
    chart = read(cells)
    assert {(k.x, k.y) for k in chart.knots} == {(2.5, 1.5), (3.0, 4.5)}
    assert (chart.cells == 0).all()


def test_dots_of_two_sizes_are_two_kinds() -> None:
    cells = blank()
    cells.dots = [Dot(2.5, 1.5, 0.4, RED), Dot(3.0, 4.5, 0.6, RED)]
    chart = read(cells)
    assert [(k.x, k.y) for k in chart.knots] == [(3.0, 4.5)]
    assert (chart.cells > 0).sum() == 1


@pytest.mark.parametrize("off", [(1, 0), (-1, 0), (0, 1), (0, -1)])
def test_a_dot_may_lie_a_tenth_of_a_cell_beside_its_place(off: tuple[int, int]) -> None:
    near, far = (Dot(3.0 + s * off[0], 4.5 + s * off[1], 0.4, RED) for s in (0.09, 0.11))
    cells = blank()
    cells.dots = [near]
    assert [(k.x, k.y) for k in read(cells).knots] == [(3.0, 4.5)]
    cells = blank()
    cells.dots = [far]
    with pytest.raises(Misfit, match="dot"):
        read(cells)


# ------------------------------------------------------------------------ pieces


@pytest.mark.parametrize("corner", get_args(Corner))
def test_a_half_on_bare_paper_leaves_the_other_half_bare(corner: Corner) -> None:
    cells = blank()
    cells.pieces[2, 3].append(("triangle", corner, RED))
    chart = read(cells)
    assert chart.parts == (Part(2, 3, "triangle", corner, 1),)
    assert chart.cells[2, 3] == 0
    assert looks(chart) == [("empty", WHITE, None), ("stitch", RED, None)]


@pytest.mark.parametrize("corner", get_args(Corner))
def test_a_half_over_a_fill_leaves_the_other_half_in_that_colour(corner: Corner) -> None:
    cells = blank()
    one(cells, 2, 3, BLUE)
    cells.pieces[2, 3].append(("triangle", corner, RED))
    found = {(p.corner, p.shape): p.class_index for p in read(cells).parts}
    chart = read(cells)
    assert set(found) == {(corner, "triangle"), (OPPOSITE[corner], "triangle")}
    assert chart.classes[found[corner, "triangle"]].rgb == RED
    assert chart.classes[found[OPPOSITE[corner], "triangle"]].rgb == BLUE


@pytest.mark.parametrize("number", [1, 2, 3, 4])
def test_quarters_over_a_fill_leave_it_the_other_quarters(number: int) -> None:
    cells = blank()
    one(cells, 2, 3, BLUE)
    for corner in get_args(Corner)[:number]:
        cells.pieces[2, 3].append(("quarter", corner, RED))
    chart = read(cells)
    of = {p.corner: chart.classes[p.class_index].rgb for p in chart.parts}
    assert {p.shape for p in chart.parts} == {"quarter"}
    assert of == {c: RED if k < number else BLUE for k, c in enumerate(get_args(Corner))}


def test_two_halves_are_the_whole_of_their_cell() -> None:
    cells = blank()
    one(cells, 2, 3, BLUE)
    cells.pieces[2, 3] += [("triangle", "top left", RED), ("triangle", "bottom right", RED)]
    assert [p.corner for p in read(cells).parts] == ["top left", "bottom right"]


def test_pieces_take_the_class_of_whole_stitches_of_their_colour() -> None:
    cells = blank()
    one(cells, 0, 0, RED)
    cells.pieces[2, 3].append(("triangle", "top left", RED))
    chart = read(cells)
    assert [p.class_index for p in chart.parts] == [int(chart.cells[0, 0])]


def test_a_colour_with_two_symbols_and_none_gives_pieces_the_one_without() -> None:
    cells = blank()
    for column, letter in enumerate("ab"):
        one(cells, 0, column, RED)
        sign(cells, 0, column, ("letter", letter))
    cells.pieces[2, 3].append(("triangle", "top left", RED))
    chart = read(cells)
    assert chart.classes[chart.parts[0].class_index] == ChartClass(3, "stitch", RED)
    one(cells, 0, 2, RED)
    chart = read(cells)
    assert chart.parts[0].class_index == int(chart.cells[0, 2])


def test_every_corner_lies_opposite_another_and_no_two_opposite_one() -> None:
    corners: set[Corner] = set(get_args(Corner))
    assert set(OPPOSITE) == set(OPPOSITE.values()) == corners
    assert all(OPPOSITE[OPPOSITE[c]] == c != OPPOSITE[c] for c in corners)
    words = {c: set(c.split()) for c in corners}
    assert all(not words[c] & words[OPPOSITE[c]] for c in corners)
    assert set(get_args(Shape)) == {"triangle", "quarter"}
