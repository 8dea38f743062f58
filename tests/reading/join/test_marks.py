"""Marks of several pages laid together, by pages that one chart was cut into."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from chartscan.chart import Chart, ChartClass, Kind, Knot, Line, Part
from chartscan.reading.evidence import Evidence
from chartscan.reading.join.marks import SAME, Region, joined_marks
from tests.reading.staged import evidence

ROWS, COLUMNS = 10, 20
KINDS: tuple[Kind, ...] = ("empty", "stitch", "line", "knot", "line")
CLASSES = tuple(ChartClass(k, kind) for k, kind in enumerate(KINDS))
EVERY = np.arange(len(CLASSES), dtype=np.int32)  # a page's classes are those of the whole
Point = tuple[float, float]
Piece = tuple[Point, Point]


def whole(**marks: object) -> Chart:
    chart = Chart(np.zeros((ROWS, COLUMNS), np.int32), CLASSES)
    return replace(chart, **marks)  # type: ignore[arg-type]  # by name


def within(piece: Piece, left: int, right: int) -> Piece | None:
    """What of a straight piece lies between two columns."""
    (x0, y0), (x1, y1) = sorted(piece)
    if x1 < left or x0 > right:
        return None
    if x0 == x1:
        return (x0, y0), (x1, y1)
    ends = (max(x0, left), min(x1, right))
    first, last = ((x, y0 + (x - x0) * (y1 - y0) / (x1 - x0)) for x in ends)
    return (first, last) if ends[0] < ends[1] else None


def cut(chart: Chart, left: int, right: int, first: int, last: int) -> tuple[Evidence, Region]:
    """The columns from ``left`` to ``right`` as a page of their own; those that count of them."""

    def on(x: float) -> bool:
        return left <= x <= right

    page = Chart(
        chart.cells[:, left:right],
        chart.classes,
        parts=tuple(
            replace(p, column=p.column - left) for p in chart.parts if left <= p.column < right
        ),
        knots=tuple(replace(k, x=k.x - left) for k in chart.knots if on(k.x)),
        lines=tuple(
            Line(n.class_index, tuple((x - left, y) for x, y in seen))
            for n in chart.lines
            for piece in pairwise(n.points)
            if (seen := within(piece, left, right))
        ),
    )
    return evidence(page), Region(0, left, 0, ROWS, first - left, last - left)


def laid(chart: Chart, *cuts: tuple[int, int, int, int]) -> Chart:
    both = [cut(chart, *each) for each in cuts]
    pages, regions = [page for page, _ in both], [region for _, region in both]
    parts, lines, knots = joined_marks(pages, regions, [EVERY] * len(both))
    return replace(chart, parts=parts, lines=lines, knots=knots)


HALVES = ((0, 12, 0, 10), (8, 20, 10, 20))  # four columns are on both pages, two count of each


def lengths(chart: Chart) -> float:
    return sum(line.length for line in chart.lines)


@given(st.lists(st.tuples(st.integers(0, ROWS - 1), st.integers(0, COLUMNS - 1)), unique=True))
def test_each_part_is_taken_once_at_its_place(places: list[tuple[int, int]]) -> None:
    parts = tuple(Part(row, column, "quarter", "top left", 1) for row, column in places)
    found = laid(whole(parts=parts), *HALVES).parts
    assert sorted((p.row, p.column) for p in found) == sorted(places)


@given(st.lists(st.tuples(st.integers(0, 2 * ROWS), st.integers(0, 2 * COLUMNS)), unique=True))
def test_each_knot_is_taken_once_on_the_seam_too(places: list[tuple[int, int]]) -> None:
    knots = tuple(Knot(3, x / 2, y / 2) for y, x in places)
    found = laid(whole(knots=knots), *HALVES).knots
    assert sorted((k.x, k.y) for k in found) == sorted((k.x, k.y) for k in knots)


def test_a_knot_that_two_pages_read_a_little_apart_is_one() -> None:
    both = [cut(whole(knots=(Knot(3, 10.0 + off, 4.0),)), *each)
            for off, each in zip((-0.04, 0.04), HALVES, strict=True)]  # fmt: skip
    pages, regions = [page for page, _ in both], [region for _, region in both]
    _, _, knots = joined_marks(pages, regions, [EVERY, EVERY])
    assert len(knots) == 1


# Eighths of a turn only, through half crossings: as backstitch is drawn.
RUNS = st.tuples(
    st.integers(2, 2 * ROWS - 2), st.integers(0, 2 * COLUMNS - 2), st.integers(1, 30)
).map(lambda t: ((t[1] / 2, t[0] / 2), (min((t[1] + t[2]) / 2, COLUMNS), t[0] / 2)))


@given(RUNS)
def test_a_level_line_over_the_seam_comes_back_whole(run: tuple[Point, Point]) -> None:
    (line,) = laid(whole(lines=(Line(2, run),)), *HALVES).lines
    assert sorted(line.points) == sorted(run)
    assert line.class_index == 2


@pytest.mark.parametrize("down", [-1, 1])
@pytest.mark.parametrize("back", [False, True])
def test_a_line_aslant_over_the_seam_comes_back_whole(down: int, back: bool) -> None:
    run = ((7.0, 5.0 - 3 * down), (13.0, 5.0 + 3 * down))
    (line,) = laid(whole(lines=(Line(2, run[:: -1 if back else 1]),)), *HALVES).lines
    assert sorted(line.points) == sorted(run)


@pytest.mark.parametrize("x", [9.5, 10.0, 10.5, 3.0])
def test_an_upright_line_at_and_beside_the_seam_is_one(x: float) -> None:
    (line,) = laid(whole(lines=(Line(2, ((x, 2.0), (x, 7.5))),)), *HALVES).lines
    assert sorted(line.points) == [(x, 2.0), (x, 7.5)]


def test_a_bent_line_keeps_all_of_its_straight_pieces() -> None:
    points = ((6.0, 2.0), (12.0, 2.0), (12.0, 6.0), (9.0, 6.0), (9.0, 3.0))
    found = laid(whole(lines=(Line(2, points),)), *HALVES)
    expected = {frozenset(piece) for piece in pairwise(points)}
    assert {frozenset(line.points) for line in found.lines} == expected
    assert lengths(found) == pytest.approx(6 + 4 + 3 + 3)


def test_pieces_that_touch_are_one_and_those_apart_are_two() -> None:
    """A gap is one from a twentieth of a cell on, which is more than two pages differ by."""
    for gap, number in ((0.0, 1), (0.9 * SAME, 1), (1.2 * SAME, 2), (0.5, 2)):
        runs = (Line(2, ((2.0, 3.0), (4.0, 3.0))), Line(2, ((4.0 + gap, 3.0), (6.0, 3.0))))
        assert len(laid(whole(lines=runs), (0, COLUMNS, 0, COLUMNS)).lines) == number


def test_a_piece_within_another_adds_nothing() -> None:
    runs = (Line(2, ((2.0, 3.0), (8.0, 3.0))), Line(2, ((3.0, 3.0), (5.0, 3.0))))
    (line,) = laid(whole(lines=runs), (0, COLUMNS, 0, COLUMNS)).lines
    assert line.points == ((2.0, 3.0), (8.0, 3.0))


def test_lines_side_by_side_of_two_colours_or_directions_stay_apart() -> None:
    runs = (
        Line(2, ((2.0, 3.0), (4.0, 3.0))),
        Line(2, ((4.0, 3.5), (6.0, 3.5))),
        Line(2, ((4.0, 3.0), (5.0, 4.0))),
        Line(4, ((4.0, 3.0), (6.0, 3.0))),
    )
    assert len(laid(whole(lines=runs), (0, COLUMNS, 0, COLUMNS)).lines) == 4


def test_a_line_outside_of_what_counts_is_left_to_the_page_that_it_counts_on() -> None:
    run = Line(2, ((1.0, 2.0), (6.0, 2.0)))
    assert laid(whole(lines=(run,)), (0, COLUMNS, 7, COLUMNS)).lines == ()
    (kept,) = laid(whole(lines=(run,)), (0, COLUMNS, 4, COLUMNS)).lines
    assert kept.points == ((4.0, 2.0), (6.0, 2.0))


def test_a_line_that_only_touches_what_counts_leaves_nothing() -> None:
    run = Line(2, ((1.0, 2.0), (4.0, 2.0)))
    assert laid(whole(lines=(run,)), (0, COLUMNS, 4, COLUMNS)).lines == ()


def test_pages_below_each_other_move_down() -> None:
    page = evidence(whole(lines=(Line(2, ((1.0, 0.0), (1.0, 3.0))),), knots=(Knot(3, 1.0, 2.5),),
                          parts=(Part(2, 5, "triangle", "top left", 1),)))  # fmt: skip
    region = Region(7, 3, 0, ROWS, 0, COLUMNS)
    parts, lines, knots = joined_marks([page], [region], [EVERY])
    assert parts == (Part(9, 8, "triangle", "top left", 1),)
    assert lines == (Line(2, ((4.0, 7.0), (4.0, 10.0))),)
    assert knots == (Knot(3, 4.0, 9.5),)


def test_classes_are_those_of_the_whole() -> None:
    marks = whole(
        lines=(Line(2, ((1.0, 0.0), (1.0, 3.0))),),
        knots=(Knot(3, 1.0, 2.5),),
        parts=(Part(2, 5, "triangle", "top left", 1),),
    )
    mapping = np.array([0, 5, 6, 7, 8], np.int32)
    region = Region(0, 0, 0, ROWS, 0, COLUMNS)
    parts, lines, knots = joined_marks([evidence(marks)], [region], [mapping])
    assert (parts[0].class_index, lines[0].class_index, knots[0].class_index) == (5, 6, 7)


def test_what_counts_of_a_page_ends_before_its_last_row_and_column() -> None:
    region = Region(0, 0, 2, 5, 3, 7)
    assert {(r, c) for r in range(9) for c in range(9) if region.owns(r, c)} == {
        (r, c) for r in (2, 3, 4) for c in (3, 4, 5, 6)
    }
    near, far = 0.9 * SAME, 1.1 * SAME
    for x, y in ((3.0, 2.0), (7.0, 5.0), (3.0 - near, 3.0), (7.0 + near, 3.0), (4.0, 2.0 - near)):
        assert region.holds(x, y)
    for x, y in ((3.0 - far, 3.0), (7.0 + far, 3.0), (4.0, 2.0 - far), (4.0, 5.0 + far)):
        assert not region.holds(x, y)
