"""The search over filled cells: what is believed, what is left as given, and what it is called."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from numpy.typing import NDArray

from chartscan.chart import ChartClass, Knot, Line, Part
from chartscan.reading.classes.classify import Told
from chartscan.reading.lattice.model import Lattice
from chartscan.reading.marks.drawn import DrawSettings
from chartscan.reading.marks.find import find_marks
from chartscan.reading.marks.marks import Marks
from chartscan.reading.marks.search import MarkSettings, search
from chartscan.reading.marks.sight import SightSettings
from chartscan.reading.page.page import Page
from tests.drawing import marks as drawing
from tests.drawing.mark_recipes import draw_marked
from tests.drawing.style import Design, Style
from tests.reading.staged import Pixels, straight

ROWS, COLUMNS, PITCH, MARGIN = 18, 22, 16, 10
COLOURS = np.array([(255, 255, 255), (200, 60, 80), (70, 120, 190)], np.uint8)
INKS = (("line", (20, 110, 40)), ("line", (235, 140, 20)), ("knot", (60, 10, 90)))
TOLERANCE = 5.0
Cells = NDArray[np.int32]


def cells_of() -> Cells:
    grid = np.zeros((ROWS, COLUMNS), np.int32)
    grid[3:10, 3:12] = 1
    grid[8:15, 10:19] = 2
    return grid


def classes(*symbols: str | None) -> tuple[ChartClass, ...]:
    """The classes in their colours, the first empty; with ``symbols`` where told."""
    named = [*symbols, *[None] * (3 - len(symbols))]
    return tuple(
        ChartClass(k, "stitch" if k else "empty", tuple(map(int, COLOURS[k])), named[k])  # type: ignore[arg-type]  # three
        for k in range(3)
    )


def page_of(marks: drawing.Marks | None = None, grid: Cells | None = None) -> tuple[Page, Lattice]:
    style = Style(pitch=PITCH, margin=(MARGIN,) * 4)
    cells = cells_of() if grid is None else grid
    page = draw_marked(Design(cells, COLOURS), style, marks or drawing.Marks())
    left, top = page.crossings[0, 0]
    return Page(page.pixels, lossless=True), straight(COLUMNS, ROWS, PITCH, left, top)


def drawn(
    lines: tuple[Line, ...] = (), knots: tuple[Knot, ...] = (), parts: tuple[Part, ...] = ()
) -> drawing.Marks:
    return drawing.Marks(parts=parts, lines=lines, knots=knots, colours=INKS, width=0.2)


def searched(
    page: tuple[Page, Lattice], given: Marks | None = None, **changed: object
) -> tuple[Marks, Marks]:
    """What was given, and what was found."""
    before = given or Marks(cells_of(), classes())
    settings = replace(MarkSettings(), **changed)  # type: ignore[arg-type]  # by name
    return before, search(*page, before, TOLERANCE, Told(), settings)


LINES = (
    Line(3, ((2.0, 2.0), (9.0, 2.0))),
    Line(3, ((12.0, 3.0), (16.0, 7.0))),
    Line(4, ((5.0, 11.0), (5.0, 16.0))),
)
KNOTS = (Knot(5, 4.0, 12.0), Knot(5, 14.5, 5.0), Knot(5, 20.0, 15.0))


# --------------------------------------------------------------------------- search


def test_lines_and_knots_are_found_with_the_colours_of_their_inks() -> None:
    _, found = searched(page_of(drawn(LINES, KNOTS)))
    kinds = [c.kind for c in found.classes]
    assert kinds == ["empty", "stitch", "stitch", "line", "line", "knot"]
    assert {found.classes[n.class_index].rgb for n in found.lines} == {INKS[0][1], INKS[1][1]}
    assert {frozenset(n.points) for n in found.lines} == {frozenset(n.points) for n in LINES}
    assert {(k.x, k.y) for k in found.knots} == {(k.x, k.y) for k in KNOTS}
    assert found.classes[found.knots[0].class_index].rgb == INKS[2][1]
    assert (found.cells == cells_of()).all()
    assert [c.index for c in found.classes] == list(range(6))


@pytest.mark.parametrize("y", [2.0, 2.5])
def test_a_line_of_a_single_pixel_is_seen(y: float) -> None:
    """Samples lie as densely as pixels, so that none is stepped over."""
    thin = replace(drawn((Line(3, ((2.0, y), (9.0, y))),)), width=1 / PITCH, round_ends=False)
    _, found = searched(page_of(thin))
    assert {frozenset(n.points) for n in found.lines} == {frozenset(((2.0, y), (9.0, y)))}


def test_cells_below_marks_that_were_taken_for_classes_of_their_own_are_freed() -> None:
    """A line turned four bare cells into a class of the line's colour."""
    given = cells_of()
    given[2, 13:17] = 3
    named = (*classes(), ChartClass(3, "stitch", INKS[0][1]))
    line = Line(3, ((13.0, 2.5), (17.0, 2.5)))
    _, found = searched(page_of(drawn((line,))), Marks(given, named))
    assert (found.cells == cells_of()).all()
    assert [c.kind for c in found.classes] == ["empty", "stitch", "stitch", "line"]
    assert set(found.settled) >= {(2, column) for column in range(13, 17)}
    assert {row for row, _ in found.settled} == {2}


