"""One choice of threads a project: kept by match, changed in one place, said alike everywhere."""

from __future__ import annotations

import csv
import json
from pathlib import Path

import numpy as np
import pytest

from chartscan.chart import Chart, ChartClass, load_chart, save_chart
from chartscan.palette.key import find_thread
from chartscan.palette.load import load_palette
from chartscan.palette.picks import Pick, mark_class, match_picked
from chartscan.stash.chosen import (
    Chosen,
    StandIn,
    drop_chosen,
    keep_chosen,
    load_chosen,
    marked_of,
    settle,
)
from chartscan.stash.entries import acting
from chartscan.stash.ledger import open_ledger
from chartscan.stash.projects import find_project
from tests.palette.making import chart_of
from tests.stash.conftest import Call

RANGE = "meadowline"


@pytest.fixture
def chart(tmp_path: Path) -> Path:
    """Three colours, 60 stitches each."""
    cells = np.zeros((10, 18), dtype=np.int32)
    for index in range(3):
        cells[:, 6 * index : 6 * index + 6] = index + 1
    colours = ((196, 62, 58), (52, 104, 66), (236, 214, 140))
    ground = ChartClass(0, "empty", (255, 255, 255))
    classes = (ground, *(ChartClass(i + 1, "stitch", rgb) for i, rgb in enumerate(colours)))
    path = tmp_path / "banner.json"
    save_chart(Chart(cells, classes), path)
    return path


def _match(chartscan: Call, *told: str | Path) -> dict[int, str]:
    said = chartscan("match", *told, "--project", "Banner", "--json")
    assert said.status == 0, said.err
    return {m["class"]: m["code"] for m in json.loads(said.out)["matches"]}


def _kit(chartscan: Call, *told: str | Path) -> dict[str, int]:
    said = chartscan("kit", "--project", "Banner", *told, "--json")
    assert said.status == 0, said.err
    return {t["code"]: t["skeins"] for t in json.loads(said.out)["threads"]}


def _plan(chartscan: Call) -> dict[str, int]:
    said = chartscan("project", "plan", "Banner", "--json")
    assert said.status == 0, said.err
    return {t["code"]: t["skeins"] for t in json.loads(said.out)["threads"]}


def test_kit_estimate_plan_sheet_label_and_key_go_by_the_threads_that_match_kept(
    chart: Path, tmp_path: Path, chartscan: Call
) -> None:
    key = tmp_path / "key.csv"
    key.write_text("class,code\n2,COR6\n", encoding="utf-8")  # by colour it would be a green
    codes = _match(chartscan, chart, "--palette", RANGE, "--key", key)
    assert codes[2] == "COR6"
    key.unlink()  # the choice lies in the stash
    assert chartscan("project", "change", "Banner", "--fabric", "14").status == 0
    sheet, label, table = (tmp_path / name for name in ("k.html", "b.html", "k.csv"))
    kit = _kit(chartscan, "--sheet", sheet, "--label", label, "--csv", table)
    assert set(kit) == set(codes.values())
    assert kit == _plan(chartscan)
    assert _match(chartscan) == codes
    estimated = json.loads(chartscan("estimate", "--project", "Banner", "--json").out)
    assert [t["skeins"] for t in estimated["threads"]] == [kit[codes[i]] for i in (1, 2, 3)]
    bag = chartscan("project", "label", "Banner", "--sheet", tmp_path / "bag.html")
    assert bag.status == 0
    for paper in (sheet, label, tmp_path / "bag.html"):
        assert all(code in paper.read_text(encoding="utf-8") for code in kit), paper
    kept = chartscan("match", "--project", "Banner").out
    assert (kept.count("told by the key"), kept.count("as chosen")) == (1, 2)
    by_key = chartscan("match", chart, "--palette", RANGE, "--key", table, "--json")
    assert {m["class"]: m["code"] for m in json.loads(by_key.out)["matches"]} == codes


