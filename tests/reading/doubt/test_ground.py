"""Which class is bare fabric: when it is asked, what it says, and what it may cost."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from chartscan.chart import Chart, Question
from chartscan.reading.classes.ground import GroundOdds
from chartscan.reading.clues import Clues
from chartscan.reading.doubt.asked import Asked
from chartscan.reading.doubt.ground import GroundDoubts, ground_questions
from chartscan.reading.doubt.numbers import Numbered
from chartscan.reading.join.ground import joined_odds
from tests.reading.staged import BLUE, RED, WHITE, YELLOW, Rgb, classes, evidence

ROWS, COLUMNS = 6, 8
SURE, TINTED = GroundDoubts().sure, GroundDoubts().tinted


def chart_of(ground: Rgb = WHITE, bare: bool = True) -> Chart:
    """48 cells: 24 of class 0 along the edge, 20 of class 1, 4 of class 2 within."""
    cells = np.zeros((ROWS, COLUMNS), np.int32)
    cells[1:-1, 1:-1] = 1
    cells[2:4, 2:4] = 2
    listed = classes(ground, RED, BLUE)
    if not bare:
        listed = tuple(replace(c, kind="stitch") for c in listed)
    return Chart(cells, listed)


def asked(
    chart: Chart, *chances: float, paper: Rgb | None = WHITE, names: tuple[int, ...] = (0, 1, 2)
) -> list[Asked]:
    """The questions where the page's numbers have those chances, and last none."""
    paper_seen = None if paper is None else np.array(paper, float)
    clues = Clues(ground=GroundOdds(np.array(chances)), paper=paper_seen)
    known = Numbered(clues, (0, 0), np.array(names, np.intp))
    return ground_questions(chart, [evidence(chart, clues=clues)], [known])


def question(*args: object, **more: object) -> Question:
    (found,) = asked(*args, **more)  # type: ignore[arg-type]  # as asked takes them
    return found.question


@pytest.mark.parametrize(("off", "number"), [(-0.001, 1), (0.0, 0), (0.001, 0)])
def test_it_is_asked_up_to_so_sure_and_no_more(off: float, number: int) -> None:
    chance = SURE + off
    assert len(asked(chart_of(), chance, 1 - chance, 0, 0)) == number


@pytest.mark.parametrize("paper", [WHITE, (250, 250, 252), YELLOW])
def test_a_ground_in_a_colour_of_its_own_is_asked_about_longer(paper: Rgb) -> None:
    """Yellow on yellow paper is the paper; on white it is fabric, or a background."""
    tinted = paper != YELLOW
    between = (SURE + TINTED) / 2
    assert bool(asked(chart_of(YELLOW), between, 1 - between, 0, 0, paper=paper)) is tinted
    assert not asked(chart_of(YELLOW), TINTED, 1 - TINTED, 0, 0, paper=paper)
    assert not asked(chart_of(WHITE), between, 1 - between, 0, 0, paper=paper)


def test_where_no_paper_is_seen_no_ground_is_tinted() -> None:
    between = (SURE + TINTED) / 2
    assert not asked(chart_of(YELLOW), between, 1 - between, 0, 0, paper=None)


def test_what_was_decided_comes_first_and_the_answers_by_their_chance() -> None:
    found = question(chart_of(), 0.3, 0.5, 0.05, 0.15)
    assert found.kind == "ground"
    assert found.classes == (0, 1, 2)
    assert [(a.tell, a.chance) for a in found.answers] == [
        ("ground 1", 0.5),
        ("ground 0", 0.3),
        ("ground none", 0.15),
        ("ground 2", 0.05),
    ]
    assert "every cell is stitched" in found.answers[2].text
    assert found.answers[0].text == "class 1, #c8283c, 20 cells, is bare fabric"


@pytest.mark.parametrize(("chance", "named"), [(0.031, True), (0.029, False)])
def test_a_class_is_an_answer_from_three_in_a_hundred_on(chance: float, named: bool) -> None:
    found = question(chart_of(), 0.6, 0.4 - chance, chance, 0)
    assert (2 in found.classes) is named
    assert len(found.answers) == (3 if named else 2)


def test_what_was_decided_is_an_answer_however_unlikely_it_is() -> None:
    found = question(chart_of(), 0.001, 0.999, 0, 0)
    assert found.classes == (0, 1)
    assert found.answers[-1].tell == "ground 0"


