"""A chart and the project made of it: one choice of threads, wherever it is changed."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from chartscan.stash.kitting import kit
from chartscan.stash.ledger import open_ledger
from chartscan.stash.plan import make_plan
from chartscan.tasks import choice, projects
from chartscan.tasks.drawer import add_fabric, add_threads, describe_piece, describe_threads
from chartscan.tasks.projects import kit_of_project
from chartscan.tasks.threads import choose_threads, open_range
from chartscan.worktable.jobs import CHART
from chartscan.worktable.table import Table
from tests.palette.making import chart_of
from tests.worktable.conftest import Caller
from tests.worktable.kitted import lay

MEADOWLINE = open_range(Path("meadowline"))
COLOURS = ["#c83a32", "#20527a", "#dba94c"]
REASON = "less orange by lamplight"


@pytest.fixture
def stash(table: Table) -> Path:
    """Where the ledger lies."""
    assert table.stash is not None
    return table.stash


@pytest.fixture
def chart(page: Caller, table: Table) -> str:
    """Three colours, kept as the project Robin; class 1 is worked in Ember 5."""
    laid = lay(table, chart_of(COLOURS))
    assert page.act("papers", "plan", chart=laid, version=2, name="Robin").status_code == 200
    assert _chosen(page, laid)[1] == "EMB5"
    return laid


def _chosen(page: Caller, chart: str) -> dict[int, str]:
    html = page.screen("threads", chart=chart).text
    rows = re.findall(r'data-class="(\d+)">(.*?)</li>', html, re.DOTALL)
    codes = {int(n): re.search(r"<strong>(.*?)</strong>", row) for n, row in rows}
    return {n: found[1] if found else "" for n, found in codes.items()}


def _planned(stash: Path, name: str = "Robin") -> set[str]:
    with open_ledger(stash) as ledger:
        return {need.thread.code for need in make_plan(ledger, name).threads}


def _in_kit(stash: Path) -> set[str]:
    return {line.thread.code for line in kit_of_project(stash, "Robin").threads}


def _sheet(page: Caller, chart: str) -> str:
    laid = page.act("papers", "lay", chart=chart, paper="sheet").json or {}
    return page.call("GET", laid["path"]).text


def test_a_stand_in_told_elsewhere_is_shown_with_its_reason_and_stands_on_the_sheet(
    page: Caller, stash: Path, chart: str
) -> None:
    choice.work_in(stash, "Robin", ("EMB5", None), ("EMB6", None), REASON)
    assert _chosen(page, chart)[1] == "EMB6"
    assert f"EMB6 instead of EMB5: {REASON}" in page.screen("threads", chart=chart).text
    sheet = _sheet(page, chart)
    assert "EMB6" in sheet


def test_threads_that_were_matched_elsewhere_are_the_chart_s(
    page: Caller, table: Table, stash: Path, chart: str
) -> None:
    read = table.shelf.chart(chart)
    others = choose_threads(chart_of(["#739c66", "#20527a", "#c57b98"]), MEADOWLINE)
    before = _chosen(page, chart)
    choice.keep_threads(stash, "Robin", read, others)
    now = _chosen(page, chart)
    assert set(now.values()) == _planned(stash) == _in_kit(stash)
    assert now[2] == before[2]
    assert {now[1], now[3]}.isdisjoint(before.values())


def test_a_pick_is_the_project_s_and_what_stands_in_elsewhere_keeps_its_reason(
    page: Caller, stash: Path, chart: str
) -> None:
    choice.work_in(stash, "Robin", ("EMB5", None), ("EMB6", None), REASON)
    page.act("threads", "pick", chart=chart, version=3, code="MOS3", **{"class": 2})
    assert _chosen(page, chart) == {**_chosen(page, chart), 1: "EMB6", 2: "MOS3"}
    assert _planned(stash) == _in_kit(stash) == set(_chosen(page, chart).values())
    assert REASON in page.screen("threads", chart=chart).text


def test_the_thread_that_was_called_for_is_worked_again_when_it_is_picked(
    page: Caller, stash: Path, chart: str
) -> None:
    choice.work_in(stash, "Robin", ("EMB5", None), ("EMB6", None), REASON)
    page.act("threads", "pick", chart=chart, version=3, code="EMB5", **{"class": 1})
    assert _chosen(page, chart)[1] == "EMB5"
    assert {"EMB5"} <= _planned(stash) == _in_kit(stash)
    assert "EMB6" not in _planned(stash)


def test_how_threads_are_chosen_leaves_what_was_told_elsewhere(
    page: Caller, stash: Path, chart: str
) -> None:
    choice.work_in(stash, "Robin", ("EMB5", None), ("EMB6", None), REASON)
    add_threads(stash, describe_threads(["COR5"], palette=MEADOWLINE), skeins=3)
    before = _chosen(page, chart)
    page.act("threads", "choose", chart=chart, version=3, own_within=30)
    now = _chosen(page, chart)
    assert now == {**before, 2: "COR5"}
    assert _planned(stash) == set(now.values())


def test_brought_up_to_date_the_project_keeps_its_reason(
    page: Caller, stash: Path, chart: str
) -> None:
    choice.work_in(stash, "Robin", ("EMB5", None), ("EMB6", None), REASON)
    page.act("fabric", "choose", chart=chart, version=3, count=28, over=2)
    page.act("papers", "plan", chart=chart, version=4, name="Robin")
    with open_ledger(stash) as ledger:
        plan = make_plan(ledger, "Robin")
    assert plan.fabrics[0].need.count == 28
    assert "EMB6" in {need.thread.code for need in plan.threads}
    assert REASON in page.screen("threads", chart=chart).text


def test_a_kitted_project_s_threads_stay_and_the_page_says_why(
    page: Caller, table: Table, stash: Path, chart: str
) -> None:
    add_threads(stash, describe_threads(sorted(_planned(stash)), palette=MEADOWLINE), skeins=5)
    add_fabric(stash, describe_piece(14, (500, 400)))
    with open_ledger(stash) as ledger:
        kit(ledger, "Robin")
    before = _chosen(page, chart)
    refused = page.act("threads", "pick", chart=chart, version=3, code="MOS3", **{"class": 1})
    assert refused.status_code == 422
    assert "Robin is kitted" in (refused.json or {})["error"]
    assert _chosen(page, chart) == before
    assert table.shelf.get(chart).version == 3
    assert "promised to Robin" not in page.screen("threads", chart=chart).text


def test_a_renamed_project_is_found_by_its_chart(page: Caller, stash: Path, chart: str) -> None:
    projects.change(stash, "Robin", {"name": "Redbreast"})
    page.act("threads", "pick", chart=chart, version=3, code="MOS3", **{"class": 1})
    assert "MOS3" in _planned(stash, "Redbreast")
    assert 'value="Redbreast"' in page.screen("papers", chart=chart).text


def test_a_project_whose_range_is_gone_is_said_and_the_chart_stands_by_itself(
    page: Caller, table: Table, stash: Path, tmp_path: Path
) -> None:
    laid = lay(table, chart_of(COLOURS))
    own = tmp_path / "mine.csv"
    own.write_text("code,name,hex\nA1,Red,#c83a32\nA2,Blue,#20527a\n", encoding="utf-8")
    file = table.shelf.folder(laid) / CHART
    projects.begin(stash, "Mine", projects.project_data({"palette": own}), [str(file)])
    assert _planned(stash, "Mine") <= {"A1", "A2"}
    own.unlink()
    assert _chosen(page, laid)[1] == "EMB5"
    assert "mine.csv" in page.screen("threads", chart=laid).text