def test_part_stitches_leave_their_cells_empty() -> None:
    grid = cells_of()
    parts = (Part(1, 5, "triangle", "top left", 1), Part(16, 8, "quarter", "bottom right", 2))
    _, found = searched(page_of(drawn(parts=parts), grid))
    assert {(p.row, p.column, p.shape, p.corner) for p in found.parts} == {
        (p.row, p.column, p.shape, p.corner) for p in parts
    }
    assert all(found.classes[p.class_index].rgb == tuple(COLOURS[q.class_index])
               for p, q in zip(found.parts, parts, strict=True))  # fmt: skip
    assert found.cells[1, 5] == found.cells[16, 8] == 0


def test_a_page_without_marks_comes_back_as_it_was() -> None:
    before, found = searched(page_of())
    assert found is before


def test_what_marks_explain_too_little_of_was_something_else() -> None:
    """A line over eight cells, and a stain over twenty-five that is none."""
    page, lattice = page_of(drawn((LINES[0],)))
    rng = np.random.default_rng(3)
    stained = page.pixels.copy()
    top, left = MARGIN + 10 * PITCH, MARGIN + 1 * PITCH
    stained[top : top + 5 * PITCH, left : left + 5 * PITCH] = rng.integers(
        0, 256, (5 * PITCH, 5 * PITCH, 3)
    )
    stain = Page(stained, lossless=True), lattice
    before, found = searched(stain)
    assert found is before
    _, all_the_same = searched(stain, drawn=DrawSettings(accounted=0.0))
    assert all_the_same.lines
    assert set(all_the_same.doubtful) >= {(12, 3), (13, 4)}


def test_on_a_page_of_symbols_fills_are_not_searched() -> None:
    """Both classes show a symbol; a line lies over bare cells, which templates are for."""
    page, lattice = page_of(drawn((LINES[2],)))
    pixels: Pixels = page.pixels.copy()
    for row, column in np.argwhere(cells_of()):
        y, x = MARGIN + row * PITCH, MARGIN + column * PITCH
        pixels[y + 4 : y + 12, x + 5 : x + 7] = pixels[y + 4 : y + 12, x + 10 : x + 12] = 0
        if cells_of()[row, column] == 1:
            pixels[y + 7 : y + 9, x + 5 : x + 12] = 0
    given = Marks(cells_of(), classes(None, "h", "n"))
    _, found = searched((Page(pixels, lossless=True), lattice), given)
    assert found is given


# ----------------------------------------------------------------------------- find


def found_on(page: Page, lattice: Lattice, **changed: float) -> Marks:
    settings = replace(SightSettings(), **changed)  # type: ignore[arg-type]  # by name
    return find_marks(page, lattice, cells_of(), classes(), settings=settings)