def test_it_costs_the_cells_that_change_sides_times_the_chance_of_that() -> None:
    """24 cells are bare now; 20 and 4 may be in their place, or none."""
    (found,) = asked(chart_of(), 0.5, 0.2, 0.1, 0.2)
    assert found.cost == pytest.approx(0.2 * (20 + 24) + 0.1 * (4 + 24) + 0.2 * 24)


def test_it_shows_cells_of_what_was_decided() -> None:
    found = question(chart_of(), 0.5, 0.5, 0, 0)
    cells = chart_of().cells
    assert len(found.cells) == 24
    assert all(cells[place] == 0 for place in found.cells)


def test_a_chart_taken_for_stitched_all_over_asks_for_the_likeliest_class() -> None:
    found = question(chart_of(bare=False), 0.2, 0.4, 0, 0.4)
    assert found.classes == (1, 0)
    assert "was taken for stitches like all others, though" in found.text
    (cost,) = (a.cost for a in asked(chart_of(bare=False), 0.2, 0.4, 0, 0.4))
    assert cost == pytest.approx(0.2 * 24 + 0.4 * 20)
    assert not asked(chart_of(bare=False), 0.05, 0.05, 0, 0.9)


def test_where_no_class_may_be_bare_nothing_is_asked() -> None:
    assert not asked(chart_of(bare=False), 0.01, 0.02, 0.02, 0.8)


def test_numbers_that_became_one_class_have_its_chance_together_and_those_gone_none() -> None:
    found = question(chart_of(), 0.2, 0.3, 0.3, 0.1, 0.1, names=(0, 1, 1, -1))
    assert {a.tell: round(a.chance, 6) for a in found.answers} == {
        "ground 0": 0.2,
        "ground 1": 0.6,
        "ground none": 0.2,
    }


def test_pages_read_from_their_paths_or_whose_ground_was_told_are_not_asked_about() -> None:
    chart = chart_of()
    assert ground_questions(chart, [evidence(chart)], []) == []
    known = Numbered(Clues(), (0, 0), np.arange(3))
    assert ground_questions(chart, [evidence(chart, clues=Clues())], [known]) == []


def test_of_several_pages_the_whole_chart_is_asked() -> None:
    chart = chart_of(YELLOW)
    clues = Clues(paper=np.array(WHITE, float))
    pages = [evidence(chart, clues=clues)] * 2
    known = [Numbered(Clues(ground=GroundOdds(np.array([1.0, 0, 0, 0]))), (0, 0), np.arange(3))]
    (found,) = ground_questions(chart, pages, known, GroundDoubts(sure=1.0, tinted=1.0))
    odds = joined_odds(chart, pages).chances
    first = next(a for a in found.question.answers if a.tell == "ground 0")
    assert first.chance == pytest.approx(odds[0])
    assert ground_questions(chart, pages, []) == []


# ------------------------------------------------------------------------- its words


@pytest.mark.parametrize(
    ("ground", "paper", "said"),
    [
        (WHITE, WHITE, "it has the paper's colour and it lies all along the edge"),
        (WHITE, None, "it is pale and it lies all along the edge, and no paper around the grid"),
        (YELLOW, WHITE, "it is pale and it lies all along the edge, but it isn't the paper's"),
        ((90, 90, 90), WHITE, "it is not pale and it lies all along the edge, but it isn't"),
    ],
)
def test_it_says_what_it_hangs_on(ground: Rgb, paper: Rgb | None, said: str) -> None:
    assert said in question(chart_of(ground), 0.4, 0.6, 0, 0, paper=paper).text


@pytest.mark.parametrize(("cells", "along"), [(12, True), (13, False)])
def test_half_of_the_outermost_cells_is_all_along_the_edge(cells: int, along: bool) -> None:
    chart = chart_of()
    ring = np.argwhere(chart.cells == 0)
    moved = chart.cells.copy()
    for row, column in ring[:cells]:
        moved[row, column] = 1
    text = question(replace(chart, cells=moved), 0.4, 0.6, 0, 0).text
    assert ("it lies all along the edge" in text) is along
    assert ("little of it is at the edge" in text) is not along


def test_a_class_without_a_colour_is_said_by_where_it_lies() -> None:
    chart = chart_of()
    listed = (replace(chart.classes[0], rgb=None), *chart.classes[1:])
    text = question(replace(chart, classes=listed), 0.4, 0.6, 0, 0).text
    assert text == "Class 0, 24 cells, was taken for bare fabric: it lies all along the edge."
