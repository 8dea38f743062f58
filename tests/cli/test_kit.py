"""``chartscan kit``: the main job, end to end."""

from __future__ import annotations

import csv
import json
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from PIL import Image

if TYPE_CHECKING:
    from tests.cli.conftest import Call, Outcome

SAMPLE = ("--palette", "meadowline", "--fabric", "28", "--over", "2")


def _kit(chartscan: Call, chart: Path, *more: str | Path) -> Outcome:
    result: Outcome = chartscan("kit", chart, *SAMPLE, *more)
    assert result.status == 0, result.err
    return result


def test_the_object_joins_match_and_estimate(chart_file: Path, chartscan: Call) -> None:
    value = json.loads(_kit(chartscan, chart_file, "--json").out)
    matches = json.loads(chartscan("match", chart_file, "--palette", "meadowline", "--json").out)[
        "matches"
    ]
    needs = json.loads(
        chartscan("estimate", chart_file, "--fabric", "28", "--over", "2", "--json").out
    )
    assert value["format"] == "chartscan.kit"
    assert value["finished_mm"] == pytest.approx(needs["finished_mm"], abs=0.01)
    assert value["cut_mm"] == pytest.approx(needs["cut_mm"], abs=0.01)
    assert [t["code"] for t in value["threads"]] == [m["code"] for m in matches]
    for thread, need in zip(value["threads"], needs["threads"], strict=True):
        assert thread["stitches"] == need["stitches"] == 60
        assert thread["length_mm"]["likely"] == pytest.approx(need["length_mm"]["likely"], abs=0.06)
        assert thread["owned"] is None
        assert thread["to_buy"] == thread["skeins"] == 1


def test_what_is_owned_is_not_bought(chart_file: Path, tmp_path: Path, chartscan: Call) -> None:
    bare = json.loads(_kit(chartscan, chart_file, "--json").out)
    first, second, third = (thread["code"] for thread in bare["threads"])
    stash = tmp_path / "stash.csv"
    stash.write_text(f"code,skeins,metres_left\n{first},2,\n{second},0,7.5\n", encoding="utf-8")
    value = json.loads(_kit(chartscan, chart_file, "--owned", stash, "--json").out)
    by_code = {thread["code"]: thread for thread in value["threads"]}
    assert (by_code[first]["owned"], by_code[first]["to_buy"]) == (2, 0)
    assert (by_code[second]["owned"], by_code[second]["to_buy"]) == (pytest.approx(0.9375), 0)
    assert (by_code[third]["owned"], by_code[third]["to_buy"]) == (0, 1)


def test_what_is_free_in_the_stash_is_not_bought(
    chart_file: Path, tmp_path: Path, chartscan: Call
) -> None:
    bare = json.loads(_kit(chartscan, chart_file, "--json").out)
    first, *others = (thread["code"] for thread in bare["threads"])
    ledger = tmp_path / "stash.db"
    added = chartscan(
        "stash", "add", "thread", first, "--palette", "meadowline", "--skeins", "2",
        "--stash", ledger,
    )  # fmt: skip
    assert added.status == 0, added.err
    value = json.loads(_kit(chartscan, chart_file, "--stash", ledger, "--json").out)
    at_hand = {thread["code"]: (thread["owned"], thread["to_buy"]) for thread in value["threads"]}
    assert at_hand == {first: (2, 0), **dict.fromkeys(others, (0, 1))}
    missing = chartscan("kit", chart_file, *SAMPLE, "--stash", tmp_path / "none.db")
    assert missing.status == 1
    assert "none.db" in missing.err


def test_the_stash_counts_by_itself_a_list_takes_its_place_and_it_can_be_left_out(
    chart_file: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, chartscan: Call
) -> None:
    """What was counted is said in one line; --own-stash, which asked for it once, does no harm."""
    ledger, listed = tmp_path / "mine.db", tmp_path / "list.csv"
    monkeypatch.setenv("CHARTSCAN_STASH", str(ledger))
    assert "Counted" not in _kit(chartscan, chart_file).err  # there is no stash yet
    first, second, _ = (
        t["code"] for t in json.loads(_kit(chartscan, chart_file, "--json").out)["threads"]
    )
    added = ("stash", "add", "thread", first, "--palette", "meadowline", "--skeins", "2")
    assert chartscan(*added).status == 0
    listed.write_text(f"code,skeins\n{second},1\n", encoding="utf-8")
    for extra, owned, said in (
        ((), {first}, f"what is free in {ledger}, 1 thread of meadowline."),
        (("--own-stash",), {first}, f"what is free in {ledger}, 1 thread of meadowline."),
        (("--owned", listed), {second}, f"what {listed} lists, 1 thread of meadowline."),
        (("--no-stash",), set(), None),
    ):
        value = json.loads(_kit(chartscan, chart_file, *extra, "--json").out)
        assert {t["code"] for t in value["threads"] if t["owned"]} == owned
        told = "".join(_kit(chartscan, chart_file, *extra).err.split())  # lines are broken anywhere
        assert told.count("Countedasathand:") == (said is not None)
        assert said is None or "".join(said.split()) in told
        matched = chartscan("match", chart_file, "--palette", "meadowline", *extra)
        assert matched.err.count("Counted as at hand: ") == (said is not None)
    both = chartscan("kit", chart_file, *SAMPLE, "--no-stash", "--stash", ledger)
    assert (both.status, "can't both be given" in both.err) == (2, True)


