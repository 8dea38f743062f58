"""A symbol in one ink has no thread until somebody names it; it is never matched by its ink."""

from __future__ import annotations

import csv
import io
import json
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np
import pytest

from chartscan.chart import Chart, ChartClass, save_chart

if TYPE_CHECKING:
    from tests.cli.conftest import Call

WORK = ("--palette", "meadowline", "--fabric", "14")


@pytest.fixture
def symbols(tmp_path: Path) -> Path:
    """Two symbols in ink, 60 and 40 stitches, on bare fabric."""
    cells = np.zeros((12, 14), dtype=np.int32)
    cells[1:11, 1:7] = 1
    cells[1:11, 8:12] = 2
    classes = (
        ChartClass(0, "empty", (255, 255, 255)),
        ChartClass(1, "stitch", None, "symbol 1"),
        ChartClass(2, "stitch", None, "symbol 2"),
    )
    path = tmp_path / "symbols.json"
    save_chart(Chart(cells, classes), path)
    return path


def test_classes_without_a_thread_stay_so_through_match_and_kit(
    symbols: Path, chartscan: Call
) -> None:
    matched = json.loads(chartscan("match", symbols, "--palette", "meadowline", "--json").out)
    assert [m["code"] for m in matched["matches"]] == [None, None]
    assert "classes 1 and 2" in matched["warnings"][0]
    assert "#777777" not in chartscan("match", symbols, "--palette", "meadowline").out
    kit = json.loads(chartscan("kit", symbols, *WORK, "--json").out)
    assert [t["code"] for t in kit["threads"]] == [None, None]
    assert [t["stitches"] for t in kit["threads"]] == [60, 40]


def test_their_length_and_skeins_are_worked_out_all_the_same(
    symbols: Path, chartscan: Call
) -> None:
    kit = json.loads(chartscan("kit", symbols, *WORK, "--json").out)
    needs = json.loads(chartscan("estimate", symbols, "--fabric", "14", "--json").out)
    for line, need in zip(kit["threads"], needs["threads"], strict=True):
        assert line["length_mm"]["likely"] == pytest.approx(need["length_mm"]["likely"], abs=0.1)
        assert line["skeins"] == line["to_buy"] == need["skeins"] > 0


def test_a_key_half_filled_leaves_the_rest_untold(symbols: Path, chartscan: Call) -> None:
    key = symbols.with_name("key.csv")
    key.write_text("class,code\n1,COR6\n2,\n", encoding="utf-8")
    done = chartscan("kit", symbols, *WORK, "--key", key, "--json")
    assert [t["code"] for t in json.loads(done.out)["threads"]] == ["COR6", None]


def test_a_project_shows_no_colour_for_a_thread_that_nobody_told(
    symbols: Path, chartscan: Call, tmp_path: Path
) -> None:
    place = ("--stash", tmp_path / "stash.db")
    new = ("project", "new", "Bear", "--chart", symbols, "--palette", "meadowline")
    assert chartscan(*new, "--fabric", "14", *place).status == 0
    for shown in (("project", "plan", "Bear"), ("shop", "list")):
        said = chartscan(*shown, *place)
        assert "no thread told" in said.out
        assert "#777777" not in said.out


def test_sheet_label_table_and_terminal_say_that_no_thread_is_told(
    symbols: Path, chartscan: Call
) -> None:
    sheet, label, table = (symbols.with_name(n) for n in ("k.html", "l.html", "k.csv"))
    done = chartscan("kit", symbols, *WORK, "--sheet", sheet, "--label", label, "--csv", table)
    assert done.status == 0, done.err
    assert "no thread told" in done.out
    page = sheet.read_text(encoding="utf-8")
    assert page.count("no thread told") >= 2
    assert "#777777" not in page, "what stands for a thread has no colour to show"
    assert "?1" in label.read_text(encoding="utf-8")
    rows = list(csv.DictReader(io.StringIO(table.read_text(encoding="utf-8"))))
    assert [row["code"] for row in rows] == ["", ""]
