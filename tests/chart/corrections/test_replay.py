"""Corrections: what each act does and settles; leaving one out is as if it was never told."""

from __future__ import annotations

import json

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from chartscan.chart import Chart, ChartClass, Knot, dump_chart, parse_chart
from chartscan.chart.corrections.acts import PutPart
from chartscan.chart.corrections.replay import correct, replay, undo
from chartscan.chart.corrections.tell import tell
from chartscan.errors import ChartError

CELL = st.tuples(st.integers(1, 8), st.integers(1, 10)).map(lambda rc: f"{rc[0]},{rc[1]}")
BLOCK = st.tuples(st.integers(1, 8), st.integers(0, 3), st.integers(1, 10), st.integers(0, 3)).map(
    lambda b: f"{b[0]}-{min(b[0] + b[1], 8)},{b[2]}-{min(b[2] + b[3], 10)}"
)
STITCH = st.sampled_from(["1", "2", "3", "4", "x", "#e6e6e1", "@2,2", '"new rust"', "empty"])
FILLED = st.sampled_from(["1", "2", "3", "4"])
CORNER = st.sampled_from(['"top left"', '"top right"', '"bottom left"', '"bottom right"'])
POINT = st.tuples(st.integers(0, 20), st.integers(0, 16)).map(
    lambda p: f"{p[0] / 2:g},{p[1] / 2:g}"
)
PAIR = st.lists(st.integers(1, 4), min_size=2, max_size=3, unique=True).map(
    lambda ks: " ".join(map(str, ks))
)
LINES = st.one_of(
    st.builds("set {} {}".format, CELL, STITCH),
    st.builds("set {} {}".format, BLOCK, STITCH),
    st.builds("one {}".format, PAIR),
    st.builds("apart {}".format, PAIR),
    st.builds("ground {}".format, st.sampled_from(["0", "4", "0 4", "none", "1"])),
    st.builds("split {} {}".format, FILLED, BLOCK),
    st.builds("whole {}".format, FILLED),
    st.builds('name {} "{}"'.format, FILLED, st.sampled_from(["sea", "red rose"])),
    st.builds("colour {} {}".format, FILLED, st.sampled_from(["#123456", "#ffffff"])),
    st.builds("symbol {} {}".format, FILLED, st.sampled_from(["v", "+"])),
    st.builds("kind {} {}".format, FILLED, st.sampled_from(["knot", "empty", "stitch"])),
    st.just("kind 6 stitch"),
    st.builds("part {} triangle {} {}".format, CELL, CORNER, FILLED),
    st.builds("take part {} {}".format, CELL, CORNER),
    st.builds("line 5 {} {}".format, POINT, POINT),
    st.builds("take line {} {}".format, POINT, POINT),
    st.builds("knot 6 {}".format, POINT),
    st.builds("take knot {}".format, POINT),
    st.sampled_from(["size as-read", "marks as-read", "page look-again", "colours 4", "turn 90"]),
)
AS_EVER = settings(suppress_health_check=[HealthCheck.function_scoped_fixture])


def told(chart: Chart, lines: list[str]) -> Chart:
    """The chart after as many of the lines as make sense, numbers being those of ``chart``."""
    made = chart
    for line in lines:
        try:
            made = correct(made, tell(chart, [line]).corrections[len(chart.corrections) :])
        except ChartError:
            continue  # it names what an earlier line took away
    return made


@AS_EVER
@given(st.lists(LINES, max_size=12))
def test_a_corrected_chart_holds_the_contract_and_is_the_same_after_saving_and_loading(
    chart: Chart, lines: list[str]
) -> None:
    made = told(chart, lines)
    again = parse_chart(json.loads(dump_chart(made)))
    assert again == made
    assert replay(again, again.corrections) == made