def test_kit_and_plan_say_one_size_to_cut(tmp_path: Path, chartscan: Call) -> None:
    """Of 101.6 mm the ledger keeps 102; 40 in come to 1016.0000000000001 mm as computers add."""
    chart = tmp_path / "wide.json"
    classes = (ChartClass(0, "empty", (255, 255, 255)), ChartClass(1, "stitch", (196, 62, 58)))
    save_chart(Chart(np.eye(5, 185, dtype=np.int32), classes), chart)
    _match(chartscan, chart, "--palette", RANGE)
    told = ("--fabric", "10", "--over", "2", "--margin", "1.5in")
    assert chartscan("project", "change", "Banner", *told).status == 0
    for shown in (chartscan("kit", "--project", "Banner"), chartscan("project", "plan", "Banner")):
        assert "101.6 × 10.2 cm (40.0 × 4.1 in)" in shown.out


def test_a_thread_changed_in_one_place_is_changed_everywhere_its_reason_kept_its_promise_freed(
    chart: Path, tmp_path: Path, chartscan: Call
) -> None:
    first = _match(chartscan, chart, "--palette", RANGE)[1]
    assert chartscan("project", "change", "Banner", "--fabric", "14").status == 0
    for code in (first, "COR6"):
        added = ("stash", "add", "thread", code, "--palette", RANGE, "--skeins", "2")
        assert chartscan(*added).status == 0
    assert chartscan("project", "kit", "Banner", "--partly").status == 0
    held = json.loads(chartscan("kit", "--project", "Banner", "--json").out)["threads"]
    assert {t["code"]: t["owned"] for t in held}[first] == 2  # its own promise counts as at hand
    number = _last_act(tmp_path)
    why = ("--reason", "calmer on cream")
    assert chartscan("project", "choose", "Banner", first, "COR6", *why).status == 0
    assert _last_act(tmp_path) == number + 1  # one act: the choice, and what it frees
    with open_ledger(tmp_path / "stash.db") as ledger:
        promised = "SELECT sum(promised) FROM balances b JOIN threads t ON t.id = b.thread"
        assert ledger.value(f"{promised} WHERE t.code = ?", (first,)) == 0
    assert set(_kit(chartscan)) == set(_plan(chartscan)) == set(_match(chartscan).values())
    assert first not in _kit(chartscan)
    shown = chartscan("match", "--project", "Banner")
    assert f"COR6 instead of {first}: calmer on cream" in " ".join(shown.out.split())
    assert "another colour" in shown.err
    assert "calmer on cream" in " ".join(chartscan("stash", "history").out.split())
    folder = tmp_path / "tables"
    assert chartscan("stash", "export", "all", folder).status == 0
    told = (folder / "choices.csv").read_text(encoding="utf-8")
    (row,) = csv.DictReader(told.splitlines())
    assert (row["called_code"], row["code"], row["reason"]) == (first, "COR6", "calmer on cream")
    elsewhere = ("--stash", tmp_path / "other.db")
    assert chartscan("stash", "import", "all", folder, *elsewhere).status == 0
    again = chartscan("kit", "--project", "Banner", "--json", *elsewhere)
    codes = {t["code"] for t in json.loads(again.out)["threads"]}
    assert codes == set(_kit(chartscan))
    assert chartscan("stash", "reverse", str(number + 1)).status == 0
    assert first in _kit(chartscan)


def _last_act(folder: Path) -> int:
    with open_ledger(folder / "stash.db") as ledger:
        return int(ledger.value("SELECT max(id) FROM acts"))


def test_own_threads_stand_beside_the_best_and_what_is_promised_elsewhere_is_said(
    chart: Path, chartscan: Call
) -> None:
    """With the price of it in ΔE and a word; what another project holds isn't free."""
    best = _match(chartscan, chart, "--palette", RANGE)[1]
    for code in (best, "COR6"):
        chartscan("stash", "add", "thread", code, "--palette", RANGE, "--skeins", "1")
    said = json.loads(chartscan("match", chart, "--palette", RANGE, "--json").out)["matches"]
    assert [m["own"] is None for m in said] == [True, False, False]  # the first is owned itself
    assert all(m["own"]["delta_e"] > m["delta_e"] and m["own"]["direction"] for m in said[1:])
    shown = chartscan("match", chart, "--palette", RANGE).out
    assert f"{said[1]['own']['code']} {said[1]['own']['delta_e']:.1f}" in shown
    assert chartscan("project", "change", "Banner", "--fabric", "14").status == 0
    assert chartscan("project", "kit", "Banner", "--partly").status == 0
    other = chartscan("match", chart, "--palette", RANGE)
    assert "is promised to Banner; none of it is free" in other.err
    assert "is promised to Banner" not in chartscan("match", "--project", "Banner").err


