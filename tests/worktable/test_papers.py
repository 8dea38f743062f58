"""The screen on which papers are seen, printed and saved, without a browser."""

from __future__ import annotations

import pytest

from chartscan.chart import parse_chart
from chartscan.stash.ledger import open_ledger
from chartscan.stash.plan import make_plan
from chartscan.tasks.drawer import add_fabric, describe_piece
from chartscan.worktable.guard import PAPER_POLICY
from chartscan.worktable.screens.papers import SAVED, SEEN
from chartscan.worktable.table import Table
from tests.palette.making import chart_of
from tests.worktable.conftest import Caller
from tests.worktable.kitted import lay


@pytest.fixture
def chart(table: Table) -> str:
    """Two colours, with a title that needs care."""
    return lay(table, chart_of(["#c83a32", "#20527a"]), "Weihnachten: Rot/Grün <i>")


@pytest.mark.parametrize("paper", SEEN)
def test_a_paper_is_laid_out_once_and_runs_nothing(page: Caller, chart: str, paper: str) -> None:
    laid = page.act("papers", "lay", chart=chart, paper=paper).json or {}
    seen = page.call("GET", laid["path"])
    assert seen.headers["Content-Security-Policy"] == PAPER_POLICY
    assert "Rot/Grün &lt;i&gt;" in seen.text
    assert "<i>" not in seen.text
    assert page.call("GET", laid["path"]).status_code == 404


@pytest.mark.parametrize("paper", [*SEEN, *SAVED])
def test_a_paper_is_saved_under_a_name_that_every_system_takes(
    page: Caller, chart: str, paper: str
) -> None:
    saved = page.look("papers", "save", chart=chart, paper=paper)
    assert saved.status_code == 200
    named = saved.headers["Content-Disposition"]
    assert named.startswith("attachment; filename*=UTF-8''")
    assert not set(':/\\<>?*"') & set(named.partition("''")[2])


def test_the_key_to_print_has_every_class_and_the_threads_that_were_chosen(
    page: Caller, chart: str
) -> None:
    laid = page.act("papers", "lay", chart=chart, paper="key_sheet").json or {}
    key = page.call("GET", laid["path"]).text
    assert "#c83a32" in key
    assert "#20527a" in key
    assert "<script" not in key, "nothing runs in the frame: no button that does nothing"
    chosen = page.look("papers", "save", chart=chart, paper="key").text.splitlines()[1:]
    assert all(line.split(",")[1] in key for line in chosen)


def test_the_chart_file_saved_is_the_chart_on_the_table(page: Caller, chart: str) -> None:
    saved = page.look("papers", "save", chart=chart, paper="chart")
    assert parse_chart(saved.json) == page.table.shelf.chart(chart)


def test_the_shopping_list_has_the_skeins_to_buy_and_cloth_unless_it_is_there(
    page: Caller, table: Table, chart: str
) -> None:
    def shopping() -> str:
        laid = page.act("papers", "lay", chart=chart, paper="shopping").json or {}
        return page.call("GET", laid["path"]).text

    before = shopping()
    assert "EMB5" in before
    assert "14 count" in before
    assert table.stash is not None
    add_fabric(table.stash, describe_piece(14, (500, 400)))
    assert "14 count" not in shopping()


@pytest.mark.parametrize("paper", ["", "../sheet", "diary"])
def test_a_paper_that_there_is_not_is_refused(page: Caller, chart: str, paper: str) -> None:
    assert page.act("papers", "lay", chart=chart, paper=paper).status_code == 400
    assert page.look("papers", "save", chart=chart, paper=paper).status_code == 400


def test_a_choice_becomes_a_project_of_the_drawer_and_follows_it(
    page: Caller, table: Table, chart: str
) -> None:
    assert table.stash is not None
    kept = page.act("papers", "plan", chart=chart, version=2, name="Robin").json or {}
    assert kept["missing"] == 3  # two threads and the cloth
    page.act("threads", "pick", chart=chart, version=3, code="BRO5", **{"class": 1})
    page.act("fabric", "choose", chart=chart, version=4, count=28, over=2)
    page.act("papers", "plan", chart=chart, version=5, name="Robin red")
    with open_ledger(table.stash) as ledger:
        plan = make_plan(ledger, "Robin red")
        assert ledger.value("SELECT count(*) FROM projects") == 1
    assert {t.thread.code for t in plan.threads} == {"BRO5", "COR6"}
    assert plan.fabrics[0].need.count == 28


def test_a_project_needs_a_name_and_one_of_its_own(page: Caller, table: Table, chart: str) -> None:
    assert page.act("papers", "plan", chart=chart, version=2, name=" ").status_code == 400
    page.act("papers", "plan", chart=chart, version=2, name="Robin")
    other = lay(table, chart_of(["#dba94c"]), "Other")
    refused = page.act("papers", "plan", chart=other, version=2, name="Robin")
    assert refused.status_code == 422
    assert table.shelf.get(other).version == 2
