"""Reading folders into a catalogue: each page once, whatever happens in between."""

from __future__ import annotations

import os
import sqlite3
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from chartscan.archive import examine
from chartscan.archive.catalogue import begun, charts_folder
from chartscan.archive.finding import Found, Lying, look_up
from chartscan.chart import load_chart, save_chart
from chartscan.chart.corrections.tell import tell
from chartscan.errors import ArchiveError, ChartscanError
from chartscan.remedies import Remedy
from chartscan.report.units import duration
from chartscan.tasks import archive
from chartscan.tasks.archive import ArchiveSettings, read_archive
from chartscan.tasks.catalogue import count_charts, count_pages, list_charts, list_missed
from tests.archive.conftest import draw_page

if TYPE_CHECKING:
    from tests.archive.conftest import InlineCrew


def test_every_page_is_read_once_though_it_lies_in_two_places(
    shelf: Path, tmp_path: Path, crew: InlineCrew
) -> None:
    into = tmp_path / "guild.catalogue"
    run = read_archive([shelf], into, crew)
    assert (run.files, run.pages, run.before) == (6, {"chart": 4, "unreadable": 1}, 0)
    assert len(crew.executor.asked) == 5
    found = list(list_charts(into))
    assert [Path(entry.path).name for entry in found] == [
        "page-0 copy.png",
        "page-1.png",
        "page-2.png",
        "page-3.png",
    ]
    for entry in found:
        chart = load_chart(entry.chart_file)
        assert (chart.columns, chart.rows) == (entry.columns, entry.rows) == (20, 12)
        assert chart.stitches == entry.stitches
        assert chart.source["file"].startswith("page-")
    assert {path.suffix for path in charts_folder(into).rglob("*") if path.is_file()} == {".json"}


def test_what_cannot_be_opened_is_told_with_its_reason(
    shelf: Path, tmp_path: Path, crew: InlineCrew
) -> None:
    into = tmp_path / "guild.catalogue"
    read_archive([shelf], into, crew)
    (page,) = list_missed(into, "unreadable")
    assert page.path.endswith("scan.jpg")
    assert page.reason.startswith("isn't a picture"), "its name stands before it already"
    assert count_pages(into)["unreadable"] == 1


def test_called_again_it_reads_what_has_come_in_since_and_nothing_else(
    shelf: Path, tmp_path: Path, crew: InlineCrew
) -> None:
    into = tmp_path / "guild.catalogue"
    read_archive([shelf], into, crew)
    crew.executor.asked.clear()
    draw_page(shelf / "issue-2" / "page-9.png", seed=7)
    (shelf / "issue-0" / "page-1.png").rename(shelf / "renamed.png")
    os.utime(shelf / "issue-1" / "page-2.png")
    run = read_archive([shelf], into, crew)
    assert [Path(leaf.path).name for leaf in crew.executor.asked] == ["page-9.png"]
    assert (run.pages, run.before) == ({"chart": 1}, 5)


def test_another_version_of_the_program_reads_again_but_not_what_a_person_corrected(
    shelf: Path, tmp_path: Path, crew: InlineCrew, monkeypatch: pytest.MonkeyPatch
) -> None:
    into = tmp_path / "guild.catalogue"
    read_archive([shelf], into, crew)
    mine = next(list_charts(into)).chart_file
    save_chart(tell(load_chart(mine), ["set 3,3 1"]), mine)
    kept = mine.read_bytes()
    monkeypatch.setattr(archive, "__version__", "999")
    run = read_archive([shelf], into, crew)
    assert (run.pages, run.kept) == ({"chart": 3, "unreadable": 1}, 1)
    assert mine.read_bytes() == kept
    assert {entry.version for entry in list_charts(into)} == {"999"}
    assert count_charts(into) == 4, "booked over, not twice"
    assert read_archive([shelf], into, crew).pages == {}


def test_a_page_that_shows_a_fault_of_the_program_is_set_aside_and_the_rest_goes_on(
    shelf: Path, tmp_path: Path, crew: InlineCrew, monkeypatch: pytest.MonkeyPatch
) -> None:
    look = examine._may_hold_chart

    def faulty(path: Path, number: int | None) -> bool:
        if path.name == "page-2.png":
            raise IndexError("index 7 is out of bounds\nand more")
        return look(path, number)

    monkeypatch.setattr(examine, "_may_hold_chart", faulty)
    into = tmp_path / "guild.catalogue"
    assert read_archive([shelf], into, crew).pages == {"chart": 3, "unreadable": 1, "aside": 1}
    (page,) = list_missed(into, "aside")
    assert page.reason == f"{examine.FAULT}: IndexError index 7 is out of bounds"


def test_pages_of_a_kind_are_read_again_when_asked(
    shelf: Path, tmp_path: Path, crew: InlineCrew
) -> None:
    into = tmp_path / "guild.catalogue"
    read_archive([shelf], into, crew)
    run = read_archive([shelf], into, crew, ArchiveSettings(again=("unreadable",)))
    assert run.pages == {"unreadable": 1}


