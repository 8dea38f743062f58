"""The archive's screen: a catalogue looked through on the table, and charts taken from it."""

from __future__ import annotations

import json
from dataclasses import replace
from functools import partial
from pathlib import Path
from typing import Any

import pytest

from chartscan.archive.processes import processes
from chartscan.chart import load_chart, save_chart
from chartscan.chart.corrections.tell import tell
from chartscan.tasks.archive import read_archive
from chartscan.tasks.catalogue import list_charts
from chartscan.worktable.app import App
from chartscan.worktable.table import Table
from tests.archive.conftest import draw_cells, draw_page
from tests.archive.test_together import design
from tests.worktable.access import in_order, violations
from tests.worktable.browser import Browser
from tests.worktable.conftest import HOST, Caller
from tests.worktable.serving import serving
from tests.worktable.steps import go, press_on, quiet, reach
from tests.worktable.waiting import until


@pytest.fixture(scope="module")
def guild(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A catalogue of four charts, two of which are pages of one."""
    folder = tmp_path_factory.mktemp("guild")
    draw_page(folder / "scans" / "<b>first.png", 14, 10)
    draw_page(folder / "scans" / "second.png", 30, 20, seed=4)
    cells = design(5)
    draw_cells(folder / "scans" / "x-1.png", cells[:, :26])
    draw_cells(folder / "scans" / "x-2.png", cells[:, 24:])
    read_archive([folder / "scans"], folder / "guild.catalogue", partial(processes, 1))
    return folder / "guild.catalogue"


@pytest.fixture
def caller(table: Table, guild: Path) -> Caller:
    """A page on a table that was started with the catalogue."""
    with_it = replace(table, catalogue=guild)
    key = with_it.keys.exchange(with_it.keys.new_address_key()) or ""
    return Caller(with_it, App(with_it, HOST, lambda: None), key=key)


def _rows(caller: Caller, **wanted: object) -> dict[str, Any]:
    told: dict[str, Any] = json.loads(caller.look("archive", "list", **wanted).data)
    return told


def test_a_table_without_a_catalogue_shows_no_way_to_one(page: Caller, caller: Caller) -> None:
    assert b'data-step="archive"' not in page.call("GET", "/").data
    assert page.screen("archive").status_code == 404
    assert page.look("archive", "list").status_code == 404
    assert page.act("archive", "take", number=1).status_code == 404
    assert b'data-step="archive"' in caller.call("GET", "/").data
    assert "guild" in caller.screen("archive").text


def test_charts_are_narrowed_by_what_is_typed(caller: Caller) -> None:
    told = _rows(caller)
    assert (told["all"], len(told["rows"])) == (4, 4)
    assert [len(whole) for whole in told["together"]] == [2]
    names = {row["name"] for row in _rows(caller, columns=20)["rows"]}
    assert names == {"<b>first.png"}
    assert _rows(caller, words="second", rows=20)["all"] == 1
    assert _rows(caller, words="nowhere") == {**told, "all": 0, "rows": []}
    assert caller.look("archive", "list", columns="many").status_code == 400


def test_a_chart_has_a_small_picture(caller: Caller) -> None:
    number = _rows(caller)["rows"][0]["number"]
    assert caller.look("archive", "small", number=number).data[:8] == b"\x89PNG\r\n\x1a\n"
    assert caller.look("archive", "small", number=999).status_code == 404


def test_a_chart_is_laid_on_the_shelf_with_its_page(caller: Caller) -> None:
    (row,) = _rows(caller, words="second")["rows"]
    taken = caller.act("archive", "take", number=row["number"]).json
    assert taken is not None
    kept = until(caller.table, taken["chart"], lambda kept: kept.state in ("read", "refused"))
    assert (kept.state, kept.title) == ("read", "second")
    assert caller.table.shelf.chart(kept.id).columns == 30


def test_a_chart_that_was_corrected_comes_with_its_corrections(caller: Caller, guild: Path) -> None:
    (entry,) = (e for e in list_charts(guild) if e.path.endswith("first.png"))
    save_chart(tell(load_chart(entry.chart_file), ["set 3,3 1"]), entry.chart_file)
    taken = caller.act("archive", "take", number=entry.number).json
    assert taken is not None
    assert taken["screen"] == "check"
    chart = caller.table.shelf.chart(taken["chart"])
    assert len(chart.corrections) == 1
    assert caller.table.shelf.get(taken["chart"]).title == "<b>first"


@pytest.mark.browser
def test_the_archive_is_looked_through_and_taken_from_by_keys(
    browser: Browser, guild: Path, tmp_path: Path
) -> None:
    shown = "return document.querySelectorAll('#a-cards .card img:not(.none)').length"
    with serving(tmp_path / "table", "--catalogue", str(guild)) as served:
        browser.open(served.address)
        browser.find("[data-screen=shelf]")
        go(browser, "archive")
        browser.wait(f"{shown} === 4")
        assert "Charts 3, 4" in browser.text("#a-together")
        in_order(browser, "an archive")
        browser.size(1280, 800, dark=True)
        assert violations(browser) == []
        reach(browser, "[name=columns]")
        browser.press("1", "4")
        browser.wait(f"{shown} === 1")
        assert browser.text("#a-cards strong") == "<b>first.png"
        press_on(browser, "[data-take]")
        browser.find("[data-screen=outline], [data-screen=check]")  # by what was told of it before
        quiet(browser)