@AS_EVER
@given(st.lists(LINES, min_size=1, max_size=10), st.integers(0, 9))
def test_leaving_one_out_is_as_if_it_had_never_been_told(
    chart: Chart, lines: list[str], which: int
) -> None:
    made = told(chart, lines)
    if which >= len(made.corrections):
        return
    rest = [act for number, act in enumerate(made.corrections) if number != which]
    assert undo(made, [which]) == replay(chart, rest)
    assert undo(made, range(len(made.corrections))) == chart


@AS_EVER
@given(st.lists(LINES, max_size=10))
def test_a_cell_that_no_act_names_keeps_its_class_but_for_acts_on_whole_classes(
    chart: Chart, lines: list[str]
) -> None:
    made = told(chart, [line for line in lines if line.split()[0] in ("set", "part", "name")])
    changed = {
        (r, c)
        for act in made.corrections
        for t, le, b, ri in getattr(act, "blocks", ())
        for r in range(t, b + 1)
        for c in range(le, ri + 1)
    }
    changed |= {(a.row, a.column) for a in made.corrections if isinstance(a, PutPart)}
    looks = [(c.kind, c.rgb, c.symbol) for c in made.classes]
    before = [(c.kind, c.rgb, c.symbol) for c in chart.classes]
    for row, column in np.ndindex(*chart.cells.shape):
        if (row, column) not in changed:
            assert looks[made.cells[row, column]] == before[chart.cells[row, column]]


def test_a_cell_takes_the_class_told_and_is_in_doubt_no_longer(chart: Chart) -> None:
    made = tell(chart, ["set 3,3 1"])
    assert made.cells[2, 2] == 1
    assert made.doubtful == ((3, 4), (5, 3))
    assert [doubt.row for doubt in made.doubts] == [5]


def test_two_classes_become_one_that_looks_like_the_first(chart: Chart) -> None:
    made = tell(chart, ["one 3 2"])
    assert (made.cells == 2).sum() == 9
    assert made.classes[2].rgb == (0, 0, 206)
    assert [c.index for c in made.classes] == list(range(6))
    assert made.doubtful == ((3, 4), (5, 3)), "a doubt between the two is settled"


def test_what_is_told_of_a_class_goes_with_it_through_other_acts(chart: Chart) -> None:
    made = tell(chart, ["one 2 3", 'name 3 "sea"', "set 1,1 3", "colour 4 #101010"])
    named = [c for c in made.classes if c.name == "sea"]
    assert [c.rgb for c in named] == [(0, 0, 200)]
    assert made.cells[0, 0] == named[0].index
    assert made.classes[3].rgb == (16, 16, 16)


def test_numbers_are_those_of_the_chart_before_the_first_line(chart: Chart) -> None:
    made = tell(chart, ["one 1 2", "set 1,1 4"])
    assert made.classes[made.cells[0, 0]].rgb == (230, 230, 225)


def test_the_ground_is_what_is_told_and_what_was_taken_for_it_is_stitched(chart: Chart) -> None:
    made = tell(chart, ["ground 4"])
    assert [c.kind for c in made.classes[:5]] == ["stitch"] * 4 + ["empty"]
    assert all(made.classes[made.cells[p.row, p.column]].kind == "empty" for p in made.parts)
    none = tell(chart, ["ground none"])
    assert none.classes[0].kind == "stitch"
    assert none.stitches == 80 - 1, "the cell of the part stitches is bare"


def test_a_class_is_split_by_its_cells_alone(chart: Chart) -> None:
    made = tell(chart, ['split 1 1-3,1-4 "new rust #aa4422"'])
    assert (made.cells == 1).sum() == 5
    new = made.classes[made.cells[1, 1]]
    assert (new.rgb, new.symbol) == ((0xAA, 0x44, 0x22), "x")
    assert (made.cells[2] == chart.cells[2]).all()


def test_classes_told_by_a_colour_alone_are_each_its_own(chart: Chart) -> None:
    made = tell(chart, ['split 1 2,2-4 "new #aa4422"', 'split 1 2,5-6 "new #aa4422"'])
    new = [made.classes[made.cells[1, column]] for column in (1, 5)]
    assert [entry.rgb for entry in new] == [(0xAA, 0x44, 0x22)] * 2
    assert new[0].index != new[1].index


