"""Whether the size is asked about: where votes, the judge, or the page looked at again differ."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from PIL import Image

from chartscan.chart import Chart, ChartClass
from chartscan.reading.clues import Clues
from chartscan.reading.doubt.cuts import cut_anew
from chartscan.reading.doubt.multiple import told_by_place
from chartscan.reading.doubt.size import size_questions
from chartscan.reading.evidence import Evidence
from chartscan.reading.lattice.located import Rival, SizeOdds
from chartscan.reading.lattice.model import FLAT, Lattice
from chartscan.reading.page.page import Page

COLUMNS, ROWS, PITCH, MARGIN = 24, 18, 12, 80
SURE = SizeOdds(log_odds=900.0, votes=1.0, decided=True)


def page() -> Page:
    """24 × 18 cells of red and white with grey lines, stored with loss, in a white margin."""
    cells = np.random.default_rng(5).integers(0, 2, (ROWS, COLUMNS))
    fills = np.array([(255, 255, 255), (200, 30, 40)], np.uint8)
    drawn = fills[np.kron(cells, np.ones((PITCH, PITCH), int))]
    drawn = np.pad(drawn, ((0, 1), (0, 1), (0, 0)))
    drawn[::PITCH] = drawn[:, ::PITCH] = 90
    frame = ((MARGIN, MARGIN), (MARGIN, MARGIN), (0, 0))
    picture = Image.fromarray(np.pad(drawn, frame, constant_values=255))
    return Page(np.asarray(picture), lossless=False)


def read_as(columns: int, rows: int, odds: SizeOdds) -> Evidence:
    """The page read with its grid from the top left corner on, so many cells wide and high."""
    cells = np.random.default_rng(6).integers(0, 2, (rows, columns)).astype(np.int32)
    classes = (ChartClass(0, "empty", (255, 255, 255)), ChartClass(1, "stitch", (200, 30, 40)))
    place = np.array([[PITCH, 0, MARGIN + 0.5], [0, PITCH, MARGIN + 0.5], [0, 0, 1.0]])
    lattice = Lattice(columns, rows, place, FLAT, drawn=True)
    return Evidence(page(), lattice, Chart(cells, classes), clues=Clues(odds))


def test_a_size_that_every_look_at_the_page_bears_out_is_not_asked_about() -> None:
    read = read_as(COLUMNS, ROWS, SURE)
    (*_, cuts) = cut_anew(read.page, read.lattice)
    assert (cuts.unsteady, cuts.left) == (0, 0)
    assert size_questions(read.chart, [read]) == []


@given(st.integers(1, COLUMNS), st.integers(-3, 3), st.floats(0, 1), st.booleans())
@settings(max_examples=20, deadline=None)
def test_what_looks_may_come_to_is_never_less_than_what_they_do(
    columns: int, more: int, votes: float, decided: bool
) -> None:
    read = read_as(max(5, columns), ROWS + more, replace(SURE, votes=votes, decided=decided))
    *before, last = cut_anew(read.page, read.lattice)
    assert before
    assert last.at_worst() == last
    for cuts in before:
        assert cuts.left
        assert cuts.at_worst().unsteady >= last.unsteady
        assert cuts.at_worst().agreed >= last.agreed


@pytest.mark.parametrize(("columns", "rows"), [(COLUMNS - 2, ROWS), (COLUMNS, ROWS - 3)])
def test_a_grid_that_goes_on_beyond_where_it_was_cut_is_asked_about(
    columns: int, rows: int
) -> None:
    read = read_as(columns, rows, SURE)
    (asked,) = size_questions(read.chart, [read])
    told = {answer.tell: answer for answer in asked.question.answers}
    assert set(told) == {"size as-read", f"size {COLUMNS}x{ROWS}"}
    assert told["size as-read"].text == f"{columns} columns and {rows} rows, as read"
    assert "seems to end elsewhere" in asked.question.text


def test_a_size_that_the_judge_holds_far_unlikelier_is_asked_about() -> None:
    other = Rival(2 * COLUMNS, ROWS, 905.0)
    behind = SizeOdds(log_odds=900.0, rivals=(other,), votes=0.5)
    read = read_as(COLUMNS, ROWS, behind)
    (asked,) = size_questions(read.chart, [read])
    assert f"size {2 * COLUMNS}x{ROWS}" in [answer.tell for answer in asked.question.answers]
    assert "other sizes fit its lines" in asked.question.text
    ahead = replace(behind, rivals=(replace(other, log_odds=800.0),))
    assert size_questions(read.chart, [replace(read, clues=Clues(ahead))]) == []


def test_the_farther_a_size_leads_the_surer_it_is() -> None:
    """Small grids, outvoted by what grew from text around them, were asked about and all right."""
    said = []
    for lead in (1.0, 4.0, 6.0, 8.0, 30.0):
        odds = SizeOdds(12.0, (Rival(COLUMNS + 3, ROWS, 12.0 - lead),), votes=0.0, decided=False)
        read = read_as(COLUMNS - 2, ROWS, odds)
        (asked,) = size_questions(read.chart, [read])
        as_read = next(a for a in asked.question.answers if a.tell == "size as-read")
        said.append(as_read.chance / (1 - as_read.chance))
    assert said[0] == pytest.approx(said[1])
    assert said[1] < said[2] < said[3]
    assert said[3] == pytest.approx(said[4])
    assert said[3] > 5 * said[1]


@pytest.mark.parametrize(("nats", "asked"), [(1.0, 1), (2.9, 1), (3.1, 0)])
def test_what_is_hardly_likelier_a_grid_than_text_is_read_and_asked_about(
    nats: float, asked: int
) -> None:
    """Such pages were refused: a photograph and a plate among them that were read rightly."""
    read = read_as(COLUMNS, ROWS, SizeOdds(log_odds=nats, decided=False))
    questions = size_questions(read.chart, [read])
    assert len(questions) == asked
    assert all("hardly likelier a grid than text" in q.question.text for q in questions)


def test_cells_that_hang_on_their_place_are_of_a_page_whose_cells_were_read_as_several() -> None:
    """A symbol in the middle of each true cell, of 3 × 3 as read; lines in what is beside it."""
    read = read_as(COLUMNS, ROWS, SURE)
    cells = np.zeros((ROWS, COLUMNS), dtype=np.int32)
    cells[1::3, 1::3] = np.random.default_rng(2).integers(0, 2, (ROWS // 3, COLUMNS // 3))
    several = replace(read.chart, cells=cells)
    assert told_by_place(cells, 3) > told_by_place(cells, 2)
    (asked,) = size_questions(several, [read])
    assert f"size {COLUMNS // 3}x{ROWS // 3}" in [a.tell for a in asked.question.answers]
    assert "hangs on its place" in asked.question.text


@given(st.integers(0, 1 << 30), st.sampled_from((2, 3)))
def test_its_place_tells_a_cell_wholly_or_not_at_all(seed: int, times: int) -> None:
    rng = np.random.default_rng(seed)
    block = rng.permutation(times * times).reshape(times, times).astype(np.int32)
    tiled = np.tile(block, (6, 7))
    assert told_by_place(tiled, times) > 0.9
    assert told_by_place(rng.permutation(tiled.ravel()).reshape(tiled.shape), times) < 0.3
    assert told_by_place(np.zeros_like(tiled), times) == 0


def test_answers_are_the_likeliest_first_and_leave_room_for_what_nobody_thought_of() -> None:
    rivals = tuple(Rival(COLUMNS + k, ROWS, 905.0 - k) for k in (1, 2, 3))
    read = read_as(COLUMNS, ROWS, SizeOdds(900.0, rivals, 0.3, decided=False))
    (asked,) = size_questions(read.chart, [read])
    chances = [answer.chance for answer in asked.question.answers]
    assert chances == sorted(chances, reverse=True)
    assert sum(chances) < 1
    assert len(chances) == 3  # as read, and the two others that most speaks for
    as_read = next(a for a in asked.question.answers if a.tell == "size as-read")
    assert asked.cost == pytest.approx((1 - as_read.chance) * read.chart.cells.size)


def test_of_many_other_sizes_the_one_that_the_judge_holds_likeliest_is_offered_first() -> None:
    rivals = tuple(Rival(COLUMNS + k, ROWS, 905.0 + (3 if k == 7 else 0)) for k in range(1, 30))
    read = read_as(COLUMNS, ROWS, SizeOdds(900.0, rivals, 0.3, decided=False))
    (asked,) = size_questions(read.chart, [read])
    as_read, likeliest = sorted(asked.question.answers, key=lambda a: a.tell != "size as-read")[:2]
    assert likeliest.tell == f"size {COLUMNS + 7}x{ROWS}"
    assert likeliest.chance > (1 - as_read.chance) / 4  # 20 nats of 48, and something else


def test_cells_at_the_corners_and_along_the_sides_are_shown() -> None:
    read = read_as(COLUMNS - 2, ROWS, SURE)
    (asked,) = size_questions(read.chart, [read])
    last_row, last_column = read.chart.rows - 1, read.chart.columns - 1
    corners = [(0, 0), (0, last_column), (last_row, 0), (last_row, last_column)]
    assert list(asked.question.cells[:4]) == corners
    for side in (0, last_row):
        along = sorted(column for row, column in asked.question.cells if row == side)
        assert np.diff(along) == pytest.approx(last_column / 8, abs=1), "eighths of 21 cells"
    for side in (0, last_column):
        along = sorted(row for row, column in asked.question.cells if column == side)
        assert np.diff(along) == pytest.approx(last_row / 8, abs=1), "eighths of 17 cells"
    assert len(asked.question.cells) == 4 + 4 * 7


def test_an_export_and_joined_pages_are_not_asked_about_their_size() -> None:
    read = read_as(COLUMNS - 2, ROWS, SURE)
    exported = replace(read, clues=Clues(replace(SURE, exact=True)))
    assert size_questions(read.chart, [exported]) == []
    assert size_questions(read.chart, [read, read]) == []


def test_a_grid_without_a_stitch_is_always_asked_about() -> None:
    read = read_as(COLUMNS, ROWS, SURE)
    bare = replace(read.chart, cells=np.zeros_like(read.chart.cells))
    assert len(size_questions(bare, [read])) == 1


def test_a_chart_all_of_one_class_is_asked_about_and_the_cells_between_bold_lines_offered() -> None:
    """A scan of 400 × 560 cells of 8 px was read as 40 × 56, each block of a hundred as a cell."""
    read = read_as(COLUMNS, ROWS, SURE)
    alike = replace(read.chart, cells=np.ones_like(read.chart.cells))
    (asked,) = size_questions(alike, [replace(read, chart=alike)])
    told = {answer.tell: answer.chance for answer in asked.question.answers}
    assert told[f"size {10 * COLUMNS}x{10 * ROWS}"] > told["size as-read"]
    assert "every cell came out alike" in asked.question.text
    two = alike.cells.copy()
    two[0, 0] = 0
    other = replace(alike, cells=two)
    assert size_questions(other, [replace(read, chart=other)]) == []
