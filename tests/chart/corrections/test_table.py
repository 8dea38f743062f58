"""Corrections: cells set, classes merged and split, and every bad row named at once."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from chartscan.chart import Chart, ChartClass, Line, Part
from chartscan.chart.corrections.replay import replay
from chartscan.chart.corrections.table import load_corrections
from chartscan.errors import TableError


@pytest.fixture
def chart() -> Chart:
    """Five by six cells of four classes, with a doubt, a part stitch and a line."""
    cells = np.zeros((5, 6), dtype=np.int32)
    cells[1, 1:5], cells[2, 1:3], cells[3, 3] = 1, 2, 3
    return Chart(
        cells,
        (
            ChartClass(0, "empty", (255, 255, 255)),
            ChartClass(1, "stitch", (200, 0, 0), "x"),
            ChartClass(2, "stitch", (0, 0, 200), "o"),
            ChartClass(3, "stitch", (0, 0, 201), "o"),
            ChartClass(4, "line", (0, 0, 0)),
        ),
        parts=(Part(4, 4, "quarter", "top left", 3),),
        lines=(Line(4, ((0, 0), (3, 0))),),
        doubtful=((1, 1), (4, 0)),
    )


def fixed(chart: Chart, tmp_path: Path, *rows: str) -> Chart:
    path = tmp_path / "fixes.csv"
    path.write_text("\n".join(("row,column,class,into", *rows)) + "\n", encoding="utf-8")
    return replay(chart, load_corrections(path, chart))


def test_a_cell_takes_the_class_it_is_given_and_is_no_longer_doubtful(
    chart: Chart, tmp_path: Path
) -> None:
    result = fixed(chart, tmp_path, "1,1,2,")
    assert result.cells[1, 1] == 2
    assert result.doubtful == ((4, 0),)
    assert result.classes == chart.classes


def test_a_block_can_be_set_by_symbol_colour_or_as_empty(chart: Chart, tmp_path: Path) -> None:
    result = fixed(chart, tmp_path, "0-1,0-1,x,", "4,0-5,#0000C8,", "2,1,empty,")
    assert (result.cells[:2, :2] == 1).all()
    assert (result.cells[4] == 2).all()
    assert result.cells[2, 1] == 0
    assert result.parts == ()  # the cell of the part stitch was set


def test_two_classes_become_one_and_the_rest_are_renumbered(chart: Chart, tmp_path: Path) -> None:
    result = fixed(chart, tmp_path, ",,3,2")
    assert result.cells[3, 3] == 2
    assert [c.kind for c in result.classes] == ["empty", "stitch", "stitch", "line"]
    assert result.lines[0].class_index == 3
    assert result.parts[0].class_index == 2
    assert result.counts() == (23, 4, 3, 3.0)


def test_merging_into_a_merged_class_goes_on_to_the_last(chart: Chart, tmp_path: Path) -> None:
    result = fixed(chart, tmp_path, ",,2,1", ",,3,2")
    assert result.stitches == chart.stitches
    assert len(result.classes) == 3


def test_a_class_can_be_the_ground(chart: Chart, tmp_path: Path) -> None:
    result = fixed(chart, tmp_path, ",,x,empty")
    assert result.stitches == chart.stitches - 4
    assert result.classes[0].kind == "empty"


def test_the_same_new_word_makes_one_class_split_off(chart: Chart, tmp_path: Path) -> None:
    result = fixed(chart, tmp_path, "1,1,new rust,", "1,2,new rust,", "1,3,new rose,")
    made = [c for c in result.classes if c.symbol in ("new rust", "new rose")]
    assert [c.rgb for c in made] == [(200, 0, 0)] * 2
    assert result.cells[1, 1] == result.cells[1, 2] != result.cells[1, 3]
    assert result.stitches == chart.stitches


def test_every_bad_row_is_named_and_nothing_is_changed(chart: Chart, tmp_path: Path) -> None:
    with pytest.raises(TableError) as caught:
        fixed(chart, tmp_path, "9,0,1,", "0,0,7,", "0,0,o,", "0,0,1,2", ",,1,", "a,0,1,", "0,0,4,")
    said = str(caught.value)
    for line, reason in [
        (2, "row 9 isn't in the chart, which has 0 to 4"),
        (3, "no class '7'"),
        (4, "several classes"),
        (5, "either sets cells"),
        (6, "no row and column"),
        (7, "isn't like 7 or 7-9"),
        (8, "is a line, not a stitch"),
    ]:
        assert f"line {line}: " in said
        assert reason in said


def test_a_line_and_a_stitch_are_never_one(chart: Chart, tmp_path: Path) -> None:
    with pytest.raises(TableError, match="a line and a stitch can't be one class"):
        fixed(chart, tmp_path, ",,4,1")


def test_a_table_without_the_columns_is_refused(chart: Chart, tmp_path: Path) -> None:
    path = tmp_path / "fixes.csv"
    path.write_text("cell,class\n1,2\n", encoding="utf-8")
    with pytest.raises(TableError, match="no column row, column"):
        replay(chart, load_corrections(path, chart))
