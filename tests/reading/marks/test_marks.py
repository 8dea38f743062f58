"""Marks: part stitches, backstitch and knots are found where they were drawn, and nowhere else."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from io import BytesIO
from typing import Any

import numpy as np
import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray
from PIL import Image

from chartscan.chart import Chart, ChartClass, Corner, Knot, Line, Part, Shape
from chartscan.reading.lattice.model import FLAT, Lattice
from chartscan.reading.marks import Marks, find_marks
from chartscan.reading.page.page import Page
from tests.drawing import marks as drawing
from tests.drawing.corpus import draw
from tests.drawing.files import Files
from tests.drawing.mark_recipes import draw_marked
from tests.drawing.style import Design, Rule, Style

ROWS, COLUMNS, PITCH, MARGIN = 24, 30, 17, 20
COLOURS = np.array([(255, 255, 255), (200, 60, 80), (70, 120, 190)], np.uint8)
INKS = (("line", (20, 110, 40)), ("line", (235, 140, 20)), ("knot", (60, 10, 90)))
STYLE = Style(pitch=PITCH, margin=(MARGIN, MARGIN, MARGIN, MARGIN))
Cells = NDArray[np.int32]


def cells() -> Cells:
    """Two blocks of colour on empty ground."""
    grid = np.zeros((ROWS, COLUMNS), np.int32)
    grid[4:15, 5:18] = 1
    grid[9:21, 14:26] = 2
    return grid


def page_of(grid: Cells, marks: drawing.Marks, style: Style = STYLE) -> tuple[Page, Lattice]:
    """The page with ``marks`` drawn over ``grid``, and where its lattice lies."""
    page = draw_marked(Design(grid, COLOURS), style, marks)
    (left, top), (right, bottom) = page.crossings[0, 0], page.crossings[-1, -1]
    across, down = (right - left) / grid.shape[1], (bottom - top) / grid.shape[0]
    homography = np.array([[across, 0, left], [0, down, top], [0, 0, 1.0]])
    return Page(page.pixels, lossless=True), Lattice(
        grid.shape[1], grid.shape[0], homography, FLAT, True
    )


def classes_of(count: int = 3) -> tuple[ChartClass, ...]:
    kinds = ("empty", *["stitch"] * (count - 1))
    return tuple(
        ChartClass(i, "empty" if kind == "empty" else "stitch") for i, kind in enumerate(kinds)
    )


def read(
    marks: drawing.Marks, style: Style = STYLE, given_cells: Cells | None = None, classes: int = 3
) -> Marks:
    """What is found on the page of :func:`cells` with ``marks`` over it."""
    grid = cells()
    for part in marks.parts:
        grid[part.row, part.column] = 0
    page, lattice = page_of(grid, marks, style)
    return find_marks(
        page, lattice, grid if given_cells is None else given_cells, classes_of(classes)
    )


def drawn(
    lines: Sequence[tuple[int, Sequence[tuple[float, float]]]] = (),
    knots: Sequence[tuple[float, float]] = (),
    parts: Sequence[Part] = (),
    width: float = 0.2,
    round_ends: bool = True,
) -> drawing.Marks:
    return drawing.Marks(
        parts=tuple(parts),
        lines=tuple(Line(3 + ink, tuple(points)) for ink, points in lines),
        knots=tuple(Knot(5, x, y) for x, y in knots),
        colours=INKS,
        width=width,
        round_ends=round_ends,
    )


def segments(marks: Marks) -> dict[tuple[int, int, int], set[frozenset[tuple[float, float]]]]:
    """The ends of every line found, by colour."""
    found: dict[tuple[int, int, int], set[frozenset[tuple[float, float]]]] = {}
    for line in marks.lines:
        rgb = marks.classes[line.class_index].rgb
        assert rgb is not None
        found.setdefault(rgb, set()).add(frozenset(line.points))
    return found


def ends(*points: tuple[float, float]) -> frozenset[tuple[float, float]]:
    return frozenset(points)


# ---------------------------------------------------------------------------- backstitch


def test_backstitch_straight_diagonal_long_and_from_half_crossings_is_found_end_to_end() -> None:
    """Each run comes back with its ends, in the colour it was drawn in."""
    green = [((2, 2), (2, 9)), ((6, 3), (12, 9)), ((15, 5), (28, 11)), ((8.5, 12), (10, 16.5))]
    orange = [((20, 2), (23, 2)), ((1, 20), (9, 22))]
    runs = [(0, a) for a in green] + [(1, a) for a in orange]
    found = segments(read(drawn(runs)))
    assert found == {
        INKS[0][1]: {ends(*a) for a in green},
        INKS[1][1]: {ends(*a) for a in orange},
    }


def test_a_line_between_two_fills_in_a_blend_of_both_is_no_soft_edge() -> None:
    inks = (("line", (228, 158, 168)), *INKS[1:])
    run = ((5, 5), (5, 8))
    found = segments(read(replace(drawn([(0, run)], width=0.3), colours=inks)))
    assert found == {inks[0][1]: {ends(*run)}}


def test_a_line_over_a_bold_line_and_one_on_the_frame_are_found() -> None:
    """A mark lies over the grid, whatever is printed there."""
    runs = [(0, ((10, 3), (10, 8))), (1, ((0, 5), (0, 11))), (0, ((4, 10), (9, 10)))]
    found = segments(read(drawn(runs)))
    assert found == {
        INKS[0][1]: {ends((10, 3), (10, 8)), ends((4, 10), (9, 10))},
        INKS[1][1]: {ends((0, 5), (0, 11))},
    }


def test_lines_cut_off_square_keep_their_length() -> None:
    """A line without round ends stops right at its crossing."""
    marks = read(drawn([(0, ((3, 3), (7, 3))), (0, ((12, 4), (15, 9)))], round_ends=False))
    assert segments(marks)[INKS[0][1]] == {ends((3, 3), (7, 3)), ends((12, 4), (15, 9))}


@pytest.mark.parametrize("aside", [(-1, -1), (1, 0), (0.6, -0.6)])
def test_lines_that_all_lie_beside_the_grid_are_found(aside: tuple[float, float]) -> None:
    """Whoever rounds to whole pixels rounds every line to the same side."""
    runs = [((2, 2), (2, 9)), ((20, 3), (26, 3)), ((21, 5), (24, 8)), ((3, 20), (5, 18))]
    runs += [((27, 22), (23, 22)), ((7, 17), (7, 21)), ((9, 22), (12, 23)), ((26, 8), (28, 4))]
    page, lattice = page_of(cells(), drawn([(0, a) for a in runs]), replace(STYLE, minor=None))
    move = np.array([[1.0, 0, -aside[0]], [0, 1, -aside[1]], [0, 0, 1]])
    beside = replace(lattice, homography=move @ lattice.homography)
    marks = find_marks(page, beside, cells(), classes_of())
    assert segments(marks) == {INKS[0][1]: {ends(*a) for a in runs}}


def test_a_corner_in_a_run_is_two_lines_and_no_shortcut() -> None:
    """A stair of single stitches is as long as its steps."""
    stair = [(5, 5), (6, 5), (6, 6), (7, 6), (7, 7), (8, 7)]
    marks = read(drawn([(0, stair)]))
    assert sum(line.length for line in marks.lines) == pytest.approx(5)


def test_a_line_of_a_stitch_colour_is_a_class_of_its_own() -> None:
    """The same colour in stitches and in backstitch is two classes."""
    runs = drawn([(0, ((2, 2), (4, 2))), (0, ((2, 18), (9, 22)))])
    marks = read(replace(runs, colours=(("line", (200, 60, 80)), *INKS[1:])))
    kinds = [c.kind for c in marks.classes]
    assert kinds == ["empty", "stitch", "stitch", "line"]
    assert segments(marks) == {(200, 60, 80): {ends((2, 2), (4, 2)), ends((2, 18), (9, 22))}}


# ---------------------------------------------------------------------------- knots and parts


def test_knots_at_crossings_edges_and_middles_are_found_over_lines_too() -> None:
    """A knot is found on each kind of place, and the line under it stays whole."""
    places = [(3, 3), (6.5, 5), (8, 7.5), (20.5, 12.5), (13, 18), (27, 20.5)]
    marks = read(drawn([(0, ((10, 18), (16, 18)))], places))
    assert sorted((k.x, k.y) for k in marks.knots) == sorted(places)
    assert segments(marks) == {INKS[0][1]: {ends((10, 18), (16, 18))}}
    assert {marks.classes[k.class_index].rgb for k in marks.knots} == {INKS[2][1]}


@pytest.mark.parametrize("corner", drawing.CORNERS)
@pytest.mark.parametrize("shape", ["triangle", "quarter"])
def test_each_part_stitch_is_found_in_its_corner(shape: Shape, corner: Corner) -> None:
    """Shape, corner and colour come back, and the cell is empty."""
    parts = [Part(8, 5, shape, corner, 1), Part(20, 20, shape, corner, 2)]
    marks = read(drawn(parts=parts))
    assert marks.parts == tuple(parts)
    assert marks.cells[8, 5] == marks.cells[20, 20] == 0


def test_two_colours_share_a_cell_under_a_line_on_their_border() -> None:
    """Both halves are found though the line hides the edge between them."""
    parts = [Part(9, 13, "triangle", "top left", 1), Part(9, 13, "triangle", "bottom right", 2)]
    marks = read(drawn([(1, ((14, 9), (13, 10)))], parts=parts))
    assert set(marks.parts) == set(parts)
    assert segments(marks) == {INKS[1][1]: {ends((14, 9), (13, 10))}}


def test_ground_that_shows_in_split_cells_only_is_empty() -> None:
    """Where every other cell is stitched, the bare half of a cell is no colour."""
    grid = np.where(np.arange(COLUMNS) < 15, 1, 2) * np.ones((ROWS, 1), np.int32)
    grid = grid.astype(np.int32)
    parts = [Part(5, 5, "triangle", "top left", 1), Part(12, 20, "quarter", "top right", 2)]
    whole = grid.copy()
    grid[5, 5] = grid[12, 20] = 0
    page, lattice = page_of(grid, drawn(parts=parts))
    stitches = (ChartClass(0, "stitch"), ChartClass(1, "stitch"))
    marks = find_marks(page, lattice, whole - 1, stitches)
    assert [c.kind for c in marks.classes] == ["stitch", "stitch", "empty"]
    assert {(p.row, p.column, p.class_index) for p in marks.parts} == {(5, 5, 0), (12, 20, 1)}


# ---------------------------------------------------------------------------- the cells below


def test_cells_spoilt_by_marks_get_their_colour_back_and_false_classes_go() -> None:
    """A class that came about only because a mark lay over its cells is dropped."""
    runs = [(0, ((6, 5), (12, 11))), (1, ((20, 4), (25, 8)))]
    spoilt = cells()
    spoilt[[6, 7, 8, 9], [7, 8, 9, 10]] = 3
    spoilt[[5, 6], [21, 22]] = 4
    marks = read(drawn(runs, [(18.5, 15.5)]), given_cells=spoilt, classes=5)
    assert np.array_equal(marks.cells, cells())
    assert [c.kind for c in marks.classes] == ["empty", "stitch", "stitch", "line", "line", "knot"]
    assert [c.index for c in marks.classes] == list(range(6))
    Chart(marks.cells, marks.classes, marks.parts, marks.lines, marks.knots, marks.doubtful)


@pytest.mark.parametrize(
    "style",
    [
        STYLE,
        replace(STYLE, minor=Rule(1, (60, 60, 60), dash=2)),
        replace(STYLE, centre=Rule(3, (200, 0, 0))),
        replace(STYLE, minor=None, bold=None, frame=None),
        replace(STYLE, pitch=11.4, scale=(1.31, 1.27)),
    ],
    ids=["plain", "dashed lines", "centre lines", "no lines", "resampled"],
)
def test_a_page_without_marks_is_left_as_it_is(style: Style) -> None:
    """Grid lines of any kind, and soft edges, are no marks."""
    page, lattice = page_of(cells(), drawn(), style)
    classes = classes_of()
    marks = find_marks(page, lattice, cells(), classes)
    assert np.array_equal(marks.cells, cells())
    assert (marks.classes, marks.parts, marks.lines, marks.knots) == (classes, (), (), ())


@pytest.mark.parametrize("group", ["symbols-on-colour", "symbols-one-ink"])
@pytest.mark.parametrize("seed", [1, 2])
def test_symbols_are_no_marks(group: str, seed: int) -> None:
    """Even where the reader of cells took every symbol for a colour of its own."""
    sample = draw(group, seed)
    page, lattice = of_sample(sample.files, sample.truth)
    grid = np.array(sample.truth["cells"], np.int32)
    named = tuple(ChartClass(c["index"], c["kind"], None, None) for c in sample.truth["classes"])
    marks = find_marks(page, lattice, grid, named)
    assert (marks.parts, marks.lines, marks.knots) == ((), (), ())
    assert np.array_equal(marks.cells, grid)


def of_sample(files: Files, truth: dict[str, Any]) -> tuple[Page, Lattice]:
    """Page and lattice of a straight sample, from the cells' centres in its truth."""
    pixels = np.asarray(Image.open(BytesIO(files[truth["image"]])).convert("RGB"))
    known = np.array([c[:4] for c in truth["centres"]], float)
    across, left = np.polyfit(known[:, 1] + 0.5, known[:, 2], 1)
    down, top = np.polyfit(known[:, 0] + 0.5, known[:, 3], 1)
    homography = np.array([[across, 0, left], [0, down, top], [0, 0, 1.0]])
    return Page(pixels, lossless=True), Lattice(
        truth["columns"], truth["rows"], homography, FLAT, True
    )


