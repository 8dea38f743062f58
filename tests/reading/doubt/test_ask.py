"""Questions: what is left in doubt is asked with its answers, the dearest first, and no more."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from chartscan.chart import Chart, ChartClass
from chartscan.chart.corrections.tell import tell
from chartscan.reading.classes.ground import GroundOdds
from chartscan.reading.classes.heaps import Heap
from chartscan.reading.classes.sorting import REASONS, Unsure
from chartscan.reading.clues import Clues
from chartscan.reading.doubt.ask import AskSettings, ask
from chartscan.reading.doubt.told import not_borne_out, settled_kinds
from chartscan.reading.evidence import Evidence
from chartscan.reading.join.seam import Seam
from chartscan.reading.lattice.model import FLAT, Lattice
from chartscan.reading.page.page import Page

ROWS, COLUMNS = 12, 16
COLOURS = ((255, 255, 255), (200, 30, 40), (30, 60, 190), (32, 64, 186))
SURE = GroundOdds(np.array([0.99, 0.0, 0.0, 0.0, 0.01]))
TORN = GroundOdds(np.array([0.6, 0.0, 0.0, 0.0, 0.4]))


def chart_of(labels: np.ndarray) -> Chart:
    classes = tuple(ChartClass(k, "stitch" if k else "empty", rgb) for k, rgb in enumerate(COLOURS))
    return Chart(labels.astype(np.int32), classes, doubtful=((3, 4), (5, 6)))


def labels_of(seed: int = 3) -> np.ndarray:
    return np.random.default_rng(seed).integers(0, len(COLOURS), (ROWS, COLUMNS))


def evidence(chart: Chart, **clues: object) -> Evidence:
    """A page that a program drew, with these doubts."""
    page = Page(np.zeros((ROWS * 8, COLUMNS * 8, 3), np.uint8), lossless=True)
    lattice = Lattice(COLUMNS, ROWS, np.diag([8.0, 8.0, 1.0]), FLAT, drawn=True)
    given = {"labels": chart.cells.astype(np.intp), "ground": SURE, **clues}
    return Evidence(page, lattice, chart, clues=Clues(**given))  # type: ignore[arg-type]  # by name


NOTHING: frozenset[str] = frozenset()


def asked(told: frozenset[str] = NOTHING, **clues: object) -> Chart:
    chart = chart_of(labels_of())
    return ask(chart, [evidence(chart, **clues)], told)  # type: ignore[arg-type]  # kinds as text


def test_where_all_is_sure_nothing_is_asked() -> None:
    assert asked().questions == ()


def test_a_ground_that_is_open_is_asked_with_the_other_answer() -> None:
    (question,) = asked(ground=TORN).questions
    assert question.kind == "ground"
    assert question.classes == (0,)
    assert [a.tell for a in question.answers] == ["ground 0", "ground none"]
    assert [a.chance for a in question.answers] == [0.6, 0.4]
    assert question.text.startswith("Class 0, #ffffff, ")
    assert question.text.endswith(".")


@pytest.mark.parametrize(
    ("colour", "paper", "is_asked"),
    [
        ((253, 232, 237), (254, 254, 254), True),  # rose on white paper: fabric, or background?
        ((255, 255, 255), (238, 227, 248), False),  # white of its own on tinted paper
        ((253, 232, 237), (252, 231, 236), False),  # the paper's colour
        ((253, 232, 237), None, False),  # nothing to hold it against
    ],
)
def test_a_ground_in_a_colour_of_its_own_must_be_surer(
    colour: tuple[int, int, int], paper: tuple[int, int, int] | None, is_asked: bool
) -> None:
    chart = chart_of(labels_of())
    first = ChartClass(0, "empty", colour)
    chart = replace(chart, classes=(first, *chart.classes[1:]))
    nearly = GroundOdds(np.array([0.92, 0.0, 0.0, 0.0, 0.08]))
    seen = None if paper is None else np.array(paper, dtype=np.float64)
    questions = ask(chart, [evidence(chart, ground=nearly, paper=seen)], frozenset()).questions
    assert [q.kind for q in questions] == ["ground"] * is_asked


def test_two_classes_that_may_be_one_are_shown_cell_beside_cell() -> None:
    (question,) = asked(alike=((2, 3, 0.4),)).questions
    assert question.kind == "same"
    assert question.classes == (2, 3)
    assert [(a.tell, a.chance) for a in question.answers] == [
        ("apart 2 3", 0.6),
        ("one 2 3", 0.4),
    ]
    cells = labels_of()
    assert [cells[place] for place in question.cells[:4]] == [2, 3, 2, 3]


def test_a_class_that_may_be_two_shows_the_cells_that_look_otherwise() -> None:
    cells = np.flatnonzero(labels_of().ravel() == 1)[:5]
    chart = asked(heaps=(Heap(1, cells, 0.4, lab=(50.0, 0.0, 0.0)),))
    (question,) = chart.questions
    assert question.kind == "mixed"
    one, two = question.answers
    assert (one.tell, one.chance) == ("whole 1", 0.6)
    assert two.chance == 0.4
    assert set(question.cells) == {tuple(divmod(int(cell), COLUMNS)) for cell in cells}
    after = tell(chart, [two.tell])
    moved = np.flatnonzero((after.cells != chart.cells).ravel())
    np.testing.assert_array_equal(moved, cells)
    new = after.classes[after.cells.flat[cells[0]]]
    assert new.rgb == (119, 119, 119), "CIELAB lightness 50 (IEC 61966-2-1: 119 of 255)"


def test_a_part_of_a_symbol_without_a_colour_gets_none() -> None:
    cells = np.flatnonzero(labels_of().ravel() == 1)[:5]
    chart = asked(heaps=(Heap(1, cells, 0.4),))
    (question,) = chart.questions
    assert "#" not in question.answers[1].tell


def test_what_lies_over_cells_and_was_read_as_nothing_is_asked() -> None:
    """A line that isn't read costs its thread; the more cells it lies over, the surer it is one."""
    few, many = (tuple((3, column) for column in range(n)) for n in (6, 14))
    for over, chance in ((few, 6 / 26), (many, 14 / 34)):  # 20 cells: as likely as not
        (question,) = asked(over=over).questions
        assert question.kind == "marks"
        told = {a.tell: a.chance for a in question.answers}
        assert told == pytest.approx({"marks look-again": chance, "marks as-read": 1 - chance})
        assert f"over {len(over)} cells lies something" in question.text.lower()
        assert set(question.cells) <= set(over)
    assert asked(over=few[:5]).questions == ()