def test_every_paper_is_written_and_says_the_same(
    chart_file: Path, tmp_path: Path, chartscan: Call
) -> None:
    sheet, label = tmp_path / "kit.html", tmp_path / "label.html"
    table, picture = tmp_path / "kit.csv", tmp_path / "kit.png"
    result = _kit(
        chartscan, chart_file, "--sheet", sheet, "--label", label, "--csv", table,
        "--picture", picture, "--title", "Banner & bunting", "--json",
    )  # fmt: skip
    codes = [thread["code"] for thread in json.loads(result.out)["threads"]]
    for page in (sheet, label):
        text = page.read_text(encoding="utf-8")
        assert "Banner &amp; bunting" in text
        assert all(code in text for code in codes)
    with table.open(encoding="utf-8", newline="") as stream:
        assert [row["code"] for row in csv.DictReader(stream)] == codes
    with Image.open(picture) as image:
        assert image.width > image.height


def test_the_table_fits_80_columns_and_names_every_thread(
    chart_file: Path, chartscan: Call, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("COLUMNS", "80")
    out = _kit(chartscan, chart_file, "--owned", "stash-example").out
    assert max(map(len, out.splitlines())) <= 80
    assert "banner: 22 × 12 stitches, 180 to work" in out
    assert "3 threads" in out
    assert "4.0 × 2.2 cm (1.6 × 0.9 in)" in out


def test_a_keyed_class_takes_its_thread_as_told(
    chart_file: Path, tmp_path: Path, chartscan: Call
) -> None:
    key = tmp_path / "key.csv"
    key.write_text("class,code\n2,CHA1\n", encoding="utf-8")
    value = json.loads(_kit(chartscan, chart_file, "--key", key, "--json").out)
    assert next(t["code"] for t in value["threads"] if t["class"] == 2) == "CHA1"


def test_two_classes_on_one_thread_are_one_line(
    chart_file: Path, tmp_path: Path, chartscan: Call
) -> None:
    palette = tmp_path / "two.csv"
    palette.write_text(
        "code,name,hex,metres,strands\nR,Red,#c43e3a,8,6\nG,Green,#346842,8,6\n", encoding="utf-8"
    )
    result = chartscan("kit", chart_file, "--palette", palette, "--fabric", "14", "--json")
    value = json.loads(result.out)
    assert sorted(len(thread["uses"]) for thread in value["threads"]) == [1, 2]
    assert sum(thread["stitches"] for thread in value["threads"]) == 180
    assert any("one thread" in warning for warning in value["warnings"])


@pytest.fixture
def faint(chart_file: Path, chartscan: Call) -> str:
    """The colour of a fabric on which the thread of class 3 can't be seen."""
    value = json.loads(_kit(chartscan, chart_file, "--json").out)
    rgb = next(thread["thread_rgb"] for thread in value["threads"] if thread["class"] == 3)
    return "#{:02x}{:02x}{:02x}".format(*rgb)


def test_a_thread_hardly_seen_on_the_fabric_is_named(
    chart_file: Path, chartscan: Call, faint: str
) -> None:
    value = json.loads(_kit(chartscan, chart_file, "--fabric-colour", faint, "--json").out)
    assert value["fabric"]["rgb"] == list(bytes.fromhex(faint[1:]))
    assert any("fabric" in warning for warning in value["warnings"])


def test_warnings_go_to_standard_error_and_the_object_alone_to_output(
    chart_file: Path, chartscan: Call, faint: str
) -> None:
    result = _kit(chartscan, chart_file, "--fabric-colour", faint)
    assert "Warning: " in result.err
    assert "Warning" not in result.out
    json.loads(_kit(chartscan, chart_file, "--fabric-colour", faint, "--json").out)


def test_a_fabric_must_be_told(chart_file: Path, chartscan: Call) -> None:
    result = chartscan("kit", chart_file, "--palette", "meadowline")
    assert result.status == 2
    assert "--fabric" in result.err


def test_a_picture_goes_all_the_way(stripes: Path, tmp_path: Path, chartscan: Call) -> None:
    sheet = tmp_path / "kit.html"
    value = json.loads(_kit(chartscan, stripes, "--sheet", sheet, "--json").out)
    assert value["chart"]["columns"] == 20
    assert len(value["threads"]) == 3
    assert "stripes.png" in sheet.read_text(encoding="utf-8")
