"""What a page shows and the reading doesn't explain: ink from cell to cell, cells unlike others."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from PIL import Image, ImageDraw

from chartscan.chart import Chart, ChartClass, Knot, Line, Part
from chartscan.reading import read_pages
from chartscan.reading.clues import Clues
from chartscan.reading.doubt.against import AgainstSettings, beside_lines, held_against, under_marks
from chartscan.reading.doubt.ask import ask
from chartscan.reading.doubt.marks import MarkDoubts, mark_questions
from chartscan.reading.doubt.runs_on import RunSettings
from chartscan.reading.evidence import Evidence
from chartscan.reading.lattice.model import FLAT, Lattice
from chartscan.reading.page.page import Page
from tests.conftest import DrawChart

ROWS, COLUMNS, PITCH = 12, 16, 20
BARE, RED, LINE_TAKEN_FOR_SYMBOL = 0, 1, 2
SLANT = [(k, k) for k in range(2, 10)]


def page_of(lines: list[tuple[int, int, int, int]]) -> Page:
    """A patch of red cells with a symbol; ``lines`` from crossing to crossing over it."""
    picture = Image.new("RGB", (COLUMNS * PITCH, ROWS * PITCH), "white")
    draw = ImageDraw.Draw(picture)
    for row in range(4, 8):
        for column in range(9, 14):
            x, y = column * PITCH, row * PITCH
            draw.rectangle((x, y, x + PITCH - 1, y + PITCH - 1), fill=(200, 30, 40))
            draw.ellipse((x + 6, y + 6, x + 13, y + 13), fill="white")
    for column in range(COLUMNS):
        draw.line((column * PITCH, 0, column * PITCH, ROWS * PITCH), fill=(150, 150, 150))
    for row in range(ROWS):
        draw.line((0, row * PITCH, COLUMNS * PITCH, row * PITCH), fill=(150, 150, 150))
    for line in lines:
        draw.line([PITCH * v for v in line], fill=(40, 40, 160), width=3)
    return Page(np.asarray(picture), lossless=True)


def evidence(page: Page, cells: np.ndarray, classes: int, **marks: object) -> Evidence:
    colours = ((255, 255, 255), (200, 30, 40), (255, 255, 255), (0, 0, 0))
    filled = tuple(
        ChartClass(k, "stitch" if k else "empty", colours[min(k, 2)]) for k in range(classes)
    )
    chart = Chart(cells, (*filled, ChartClass(classes, "line", (40, 40, 160))))
    chart = replace(chart, **marks)  # type: ignore[arg-type]  # by name
    lattice = Lattice(COLUMNS, ROWS, np.diag([float(PITCH), PITCH, 1]), FLAT, drawn=True)
    return Evidence(page, lattice, chart, clues=Clues())


def cells_of() -> np.ndarray:
    cells = np.zeros((ROWS, COLUMNS), dtype=np.int32)
    cells[4:8, 9:14] = RED
    return cells


def test_where_the_chart_is_all_that_the_page_shows_nothing_is_left() -> None:
    assert not held_against(evidence(page_of([]), cells_of(), 2)).unexplained.any()


def test_a_line_taken_for_a_symbol_runs_on_out_of_its_cells() -> None:
    cells = cells_of()
    for row, column in SLANT:
        cells[row, column] = LINE_TAKEN_FOR_SYMBOL
    for column in range(1, 9):  # the other line crosses its cells in two ways, in turn
        cells[3 - (column - 1) // 2, column] = 3 + column % 2
    page = page_of([(2, 2, 10, 10), (1, 4, 9, 0)])
    held = held_against(evidence(page, cells, 5))
    assert held.runs_on.any()
    chart = ask(evidence(page, cells, 5).chart, [evidence(page, cells, 5)], frozenset())
    assert "marks" in [question.kind for question in chart.questions]
    marked = {(int(row), int(column)) for row, column in np.argwhere(held.unexplained)}
    assert marked <= set(chart.doubtful)
    samples = cells.size * RunSettings().places ** 2
    for most, looked_at in ((samples, True), (samples - 1, False)):
        few = held_against(evidence(page, cells, 5), AgainstSettings(most=most))
        assert few.runs_on.any() == looked_at
    assert "ink runs on from it into the next cell" in {doubt.reason for doubt in chart.doubts}


def test_a_line_that_was_read_leaves_nothing() -> None:
    page = page_of([(2, 2, 8, 8)])
    line = Line(2, ((2.0, 2.0), (8.0, 8.0)))
    found = held_against(evidence(page, cells_of(), 2, lines=(line,)))
    assert not found.unexplained.any()
    missed = held_against(evidence(page, cells_of(), 2))
    assert missed.unlike[3, 3]


def test_a_symbol_that_fills_its_cell_is_no_line() -> None:
    """Crosses from corner to corner meet in every corner, in two classes on two grounds."""
    picture = Image.new("RGB", (COLUMNS * PITCH, ROWS * PITCH), "white")
    draw = ImageDraw.Draw(picture)
    cells = np.random.default_rng(3).integers(0, 3, (ROWS, COLUMNS)).astype(np.int32)
    for (row, column), k in np.ndenumerate(cells):
        x, y = column * PITCH, row * PITCH
        fill = ((255, 255, 255), (230, 180, 180), (180, 180, 230))[k]
        draw.rectangle((x, y, x + PITCH - 1, y + PITCH - 1), fill=fill)
        if k:
            draw.line((x, y, x + PITCH - 1, y + PITCH - 1), fill="black", width=2)
        if k == 2:
            draw.line((x + PITCH - 1, y, x, y + PITCH - 1), fill="black", width=2)
    page = Page(np.asarray(picture), lossless=True)
    assert not held_against(evidence(page, cells, 3)).unexplained.any()


def symbols_page(astray: int) -> tuple[Page, np.ndarray]:
    """Two symbols on white, each up to so many pixels beside the middle of its cell."""
    rng = np.random.default_rng(11)
    picture = Image.new("RGB", (COLUMNS * PITCH, ROWS * PITCH), "white")
    draw = ImageDraw.Draw(picture)
    cells = rng.integers(0, 3, (ROWS, COLUMNS)).astype(np.int32)
    for (row, column), k in np.ndenumerate(cells):
        x, y = np.array([column, row]) * PITCH + rng.integers(-astray, astray + 1, 2)
        if k == 1:
            draw.ellipse((x + 5, y + 5, x + 14, y + 14), outline="black", width=2)
        if k == 2:
            draw.line((x + 5, y + 14, x + 14, y + 5), fill="black", width=3)
    return Page(np.asarray(picture), lossless=True), cells


def signed(held: Evidence) -> Evidence:
    """The evidence with a symbol in all classes but the ground."""
    classes = tuple(
        replace(c, symbol=f"symbol {c.index}") if c.kind == "stitch" else c
        for c in held.chart.classes
    )
    return replace(held, chart=replace(held.chart, classes=classes))


def test_symbols_that_each_lie_at_another_pixel_are_not_held_against_one_picture() -> None:
    page, cells = symbols_page(astray=1)
    assert not held_against(signed(evidence(page, cells, 3))).unexplained.any()


def test_a_symbol_unlike_those_of_its_class_is_seen_where_pictures_are_exact() -> None:
    page, cells = symbols_page(astray=0)
    row, column = np.argwhere(cells == 2)[4]
    cells[row, column] = 1
    found = held_against(signed(evidence(page, cells, 3))).unlike
    assert np.argwhere(found).tolist() == [[row, column]]


def test_cells_under_part_stitches_are_no_picture_of_bare_cells() -> None:
    """More cells of the ground carry a piece than not: those without are what is bare."""
    picture = Image.new("RGB", (COLUMNS * PITCH, ROWS * PITCH), "white")
    draw = ImageDraw.Draw(picture)
    parts = []
    for row in range(ROWS):
        for column in range(0, COLUMNS, 3):
            x, y = column * PITCH, row * PITCH
            draw.polygon([(x, y), (x + PITCH, y), (x, y + PITCH)], fill=(200, 30, 40))
            draw.polygon(
                [(x + PITCH, y), (x + 2 * PITCH, y), (x + PITCH, y + PITCH)], fill=(200, 30, 40)
            )
            parts += [Part(row, c, "triangle", "top left", RED) for c in (column, column + 1)]
    parts = [part for part in parts if part.column < COLUMNS]
    page = Page(np.asarray(picture), lossless=True)
    cells = np.zeros((ROWS, COLUMNS), dtype=np.int32)
    assert not held_against(evidence(page, cells, 2, parts=tuple(parts))).unexplained.any()


def test_cells_under_marks_are_those_beside_a_line_and_around_a_knot() -> None:
    chart = Chart(
        np.zeros((6, 8), np.int32),
        (ChartClass(0, "empty"), ChartClass(1, "line"), ChartClass(2, "knot")),
        lines=(Line(1, ((1.0, 2.0), (4.0, 2.0))),),
        knots=(Knot(2, 6.5, 4.5),),
    )
    under = {(int(r), int(c)) for r, c in np.argwhere(under_marks(chart))}
    assert under == {(r, c) for r in (1, 2) for c in range(5)} | {(4, 6)}


def test_cells_beside_a_frame_and_beside_bold_lines_tell_of_no_marks() -> None:
    off = np.zeros((30, 48), dtype=np.bool_)
    off[::2, [9, 19, 29, 47]] = True
    off[-1, ::2] = True
    assert (beside_lines(off) & off).tolist() == off.tolist()
    assert beside_lines(off).sum() == 30 * 4 + 48 - 4


def test_two_bold_lines_are_some_only_across_others() -> None:
    off = np.zeros((24, 48), dtype=np.bool_)
    off[[9, 19], ::2] = True
    assert not beside_lines(off).any()
    off[::3, [9, 19, 29, 39]] = True
    assert (beside_lines(off) & off).tolist() == off.tolist()
    assert beside_lines(off).sum() == 24 * 4 + 48 * 2 - 8
    off[19, ::4] = False
    assert not beside_lines(off)[[9, 19], 0].any()


def test_a_long_line_of_cells_is_no_bold_line_where_none_recurs() -> None:
    off = np.zeros((30, 48), dtype=np.bool_)
    off[4:22, 9] = off[4:22, 17] = True
    assert not beside_lines(off).any()


def test_what_is_left_beside_many_marks_is_asked_about_less_than_where_none_was_read() -> None:
    page = evidence(page_of([]), cells_of(), 2)
    left = tuple((2 * k, 3 * k % COLUMNS) for k in range(6))
    left = (*left, (1, 1), (1, 5), (9, 1), (11, 8))
    page = replace(page, clues=Clues(over=left))
    held = [held_against(page)]
    (none_read,) = mark_questions(page.chart, [page], held)
    lines = tuple(Line(2, ((0.0, float(y)), (float(COLUMNS), float(y)))) for y in range(1, ROWS))
    assert mark_questions(replace(page.chart, lines=lines), [page], held) == []
    few = mark_questions(replace(page.chart, lines=lines[:1]), [page], held)
    missing = [
        next(a.chance for a in asked.question.answers if a.tell == "marks look-again")
        for asked in (none_read, *few)
    ]
    assert missing == sorted(missing, reverse=True)
    assert missing[0] == pytest.approx(len(left) / (len(left) + MarkDoubts().half))


@pytest.mark.parametrize(
    ("group", "seed"),
    [
        ("parts-symbols-on-colour", 55005),
        ("backstitch-symbols-on-colour", 55003),
        ("backstitch-symbols-on-colour", 55006),
        ("backstitch-one-ink", 61002),
    ],
)
def test_marks_over_symbols_are_read_or_asked_about(
    draw_chart: DrawChart, group: str, seed: int
) -> None:
    """These were wrong in silence: lines and part stitches taken for classes of symbols."""
    chart = read_pages(draw_chart(group, seed).pages).chart
    if not (chart.lines or chart.parts):
        assert "marks" in [question.kind for question in chart.questions]
