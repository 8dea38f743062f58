"""``estimate`` and ``usage`` as a stitcher calls them."""

from __future__ import annotations

import json
import re
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from chartscan.chart import Chart, save_chart
from chartscan.cli.main import run
from chartscan.yardage import EstimateSettings, estimate, make_fabric

MakeChart = Callable[[object], Chart]


@pytest.fixture
def chart_file(tmp_path: Path, make_chart: MakeChart) -> str:
    """A chart of 30 × 20 cells: a block, a few scattered crosses, ground."""
    cells = np.zeros((20, 30), dtype=int)
    cells[2:12, 2:22] = 1
    cells[14::3, ::7] = 2
    path = tmp_path / "robin chart.json"
    save_chart(make_chart(cells), path)
    return str(path)


def _json(capsys: pytest.CaptureFixture[str]) -> dict[str, Any]:
    found = json.loads(capsys.readouterr().out)
    assert isinstance(found, dict)
    return found


def test_json_is_one_object_by_the_contract(
    chart_file: str, capsys: pytest.CaptureFixture[str]
) -> None:
    """Fabric, sizes, threads with a range and a bound, totals."""
    assert run(["estimate", chart_file, "--fabric", "28", "--over", "2", "--json"]) == 0
    found = _json(capsys)
    assert found["fabric"]["count"] == 28
    assert found["fabric"]["over"] == 2
    assert found["finished_mm"] == pytest.approx([30 * 25.4 / 14, 20 * 25.4 / 14])
    assert found["cut_mm"] == pytest.approx([mm + 150 for mm in found["finished_mm"]])
    assert [t["class"] for t in found["threads"]] == [1, 2]
    for t in found["threads"]:
        length = t["length_mm"]
        assert t["least_mm"] < length["low"] < length["likely"] < length["high"]
        assert sum(term["mm"] for term in t["terms"]) == pytest.approx(length["likely"])
        assert (t["strands"], t["skeins"]) == (2, 1)
    assert found["threads"][0]["least_mm"] == pytest.approx((200 * 4.828427 - 1) * 25.4 / 7)
    assert found["totals"]["stitches"] == sum(t["stitches"] for t in found["threads"])
    assert found["totals"]["skeins"] == 2


