"""A key to fill in loses nothing that was filled in, whatever a new reading calls the classes."""

from __future__ import annotations

import csv
import io
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from chartscan.chart import Chart, ChartClass, Knot, Line
from chartscan.errors import TableError
from chartscan.palette import load_key
from chartscan.palette.keytemplate import class_at, key_template
from chartscan.palette.thread import Palette, Thread

COLOURS = ((210, 30, 40), (30, 30, 200), (20, 140, 60))
PALETTE = Palette(
    tuple(Thread(f"A{i}", f"thread {i}", (50.0, i, 0.0), (120, 119, 119)) for i in range(9))
)


def _chart(order: tuple[int, ...] = (0, 1, 2)) -> Chart:
    """Three colours in four columns each; ``order`` is how the classes are numbered."""
    columns = np.repeat(np.array([1 + order.index(i) for i in range(3)], dtype=np.int32), 4)
    cells = np.tile(np.concatenate([[0], columns]).astype(np.int32), (6, 1))
    classes = (
        ChartClass(0, "empty", (255, 255, 255)),
        *(ChartClass(1 + i, "stitch", COLOURS[k]) for i, k in enumerate(order)),
        ChartClass(4, "line", (0, 0, 0)),
        ChartClass(5, "knot", (200, 0, 0)),
    )
    lines, knots = (Line(4, ((0, 0), (5, 0))),), (Knot(5, 2, 2),)
    return Chart(cells, classes, lines=lines, knots=knots)


def _rows(text: str) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(text)))


def _filled(chart: Chart, path: Path, codes: dict[int, str]) -> Path:
    rows = _rows(key_template(chart))
    for row in rows:
        row["code"] = codes.get(int(row["class"]), "")
        row["note"] = f"note of {row['class']}"
    with path.open("w", encoding="utf-8", newline="") as stream:
        writer = csv.DictWriter(stream, list(rows[0]))
        writer.writeheader()
        writer.writerows(rows)
    return path


def test_every_class_that_is_worked_has_a_row_and_cells_counted_from_one() -> None:
    rows = _rows(key_template(_chart()))
    assert [row["class"] for row in rows] == ["1", "2", "3", "4", "5"]
    assert [row["symbol"] for row in rows] == ["", "", "", "line", "knot"]
    assert [row["count"] for row in rows] == ["24", "24", "24", "5", "1"]
    assert rows[0]["rgb"] == "#d21e28"
    assert rows[0]["cells"].split()[0] == "1:2"
    assert not any(row["code"] for row in rows)


@given(order=st.permutations(range(3)))
def test_what_was_told_follows_its_cells_to_another_numbering(
    tmp_path_factory: pytest.TempPathFactory, order: list[int]
) -> None:
    path = tmp_path_factory.mktemp("key") / "key.csv"
    _filled(_chart(), path, {1: "A1", 2: "A2", 4: "A4", 5: "A5"})
    again = _rows(key_template(_chart(tuple(order)), path))
    assert {row["rgb"]: row["code"] for row in again} == {
        "#d21e28": "A1",
        "#1e1ec8": "A2",
        "#148c3c": "",
        "#000000": "A4",
        "#c80000": "A5",
    }
    assert {row["rgb"]: row["note"] for row in again}["#d21e28"] == "note of 1"


def test_one_corrected_cell_is_outvoted(tmp_path: Path) -> None:
    path = _filled(_chart(), tmp_path / "key.csv", {1: "A1"})
    corrected = _chart()
    cells = corrected.cells.copy()
    row, column = (int(n) - 1 for n in _rows(path.read_text())[0]["cells"].split()[0].split(":"))
    cells[row, column] = 0
    again = key_template(Chart(cells, corrected.classes), path)
    assert _rows(again)[0]["code"] == "A1"


def test_a_thread_whose_class_is_gone_is_named_and_nothing_is_written(tmp_path: Path) -> None:
    path = _filled(_chart(), tmp_path / "key.csv", {1: "A1", 2: "A2"})
    bare = Chart(np.zeros((6, 13), dtype=np.int32), (ChartClass(0, "empty", (255, 255, 255)),))
    with pytest.raises(TableError, match=r"line 2: the class of thread A1.*; line 3: .* A2"):
        key_template(bare, path)


def test_a_key_of_before_is_refused_where_its_numbers_mean_other_classes_now(
    tmp_path: Path,
) -> None:
    path = _filled(_chart(), tmp_path / "key.csv", {1: "A1"})
    assert load_key(path, _chart(), PALETTE)[1].code == "A1"
    with pytest.raises(TableError, match="the cells of class 1 are of class 2"):
        load_key(path, _chart((1, 0, 2)), PALETTE)


def test_a_key_without_cells_holds_by_number_only_while_count_and_colour_agree(
    tmp_path: Path,
) -> None:
    path = tmp_path / "key.csv"
    path.write_text("class,count,rgb,code\n1,24,#d21e28,A1\n")
    assert _rows(key_template(_chart(), path))[0]["code"] == "A1"
    with pytest.raises(TableError, match="thread A1"):
        key_template(_chart((1, 0, 2)), path)


@pytest.mark.parametrize("text", ["12", "1;2", "0x1:2", "a:b", "1:2,3:4"])
def test_cells_that_are_none_are_refused(text: str) -> None:
    with pytest.raises(ValueError, match="row:column"):
        class_at(text, _chart())
