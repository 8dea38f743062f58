"""``chartscan archive …`` as a person calls it."""

from __future__ import annotations

import csv
import json
import re
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from tests.archive.conftest import draw_cells, draw_page

if TYPE_CHECKING:
    from tests.cli.conftest import Call


@pytest.fixture(scope="module")
def guild(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A catalogue of three charts of different sizes, made by real processes."""
    from functools import partial

    from chartscan.archive.processes import processes
    from chartscan.tasks.archive import read_archive

    folder = tmp_path_factory.mktemp("guild")
    for number, (columns, rows) in enumerate([(12, 10), (20, 12), (40, 30)]):
        draw_page(folder / "scans" / f"page-{number}.png", columns, rows, seed=number)
    (folder / "scans" / "torn.png").write_bytes(b"\x89PNG torn")
    read_archive([folder / "scans"], folder / "guild.catalogue", partial(processes, 1))
    return folder


def _in_a_line(text: str) -> str:
    """What was said, however it was broken into lines."""
    return re.sub(r"\s+", " ", text)


def test_reading_again_says_that_nothing_was_left_to_do(guild: Path, chartscan: Call) -> None:
    done = chartscan("archive", "read", guild / "scans", "--into", guild / "guild.catalogue")
    assert done.status == 0
    assert "4 files found; 0 pages booked, 4 before" in _in_a_line(done.out)
    told = chartscan(
        "archive", "read", guild / "scans", "--into", guild / "guild.catalogue", "--json"
    )
    assert json.loads(told.out)["before"] == 4


def test_charts_are_listed_by_size_as_json_and_as_a_table(
    guild: Path, chartscan: Call, tmp_path: Path
) -> None:
    catalogue, table = guild / "guild.catalogue", tmp_path / "charts.csv"
    done = chartscan("archive", "list", catalogue, "--at-most", "30x30", "--json", "--csv", table)
    charts = json.loads(done.out)["charts"]
    assert [(c["columns"], c["rows"]) for c in charts] == [(12, 10), (20, 12)]
    assert chartscan("count", charts[0]["chart_file"], "--expect-size", "12x10").status == 0
    rows = list(csv.DictReader(table.read_text(encoding="utf-8-sig").splitlines()))
    assert [row["columns"] for row in rows] == ["12", "20"]
    assert rows[0]["palette"].startswith("#")
    assert "3 charts." in chartscan("archive", "list", catalogue).out
    assert "0 of 3 charts." in chartscan("archive", "list", catalogue, "--one-colour").out


def test_charts_are_listed_that_fit_on_a_piece_of_cloth(guild: Path, chartscan: Call) -> None:
    """At 14 to the inch 40 stitches are 72.6 mm, and 30 are 54.4; with 10 mm on each side."""
    cloth = ("--fabric", "14", "--margin", "10")

    def sizes(piece: str) -> list[int]:
        arguments = ("archive", "list", guild / "guild.catalogue", *cloth, "--piece", piece)
        charts = json.loads(chartscan(*arguments, "--json").out)["charts"]
        return [chart["columns"] for chart in charts]

    assert sizes("93x75") == [12, 20, 40]
    assert sizes("75x93") == [12, 20, 40], "turned"
    assert sizes("92x75") == [12, 20]


def test_charts_are_listed_for_which_all_is_at_hand(
    guild: Path, chartscan: Call, tmp_path: Path
) -> None:
    palette, full, less = (tmp_path / n for n in ("range.csv", "full.csv", "less.csv"))
    palette.write_text(
        "code,name,hex\nR,red,#c43e3a\nG,green,#346842\nY,yellow,#ecd68c\nW,white,#ffffff\n",
        encoding="utf-8",
    )
    full.write_text("code,skeins\nR,3\nG,3\nY,3\nW,3\n", encoding="utf-8")
    less.write_text("code,skeins\nR,3\nG,3\n", encoding="utf-8")
    asked = (
        *("archive", "list", guild / "guild.catalogue", "--palette", palette, "--json"),
        *("--fabric", "14", "--piece", "50x50cm"),
    )

    def listed(*owned: str | Path) -> int:
        return len(json.loads(chartscan(*asked, *owned).out)["charts"])

    assert listed("--owned", full) == 3
    assert listed("--owned", less) == 0


def test_a_sheet_of_pictures_shows_every_chart(
    guild: Path, chartscan: Call, tmp_path: Path
) -> None:
    sheet = tmp_path / "charts.html"
    done = chartscan("archive", "list", guild / "guild.catalogue", "--sheet", sheet)
    assert done.status == 0, done.err
    page = sheet.read_text(encoding="utf-8")
    assert page.count('<img src="data:image/png;base64,') == 3
    assert "12 × 10" in page
    assert "scans/page-0.png" in page


def test_what_was_missed_is_listed_with_its_reason(guild: Path, chartscan: Call) -> None:
    done = chartscan("archive", "missed", guild / "guild.catalogue", "--kind", "unreadable")
    assert "torn.png: " in done.out
    assert "3 charts, 0 other, 0 refused, 1 unreadable, 0 aside" in done.err


def test_what_was_missed_is_listed_though_no_kind_is_asked_for(
    guild: Path, chartscan: Call
) -> None:
    done = chartscan("archive", "missed", guild / "guild.catalogue")
    assert done.out.startswith("unreadable: ")
    assert "torn.png" in done.out


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (("list", "nowhere.catalogue"), "no catalogue there"),
        (("read", "nowhere", "--into", "c"), "no such folder"),
        (("list", "c", "--piece", "1x1"), "--piece needs --fabric"),
        (("list", "c", "--colours", "5-3"), "doesn't run upwards"),
        (("list", "c", "--colours", "few"), "isn't a range"),
        (("list", "c", "--owned", "o.csv"), "needs --palette and --fabric"),
        (("list", "c", "--one-colour", "--colours", "3"), "can't both be given"),
        (("read", ".", "--into", "c", "--workers", "2", "--scheduler", "tcp://x:1"), "--workers"),
        (("read", "a", "b", "--into", "c", "--seen-as", "/d"), "--seen-as goes with one FOLDER"),
    ],
)
def test_what_is_wrong_is_said_in_one_line(
    arguments: tuple[str, ...],
    said: str,
    chartscan: Call,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.chdir(tmp_path)
    done = chartscan("archive", *arguments)
    assert done.status in (1, 2)
    assert said in done.err
    assert len(done.err.splitlines()) == 1


def test_pages_of_one_chart_are_told_under_the_list_and_joined(
    chartscan: Call, tmp_path: Path
) -> None:
    from tests.archive.test_together import design

    shelf, catalogue = tmp_path / "scans", tmp_path / "guild.catalogue"
    cells = design(5)
    draw_cells(shelf / "page-1.png", cells[:, :26])
    draw_cells(shelf / "page-2.png", cells[:, 24:])
    read = chartscan("archive", "read", shelf, "--into", catalogue, "--workers", "1")
    assert "1 chart on several pages to join" in _in_a_line(read.out)
    listed = _in_a_line(chartscan("archive", "list", catalogue).out)
    assert "Charts 1 and 2 seem to be one, side by side: 2 columns or rows are on both" in listed
    told = json.loads(chartscan("archive", "list", catalogue, "--json").out)
    assert [whole["charts"] for whole in told["together"]] == [[1, 2]]
    assert chartscan("archive", "join", catalogue, "2").out.startswith("charts 1 and 2 are one now")
    told = json.loads(chartscan("archive", "list", catalogue, "--json").out)
    (chart,) = told["charts"]
    assert (chart["columns"], chart["rows"], chart["pages"]) == (48, 36, 2)
    assert told["together"] == []
    wrong = chartscan("archive", "join", catalogue, "1", "7")
    assert (wrong.status, wrong.err.count("\n")) == (1, 1)
    assert "chart 1 was joined" in wrong.err or "has no chart 7" in wrong.err
    assert (
        chartscan("archive", "join", catalogue, "1", "--apart").out == "charts 1 and 2 stay apart\n"
    )
    assert "2 charts." in chartscan("archive", "list", catalogue).out
