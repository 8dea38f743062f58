"""What is there already stays unless she says otherwise; what is written is what its name says."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import pytest

if TYPE_CHECKING:
    from tests.cli.conftest import Call

SAMPLE = ("--palette", "meadowline", "--fabric", "28")


@pytest.mark.parametrize("option", ["--sheet", "--label", "--csv", "--picture", "--working"])
def test_a_file_that_is_there_is_written_over_only_when_asked(
    chart_file: Path, tmp_path: Path, chartscan: Call, option: str
) -> None:
    ending = {"--csv": ".csv", "--picture": ".png"}.get(option, ".html")
    mine = tmp_path / f"mine{ending}"
    mine.write_text("my own words", encoding="utf-8")
    refused = chartscan("kit", chart_file, *SAMPLE, option, mine)
    assert (refused.status, refused.out) == (2, "")
    assert f"{mine} is there already" in refused.err
    assert "--overwrite" in refused.err
    assert mine.read_text(encoding="utf-8") == "my own words"
    written = chartscan("kit", chart_file, *SAMPLE, option, mine, "--overwrite")
    assert written.status == 0, written.err
    assert f"Wrote {mine}" in written.err
    assert mine.read_bytes() != b"my own words"


def test_one_that_is_there_keeps_all_of_them_from_being_written(
    chart_file: Path, tmp_path: Path, chartscan: Call
) -> None:
    new, there = tmp_path / "new.html", tmp_path / "there.csv"
    there.write_text("mine", encoding="utf-8")
    assert chartscan("kit", chart_file, *SAMPLE, "--sheet", new, "--csv", there).status == 2
    assert not new.exists()


@pytest.mark.parametrize(
    ("option", "name", "word"),
    [
        ("--sheet", "kit.pdf", "print it to PDF from your browser"),
        ("--label", "kit.PDF", "print it to PDF from your browser"),
        ("--csv", "kit.xlsx", "every spreadsheet opens"),
        ("--picture", "kit.jpg", "(.png)"),
    ],
)
def test_a_name_of_another_kind_is_refused_with_a_way_out(
    chart_file: Path, tmp_path: Path, chartscan: Call, option: str, name: str, word: str
) -> None:
    refused = chartscan("kit", chart_file, *SAMPLE, option, tmp_path / name)
    assert refused.status == 2
    assert word in refused.err
    assert not (tmp_path / name).exists()


def test_sheets_in_a_folder_are_written_over_only_when_asked(
    chart_file: Path, tmp_path: Path, chartscan: Call
) -> None:
    assert chartscan("redraw", chart_file, "--svg", tmp_path).status == 0
    sheet = tmp_path / "sheet-1.svg"
    sheet.write_text("my own notes in it", encoding="utf-8")
    refused = chartscan("redraw", chart_file, "--svg", tmp_path)
    assert (refused.status, sheet.read_text(encoding="utf-8")) == (2, "my own notes in it")
    assert "--overwrite" in refused.err
    assert chartscan("redraw", chart_file, "--svg", tmp_path, "--overwrite").status == 0
    assert sheet.read_text(encoding="utf-8").startswith("<svg")


def test_an_export_and_a_backup_are_written_over_only_when_asked(
    tmp_path: Path, chartscan: Call
) -> None:
    told = ("--stash", tmp_path / "stash.db")
    assert chartscan("stash", "add", "thread", "T1=2", *told).status == 0
    for call in (
        ("stash", "export", "threads", tmp_path / "threads.csv"),
        ("stash", "export", "all", tmp_path / "all"),
        ("stash", "backup", tmp_path / "stash.backup"),
    ):
        assert chartscan(*call, *told).status == 0
        refused = chartscan(*call, *told)
        assert refused.status == 2
        assert "is there already" in refused.err
        assert chartscan(*call, *told, "--overwrite").status == 0


def test_a_chart_read_again_into_its_file_needs_no_leave(
    stripes: Path, tmp_path: Path, chartscan: Call
) -> None:
    """What was corrected in it is carried over, so nothing is lost."""
    chart = tmp_path / "chart.json"
    assert chartscan("read", stripes, "-o", chart).status == 0
    assert chartscan("read", stripes, "-o", chart).status == 0


def test_the_stash_says_what_it_wrote(tmp_path: Path, chartscan: Call) -> None:
    stash = tmp_path / "stash.db"
    assert chartscan("stash", "add", "thread", "T1=2", "--stash", stash).status == 0
    page = tmp_path / "list.html"
    assert f"Wrote {page}" in chartscan("stash", "list", "--sheet", page, "--stash", stash).err
    assert chartscan("stash", "list", "--sheet", page, "--stash", stash).status == 2
    table = tmp_path / "list.csv"
    assert f"Wrote {table}" in chartscan("shop", "list", "--csv", table, "--stash", stash).err
