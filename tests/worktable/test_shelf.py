"""The shelf: charts and projects as pictures, what is open on each, what can be started today."""

from __future__ import annotations

import re
from dataclasses import replace
from pathlib import Path

from chartscan.chart import save_chart
from chartscan.stash.ledger import open_ledger
from chartscan.stash.needs import add_notion_need
from chartscan.stash.notions import NotionInfo
from chartscan.tasks import projects
from chartscan.worktable.table import Table
from tests.palette.making import chart_of
from tests.worktable.conftest import Caller
from tests.worktable.kitted import lay

PNG = b"\x89PNG\r\n\x1a\n"


def card_of(page: Caller, name: str) -> str:
    """What the shelf says of a project."""
    shown = page.screen("shelf").text
    found = re.search(rf'<li class="card" data-project="{name}">.*?</li>', shown, re.DOTALL)
    assert found, shown
    return found[0]


def begin(table: Table, name: str, chart: Path | None = None, **data: object) -> None:
    assert table.stash is not None
    projects.begin(table.stash, name, data, [str(chart)] if chart else [])


def test_a_shelf_without_a_drawer_shows_no_projects(page: Caller) -> None:
    assert "data-project" not in page.screen("shelf").text


def test_a_project_shows_its_design_on_its_fabric(
    page: Caller, table: Table, tmp_path: Path
) -> None:
    save_chart(chart_of(["#c83a32", "#2050a0"]), tmp_path / "robin.json")
    begin(table, "Robin", tmp_path / "robin.json", fabric_hex="#203040")
    assert 'data-look="shelf/project"' in card_of(page, "Robin")
    assert page.look("shelf", "project", name="Robin").data.startswith(PNG)
    (tmp_path / "robin.json").unlink()
    assert "data-look" not in card_of(page, "Robin")


def test_the_name_of_a_project_leads_to_no_other_file(page: Caller, table: Table) -> None:
    begin(table, "Robin")
    for name in ("Robin", "../../etc/passwd", "Nobody"):
        assert page.look("shelf", "project", name=name).status_code == 422


def test_what_can_be_started_today_stands_before_what_lacks_something(
    page: Caller, table: Table
) -> None:
    begin(table, "Wren", place="tin box", deadline="2027-03-01")
    begin(table, "Robin")
    assert table.stash is not None
    assert "Nothing is known of what it needs" in card_of(page, "Robin")
    with open_ledger(table.stash) as ledger:
        add_notion_need(ledger, "Wren", NotionInfo("hoop"), 1)
    before = card_of(page, "Wren")
    assert "tin box" in before
    assert "2027-03-01" in before
    assert "Lacks one notion" in before
    assert "Can be started today" not in page.screen("shelf").text
    page.act("drawer", "add_notion", name="hoop", amount=1)
    shown = page.screen("shelf").text
    assert "it can be started today" in card_of(page, "Wren")
    assert shown.index("Can be started today") < shown.index('data-project="Wren"')
    assert shown.index('data-project="Wren"') < shown.index("Projects under way")
    assert shown.index("Projects under way") < shown.index('data-project="Robin"')


def test_a_project_made_of_a_chart_on_the_table_leads_to_its_papers(
    page: Caller, table: Table
) -> None:
    chart = lay(table, chart_of(["#c83a32"]))
    begin(table, "Robin")
    table.shelf.change(chart, None, lambda k: replace(k, choices={"project": {"name": "Robin"}}))
    assert f"#/papers/{chart}" in card_of(page, "Robin")
    begin(table, "Wren")
    assert "#/drawer" in card_of(page, "Wren")