def test_a_file_changed_under_way_is_not_booked_as_what_it_was(
    shelf: Path, tmp_path: Path, crew: InlineCrew, monkeypatch: pytest.MonkeyPatch
) -> None:
    into = tmp_path / "guild.catalogue"

    def changed(lying: Lying) -> Found | None:
        found = look_up(lying)
        if lying.path.endswith("page-3.png"):
            draw_page(Path(lying.path), seed=8)
        return found

    monkeypatch.setattr(archive, "look_up", changed)
    assert read_archive([shelf], into, crew).pages["aside"] == 1
    monkeypatch.undo()
    assert read_archive([shelf], into, crew).pages == {"chart": 1}


def test_a_stopped_run_goes_on_where_it_was(shelf: Path, tmp_path: Path, crew: InlineCrew) -> None:
    into = tmp_path / "guild.catalogue"

    class Enough(Exception):
        pass

    def stop(step: str, done: float) -> None:
        if done > 0.3:
            raise Enough

    with pytest.raises(Enough):
        read_archive([shelf], into, crew, progress=stop)
    before = sum(count_pages(into).values())
    assert 0 < before < 5
    run = read_archive([shelf], into, crew)
    assert sum(run.pages.values()) == 5 - before


def test_progress_says_pages_charts_and_the_time_left(
    shelf: Path, tmp_path: Path, crew: InlineCrew
) -> None:
    said: list[str] = []
    read_archive([shelf], tmp_path / "c", crew, progress=lambda step, done: said.append(step))
    assert said[-2].startswith("5 of 5 pages, 4 charts, ")
    assert said[-2].endswith(" left")
    assert said[-1] == "looking which pages make one chart"


def test_the_first_page_is_read_before_the_last_file_is_looked_up(
    shelf: Path, tmp_path: Path, crew: InlineCrew, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Over a million files digests alone take hours; no worker is to wait for them."""
    looked_up: list[str] = []
    read_by_then: list[int] = []

    def look(lying: Lying) -> Found | None:
        looked_up.append(lying.path)
        read_by_then.append(len(crew.executor.asked))
        return look_up(lying)

    monkeypatch.setattr(archive, "look_up", look)
    said: list[str] = []
    read_archive([shelf], tmp_path / "c", crew, progress=lambda step, done: said.append(step))
    assert len(looked_up) == 7, "six pictures and a text"
    assert read_by_then[-1] > 0
    assert any(step.startswith("1 of about ") for step in said), said


@pytest.mark.parametrize(
    ("seconds", "words"), [(12034, "3 h 20 min"), (240, "4 min"), (119, "119 s"), (0, "0 s")]
)
def test_a_time_is_said_in_units_that_matter(seconds: float, words: str) -> None:
    assert duration(seconds) == words


def test_one_process_books_at_a_time(shelf: Path, tmp_path: Path, crew: InlineCrew) -> None:
    into = tmp_path / "guild.catalogue"
    with (
        begun(into),
        pytest.raises(ArchiveError, match="an archive is being read into it") as refused,
    ):
        read_archive([shelf], into, crew)
    assert refused.value.remedies == (Remedy.WAIT_FOR_ARCHIVE,)
    assert read_archive([shelf], into, crew).pages["chart"] == 4


def test_what_is_no_catalogue_is_refused_and_not_touched(
    shelf: Path, tmp_path: Path, crew: InlineCrew
) -> None:
    other = tmp_path / "letters.db"
    with sqlite3.connect(other) as connection:
        connection.execute("CREATE TABLE letters (text)")
    connection.close()
    text = tmp_path / "list.txt"
    text.write_text("no database, but long enough to be looked at " * 30, encoding="utf-8")
    for path in (other, text):
        before = path.read_bytes()
        with pytest.raises(ArchiveError, match="not a catalogue"):
            read_archive([shelf], path, crew)
        with pytest.raises(ArchiveError, match="not a catalogue"):
            next(list_charts(path))
        assert path.read_bytes() == before
    with pytest.raises(ArchiveError, match="a plain file"):
        read_archive([shelf], shelf, crew)
    with pytest.raises(ArchiveError, match="no catalogue there"):
        next(list_charts(tmp_path / "none"))


def test_a_newer_catalogue_is_left_alone(shelf: Path, tmp_path: Path, crew: InlineCrew) -> None:
    into = tmp_path / "guild.catalogue"
    read_archive([shelf], into, crew)
    with sqlite3.connect(into) as connection:
        connection.execute("PRAGMA user_version = 99")
    connection.close()
    with pytest.raises(ArchiveError, match="newer chartscan"):
        read_archive([shelf], into, crew)


def test_a_missing_folder_is_named(tmp_path: Path, crew: InlineCrew) -> None:
    with pytest.raises(ChartscanError, match="no such folder"):
        read_archive([tmp_path / "nowhere"], tmp_path / "c", crew)