def test_two_dye_lots_for_one_area_are_warned_of(tmp_path: Path, chartscan: Call) -> None:
    cells = np.ones((60, 80), dtype=np.int32)
    classes = (ChartClass(0, "empty"), ChartClass(1, "stitch", (196, 62, 58)))
    save_chart(Chart(cells, classes), tmp_path / "red.json")
    asked = ("kit", tmp_path / "red.json", "--palette", RANGE, "--fabric", "14", "--json")
    (thread,) = json.loads(chartscan(*asked).out)["threads"]
    assert thread["skeins"] == 3
    for lot, skeins in (("A1", "2"), ("B2", "1")):
        added = ("stash", "add", "thread", thread["code"], "--palette", RANGE, "--skeins", skeins)
        assert chartscan(*added, "--dye-lot", lot).status == 0
    said = json.loads(chartscan(*asked).out)
    assert said["threads"][0]["to_buy"] == 0
    assert any("2 of A1, 1 of B2" in line for line in said["warnings"])
    chartscan("stash", "add", "thread", thread["code"], "--skeins", "1", "--dye-lot", "A1")
    assert not any("dye lots" in line for line in json.loads(chartscan(*asked).out)["warnings"])


def test_what_the_project_says_is_not_told_again(chart: Path, chartscan: Call) -> None:
    _match(chartscan, chart, "--palette", RANGE)
    lacking = chartscan("kit", "--project", "Banner")
    way = "lacks a fabric; `chartscan project change Banner` tells it"
    assert (lacking.status, way in lacking.err) == (1, True)
    for told in ((str(chart),), ("--palette", RANGE), ("--strands", "3"), ("--distinct",)):
        said = chartscan("kit", "--project", "Banner", *told)
        assert (said.status, "can't both be given" in said.err) == (2, True), told
    nobody = chartscan("kit", "--project", "Nobody")
    assert (nobody.status, "no project 'Nobody'" in nobody.err) == (1, True)
    picture = chartscan("match", "banner.png", "--palette", RANGE, "--project", "Other")
    assert picture.status != 0


def test_a_kitted_project_keeps_its_threads(chart: Path, chartscan: Call) -> None:
    codes = _match(chartscan, chart, "--palette", RANGE)
    for code in set(codes.values()):
        chartscan("stash", "add", "thread", code, "--palette", RANGE, "--skeins", "3")
    chartscan("stash", "add", "fabric", "--count", "14", "--size", "60x60cm")
    assert chartscan("project", "change", "Banner", "--fabric", "14").status == 0
    assert "everything is set apart" in chartscan("project", "kit", "Banner").out
    refused = chartscan("match", "--project", "Banner", "--distinct")
    assert (refused.status, "Banner is kitted" in refused.err) == (1, True)
    assert set(_kit(chartscan)) == set(codes.values())  # its sheet prints at any time


def test_another_range_or_key_makes_the_choice_anew(
    chart: Path, tmp_path: Path, chartscan: Call
) -> None:
    key = tmp_path / "key.csv"
    key.write_text("class,code\n2,COR6\n", encoding="utf-8")
    _match(chartscan, chart, "--palette", RANGE, "--key", key)
    assert chartscan("project", "change", "Banner", "--fabric", "14").status == 0
    assert "COR6" in _kit(chartscan)
    changed = chartscan("project", "change", "Banner", "--palette", "fenmarl-pearl")
    assert changed.status == 0, changed.err
    assert "COR6" not in _kit(chartscan)


def test_what_a_projects_key_names_is_kept_and_the_file_needed_no_more(
    chart: Path, tmp_path: Path, chartscan: Call
) -> None:
    key = tmp_path / "key.csv"
    key.write_text("class,code\n2,COR6+STO4\n", encoding="utf-8")
    new = ("project", "new", "Banner", "--chart", chart, "--palette", RANGE, "--key", key)
    assert chartscan(*new, "--fabric", "14").status == 0
    key.unlink()
    before = _kit(chartscan)
    assert {"COR6", "STO4"} <= set(before)
    assert chartscan("project", "change", "Banner", "--copies", "2").status == 0
    assert set(_kit(chartscan)) == set(_plan(chartscan)) == set(before)