def test_a_class_of_stitches_becomes_knots_and_back(chart: Chart) -> None:
    made = tell(chart, ["kind 4 knot"])
    assert [(k.x, k.y) for k in made.knots if k.class_index == 4] == [
        (2.5, 5.5),
        (3.5, 5.5),
        (4.5, 5.5),
    ]
    assert (made.cells[5] == 0).all()
    back = tell(made, ["kind 4 stitch"])
    assert (back.cells == chart.cells).all()


def test_marks_are_put_moved_and_taken_away(chart: Chart) -> None:
    made = tell(
        chart,
        [
            'part 7,7 quarter "top left" 3',
            'take part 7,7 "bottom right"',
            "take line 3,2 3,0",
            "line 5 1,1 4,4",
            "take knot 8.4,6.6",
            "knot 6 1.5,7.5",
        ],
    )
    assert [(p.row, p.shape, p.corner, p.class_index) for p in made.parts] == [
        (6, "quarter", "top left", 3)
    ]
    assert [line.points for line in made.lines] == [((0, 0), (3, 0)), ((1, 1), (4, 4))]
    assert [(k.x, k.y) for k in made.knots] == [(1.5, 7.5)]


def test_a_reading_keeps_marks_that_lie_close_together() -> None:
    """What the reader read is never thinned out; only what is told takes the place of the near."""
    knots = (Knot(1, 1.0, 1.0), Knot(1, 1.2, 1.0))
    classes = (ChartClass(0, "empty", (255, 255, 255)), ChartClass(1, "knot", (0, 0, 0)))
    made = tell(Chart(np.zeros((3, 3), dtype=np.int32), classes, knots=knots), ["set 1,1 empty"])
    assert made.knots == knots


@pytest.mark.parametrize(
    ("line", "settled"),
    [
        ("one 2 3", "same"),
        ("apart 3 2", "same"),
        ("ground 4", "ground"),
        ("ground none", "ground"),
        ("whole 4", "mixed"),
        ("split 4 6,3", "mixed"),
        ("size as-read", "size"),
        ("size 20x16", "size"),
        ("marks as-read", "marks"),
        ("marks look-again", "marks"),
    ],
)
def test_an_answer_settles_its_question_and_no_other(chart: Chart, line: str, settled: str) -> None:
    left = [question.kind for question in tell(chart, [line]).questions]
    assert left == [q.kind for q in chart.questions if q.kind != settled]


def test_open_questions_speak_of_classes_by_the_numbers_they_have_now(chart: Chart) -> None:
    ground, mixed = tell(chart, ["one 2 3"]).questions[:2]
    assert ground.classes == (0, 3)
    assert ground.text == "Class 0 was taken for bare fabric, not class 3."
    assert [answer.tell for answer in ground.answers] == ["ground 3", "ground none"]
    assert ground.answers[0].text == "Class 3 is bare."
    assert mixed.classes == (3,)


def test_an_act_whose_class_is_gone_is_kept_and_asked_about(chart: Chart) -> None:
    made = tell(chart, ['set 1,1 "new rust"'])
    made = tell(made, ['name "rust" "roof"'])
    left = undo(made, [0])
    assert len(left.corrections) == 1
    asked = left.questions[0]
    assert "'rust' isn't made any more" in asked.text
    assert tell(left, [asked.answers[-1].tell]) == chart


def test_an_option_of_the_reader_is_taken_as_the_correction_that_says_the_same(
    chart: Chart,
) -> None:
    assert tell(chart, ["--no-empty"]) == tell(chart, ["ground none"])
    assert tell(chart, ["--size 20x16"]) == tell(chart, ["size 20x16"])


