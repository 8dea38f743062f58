"""One list of classes for several pages: what is the same, what is new, what is left out."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from numpy.typing import NDArray

from chartscan.chart import Chart, ChartClass, Kind, Knot, Line, Part
from chartscan.reading.evidence import Evidence
from chartscan.reading.join.classes import ClassJoinSettings, unify
from chartscan.reading.join.marks import Region
from chartscan.reading.join.overlap import WORN
from tests.reading.staged import BLUE, RED, WHITE, YELLOW, Rgb, evidence

Row = list[int]
EXACT = ClassJoinSettings().exact
Mapped = list[list[int]]


def page(cells: Row, *entries: tuple[Kind, Rgb | None, str | None], exact: bool = True) -> Evidence:
    """A page of one row, read into those classes."""
    listed = tuple(ChartClass(k, *entry) for k, entry in enumerate(entries))
    return evidence(Chart(np.array([cells], np.int32), listed), lossless=exact)


def plain(*colours: Rgb, cells: Row | None = None, exact: bool = True) -> Evidence:
    """A page with a cell of each colour, the first of which is bare."""
    entries: list[tuple[Kind, Rgb | None, str | None]] = [
        ("stitch" if k else "empty", colour, None) for k, colour in enumerate(colours)
    ]
    return page(cells or list(range(len(colours))), *entries, exact=exact)


def regions_of(pages: list[Evidence]) -> list[Region]:
    return [Region(0, 0, 0, p.chart.rows, 0, p.chart.columns) for p in pages]


def unified(
    *pages: Evidence, signs: list[Row] | None = None
) -> tuple[tuple[ChartClass, ...], Mapped]:
    """The classes and the mappings; without ``signs`` no class has a symbol."""
    numbers: list[NDArray[np.int32]] = [
        np.array(signs[k] if signs else [0] * len(p.chart.classes), np.int32)
        for k, p in enumerate(pages)
    ]
    found, mappings = unify(pages, numbers, regions_of(list(pages)))
    return found, [m.tolist() for m in mappings]


def colours(found: tuple[ChartClass, ...]) -> list[Rgb | None]:
    return [c.rgb for c in found]


def test_the_same_colours_are_the_same_classes_in_whatever_order_a_page_has_them() -> None:
    found, maps = unified(plain(WHITE, RED, BLUE), plain(WHITE, BLUE, YELLOW, RED))
    assert colours(found) == [WHITE, RED, BLUE, YELLOW]
    assert maps == [[0, 1, 2], [0, 2, 3, 1]]
    assert [c.index for c in found] == [0, 1, 2, 3]


@pytest.mark.parametrize("channel", [0, 1, 2])
@pytest.mark.parametrize(
    ("off", "exact", "same"),
    [(1, True, True), (2, True, False), (24, False, True), (25, False, False)],
)
def test_colours_are_the_same_up_to_what_the_pages_are_worn(
    channel: int, off: int, exact: bool, same: bool
) -> None:
    other = tuple(v + off * (k == channel) for k, v in enumerate(BLUE))
    moved: Rgb = (other[0], other[1], other[2])
    found, _ = unified(plain(WHITE, BLUE, exact=exact), plain(WHITE, moved, exact=exact))
    assert len(found) == (2 if same else 3)


def test_two_classes_of_one_page_are_never_made_one() -> None:
    near: Rgb = (BLUE[0] + 3, BLUE[1], BLUE[2])
    found, maps = unified(plain(WHITE, BLUE, exact=False), plain(WHITE, BLUE, near, exact=False))
    assert colours(found) == [WHITE, BLUE, near]
    assert maps[1] == [0, 1, 2]


def test_the_nearest_pair_is_matched_first() -> None:
    """Both classes of the second page are near enough; the one that comes later is nearer."""
    far, near = ((BLUE[0] + off, BLUE[1], BLUE[2]) for off in (20, 4))
    _, maps = unified(plain(WHITE, BLUE, exact=False), plain(WHITE, far, near, exact=False))
    assert maps[1] == [0, 2, 1]


# ------------------------------------------------------------------------ ground


def test_what_most_cells_of_all_pages_were_read_as_is_bare_on_each() -> None:
    """A page from the middle of a chart took a stitched background for bare fabric."""
    outer = plain(WHITE, RED, cells=[0, 0, 0, 0, 0, 1])
    middle = plain(RED, WHITE, cells=[0, 0, 0, 1])
    found, maps = unified(outer, middle)
    assert [(c.kind, c.rgb) for c in found] == [("empty", WHITE), ("stitch", RED)]
    assert maps == [[0, 1], [1, 0]]


def test_a_page_without_a_colour_near_the_ground_keeps_its_own() -> None:
    found, _ = unified(plain(WHITE, RED, cells=[0, 0, 0, 1]), plain(YELLOW, BLUE))
    assert [(c.kind, c.rgb) for c in found] == [
        ("empty", WHITE),
        ("stitch", RED),
        ("stitch", BLUE),
    ]


@pytest.mark.parametrize(("off", "bare"), [(EXACT, True), (EXACT + 1, False)])
def test_the_ground_of_another_page_may_be_as_far_off_as_a_class(off: float, bare: bool) -> None:
    white: Rgb = (255, 255, 255 - int(off))
    pages = (plain(WHITE, RED, cells=[0, 0, 0, 1]), plain(BLUE, white))
    found, maps = unified(*pages)
    assert (found[maps[1][1]].kind == "empty") is bare


def test_the_empty_class_is_the_first_wherever_it_comes_up() -> None:
    stitched = page([0, 1], ("stitch", RED, None), ("stitch", BLUE, None))
    found, maps = unified(stitched, plain(WHITE, BLUE))
    assert [c.kind for c in found] == ["empty", "stitch", "stitch"]
    assert colours(found) == [WHITE, RED, BLUE]
    assert maps == [[1, 2], [0, 2]]


def test_without_a_ground_on_any_page_there_is_none_of_the_whole() -> None:
    stitched = page([0, 1], ("stitch", RED, None), ("stitch", BLUE, None))
    found, _ = unified(stitched, stitched)
    assert [c.kind for c in found] == ["stitch", "stitch"]


# ----------------------------------------------------------------------- symbols


def test_two_symbols_on_one_colour_are_two_classes() -> None:
    first = page([0, 1], ("stitch", BLUE, "a"), ("stitch", BLUE, "b"))
    found, maps = unified(first, first, signs=[[1, 2], [2, 1]])
    assert len(found) == 2
    assert maps == [[0, 1], [1, 0]]
    assert [c.symbol for c in found] == ["a", "b"]


def test_one_symbol_on_worn_colours_is_one_class_though_the_pages_are_exact() -> None:
    """What a symbol covers hides much of its ground: it is compared as on a scan."""
    for off, same in ((int(WORN), True), (int(WORN) + 1, False)):
        pages = [
            page([0], ("stitch", (100, 100, 100 + k * off), "a")) for k in (0, 1)
        ]  # fmt: skip
        found, _ = unified(*pages, signs=[[1], [1]])
        assert len(found) == (1 if same else 2)


def test_symbols_in_one_ink_are_told_by_their_shapes() -> None:
    pages = [page([0, 1], ("stitch", None, "a"), ("stitch", None, "b")) for _ in (0, 1)]
    found, maps = unified(*pages, signs=[[1, 2], [3, 1]])
    assert maps == [[0, 1], [2, 0]]
    assert [c.symbol for c in found] == ["a", "b", "symbol 3"]  # "a" is another shape's name


def test_a_class_with_a_colour_is_not_one_without() -> None:
    pages = [page([0], ("stitch", rgb, "a")) for rgb in (None, BLUE)]
    found, _ = unified(*pages, signs=[[1], [1]])
    assert colours(found) == [None, BLUE]
    assert [c.symbol for c in found] == ["a", "a"]  # it is the same shape


# ------------------------------------------------------------------ what is used


def test_a_class_that_only_repeats_hold_is_left_out() -> None:
    first = plain(WHITE, RED, BLUE, cells=[0, 1, 2])
    found, mappings = unify([first], [np.zeros(3, np.int32)], [Region(0, 0, 0, 1, 0, 2)])
    assert colours(found) == [WHITE, RED]
    assert mappings[0].tolist() == [0, 1, 0]


@pytest.mark.parametrize(
    ("mark", "kept"),
    [
        (Part(0, 1, "triangle", "top left", 2), True),
        (Part(0, 2, "triangle", "top left", 2), False),
        (Knot(2, 2.0, 1.0), True),
        (Knot(2, 2.5, 1.0), False),
        (Line(2, ((2.0, 0.5), (3.0, 0.5))), True),
        (Line(2, ((2.5, 0.5), (3.0, 0.5))), False),
    ],
)
def test_a_mark_keeps_its_class_where_it_counts(mark: Part | Knot | Line, kept: bool) -> None:
    """Of three columns two count; the marks' class has no cell."""
    kind: dict[type, Kind] = {Part: "stitch", Knot: "knot", Line: "line"}
    last = kind[type(mark)]
    chart = page([0, 1, 0], ("empty", WHITE, None), ("stitch", RED, None), (last, BLUE, None)).chart
    match mark:
        case Part():
            chart = replace(chart, parts=(mark,))
        case Knot():
            chart = replace(chart, knots=(mark,))
        case Line():
            chart = replace(chart, lines=(mark,))
    found, _ = unify([evidence(chart)], [np.zeros(3, np.int32)], [Region(0, 0, 0, 1, 0, 2)])
    assert (BLUE in colours(found)) is kept


def test_lines_and_stitches_of_one_colour_are_two_classes() -> None:
    one = page([0, 1], ("empty", WHITE, None), ("stitch", RED, None), ("line", RED, None))
    chart = replace(one.chart, lines=(Line(2, ((0.0, 0.0), (1.0, 0.0))),))
    found, maps = unified(evidence(chart), evidence(chart))
    assert [c.kind for c in found] == ["empty", "stitch", "line"]
    assert maps == [[0, 1, 2]] * 2


def test_pages_of_nothing_have_no_classes() -> None:
    found, mappings = unify([], [], [])
    assert (found, mappings) == ((), [])