def test_a_noisy_page_and_one_of_tiny_cells_are_left_alone() -> None:
    """Where a thin line can't be told from grain or from an edge, nothing is claimed."""
    runs = drawn([(0, ((3, 3), (9, 3)))])
    page, lattice = page_of(cells(), runs)
    grain = np.random.default_rng(1).integers(-30, 31, page.pixels.shape)
    noisy = replace(page, pixels=np.clip(page.pixels + grain, 0, 255).astype(np.uint8))
    assert find_marks(noisy, lattice, cells(), classes_of()).lines == ()
    assert read(runs, replace(STYLE, pitch=5)).lines == ()
    assert len(read(runs, replace(STYLE, pitch=8)).lines) == 1


def test_a_page_of_one_colour_has_no_marks() -> None:
    """Nothing to see is not an error."""
    page = Page(np.full((200, 200, 3), 255, np.uint8), lossless=True)
    lattice = Lattice(10, 10, np.diag([20.0, 20.0, 1.0]), FLAT, False)
    grid = np.zeros((10, 10), np.int32)
    marks = find_marks(page, lattice, grid, (ChartClass(0, "empty"),))
    assert (marks.cells == grid).all()
    assert marks.classes == (ChartClass(0, "empty"),)
    assert (marks.parts, marks.lines, marks.knots, marks.doubtful) == ((), (), (), ())