def test_a_class_that_mostly_lies_under_something_is_named() -> None:
    """Such a class may be none: a glyph and a line across it, taken for one."""
    places = [(int(row), int(column)) for row, column in np.argwhere(labels_of() == 3)]
    (question,) = asked(over=tuple(places)).questions
    assert question.classes == (3,)


def test_what_was_told_is_not_asked() -> None:
    clues = {"ground": TORN, "alike": ((2, 3, 0.4),)}
    told = settled_kinds(size=False, ground=True, colours=True, layout=False)
    assert asked(told, **clues).questions == ()


def test_the_dearest_comes_first_and_there_is_at_most_a_handful() -> None:
    pairs = tuple((a, b, 0.3) for a in range(4) for b in range(a + 1, 4))
    chart = asked(ground=TORN, alike=pairs)
    assert len(chart.questions) == AskSettings().most
    assert chart.questions[0].kind == "ground"


def test_every_answer_can_be_told() -> None:
    """What a question offers, `tell` understands."""
    cells = np.flatnonzero(labels_of().ravel() == 1)[:5]
    chart = asked(ground=TORN, alike=((2, 3, 0.4),), heaps=(Heap(1, cells, 0.4),))
    assert chart.questions
    for question in chart.questions:
        for answer in question.answers:
            after = tell(chart, [answer.tell])
            assert question.kind not in [q.kind for q in after.questions]


def test_a_doubtful_cell_says_why_and_what_else_it_may_be() -> None:
    reason = np.zeros((ROWS, COLUMNS), np.uint8)
    reason[3, 4] = 1
    second = (labels_of() + 1) % len(COLOURS)
    unsure = Unsure(reason, second, np.full((ROWS, COLUMNS), 0.3))
    first, other = asked(unsure=unsure).doubts
    assert (first.row, first.column, first.reason) == (3, 4, REASONS[1])
    assert (first.second, first.chance) == (second[3, 4], 0.3)
    assert other.second is None
    assert other.reason


@given(st.lists(st.floats(0, 1), min_size=5, max_size=5).filter(lambda c: sum(c) > 0))
def test_chances_of_a_questions_answers_come_to_one_at_most(chances: list[float]) -> None:
    odds = GroundOdds(np.array(chances) / sum(chances))
    for question in asked(ground=odds, alike=((1, 2, 0.5), (2, 3, 0.2))).questions:
        assert sum(a.chance for a in question.answers) <= 1 + 1e-9
        assert [a.chance for a in question.answers] == sorted(
            (a.chance for a in question.answers), reverse=True
        )


@pytest.mark.parametrize(
    ("rival", "told", "kinds"), [(0.97, False, ["page"]), (0.97, True, []), (0.5, False, [])]
)
def test_a_seam_is_asked_about_where_another_overlap_agrees_as_well(
    rival: float, told: bool, kinds: list[str]
) -> None:
    chart = chart_of(labels_of())
    seam = Seam("one and two", "column", 8, 2, 0.98, "4 columns", rival, told)
    page = evidence(chart)
    found = ask(chart, [page, page], frozenset({"ground"}), [seam]).questions
    assert [q.kind for q in found] == kinds


def test_a_colour_or_number_that_isnt_so_is_said() -> None:
    chart = chart_of(labels_of())
    assert list(not_borne_out(chart, (250, 252, 251), 3)) == []
    said = list(not_borne_out(chart, (120, 200, 90), 7))
    assert "7" in said[0]
    assert "3 are" in said[0]
    assert "#78c85a" in said[1]