def test_a_choice_holds_on_to_its_classes_when_their_numbers_move(
    chart: Path, tmp_path: Path, chartscan: Call
) -> None:
    codes = _match(chartscan, chart, "--palette", RANGE)
    palette, read = load_palette(Path(RANGE)), load_chart(chart)
    with open_ledger(tmp_path / "stash.db") as ledger:
        chosen = load_chosen(ledger, find_project(ledger, "Banner").id, palette)
        moved = Chart(
            np.array([0, 3, 1, 2], dtype=np.int32)[read.cells],
            tuple(
                ChartClass(i, read.classes[old].kind, read.classes[old].rgb)
                for i, old in enumerate((0, 2, 3, 1))
            ),
        )
        picks = chosen.picks(1, moved).picks
        now = {new: picks[new].threads[0].code for new in (1, 2, 3)}
        assert now == {1: codes[2], 2: codes[3], 3: codes[1]}
        with acting(ledger, "changed"):
            drop_chosen(ledger, 1)
        assert not load_chosen(ledger, 1, palette).parts


def test_blends_and_threads_that_only_the_stash_knows_are_kept(
    chart: Path, tmp_path: Path, chartscan: Call
) -> None:
    _match(chartscan, chart, "--palette", RANGE)
    palette = load_palette(Path(RANGE))
    pearl = load_palette(Path("fenmarl-pearl")).threads[0]
    with open_ledger(tmp_path / "stash.db") as ledger:
        project = find_project(ledger, "Banner")
        (mark, _), *others = load_chosen(ledger, project.id, palette).parts[1]
        pair = Pick((palette.threads[3], palette.threads[9]))
        keep_chosen(ledger, "Banner", 1, [(mark, pair), (others[0][0], Pick((pearl,))), others[1]])
        kept = load_chosen(ledger, project.id, palette).parts[1]
    assert kept[0][1].threads == pair.threads
    assert kept[1][1].threads[0].code == pearl.code
    assert kept[1][1].threads[0].metres == pearl.metres
    assert chartscan("project", "change", "Banner", "--fabric", "14").status == 0
    assert {t.code for t in (*pair.threads, pearl)} <= set(_kit(chartscan))


def test_what_has_no_thread_yet_is_not_kept(chart: Path) -> None:
    from chartscan.palette.matching import match

    read = load_chart(chart)
    symbols = tuple(ChartClass(c.index, c.kind, None, f"s{c.index}") for c in read.classes)
    bare = Chart(read.cells, symbols)
    assert not marked_of(bare, match(bare, load_palette(Path(RANGE))))


def test_a_thread_of_the_projects_own_range_needn_t_be_in_the_stash(
    chart: Path, chartscan: Call
) -> None:
    first = _match(chartscan, chart, "--palette", RANGE)[1]
    assert chartscan("project", "change", "Banner", "--fabric", "14").status == 0
    assert chartscan("project", "choose", "Banner", first, "cor6").status == 0
    assert "COR6" in _kit(chartscan)
    assert first not in _kit(chartscan)
    unknown = chartscan("project", "choose", "Banner", "COR6", "nowhere")
    assert unknown.status == 1
    assert "no thread nowhere in the stash" in unknown.err


def _settled(stand_ins: dict[str, str], called: dict[int, str], worked: dict[int, str]) -> Chosen:
    """What :func:`settle` makes of a choice for classes 1, 2, … told as codes."""
    palette = load_palette(Path(RANGE))
    chart = chart_of(["#c43e3a", "#346842", "#ecd68c"])

    def pick(code: str) -> Pick:
        return Pick((find_thread(palette, code),))

    def line(code: str) -> tuple[str, str]:
        return (find_thread(palette, code).line, code)

    marked = tuple((mark_class(chart, n), pick(code)) for n, code in called.items())
    ins = {
        line(code): StandIn(line(code), find_thread(palette, used), "why")
        for code, used in stand_ins.items()
    }
    matches = match_picked(chart, palette, picks={n: pick(code) for n, code in worked.items()})
    return settle(Chosen({1: marked, 2: marked}, ins), 1, chart, matches)