def test_corrections_are_left_out_by_number_and_replaced(chart: Chart) -> None:
    made = tell(chart, ["set 1,1 1", "set 1,2 1", "set 1,3 1"])
    assert tell(made, ["undo 1-2"]) == tell(chart, ["set 1,3 1"])
    assert tell(made, ["undo"]) == tell(chart, ["set 1,1 1", "set 1,2 1"])
    assert tell(made, ["undo 3", "instead 1 set 1,1 2"]) == tell(chart, ["set 1,1 2", "set 1,2 1"])


@pytest.mark.parametrize(
    ("line", "reason"),
    [
        ("", "'nothing' isn't a correction"),
        ("paint 1,1 3", "'paint' isn't a correction; there are set, one"),
        ("set 0,1 3", "told from 1"),
        ("set 9,1 3", "isn't in the chart, which has 8 rows"),
        ("set 3-1,1 3", "the smaller first"),
        ("set 1 3", "isn't a row and a column"),
        ("set 1,1", "is said like"),
        ("set 1,1 99", "no class '99'; there are 0 to 6"),
        ("set 1,1 o", "several classes"),
        ("set 1,1 5", "is a line, not a stitch"),
        ("one 1 1", "names one class twice"),
        ("one 1 5", "a line and a stitch can't be one class"),
        ("colour 1 red", "isn't a colour like"),
        ("kind 1 bead", "none of empty, stitch, line, knot"),
        ("kind 1 line", "can't become a line"),
        ('part 1,1 half "top left" 1', "none of triangle, quarter"),
        ('part 1,1 quarter "middle" 1', "none of top left"),
        ("line 5 1,1", "is said like"),
        ("line 5 1,1 90,1", "lies outside the chart"),
        ("line 5 1,1 nan,1", "isn't a finite number"),
        ("knot 1 1,1", "is a stitch, not a knot"),
        ("take knot 1,1", "no knot near"),
        ("take line 1,1 7,7", "no line through"),
        ("split 1", "must be told, or seen on the picture"),
        ("split 1 8,10", "none of those cells"),
        ("size 12", "isn't a size"),
        ("turn 45", "none of 0, 90, 180, 270"),
        ("undo 1", "there are no corrections"),
        ('name 1 "open', "quotation mark stays open"),
        ("name 1 " + "x" * 99, "80 characters"),
        ("@", "isn't a correction"),
        ("set 1,1 @99,1", "isn't in the chart"),
        ("set 1,1 @", "isn't a row and a column"),
        ("set 1,1 new", "needs a word"),
    ],
)
def test_a_line_that_makes_no_sense_is_refused_with_the_reason(
    chart: Chart, line: str, reason: str
) -> None:
    with pytest.raises(ChartError) as caught:
        tell(chart, ["set 1,1 1", line])
    assert reason in str(caught.value)


def test_all_bad_lines_are_named_at_once(chart: Chart) -> None:
    with pytest.raises(ChartError, match=r"set 9,9.*colours none"):
        tell(chart, ["set 9,9 1", "colours none", "set 1,1 1"])


@pytest.mark.parametrize(
    ("change", "reason"),
    [
        ({"corrections": [{"act": "paint"}]}, "none of ground"),
        ({"corrections": [{"act": "set", "blocks": [[0, 0, 0]], "into": {}}]}, "whole numbers"),
        ({"corrections": [{"act": "set", "blocks": [], "into": {"made": None}}]}, "has no cells"),
        ({"corrections": [{"act": "one", "classes": [4]}]}, "isn't an object"),
        ({"corrections": ["one 3 5"]}, "isn't an object"),
        ({"as_read": None}, "no 'cells'|no 'classes'"),
    ],
)
def test_a_damaged_list_of_corrections_is_refused(
    chart: Chart, change: dict[str, object], reason: str
) -> None:
    data = json.loads(dump_chart(tell(chart, ["set 1,1 1"])))
    with pytest.raises(ChartError, match=reason):
        parse_chart(data | change)
