"""The screen on which the fabric is chosen, without a browser."""

from __future__ import annotations

import json
from typing import Any

import pytest

from chartscan.tasks.drawer import add_fabric, describe_piece
from chartscan.worktable.table import Table
from tests.palette.making import chart_of
from tests.worktable.conftest import Caller
from tests.worktable.kitted import lay


@pytest.fixture
def chart(table: Table) -> str:
    """13 × 1 cells in two colours."""
    return lay(table, chart_of(["#c83a32", "#20527a"]))


def _reckon(page: Caller, chart: str, **told: object) -> Any:  # noqa: ANN401 - JSON
    return page.look("fabric", "reckon", chart=chart, told=json.dumps(told)).json


def test_figures_follow_the_controls_and_nothing_is_kept_by_looking(
    page: Caller, chart: str
) -> None:
    first = _reckon(page, chart)
    assert first["chosen"]["cut"] == "17.4 × 15.2 cm (6.9 × 6.0 in)"  # 13 / 14 in and 7.5 cm round
    wider = _reckon(page, chart, margin_mm=100)
    assert wider["chosen"]["cut"] == "22.4 × 20.2 cm (8.9 × 8.0 in)"
    twice = _reckon(page, chart, copies=300, risk=0.01)
    assert twice["chosen"]["skeins"] > first["chosen"]["skeins"]
    assert page.table.shelf.get(chart).version == 2


def test_fabrics_stand_side_by_side_with_their_sizes(page: Caller, chart: str) -> None:
    found = _reckon(page, chart, count=22, over=2)
    assert len(found["fabrics"]) == 9  # the common ones and the one that is told
    assert found["fabrics"][-1] == found["fabrics"][0]  # 22 over two comes out as 11
    beside = (
        page.look("fabric", "compare", chart=chart, told=json.dumps({"count": 11, "over": 1})).json
        or {}
    )
    assert beside["skeins"] == found["chosen"]["skeins"]


def test_what_is_chosen_is_kept_and_stays_when_threads_change(page: Caller, chart: str) -> None:
    kept = page.act("fabric", "choose", chart=chart, version=2, count=28, over=2, copies=3)
    assert kept.json == {"version": 3}
    page.act("threads", "choose", chart=chart, version=3, distinct=True)
    html = page.screen("fabric", chart=chart).text
    assert 'value="28.0/2" checked' in html
    assert 'name="copies" id="f-copies" min="1" max="10000" inputmode="numeric" value="3"' in html


@pytest.mark.parametrize(
    ("told", "words"),
    [
        ({"count": 0}, "makes no cloth"),
        ({"count": 14, "over": 0}, "can't be worked"),
        ({"margin_mm": -1}, "margin"),
        ({"copies": 0}, "copies"),
        ({"risk": 0}, "risk"),
        ({"strands": 99}, ""),
        ({"count": "14"}, "isn't a number"),
    ],
)
def test_what_makes_no_sense_is_said_and_not_kept(
    page: Caller, chart: str, told: dict[str, Any], words: str
) -> None:
    for answer in (
        page.look("fabric", "reckon", chart=chart, told=json.dumps(told)),
        page.act("fabric", "choose", chart=chart, version=2, **told),
    ):
        assert answer.status_code in (400, 422)
        assert words in (answer.json or {})["error"]
    assert page.table.shelf.get(chart).version == 2


@pytest.mark.parametrize("told", ["", "[]", "{", "null"])
def test_controls_that_are_no_object_are_refused(page: Caller, chart: str, told: str) -> None:
    assert page.look("fabric", "reckon", chart=chart, told=told).status_code == 400


def test_pieces_of_the_drawer_that_fit_are_shown_smallest_first(
    page: Caller, table: Table, chart: str
) -> None:
    assert table.stash is not None
    assert _reckon(page, chart)["pieces"] == []
    for size in ((500.0, 400.0), (160.0, 200.0), (100.0, 100.0)):
        add_fabric(table.stash, describe_piece(14, size, "<b>snow</b>"))
    found = _reckon(page, chart)["pieces"]
    assert [one["label"] for one in found] == ["F2", "F1"]
    width, height = found[0]["cut_mm"]  # turned by a quarter
    assert (round(width), round(height)) == (152, 174)


def test_a_length_is_explained_term_by_term(page: Caller, chart: str) -> None:
    told = json.dumps({"count": 14})
    found = page.look("fabric", "explain", chart=chart, told=told, **{"class": 2}).json or []
    assert [one["class"] for one in found] == [2]
    assert found[0]["work"] == [{"kind": "cross", "number": 2}]
    assert len(found[0]["terms"]) > 3
    none = page.look("fabric", "explain", chart=chart, told=told, **{"class": 0})
    assert none.json == []
