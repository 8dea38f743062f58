"""``chartscan count``."""

from __future__ import annotations

import json
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np
import pytest

from chartscan.chart import Chart, ChartClass, Knot, Line, Part, save_chart

if TYPE_CHECKING:
    from tests.cli.conftest import Call


def test_the_object_counts_every_class(chart_file: Path, chartscan: Call) -> None:
    result = chartscan("count", chart_file, "--json")
    assert result.status == 0
    value = json.loads(result.out)
    assert (value["columns"], value["rows"], value["stitches"]) == (22, 12, 180)
    assert [c["count"] for c in value["classes"]] == [22 * 12 - 180, 60, 60, 60]
    assert value["classes"][1] == {
        "index": 1,
        "kind": "stitch",
        "rgb": [196, 62, 58],
        "symbol": None,
        "count": 60,
    }


def test_the_table_says_the_same_in_words(chart_file: Path, chartscan: Call) -> None:
    result = chartscan("count", chart_file)
    assert result.out.splitlines()[-1] == "22 × 12 cells, 180 whole stitches in 3 classes"
    assert "#c43e3a" in result.out


def test_what_a_class_is_called_stands_beside_its_count(chart_file: Path, chartscan: Call) -> None:
    assert "Name" not in chartscan("count", chart_file).out
    assert chartscan("correct", chart_file, 'name 2 "deep water"').status == 0
    (row,) = [line for line in chartscan("count", chart_file).out.splitlines() if "deep" in line]
    assert row.split()[0] == "2"
    classes = json.loads(chartscan("count", chart_file, "--json").out)["classes"]
    assert [c.get("name") for c in classes] == [None, None, "deep water", None]


def test_what_is_expected_and_there_is_no_error(chart_file: Path, chartscan: Call) -> None:
    result = chartscan("count", chart_file, "--expect-size", "22x12", "--expect-stitches", 180)
    assert (result.status, result.err) == (0, "")


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (("--expect-size", "12x22"), "22x12 cells instead of 12x22"),
        (("--expect-stitches", "179"), "180 stitches instead of 179 (+1)"),
        (
            ("--expect-size", "20x12", "--expect-stitches", "200"),
            "22x12 cells instead of 20x12 and 180 stitches instead of 200 (-20)",
        ),
    ],
)
def test_what_was_expected_otherwise_is_said_and_fails(
    chart_file: Path, chartscan: Call, arguments: tuple[str, ...], said: str
) -> None:
    result = chartscan("count", chart_file, *arguments, "--json")
    assert result.status == 1
    assert json.loads(result.out)["stitches"] == 180, "the counts are printed all the same"
    assert result.err.startswith(f"Error: {chart_file}: ")
    assert said in result.err


def test_marks_stand_apart_from_whole_stitches(tmp_path: Path, chartscan: Call) -> None:
    classes = (
        ChartClass(0, "empty"),
        ChartClass(1, "stitch", (9, 9, 9)),
        ChartClass(2, "line", (0, 0, 0)),
        ChartClass(3, "knot", (1, 1, 1), "dot"),
    )
    cells = np.zeros((6, 6), dtype=np.int32)
    cells[0, 0] = 1
    chart = Chart(
        cells,
        classes,
        parts=(Part(1, 1, "triangle", "top left", 1),),
        lines=(Line(2, ((0, 0), (3, 4))),),
        knots=(Knot(3, 2, 2), Knot(3, 4, 4)),
        doubtful=((5, 5),),
    )
    path = tmp_path / "marks.json"
    save_chart(chart, path)
    value = json.loads(chartscan("count", path, "--json").out)
    assert value["stitches"] == 1
    assert value["part_stitches"] == 1
    assert value["doubtful"] == 1
    assert [c["count"] for c in value["classes"]] == [35, 1, 5.0, 2]
    words = " ".join(chartscan("count", path).out.split())
    assert "1 part stitch, 5.0 cells of backstitch, 2 knots, 1 doubtful cell" in words


def test_a_picture_is_read_first(stripes: Path, chartscan: Call) -> None:
    result = chartscan("count", stripes, "--json")
    assert result.status == 0, result.err
    value = json.loads(result.out)
    assert (value["columns"], value["rows"]) == (20, 12)