def test_something_else_over_a_cell_makes_it_doubtful() -> None:
    """A blot that is no mark is owned up to where marks are read all around it."""
    runs = [(0, ((2, 2 + 2 * i), (9, 2 + 2 * i))) for i in range(9)]
    page, lattice = page_of(cells(), drawn(runs))
    blotted = page.pixels.copy()
    top, left = MARGIN + 21 * PITCH + 4, MARGIN + 27 * PITCH + 4
    blotted[top : top + 5, left : left + 9] = (150, 150, 0)
    marks = find_marks(replace(page, pixels=blotted), lattice, cells(), classes_of())
    assert marks.doubtful == ((21, 27),)
    assert len(marks.lines) == len(runs)


half = st.integers(0, 2 * 20).map(lambda v: v / 2)


@settings(max_examples=15, deadline=None)
@given(
    start=st.tuples(half, half),
    way=st.tuples(st.integers(-8, 8), st.integers(-8, 8)).filter(lambda v: v != (0, 0)),
    pitch=st.integers(9, 24),
    width=st.floats(0.16, 0.28),
)
@example(start=(0.5, 0.5), way=(0, 2), pitch=11, width=0.1875)
def test_any_single_run_comes_back(
    start: tuple[float, float], way: tuple[int, int], pitch: int, width: float
) -> None:
    """Whatever its place inside the frame, angle, width and the size of the cells.

    Its colour is left out: a thin line over small cells has no sample that it covers in full.
    """
    stop = (start[0] + way[0] / 2, start[1] + way[1] / 2)
    inside = all(0 < x < COLUMNS and 0 < y < ROWS for x, y in (start, stop))
    if not inside or max(map(abs, way)) < 2:
        return
    marks = read(drawn([(0, (start, stop))], width=width), replace(STYLE, pitch=pitch))
    assert list(segments(marks).values()) == [{ends(start, stop)}]
    assert np.array_equal(marks.cells, cells())