def test_a_bare_page_is_seen_to_be_plain_and_one_with_a_line_is_not() -> None:
    clean = found_on(*page_of())
    assert clean.plain
    assert not clean.lines
    marked = found_on(*page_of(drawn((LINES[0],))))
    assert not marked.plain
    assert marked.lines


def test_in_cells_too_small_for_a_line_none_is_looked_for() -> None:
    page, lattice = page_of(drawn((LINES[0],)))
    assert found_on(page, lattice, pitch=float(PITCH)).lines
    assert not found_on(page, lattice, pitch=PITCH + 0.01).lines


@pytest.mark.parametrize(("noise", "plain"), [(4, True), (8, False)])
def test_samples_are_one_colour_up_to_the_tolerance_of_the_page(noise: int, plain: bool) -> None:
    page, lattice = page_of()
    level = np.random.default_rng(1).integers(0, 2, page.pixels.shape[:2]) * noise
    grain = np.clip(page.pixels.astype(int) - level[..., None], 0, 255).astype(np.uint8)
    assert found_on(Page(grain, lossless=True), lattice).plain is plain
    assert found_on(Page(grain, lossless=False), lattice).plain


Unsure = NDArray[np.bool_]


def watched(monkeypatch: pytest.MonkeyPatch, found: Marks | None) -> list[Unsure]:
    """The cells that templates are asked about, where the search over fills finds that."""
    asked: list[Unsure] = []

    def by_templates(*given: object) -> None:
        asked.append(np.asarray(given[3], np.bool_))

    def over_fills(_page: object, _lattice: object, given: Marks, *_: object) -> Marks:
        return found or given

    monkeypatch.setattr("chartscan.reading.marks.templates.search_by_templates", by_templates)
    monkeypatch.setattr("chartscan.reading.marks.search.search", over_fills)
    return asked


def test_templates_are_asked_of_cells_in_doubt_where_fills_tell_nothing(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    asked = watched(monkeypatch, None)
    doubtful = [(2, 3), (7, 11)]
    page = page_of(drawn((LINES[0],)))
    found = find_marks(*page, cells_of(), classes(), doubtful=doubtful)
    assert not found.lines
    (unsure,) = asked
    assert [(int(r), int(c)) for r, c in np.argwhere(unsure)] == doubtful


@pytest.mark.parametrize("lossless", [True, False])
@pytest.mark.parametrize("lost", [0, 1, 2])
def test_a_fill_that_is_lost_to_lines_on_a_lossy_page_is_kept(
    monkeypatch: pytest.MonkeyPatch, lossless: bool, lost: int
) -> None:
    """Whoever reads all cells of a fill as bare takes its stitches away; paper may go."""
    after = np.where(cells_of() == lost, 0, cells_of()).astype(np.int32)
    marks = Marks(after, classes(), lines=LINES)
    asked = watched(monkeypatch, marks)
    page, lattice = page_of(drawn((LINES[0],)))
    found = find_marks(Page(page.pixels, lossless), lattice, cells_of(), classes())
    believed = lossless or lost == 0
    assert (found is marks) is believed
    assert bool(asked) is not believed


def test_a_class_that_is_lost_but_fills_no_cell_evenly_may_go(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Its cells are half line, half fill: lines do that."""
    page, lattice = page_of(drawn((LINES[0],)))
    pixels = page.pixels.copy()
    for row, column in np.argwhere(cells_of() == 1):
        y, x = MARGIN + row * PITCH, MARGIN + column * PITCH
        pixels[y + 1 : y + PITCH, x + 1 : x + PITCH // 2] = (20, 110, 40)
    after = np.where(cells_of() == 1, 0, cells_of()).astype(np.int32)
    marks = Marks(after, classes(), lines=LINES)
    watched(monkeypatch, marks)
    assert find_marks(Page(pixels, lossless=False), lattice, cells_of(), classes()) is marks
