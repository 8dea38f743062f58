"""Correcting a chart, answering what the reader asks, reading again: as a stitcher does it."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from chartscan.chart import Answer, Chart, Question, load_chart, save_chart
from tests.cli.conftest import Call
from tests.conftest import DrawChart, Drawn

ASKED = (
    Question(
        "ground",
        (0, 3),
        ((0, 0), (1, 13)),
        "Class 0 was taken for bare fabric, not class 3.",
        (Answer("Class 3 is bare.", "ground 3", 0.6), Answer("None is.", "ground none", 0.1)),
    ),
    Question("same", (1, 2), (), "Class 1 and class 2 are two.", (Answer("One.", "one 1 2", 0.5),)),
)


@pytest.fixture
def asking(chart_file: Path) -> Path:
    """A chart file with two open questions."""
    save_chart(replace(load_chart(chart_file), questions=ASKED), chart_file)
    return chart_file


def test_a_correction_needs_no_picture_is_listed_and_can_be_left_out(
    chartscan: Call, chart_file: Path
) -> None:
    before = load_chart(chart_file)
    made = chartscan("correct", chart_file, "set 2-3,2 3", 'name 1 "brick red"')
    assert (made.status, made.out) == (0, "")
    assert "2 corrections" in made.err
    chart = load_chart(chart_file)
    assert chart.cells[1:3, 1].tolist() == [3, 3]
    assert chart.classes[1].name == "brick red"
    listed = chartscan("correct", chart_file)
    assert listed.out.splitlines()[0].startswith("1  set 2-3,2 @")
    assert chartscan("correct", chart_file, "undo 1-2").status == 0
    assert load_chart(chart_file) == before


def test_corrections_go_out_as_a_table_and_come_in_again(
    chartscan: Call, chart_file: Path, tmp_path: Path
) -> None:
    fresh = tmp_path / "fresh.json"
    fresh.write_bytes(chart_file.read_bytes())
    table = tmp_path / "mine.csv"
    chartscan("correct", chart_file, "one 1 2", "set 1,1 3", "--to", table)
    assert table.read_text(encoding="utf-8").startswith('correction\n"one @')
    assert chartscan("correct", fresh, "--from", table).status == 0
    assert load_chart(fresh) == load_chart(chart_file)


def test_a_line_that_makes_no_sense_changes_nothing(chartscan: Call, chart_file: Path) -> None:
    before = chart_file.read_bytes()
    failed = chartscan("correct", chart_file, "set 1,1 2", "set 99,1 2", "one 1 9")
    assert failed.status == 1
    assert failed.err.startswith("Error: 'set 99,1 2': 99,1 isn't in the chart")
    assert "no class '9'" in failed.err
    assert chart_file.read_bytes() == before


def test_the_result_can_go_elsewhere(chartscan: Call, chart_file: Path, tmp_path: Path) -> None:
    before = chart_file.read_bytes()
    other = tmp_path / "other.json"
    assert chartscan("correct", chart_file, "ground none", "-o", other).status == 0
    assert chart_file.read_bytes() == before
    assert load_chart(other).stitches == 22 * 12
    assert chartscan("correct", chart_file, "-o", chart_file).status == 2


def test_questions_are_listed_where_nobody_is_there_to_answer(
    chartscan: Call, asking: Path
) -> None:
    before = asking.read_bytes()
    shown = chartscan("check", asking)
    assert shown.status == 0
    assert "1. Class 0 was taken for bare fabric, not class 3." in shown.out
    assert "class 3, 60 cells" in shown.out
    assert "1) Class 3 is bare. (60%)" in shown.out
    assert "--answer 1=2" in shown.err
    assert asking.read_bytes() == before


def test_answers_are_given_by_number_and_settle_their_questions(
    chartscan: Call, asking: Path
) -> None:
    done = chartscan("check", asking, "--answer", "2=1", "--answer", "1=2")
    assert "No open questions" in done.out
    assert "2 corrections" in done.err
    chart = load_chart(asking)
    assert chart.classes[0].kind == "stitch"
    assert len(chart.classes) == 3


def test_a_size_that_is_answered_says_how_the_picture_is_read_by_it(
    chartscan: Call, chart_file: Path
) -> None:
    chart = load_chart(chart_file)
    here, wider = (f"size {chart.columns + more}x{chart.rows}" for more in (0, 1))
    answers = (Answer("As read.", "size as-read", 0.5), Answer("Wider.", wider, 0.4))
    asking = replace(chart, questions=(Question("size", (), (), "Is it wider?", answers),))
    for answer, says in (("1=1", False), ("1=2", True)):
        save_chart(asking, chart_file)
        shown = chartscan("check", chart_file).out
        assert "none of these: `chartscan correct CHART" in " ".join(shown.split())
        said = chartscan("check", chart_file, "--answer", answer)
        assert said.status == 0
        assert (f"`chartscan correct {chart_file} --again`" in said.err) == says
    save_chart(chart, chart_file)
    assert "--again" not in chartscan("correct", chart_file, here).err


@pytest.mark.parametrize(
    ("answer", "status", "reason"),
    [
        ("3=1", 1, "there is no question 3; 2 are open"),
        ("1=4", 1, "question 1 has no answer 4; it has 2"),
        ("1", 2, "isn't like 2=1"),
    ],
)
def test_an_answer_that_is_not_there_changes_nothing(
    chartscan: Call, asking: Path, answer: str, status: int, reason: str
) -> None:
    before = asking.read_bytes()
    failed = chartscan("check", asking, "--answer", answer)
    assert (failed.status, reason in failed.err) == (status, True)
    assert asking.read_bytes() == before


def test_somebody_at_the_terminal_is_asked_one_after_the_other(
    chartscan: Call, asking: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    told = iter(["7", "1", ""])
    monkeypatch.setattr("chartscan.cli.check.somebody_there", lambda: True)
    monkeypatch.setattr("click.prompt", lambda *_, **__: next(told))
    done = chartscan("check", asking)
    assert "1 left open" in done.out
    chart = load_chart(asking)
    assert chart.classes[3].kind == "empty"
    assert [question.kind for question in chart.questions] == ["same"]


@pytest.mark.parametrize(
    "command",
    [
        ("count",),
        ("match", "--palette", "meadowline"),
        ("estimate", "--fabric", "28"),
        ("kit", "--palette", "meadowline", "--fabric", "28"),
    ],
)
def test_every_command_that_builds_on_a_chart_names_what_is_open(
    chartscan: Call, asking: Path, command: tuple[str, ...]
) -> None:
    name, *options = command
    done = chartscan(name, asking, *options, "--json")
    assert done.status == 0
    assert "Question: Class 0 was taken for bare fabric, not class 3.\n" in done.err
    assert f"Answer with `chartscan check {asking}`." in done.err
    assert [asked["kind"] for asked in json.loads(done.out)["questions"]] == ["ground", "same"]


def test_the_kit_sheet_names_open_questions_before_anything_else(
    chartscan: Call, asking: Path, tmp_path: Path
) -> None:
    sheet = tmp_path / "kit.html"
    kit = (
        "kit",
        asking,
        "--palette",
        "meadowline",
        "--fabric",
        "28",
        "--sheet",
        sheet,
        "--overwrite",
    )
    assert chartscan(*kit).status == 0
    page = sheet.read_text(encoding="utf-8")
    question = page.index("Class 0 was taken for bare fabric")
    assert page.index("<h1>") < question < page.index("<figure>")
    chartscan("check", asking, "--answer", "1=1", "--answer", "2=1")
    assert chartscan(*kit).status == 0
    assert "Not settled" not in sheet.read_text(encoding="utf-8")


# ------------------------------------------------------------------------ reading again


def read_into(chartscan: Call, drawn: Drawn, path: Path, *options: str) -> tuple[Chart, str]:
    done = chartscan("read", *drawn.pages, "-o", path, *options)
    assert done.status == 0
    return load_chart(path), done.err


def test_a_reading_over_a_chart_file_keeps_its_corrections_and_says_so(
    chartscan: Call, clean_chart: Drawn, tmp_path: Path
) -> None:
    path = tmp_path / "chart.json"
    first, _ = read_into(chartscan, clean_chart, path)
    chartscan("correct", path, "set 3,4 1", 'name 1 "main"')
    again, said = read_into(chartscan, clean_chart, path)
    assert "2 corrections carried over" in said
    assert again.cells[2, 3] == 1
    assert again.classes[1].name == "main"
    fresh, said = read_into(chartscan, clean_chart, path, "--afresh")
    assert "carried" not in said
    assert fresh == first


def test_corrections_find_their_place_on_a_page_read_turned(
    chartscan: Call, clean_chart: Drawn, tmp_path: Path
) -> None:
    path = tmp_path / "chart.json"
    first, _ = read_into(chartscan, clean_chart, path)
    chartscan("correct", path, "set 3,4 1", 'name 1 "main"')
    chartscan("correct", path, "turn 90")
    done = chartscan("correct", path, "--again", "--picture", str(clean_chart.pages[0]))
    assert done.status == 0, done.err
    turned = load_chart(path)
    assert turned.cells.shape == first.cells.shape[::-1]
    where = 3, turned.columns - 1 - 2
    assert turned.classes[turned.cells[where]].name == "main"
    assert not chartscan("correct", path).err


def test_a_page_can_be_told_to_lie_on_its_side(
    chartscan: Call, clean_chart: Drawn, tmp_path: Path
) -> None:
    upright, _ = read_into(chartscan, clean_chart, tmp_path / "upright.json")
    turned, _ = read_into(chartscan, clean_chart, tmp_path / "turned.json", "--turn", "90")
    looks = [np.array([c.rgb for c in chart.classes])[chart.cells] for chart in (upright, turned)]
    assert (np.rot90(looks[0], -1) == looks[1]).all()


def test_what_was_told_the_reader_is_told_again(
    chartscan: Call, clean_chart: Drawn, tmp_path: Path
) -> None:
    path = tmp_path / "chart.json"
    first, _ = read_into(chartscan, clean_chart, path)
    size = f"{first.columns}x{first.rows}"
    read_into(chartscan, clean_chart, path, "--size", size)
    again, _ = read_into(chartscan, clean_chart, path)
    assert chartscan("correct", path).out == f"1  size {size}\n"
    assert again.source["told"] == [f"size {size}"]


def test_a_broken_chart_file_is_not_read_over_without_a_word(
    chartscan: Call, clean_chart: Drawn, tmp_path: Path
) -> None:
    path = tmp_path / "chart.json"
    path.write_text('{"format": "chartscan.chart", "version": 1', encoding="utf-8")
    failed = chartscan("read", *clean_chart.pages, "-o", path)
    assert failed.status == 1
    assert "--afresh" in failed.err
    assert path.read_text(encoding="utf-8").startswith('{"format"')
    assert chartscan("read", *clean_chart.pages, "-o", path, "--afresh").status == 0


def test_a_class_is_split_as_its_page_has_it(
    chartscan: Call, draw_chart: DrawChart, tmp_path: Path
) -> None:
    scanned = draw_chart("mild-scan", 9)  # green and black
    path = tmp_path / "chart.json"
    first, _ = read_into(chartscan, scanned, path)
    one, other = (c.index for c in first.classes if c.kind == "stitch")
    chartscan("correct", path, f"one {one} {other}")
    failed = chartscan("correct", path, f"split {one}")
    assert failed.status == 1
    assert "give the picture" in failed.err
    picture = str(scanned.pages[0])
    assert chartscan("correct", path, f"split {one}", "--picture", picture).status == 0
    made = load_chart(path)
    assert len({*made.cells[first.cells == one].tolist()}) == 1
    assert len({*made.cells[first.cells == other].tolist()}) == 1
    assert (np.unique(made.cells) == np.unique(first.cells)).all()