def test_the_table_says_size_thread_and_skeins(
    chart_file: str, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """Metric and imperial, no wider than 80 columns."""
    monkeypatch.setenv("COLUMNS", "80")
    assert run(["estimate", chart_file, "--fabric", "14"]) == 0
    shown = capsys.readouterr()
    assert "14 stitches per inch" in shown.out
    assert "5.4 × 3.6 cm (2.1 × 1.4 in)" in shown.out
    assert re.search(r"stitches, 2 skeins, [^()]*\([^()]*\) of single\sstrand: from ", shown.out)
    assert max(map(len, shown.out.splitlines())) <= 80
    assert shown.err == ""


@pytest.mark.parametrize("told", [["--explain"], ["--explain", "2"], ["--explain=2"]])
def test_explain_shows_every_term(
    told: list[str], chart_file: str, capsys: pytest.CaptureFixture[str]
) -> None:
    """Before or after the chart, for all classes or one."""
    for arguments in ([*told, chart_file], [chart_file, *told]):
        assert run(["estimate", *arguments, "--fabric", "14"]) == 0
        shown = capsys.readouterr().out
        for name in ("front", "back", "carries", "starts and ends", "left in needle", "Spread"):
            assert name in shown
        assert ("Class 1" in shown) == (told == ["--explain"])
        assert "such projects" in shown


def test_explaining_a_class_that_is_not_there_is_wrong_usage(
    chart_file: str, capsys: pytest.CaptureFixture[str]
) -> None:
    """With the classes that are."""
    assert run(["estimate", chart_file, "--fabric", "14", "--explain", "7"]) == 2
    said = capsys.readouterr()
    assert "there are 1, 2" in said.err
    assert said.out == "", "nothing is printed before it"


def test_fabrics_stand_side_by_side(chart_file: str, capsys: pytest.CaptureFixture[str]) -> None:
    """With what fits on a piece; as text and as JSON."""
    arguments = ["estimate", chart_file, "--compare", "28/2,32/2,14", "--piece", "21x18.7cm"]
    assert run(arguments) == 0
    shown = capsys.readouterr().out
    for text in ("28 over 2", "32 over 2", "14 over 1", "it fits"):
        assert text in " ".join(shown.split())
    assert run([*arguments, "--json"]) == 0
    fabrics = _json(capsys)["fabrics"]
    assert [f["fabric"]["count"] for f in fabrics] == [28, 32, 14]
    assert fabrics[0]["finished_mm"] == fabrics[2]["finished_mm"]
    assert fabrics[1]["totals"]["length_mm"]["likely"] < fabrics[0]["totals"]["length_mm"]["likely"]
    assert [f["piece"]["fits"] for f in fabrics] == [True, True, True]


def test_a_sheet_for_several_holds_each_as_it_is_cut(
    tmp_path: Path, make_chart: MakeChart, capsys: pytest.CaptureFixture[str]
) -> None:
    """10 stitches of 25.4 / 14 mm and twice 30 mm are 78.14 mm, so 79 each; two aren't 157."""
    save_chart(make_chart(np.eye(10, dtype=int)), tmp_path / "small.json")
    told = ("--fabric", "14", "--margin", "30", "--copies", "2")
    assert run(["estimate", str(tmp_path / "small.json"), *told]) == 0
    shown = capsys.readouterr().out
    assert "Cut       7.9 × 7.9 cm" in shown
    assert "Together  7.9 × 15.8 cm" in shown


def test_pieces_copies_and_finishing(chart_file: str, capsys: pytest.CaptureFixture[str]) -> None:
    """Twelve ornaments from a piece: margins of 30 mm, how many fit, and a word on hoops."""
    arguments = ["estimate", chart_file, "--fabric", "14", "--finish", "ornament"]
    assert run([*arguments, "--copies", "12", "--piece", "16x20in"]) == 0
    shown = capsys.readouterr()
    assert "12 times" in shown.out
    assert "Together  " in shown.out
    assert "16 fit, 4 by 4, turned" in shown.out
    assert "hoop" in shown.err
    assert run([*arguments, "--piece", "100x100", "--json"]) == 0
    piece = _json(capsys)["piece"]
    assert (piece["fits"], piece["copies"]) == (False, 0)
    assert run([*arguments, "--piece", "100x100"]) == 0
    assert "too small; must be 1.4 cm wider" in capsys.readouterr().out


@pytest.mark.parametrize(
    ("told", "changed"),
    [
        (["--margin", "3in"], {"margin_mm": 76.2}),
        (["--strands", "3"], {"strands": 3}),
        (["--carry", "0.5in"], {"carry_mm": 12.7}),
        (["--no-carry"], {"carry_mm": 0.0}),
        (["--working-length", "50cm"], {"working_mm": 500.0}),
        (["--order", "crosses"], {"order": "crosses"}),
        (["--risk", "0.2"], {"risk": 0.2}),
        (["--class-strands", "2=1"], {"class_strands": {2: 1}}),
        (["--class-stitch", "2=half"], {"works": {2: "half"}}),
        (["--no-loop-start", "--tail", "100"], {"loop_start": False, "needle_mm": 100.0}),
    ],
)
def test_every_way_of_working_reaches_the_estimate(
    told: list[str],
    changed: dict[str, Any],
    chart_file: str,
    make_chart: MakeChart,
    capsys: pytest.CaptureFixture[str],
) -> None:
    """The command prints what the library estimates with the same settings, and not the default."""
    from chartscan.chart import load_chart

    assert run(["estimate", chart_file, "--fabric", "14", "--json"]) == 0
    plain = _json(capsys)
    assert run(["estimate", chart_file, "--fabric", "14", "--json", *told]) == 0
    found = _json(capsys)
    wanted = estimate(load_chart(Path(chart_file)), make_fabric(14), EstimateSettings(**changed))
    likely = [r.length_mm.likely for r in wanted.threads]
    assert [t["length_mm"]["likely"] for t in found["threads"]] == pytest.approx(likely)
    assert found["cut_mm"] == pytest.approx(list(wanted.cut_mm))
    assert found != plain or "risk" in changed


@pytest.mark.parametrize(
    ("told", "status", "message"),
    [
        ([], 2, "--fabric"),
        (["--fabric", "0"], 1, "count of 0"),
        (["--fabric", "nan"], 1, "makes no cloth"),
        (["--fabric", "28", "--over", "0"], 1, "over 0"),
        (["--fabric", "14", "--strands", "0"], 1, "0 strands"),
        (["--fabric", "14", "--strands", "7"], 1, "divides into 6"),
        (["--fabric", "14", "--margin", "-3"], 1, "margin of -3 mm"),
        (["--fabric", "14", "--margin", "1000in"], 1, "10000 mm at most"),
        (["--fabric", "14", "--margin", "wide"], 2, "'wide'"),
        (["--fabric", "14", "--metres", "0"], 1, "put-up of 0 m"),
        (["--fabric", "14", "--divides", "0"], 1, "at least 1 strand"),
        (["--fabric", "14", "--carry", "5", "--no-carry"], 2, "--no-carry"),
        (["--fabric", "14", "--margin", "5", "--finish", "card"], 2, "--finish"),
        (["--fabric", "14", "--class-strands", "9=1"], 1, "class 9"),
        (["--fabric", "14", "--class-stitch", "1=knot"], 2, "cross, half and bead"),
        (["--fabric", "14", "--working-length", "90"], 1, "cut it longer"),
        (["--fabric", "14", "--piece", "0x10"], 1, "width and a height"),
        (["--fabric", "14", "--piece", "big"], 2, "'big'"),
        (["--compare", "28/0"], 1, "over 0"),
        (["--compare", "28/2", "--explain"], 2, "--explain"),
        (["--compare", "28/x"], 2, "'28/x'"),
    ],
)
def test_bad_input_gets_one_clear_line(
    told: list[str], status: int, message: str, chart_file: str, capsys: pytest.CaptureFixture[str]
) -> None:
    """On standard error, and nothing on standard output."""
    assert run(["estimate", chart_file, *told, "--json"]) == status
    shown = capsys.readouterr()
    assert shown.out == ""
    assert shown.err.startswith("Error: ")
    assert message in shown.err
    assert shown.err.count("\n") == 1


def test_a_chart_without_stitches_is_refused(
    tmp_path: Path, make_chart: MakeChart, capsys: pytest.CaptureFixture[str]
) -> None:
    """There is nothing to estimate."""
    path = tmp_path / "bare.json"
    save_chart(make_chart("..../...."), path)
    assert run(["estimate", str(path), "--fabric", "14"]) == 1
    assert "no stitches" in capsys.readouterr().err


# ---------------------------------------------------------------------------- usage


def _likely(chart_file: str, capsys: pytest.CaptureFixture[str], *told: str) -> float:
    assert run(["estimate", chart_file, "--fabric", "14", "--json", *told]) == 0
    return float(_json(capsys)["totals"]["length_mm"]["likely"])


def test_records_change_the_next_estimates_until_they_are_switched_off(
    chart_file: str, capsys: pytest.CaptureFixture[str]
) -> None:
    """Add, list, off, on, undo."""
    plain = _likely(chart_file, capsys)
    for _ in range(4):
        assert run(["usage", "add", "Robin", "--estimated", "20m", "--used", "24m"]) == 0
    capsys.readouterr()
    own = _likely(chart_file, capsys)
    assert 1.08 * plain < own < 1.2 * plain
    assert _likely(chart_file, capsys, "--no-own-factor") == plain
    assert run(["usage", "off"]) == 0
    assert "switched off" in capsys.readouterr().out
    assert _likely(chart_file, capsys) == plain
    assert run(["usage", "on"]) == 0
    assert run(["usage", "list"]) == 0
    assert capsys.readouterr().out.count("Robin") == 4
    for _ in range(4):
        assert run(["usage", "undo"]) == 0
    assert "No records yet" in capsys.readouterr().out
    assert _likely(chart_file, capsys) == plain


def test_a_record_can_be_made_from_a_saved_estimate(
    chart_file: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Skeins begun less skeins left, against the estimate without the factor in it."""
    from chartscan.yardage.calibration import load_book, usage_path

    assert run(["usage", "add", "Wren", "--estimated", "20m", "--used", "24m"]) == 0
    capsys.readouterr()
    assert run(["estimate", chart_file, "--fabric", "14", "--json"]) == 0
    saved = tmp_path / "estimate.json"
    saved.write_text(capsys.readouterr().out, encoding="utf-8")
    told = ["usage", "add", "Robin", "--estimate", str(saved), "--skeins", "1", "--left", "0.85"]
    assert run(told) == 0
    assert run([*told, "--class", "1"]) == 0
    capsys.readouterr()
    _, whole, one = load_book(usage_path()).records
    assert whole.used_mm == pytest.approx(0.15 * 48_000)
    assert whole.estimated_mm == pytest.approx(
        _likely(chart_file, capsys, "--no-own-factor"), abs=1
    )
    assert one.estimated_mm < whole.estimated_mm


@pytest.mark.parametrize(
    ("told", "status", "message"),
    [
        (["add", "x"], 2, "--estimate"),
        (["add", "x", "--estimated", "3m"], 2, "--used"),
        (["add", "x", "--estimated", "3m", "--used", "0"], 1, "over 0"),
        (["add", "x", "--estimated", "3m", "--used", "3000m"], 1, "check the units"),
        (["add", "x", "--estimated", "3m", "--skeins", "1", "--left", "2"], 1, "over 0"),
        (["add", "x", "--estimate", "missing.json", "--used", "3m"], 1, "missing.json"),
        (["undo"], 1, "no records"),
    ],
)
def test_records_that_make_no_sense_are_refused(
    told: list[str],
    status: int,
    message: str,
    own_records: Path,
    capsys: pytest.CaptureFixture[str],
) -> None:
    """And leave no file behind."""
    assert run(["usage", *told]) == status
    shown = capsys.readouterr()
    assert message in shown.err
    assert shown.out == ""
    assert not own_records.exists()


def test_an_estimate_that_is_none_is_refused(
    chart_file: str, capsys: pytest.CaptureFixture[str]
) -> None:
    """A chart file instead of an estimate; a class that isn't in it."""
    assert run(["usage", "add", "x", "--estimate", chart_file, "--used", "3m"]) == 1
    assert "estimate --json" in capsys.readouterr().err
