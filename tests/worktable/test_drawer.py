"""The drawer on the table, without a browser."""

from __future__ import annotations

from typing import Any

import pytest

from chartscan.cli.main import run
from chartscan.worktable.kitting import stash_of
from chartscan.worktable.table import Table
from tests.worktable.conftest import Caller

HOSTILE = "<script>alert(1)</script>"


def _rows(page: Caller, part: str, words: str = "") -> list[dict[str, Any]]:
    found = page.look("drawer", "list", part=part, words=words).json or {}
    rows: list[dict[str, Any]] = found["rows"]
    return rows


def _add(page: Caller, code: str, skeins: int = 1, lot: str = "") -> Any:  # noqa: ANN401 - JSON
    return page.act("drawer", "add_thread", range="meadowline", code=code, skeins=skeins, lot=lot)


def test_a_drawer_that_is_not_begun_is_empty_and_says_so(page: Caller) -> None:
    assert "Nothing is kept in the drawer yet" in page.screen("drawer").text
    assert all(_rows(page, part) == [] for part in ("threads", "fabrics", "projects", "past"))


def test_what_is_added_is_there_and_is_found_by_any_of_its_words(page: Caller) -> None:
    assert _add(page, "ros1", 2, "L7").json == {"name": "Meadowline ROS1"}
    told = {"count": 28, "width_cm": 50, "height_cm": 70.5, "colour": "ivory", "pieces": 2}
    assert page.act("drawer", "add_fabric", rgb=[250, 246, 230], **told).json == {"name": "F1, F2"}
    page.act("drawer", "add_notion", name="seed beads", amount=2.5, unit="packet")
    (thread,) = _rows(page, "threads", "rosehip ros1")
    assert (thread["skeins"], thread["free"], thread["lots"]) == ("2", "2", ["L7"])
    assert [row["size"][:14] for row in _rows(page, "fabrics", "IVORY 28")] == [
        "50.0 × 70.5 cm"
    ] * 2
    assert _rows(page, "notions", "bead")[0]["owned"] == "2.5 packet"
    assert _rows(page, "threads", "nowhere") == []
    elsewhere = (page.look("drawer", "list", part="threads", words="ivory").json or {})["counts"]
    assert elsewhere == {"threads": 0, "fabrics": 2, "notions": 0, "charts": 0}


def test_what_is_only_on_opened_skeins_is_not_told_as_none(page: Caller) -> None:
    """Who reads "0 owned" beside 4 m of it buys what she has."""
    _add(page, "EMB5")
    added = ("stash", "add", "thread", "ROS1", "--palette", "meadowline", "--skeins", "1/2")
    assert run([*added, "--stash", str(stash_of(page.table))]) == 0
    told = {row["name"]: (row["opened_only"], row["parts"]) for row in _rows(page, "threads")}
    assert told == {"Meadowline EMB5": (False, []), "Meadowline ROS1": (True, ["4.0 m"])}


def test_what_came_is_told_newest_first_and_can_be_taken_back_once(page: Caller) -> None:
    _add(page, "ROS1")
    _add(page, "EMB5")
    newest, older = _rows(page, "past")
    assert (newest["name"], older["name"]) == ("Meadowline EMB5", "Meadowline ROS1")
    assert page.act("drawer", "take_back", act=newest["act"]).status_code == 200
    assert [row["name"] for row in _rows(page, "threads")] == ["Meadowline ROS1"]
    again = page.act("drawer", "take_back", act=newest["act"])
    assert again.status_code == 422
    assert _rows(page, "past", "EMB5")[-1]["taken_back"]


@pytest.mark.parametrize(
    ("act", "told"),
    [
        ("add_thread", {"range": "meadowline", "code": "QQ1", "skeins": 1}),
        ("add_thread", {"range": "meadowline", "code": "ROS1", "skeins": 0}),
        ("add_thread", {"range": "meadowline", "code": "ROS1", "skeins": 1.5}),
        ("add_thread", {"range": "../../stash", "code": "ROS1", "skeins": 1}),
        ("add_fabric", {"count": 28, "width_cm": 0, "height_cm": 10, "pieces": 1}),
        ("add_fabric", {"count": 0, "width_cm": 10, "height_cm": 10, "pieces": 1}),
        ("add_fabric", {"count": 28, "width_cm": 10, "height_cm": 10, "pieces": 10**9}),
        ("add_notion", {"name": " ", "amount": 1}),
        ("add_notion", {"name": "beads", "amount": -1}),
        ("take_back", {"act": 99}),
    ],
)
def test_what_makes_no_sense_is_refused_and_books_nothing(
    page: Caller, act: str, told: dict[str, Any]
) -> None:
    _add(page, "ROS2")
    answer = page.act("drawer", act, **told)
    assert answer.status_code in (400, 422)
    assert (answer.json or {})["error"]
    assert len(_rows(page, "past")) == 1


def test_projects_say_what_they_lack_and_their_label_is_laid_out(
    page: Caller, table: Table
) -> None:
    from chartscan.tasks.projects import begin

    assert table.stash is not None
    begin(table.stash, HOSTILE, {"place": "tin box"})
    (row,) = _rows(page, "projects", "tin")
    assert (row["name"], row["state"], row["ready"]) == (HOSTILE, "planned", False)
    laid = page.act("drawer", "lay", paper="label", project=HOSTILE).json or {}
    label = page.call("GET", laid["path"]).text
    assert HOSTILE not in label
    assert "tin box" in label


@pytest.mark.parametrize("paper", ["list", "fabric", "shopping"])
def test_papers_of_the_drawer_are_laid_out(page: Caller, paper: str) -> None:
    _add(page, "ROS1")
    laid = page.act("drawer", "lay", paper=paper).json or {}
    assert page.call("GET", laid["path"]).status_code == 200


def test_codes_are_offered_while_they_are_typed(page: Caller) -> None:
    found = page.look("drawer", "look_up", range="meadowline", words="ros").json or []
    assert found[0]["code"].startswith("ROS")


def test_a_refusal_of_the_stash_speaks_of_the_page(page: Caller) -> None:
    refused = page.act("drawer", "lay", paper="label", project="Nobody")
    assert refused.status_code == 422
    said = str((refused.json or {})["error"])
    assert said.endswith("no stash there yet. Put something into the drawer: that begins one.")
    _add(page, "ROS1")
    refused = page.act("drawer", "lay", paper="label", project="Nobody")
    assert refused.json == {"error": "no project 'Nobody'. The drawer lists all projects."}