@pytest.mark.parametrize(
    ("stand_ins", "worked", "called", "left"),
    [
        # worked as before: the reason stays with what is called for
        ({"EMB5": "EMB6"}, {1: "EMB6", 2: "MOS3", 3: "BUT3"}, ["EMB5", "MOS3", "BUT3"], {"EMB5"}),
        # another class in the thread that stands in: the stand-in is not touched
        ({"EMB5": "EMB6"}, {1: "EMB6", 2: "EMB6", 3: "BUT3"}, ["EMB5", "EMB6", "BUT3"], {"EMB5"}),
        # the thread called for is wanted itself, in another class: the first goes on as it is
        ({"EMB5": "EMB6"}, {1: "EMB6", 2: "EMB5", 3: "BUT3"}, ["EMB6", "EMB5", "BUT3"], set()),
        # two that changed places, and one of them wanted
        (
            {"EMB5": "MOS3", "MOS3": "EMB5"},
            {1: "MOS3", 2: "EMB5", 3: "EMB5"},
            ["MOS3", "EMB5", "EMB5"],
            set(),
        ),
    ],
)
def test_what_is_worked_stays_worked_when_a_stand_in_ends(
    stand_ins: dict[str, str], worked: dict[int, str], called: list[str], left: set[str]
) -> None:
    before = {1: "EMB5", 2: "MOS3", 3: "BUT3"}
    after = _settled(stand_ins, before, worked)
    assert [pick.threads[0].code for _, pick in after.parts[1]] == called
    assert {code for _, code in after.stand_ins} == left
    now = [after.worked(pick).threads[0].code for _, pick in after.parts[1]]
    assert now == list(worked.values())
    other = [after.worked(pick).threads[0].code for _, pick in after.parts[2]]
    assert other == [stand_ins.get(code, code) for code in before.values()]


def test_the_plan_says_how_far_off_each_thread_is_and_a_stand_in_by_itself(
    chart: Path, chartscan: Call, tmp_path: Path
) -> None:
    codes = _match(chartscan, chart, "--palette", RANGE)
    assert chartscan("project", "change", "Banner", "--fabric", "14").status == 0
    kit = json.loads(chartscan("kit", "--project", "Banner", "--json").out)["threads"]
    planned = json.loads(chartscan("project", "plan", "Banner", "--json").out)["threads"]
    by_kit = {t["code"]: t["delta_e"] for t in kit}
    assert {t["code"]: t["delta_e"] for t in planned} == pytest.approx(by_kit, abs=0.0011)
    assert f" {by_kit[codes[1]]:.1f} " in chartscan("project", "plan", "Banner").out

    assert chartscan("project", "choose", "Banner", codes[1], "EMB3").status == 0
    kit = json.loads(chartscan("kit", "--project", "Banner", "--json").out)["threads"]
    by_kit = {t["code"]: t["delta_e"] for t in kit}
    planned = json.loads(chartscan("project", "plan", "Banner", "--json").out)["threads"]
    assert {t["code"]: t["delta_e"] for t in planned} == pytest.approx(by_kit, abs=0.0011)
    assert chartscan("project", "change", "Banner", "--copies", "2").status == 0
    again = json.loads(chartscan("project", "plan", "Banner", "--json").out)["threads"]
    assert {t["code"]: t["delta_e"] for t in again} == pytest.approx(by_kit, abs=0.0011)

    out = tmp_path / "out"
    assert chartscan("stash", "export", "all", out).status == 0
    other = ("--stash", tmp_path / "other.db")
    (out / "history.csv").unlink(missing_ok=True)
    assert chartscan("stash", "import", "all", out, *other).status == 0
    there = json.loads(chartscan("project", "plan", "Banner", "--json", *other).out)["threads"]
    assert {t["code"]: t["delta_e"] for t in there} == pytest.approx(by_kit, abs=0.0011)


def test_a_stand_in_of_another_colour_or_one_that_others_have_is_warned_of(
    chart: Path, chartscan: Call
) -> None:
    codes = _match(chartscan, chart, "--palette", RANGE)
    assert chartscan("project", "change", "Banner", "--fabric", "14").status == 0
    swapped = chartscan("project", "choose", "Banner", codes[1], codes[2])
    assert swapped.status == 0
    assert f"Warning: {codes[2]} is another colour than the chart's (ΔE " in swapped.err
    both = " and ".join(sorted(codes[i] for i in (1, 2)))
    assert f"Warning: what calls for {both} is all worked in {codes[2]}" in swapped.err
    back = chartscan("project", "choose", "Banner", codes[1], codes[1])
    assert (back.status, back.err) == (0, "")
