"""The stash as a stitcher works with it, on the command line."""

from __future__ import annotations

import json
import re
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np
import pytest

from chartscan.chart import Chart, ChartClass, save_chart
from chartscan.stash.check import audit
from chartscan.stash.ledger import open_ledger

if TYPE_CHECKING:
    from tests.stash.conftest import Call

EXAMPLE = Path(__file__).parents[2] / "examples" / "stash"


def _json(call: Call, *arguments: str | Path) -> Any:  # noqa: ANN401 - decoded JSON
    outcome = call(*arguments, "--json")
    assert outcome.status == 0, outcome.err
    return json.loads(outcome.out)


@pytest.fixture
def chart_file(tmp_path: Path) -> Path:
    """A chart file of 30 × 40 stitches in two colours on bare ground."""
    cells = np.zeros((44, 34), dtype=np.int32)
    cells[2:42, 2:32] = 1
    cells[10:20, 10:20] = 2
    classes = (
        ChartClass(0, "empty", (255, 255, 255)),
        ChartClass(1, "stitch", (160, 32, 36)),
        ChartClass(2, "stitch", (54, 67, 69)),
    )
    path = tmp_path / "robin.json"
    save_chart(Chart(cells, classes), path)
    return path


def test_a_sample_range_is_kept_by_name_and_a_file_of_ones_own_by_its_place(
    chartscan: Call, stash_file: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    Path("mine.csv").write_text("code,name,hex\nA1,Moss,#5a783c\n", encoding="utf-8")
    for name, told in (("Robin", "meadowline"), ("Wren", "mine.csv")):
        assert chartscan("project", "new", name, "--palette", told).status == 0
    with open_ledger(stash_file) as ledger:
        kept = [row["palette"] for row in ledger.rows("SELECT palette FROM projects ORDER BY name")]
    assert kept == ["meadowline", str(tmp_path / "mine.csv")]


def test_the_cutting_plan_is_drawn_before_anything_is_cut(chartscan: Call, tmp_path: Path) -> None:
    assert chartscan("stash", "import", "all", EXAMPLE).status == 0
    page = tmp_path / "cuts.html"
    result = chartscan("project", "cut", "Frost stars", "--plan", page)
    assert result.status == 0, result.err
    assert "25 pieces of 10.0 × 10.0 cm" in result.out
    text = page.read_text(encoding="utf-8")
    assert text.count('fill="#ddd"') == 25
    assert "60 × 60 cm" in text
    assert "to buy" not in result.out + text
    assert "F3-1" not in chartscan("stash", "list", "fabric").out
    chartscan("project", "extra", "fabric", "Frost stars", "--count", "28", "--size", "3x3m")
    result = chartscan("project", "cut", "Frost stars", "--plan", page, "--overwrite")
    assert "still to buy: 1 piece of 300.0 × 300.0 cm" in result.out
    assert "Still to buy: 1 piece of 300.0 × 300.0 cm" in page.read_text(encoding="utf-8")
    assert chartscan("project", "new", "Nothing").status == 0
    assert chartscan("project", "cut", "Nothing", "--plan", tmp_path / "n.html").status == 1
    assert chartscan("project", "cut", "Frost stars", "F3", "1x1cm", "--plan", page).status == 2


def test_the_example_goes_from_import_to_a_kitted_bag(chartscan: Call, tmp_path: Path) -> None:
    assert chartscan("stash", "import", "all", EXAMPLE).status == 0
    today = _json(chartscan, "project", "today")["projects"]
    assert [p["name"] for p in today if p["ready"]] == ["Band sampler"]
    assert {p["name"] for p in today if not p["ready"]} == {"Frost stars", "Evening hills"}
    shopping = _json(chartscan, "shop", "list")
    assert shopping["dividing_saves"] > 0
    assert shopping["total"] > 0
    assert len(shopping["threads"]) > 5
    assert chartscan("shop", "bought").status == 0
    assert "Nothing to buy" in chartscan("shop", "list").out
    for name in ("Frost stars", "Evening hills"):
        kitted = chartscan("project", "kit", name)
        assert "is kitted" in kitted.out, kitted.err
    assert "cut Evening hills first" in chartscan("project", "kit", "Band sampler").err
    assert "Nothing to buy" in chartscan("shop", "list").out
    assert chartscan("project", "cut", "Evening hills").status == 0
    assert "is kitted" in chartscan("project", "kit", "Band sampler").out
    sheet = tmp_path / "labels.html"
    assert (
        chartscan("project", "label", "Band sampler", "Frost stars", "--sheet", sheet).status == 0
    )
    assert "Frost stars" in sheet.read_text(encoding="utf-8")
    assert "clean" in chartscan("stash", "check").out


def test_the_example_is_what_its_script_makes(tmp_path: Path) -> None:
    """The charts and tables beside the script are its own, unchanged."""
    import shutil
    import subprocess
    import sys

    folder = tmp_path / "examples" / "stash"
    folder.mkdir(parents=True)
    shutil.copy(EXAMPLE / "draw.py", folder)
    (tmp_path / "palettes").mkdir()
    shutil.copy(EXAMPLE.parents[1] / "palettes" / "meadowline.csv", tmp_path / "palettes")
    subprocess.run(
        [sys.executable, str(folder / "draw.py")], check=True, cwd=EXAMPLE.parents[1], env=_path()
    )
    made = {p.name: p.read_bytes() for p in folder.iterdir() if p.name != "draw.py"}
    there = {p.name: p.read_bytes() for p in EXAMPLE.iterdir() if p.suffix in (".json", ".csv")}
    assert made == there


def _path() -> dict[str, str]:
    import os

    return {**os.environ, "PYTHONPATH": str(EXAMPLE.parents[1])}


def test_a_project_with_a_chart_knows_its_needs_at_once(chartscan: Call, chart_file: Path) -> None:
    made = chartscan(
        *("project", "new", "Robin", "--chart", chart_file, "--palette", "meadowline"),
        *("--fabric", "28", "--over", "2", "--deadline", "2026-12-20", "--place", "tin"),
    )
    assert made.status == 0, made.err
    plan = _json(chartscan, "project", "plan", "Robin")
    assert len(plan["threads"]) == 2
    assert plan["project"]["place"] == "tin"
    one = {t["code"]: t["length_mm"] for t in plan["threads"]}
    assert chartscan("project", "change", "Robin", "--copies", "3").status == 0
    three = _json(chartscan, "project", "plan", "Robin")
    assert {t["code"] for t in three["threads"]} == set(one)
    assert all(t["length_mm"] > 1.5 * one[t["code"]] for t in three["threads"])
    assert three["fabric"][0]["need"]["pieces"] == 3


def test_threads_that_hardly_show_on_the_fabric_are_named(
    chartscan: Call, chart_file: Path
) -> None:
    made = chartscan(
        *("project", "new", "Robin", "--chart", chart_file, "--palette", "meadowline"),
        *("--fabric", "28", "--fabric-hex", "#364345"),
    )
    assert "on the fabric" in made.err
    assert made.status == 0


def test_a_project_whose_chart_cant_be_used_isnt_begun(
    chartscan: Call, chart_file: Path, tmp_path: Path
) -> None:
    chart_file.write_text("{}")
    refused = chartscan(
        *("project", "new", "Robin", "--chart", chart_file, "--palette", "meadowline"),
        *("--fabric", "28"),
    )
    assert refused.status == 1
    assert refused.err.startswith("Error: ")
    assert "Robin" not in chartscan("project", "list").out


def test_a_life_on_the_command_line(chartscan: Call, chart_file: Path, tmp_path: Path) -> None:
    add = ("stash", "add")
    assert chartscan(*add, "fabric", "--count", "28", "--size", "50x70cm").status == 0
    chartscan(
        *("project", "new", "Robin", "--chart", chart_file, "--palette", "meadowline"),
        *("--fabric", "28", "--over", "2", "--margin", "50"),
    )
    codes = [t["code"] for t in _json(chartscan, "project", "plan", "Robin")["threads"]]
    assert chartscan(*add, "thread", *codes, "--palette", "meadowline").status == 0
    assert "is kitted" in chartscan("project", "kit", "Robin").out
    assert chartscan("project", "start", "Robin").status == 0
    done = chartscan("project", "finish", "Robin", "--left", f"{codes[0]}=3/4sk")
    assert "1 of them" in done.out
    assert "own factor" in done.out
    assert (tmp_path / "usage.json").exists()
    assert "is taken back, too" in chartscan("project", "undo", "Robin").out
    guessed = chartscan("project", "finish", "Robin").out
    assert "What was used of them is by the estimate, not measured." in guessed
    assert chartscan("project", "undo", "Robin").status == 0
    assert "No records yet" in chartscan("usage", "list").out
    assert _json(chartscan, "project", "list")["projects"][0]["state"] == "in work"


def test_what_was_lost_used_and_counted_is_in_the_history(chartscan: Call) -> None:
    chartscan("stash", "add", "thread", "T1", "--skeins", "3", "--left", "2,5")
    chartscan("stash", "add", "notion", "beads", "--amount", "2", "--unit", "g")
    chartscan("stash", "add", "chart", "Robin", "--book", "Birds", "--page", "12")
    chartscan("stash", "add", "fabric", "--count", "14", "--size", "12x16in")
    assert chartscan("stash", "use", "thread", "T1", "--metres", "1").status == 0
    assert chartscan("stash", "lose", "notion", "beads", "--amount", "0.5").status == 0
    assert chartscan("stash", "lose", "chart", "Robin").status == 0
    assert chartscan("stash", "cut", "F1", "15x30cm", "15x30cm").status == 0
    assert chartscan("stash", "count-again", "thread", "T1", "--skeins", "2").status == 0
    kinds = [e["kind"] for e in _json(chartscan, "stash", "history")["entries"]]
    assert {"bought", "used", "lost", "cut", "counted"} <= set(kinds)
    assert chartscan("stash", "reverse", "9", "--note", "miscounted").status == 0
    assert _json(chartscan, "stash", "list")["threads"][0]["skeins"] == 3
    then = _json(chartscan, "stash", "as-of", "2020-01-01")
    assert then["stock"] == []
    now = _json(chartscan, "stash", "as-of", "2999-12-31")
    assert {s["thing"] for s in now["stock"]} >= {"T1", "beads", "fabric F1-1"}


def test_fabric_in_a_bag_is_cut_and_the_rest_is_free(chartscan: Call, stash_file: Path) -> None:
    chartscan("stash", "add", "fabric", "--count", "28", "--size", "50x70cm", "--label", "roll")
    chartscan("project", "new", "Robin")
    chartscan("project", "extra", "fabric", "Robin", "--count", "28", "--size", "30x40cm")
    chartscan("project", "kit", "Robin")
    refused = chartscan("project", "cut", "Robin", "roll", "60x60cm")
    assert "smaller than what is to be cut" in refused.err
    cut = chartscan("project", "cut", "Robin", "roll", "30x40cm", "--rest", "20x70cm")
    assert cut.out == "In the bag of Robin: roll-1; back in the drawer: roll-2.\n"
    owned = _json(chartscan, "stash", "list")["fabrics"]
    assert {f["label"]: f["project"] for f in owned} == {"roll-1": "Robin", "roll-2": ""}
    assert "Took back: cut" in chartscan("project", "undo", "Robin").out
    with open_ledger(stash_file) as ledger:
        assert audit(ledger) == []


def test_skeins_of_two_dye_lots_are_not_kitted_in_silence(chartscan: Call) -> None:
    for lot in ("12", "14"):
        added = chartscan("stash", "add", "thread", "ROS1", "--skeins", "1", "--dye-lot", lot)
        assert added.status == 0, added.err
    chartscan("project", "new", "Wren")
    chartscan("project", "extra", "thread", "Wren", "ROS1", "--skeins", "1")
    assert "several dye lots" not in chartscan("project", "kit", "Wren").out
    chartscan("project", "new", "Robin")
    chartscan("stash", "add", "thread", "ROS1", "--skeins", "1", "--dye-lot", "12")
    chartscan("project", "extra", "thread", "Robin", "ROS1", "--skeins", "2")
    assert "several dye lots, which may differ" in chartscan("project", "kit", "Robin").out


def test_rules_are_shown_and_kept(chartscan: Call) -> None:
    changed = chartscan("stash", "rules", "--fresh-unless-more-than", "1", "--no-parts")
    assert "a fresh skein of each colour unless more than 1 are free" in changed.out
    kept = _json(chartscan, "stash", "rules")
    assert (kept["fresh_unless_more_than"], kept["parts_count"]) == (1, False)


def test_a_list_for_the_phone_and_for_the_spreadsheet(chartscan: Call, tmp_path: Path) -> None:
    chartscan("project", "new", "Robin")
    chartscan(
        "project", "extra", "thread", "Robin", "ROS1", "--line", "Meadowline", "--skeins", "2"
    )
    chartscan("project", "extra", "notion", "Robin", "beads", "--amount", "3", "--unit", "g")
    chartscan("project", "extra", "fabric", "Robin", "--count", "28", "--size", "30x40cm")
    said = chartscan(
        *("shop", "list", "--text", "--csv", tmp_path / "l.csv", "--sheet", tmp_path / "l.html")
    )
    assert said.out.splitlines() == [
        "[ ] 2 x Meadowline ROS1",
        "[ ] fabric 28 count any colour 40 x 30 cm",
        "[ ] 3 g beads",
        "Buy all skeins of a colour in one go, from one dye lot.",
    ]
    rows = (tmp_path / "l.csv").read_text(encoding="utf-8").splitlines()
    assert rows[1] == "thread,Meadowline,ROS1,,2,skeins,,Robin"
    assert "ROS1" in (tmp_path / "l.html").read_text(encoding="utf-8")
    booked = chartscan("shop", "bought", "--only", "Meadowline ROS1=1", "--only", "beads=1.5")
    assert booked.status == 0
    assert chartscan("shop", "list", "--text").out.splitlines()[0] == "[ ] 1 x Meadowline ROS1"


def test_two_projects_that_want_one_thread(chartscan: Call) -> None:
    chartscan("stash", "add", "thread", "ROS1", "--palette", "meadowline", "--skeins", "1")
    for name in ("Robin", "Wren"):
        chartscan("project", "new", name)
        chartscan(
            *("project", "extra", "thread", name, "ROS1", "--line", "Meadowline", "--skeins", "1")
        )
    said = chartscan("project", "what-if")
    assert "has enough if it keeps the thread, else lacks 1" in said.out
    assert "Let Robin keep it." in said.out


def test_a_project_s_name_stands_on_one_line(chartscan: Call) -> None:
    refused = chartscan("project", "new", "Robin\nWren")
    assert refused.status == 1
    assert "one line" in refused.err


def test_one_of_a_thing_is_told_as_one(chartscan: Call) -> None:
    piece = ("stash", "add", "fabric", "--count", "14", "--size", "30x30cm")
    assert chartscan(*piece).status == chartscan(*piece, "--pieces", "2").status == 0
    chartscan("stash", "add", "thread", "T1", "--skeins", "1")
    told = chartscan("stash", "history").out
    assert {"+1 piece", "+1 skein"} <= {*re.findall(r"\+1 \w+", told)}
    assert not re.search(r"\+1 (pieces|skeins)", told)
    assert "1 skein" in chartscan("stash", "find", "T1").out


def test_a_stand_in_can_come_from_a_range(chartscan: Call) -> None:
    chartscan("project", "new", "Robin")
    chartscan("project", "extra", "thread", "Robin", "ROS1", "--skeins", "1")
    chose = chartscan("project", "choose", "Robin", "ROS1", "KIL2", "--palette", "meadowline")
    assert chose.status == 0, chose.err
    threads = _json(chartscan, "project", "plan", "Robin")["threads"]
    assert [(t["code"], t["called"]) for t in threads] == [("KIL2", ["ROS1"])]


def test_backup_and_restore_on_the_command_line(chartscan: Call, tmp_path: Path) -> None:
    chartscan("stash", "add", "thread", "T1", "--skeins", "3")
    assert chartscan("stash", "backup", tmp_path / "b").status == 0
    chartscan("stash", "use", "thread", "T1", "--skeins", "3")
    said = chartscan("stash", "restore", tmp_path / "b")
    assert "before-restore-1" in said.out
    assert _json(chartscan, "stash", "list")["threads"][0]["skeins"] == 3


def test_export_goes_to_standard_output_or_a_folder(chartscan: Call, tmp_path: Path) -> None:
    chartscan("stash", "add", "thread", "T1", "--skeins", "3")
    said = chartscan("stash", "export", "threads")
    assert said.out.splitlines()[1].startswith("T1,,,3,")
    assert chartscan("stash", "export", "all", tmp_path / "out").out == ""
    assert (tmp_path / "out" / "threads.csv").read_text() == said.out


@pytest.mark.parametrize(
    ("arguments", "status", "words"),
    [
        (("stash", "list"), 1, "no stash there yet"),
        (("stash", "use", "thread", "T1"), 2, "say how much"),
        (("stash", "add", "thread", "T1", "--left", "nine"), 2, "isn't an amount"),
        (("stash", "add", "thread", "ZZ9", "--palette", "meadowline"), 2, "ZZ9"),
        (("stash", "add", "fabric", "--count", "28"), 2, "--size"),
        (("stash", "add", "fabric", "--count", "0", "--size", "1x1cm"), 1, "makes no cloth"),
        (("stash", "add", "fabric", "--count", "nan", "--size", "1x1cm"), 2, "isn't a number"),
        (("stash", "add", "thread", "T1", "--skeins", "9" * 9), 2, "more skeins than anybody"),
        (("stash", "add", "thread", "T1", "--left", "9" * 9), 2, "more thread than anybody"),
        (("stash", "add", "notion", "beads", "--amount", "inf"), 2, "from 0 to 1,000,000,000"),
        (("stash", "add", "notion", "beads", "--amount", "some"), 2, "isn't a number"),
        (("stash", "add", "thread", "T1", "--skeins", "1.5x"), 2, "no unit"),
        (("project", "finish", "Robin", "--left", "T1=half sk"), 2, "isn't an amount"),
        (("project", "finish", "Robin", "--left", "T1=1/0sk"), 2, "isn't an amount"),
        (("project", "finish", "Robin", "--left", "T1=-1sk"), 2, "isn't an amount"),
        (("project", "finish", "Robin", "--left", "=1sk"), 2, "ROS1=1/2sk"),
        (("stash", "as-of", "0001-01-01T00:00+14:00"), 2, "isn't a date"),
        (("project", "new", "A", "--margin", "-5"), 1, "margin"),
        (("stash", "as-of", "yesterday"), 2, "isn't a date"),
        (("stash", "reverse", "x"), 2, "isn't the number"),
        (("stash", "export", "all"), 2, "into which folder"),
        (("project", "new", "A", "--deadline", "soon"), 2, "isn't a date"),
        (("project", "new", " "), 1, "has a name"),
        (("project", "new", "A", "--chart", "nowhere"), 1, "no chart 'nowhere'"),
        (("project", "extra", "thread", "A", "T1"), 2, "say how much"),
        (("project", "finish", "A", "--left", "T1"), 2, "isn't like"),
        (("shop", "bought", "--only", "T1=x"), 2, "isn't like"),
    ],
)
def test_what_cant_be_done_is_said_in_one_line(
    chartscan: Call, arguments: tuple[str, ...], status: int, words: str
) -> None:
    refused = chartscan(*arguments)
    assert refused.status == status
    assert words in refused.err
    assert refused.err.startswith("Error: ")
    assert refused.err.count("\n") == 1
    assert refused.out == ""
