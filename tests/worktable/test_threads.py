"""The screen on which threads are chosen, without a browser."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from chartscan.chart import Chart, ChartClass
from chartscan.stash.kitting import kit
from chartscan.stash.ledger import open_ledger
from chartscan.stash.needs import ThreadNeed, add_thread_need
from chartscan.stash.projects import Project, new_project
from chartscan.stash.threads import ThreadInfo
from chartscan.tasks.drawer import add_threads, describe_threads
from chartscan.tasks.threads import open_range
from chartscan.worktable.table import Table
from tests.palette.making import chart_of
from tests.worktable.conftest import Caller
from tests.worktable.kitted import lay

HOSTILE = "<img src=x onerror=alert(1)>"
MEADOWLINE = open_range(Path("meadowline"))


def _chosen(page: Caller, chart: str) -> dict[int, str]:
    """Code chosen for each class, as the fragment says; "" where none is."""
    html = page.screen("threads", chart=chart).text
    rows = re.findall(r'data-class="(\d+)">(.*?)</li>', html, re.DOTALL)
    codes = {int(n): re.search(r"<strong>(.*?)</strong>", row) for n, row in rows}
    return {n: found[1] if found else "" for n, found in codes.items()}


@pytest.fixture
def chart(table: Table) -> str:
    """Three colours; class 1 is near Ember 5."""
    return lay(table, chart_of(["#c83a32", "#20527a", "#dba94c"]))


def test_each_class_has_a_thread_and_a_pick_takes_its_place(page: Caller, chart: str) -> None:
    before = _chosen(page, chart)
    told = {"chart": chart, "version": 2, "class": 1, "code": "cor6"}
    answer = page.act("threads", "pick", **told)
    assert answer.json == {"version": 3}
    assert _chosen(page, chart) == {**before, 1: "COR6"}
    back = page.act("threads", "pick", **{**told, "version": 3, "code": ""})
    assert back.json == {"version": 4}
    assert _chosen(page, chart) == before


def test_a_pick_holds_on_to_its_class_when_numbers_move(page: Caller, chart: str) -> None:
    table = page.table
    page.act("threads", "pick", chart=chart, version=2, code="MOS3", **{"class": 1})
    old = table.shelf.chart(chart)
    order = [0, 3, 1, 2]  # new number of each old class
    moved = Chart(
        np.array(order)[old.cells],
        tuple(
            ChartClass(new, old.classes[before].kind, old.classes[before].rgb)
            for new, before in enumerate([0, 2, 3, 1])
        ),
    )
    table.shelf.change(chart, None, lambda kept: kept, moved)
    assert _chosen(page, chart)[3] == "MOS3"
    assert "MOS3" not in (_chosen(page, chart)[1], _chosen(page, chart)[2])


@pytest.mark.parametrize(
    ("told", "status", "words"),
    [
        ({"class": 1, "code": "QQ1"}, 422, "no thread 'QQ1'"),
        ({"class": 99, "code": "COR6"}, 400, "no such class"),
        ({"class": 0, "code": "COR6"}, 400, "no such class"),
        ({"class": "1", "code": "COR6"}, 400, "whole number"),
        ({"class": 1, "code": "COR6+EMB5+BUT3"}, 400, "no more than two"),
        ({"class": 1, "code": "COR6", "version": 1}, 409, "Another page"),
    ],
)
def test_a_pick_that_can_not_be_is_refused_and_changes_nothing(
    page: Caller, chart: str, told: dict[str, Any], status: int, words: str
) -> None:
    before = _chosen(page, chart)
    answer = page.act("threads", "pick", **{"chart": chart, "version": 2, **told})
    assert answer.status_code == status
    assert words in (answer.json or {})["error"]
    assert _chosen(page, chart) == before


def test_two_codes_joined_are_a_blend(page: Caller, chart: str) -> None:
    page.act("threads", "pick", chart=chart, version=2, code="COR6 + BRO5", **{"class": 2})
    html = page.screen("threads", chart=chart).text
    assert "<strong>COR6</strong> + <strong>BRO5</strong>" in html


def test_classes_without_a_colour_stand_first_and_say_what_to_do(
    page: Caller, table: Table
) -> None:
    chart = lay(table, chart_of(["#c83a32", None, None]))
    html = page.screen("threads", chart=chart).text
    assert "2 classes have no thread yet" in html
    assert html.index('data-class="2"') < html.index('data-class="1"')
    for version, number in ((2, 2), (3, 3)):
        told = {"chart": chart, "version": version, "class": number, "code": "EMB5"}
        page.act("threads", "pick", **told, keyed=True)
    assert set(_chosen(page, chart).values()) == {"EMB5"}
    assert "no thread yet" not in page.screen("threads", chart=chart).text


def test_a_key_that_is_dropped_names_its_classes(page: Caller, table: Table) -> None:
    chart = lay(table, chart_of([None, None]))
    key = b"class,code\nsign 1,EMB5\n2,COR6\n"
    answer = page.drop("threads", "key", key, chart=chart, version="2", name="key.csv")
    assert answer.json == {"version": 3, "named": 2}
    assert _chosen(page, chart) == {1: "EMB5", 2: "COR6"}
    wrong = page.drop(
        "threads", "key", b"class,code\n7,EMB5\n", chart=chart, version="3", name=HOSTILE
    )
    assert wrong.status_code == 422
    assert "line 2: no class '7'" in (wrong.json or {})["error"]


def test_a_range_that_is_dropped_is_chosen_and_one_that_is_none_is_refused(
    page: Caller, chart: str
) -> None:
    good = b"code,name,hex\nZ1,Brick,#c83a32\nZ2,Deep,#20527a\n"
    answer = page.drop("threads", "range", good, chart=chart, version="2", name=f"{HOSTILE}.csv")
    assert answer.status_code == 200
    assert set(_chosen(page, chart).values()) == {"Z1", "Z2"}
    html = page.screen("threads", chart=chart).text
    assert HOSTILE not in html
    bad = page.drop(
        "threads", "range", b"code,hex\nA,red\n", chart=chart, version="3", name="my.csv"
    )
    assert bad.status_code == 422
    assert (bad.json or {})["error"].startswith("my.csv: ")
    assert len(page.table.ranges.all()) == 1 + 3


def test_what_a_spreadsheet_of_windows_saved_is_taken_and_said_to_be(
    page: Caller, chart: str
) -> None:
    mine = "code,name,hex\nZÄ1,Ziegel hell,#c83a32\nZ2,Tiefblau,#20527a\n".encode("cp1252")
    taken = page.drop("threads", "range", mine, chart=chart, version="2", name="mine.csv").json
    assert "mine.csv: isn't UTF-8 and is read as Windows-1252" in (taken or {})["assumed"]
    assert set(_chosen(page, chart).values()) == {"ZÄ1", "Z2"}
    key = "class,code\n1,zä1\n2,Z2\n".encode("cp1252")
    named = page.drop("threads", "key", key, chart=chart, version="3", name="key.csv").json or {}
    assert named["named"] == 2
    assert "line 2 begins '1,zä1'" in named["assumed"]


@pytest.mark.parametrize("range_id", ["../../etc/passwd", "stash-example", "", "0000000000"])
def test_a_range_is_an_id_and_never_a_path(page: Caller, chart: str, range_id: str) -> None:
    answer = page.act("threads", "choose", chart=chart, version=2, range=range_id)
    assert answer.status_code == 422
    assert _chosen(page, chart)[1]


@pytest.mark.parametrize(
    "told",
    [{"own_within": "x"}, {"cloth": [1, 2]}, {"cloth": [1, 2, 300]}, {"at_most": 0}, {"over": 1.5}],
)
def test_settings_that_make_no_sense_are_refused(
    page: Caller, chart: str, told: dict[str, Any]
) -> None:
    assert page.act("threads", "choose", chart=chart, version=2, **told).status_code in (400, 422)
    assert page.table.shelf.get(chart).version == 2


def test_own_threads_come_first_and_say_to_whom_they_are_promised(
    page: Caller, table: Table, chart: str
) -> None:
    assert table.stash is not None
    add_threads(table.stash, describe_threads(["EMB4", "COR6"], palette=MEADOWLINE), skeins=2)
    with open_ledger(table.stash) as ledger:
        new_project(ledger, Project("Sampler"))
        add_thread_need(ledger, "Sampler", ThreadNeed(ThreadInfo("COR6", "Meadowline"), 1))
        kit(ledger, "Sampler", partly=True)
    page.act("threads", "choose", chart=chart, version=2, own_within=40)
    html = page.screen("threads", chart=chart).text
    assert set(_chosen(page, chart).values()) == {"EMB4", "COR6"}
    assert "you have 2 free" in html
    assert "promised to Sampler" in html


def test_before_anything_is_typed_the_nearest_are_offered_and_words_narrow(
    page: Caller, chart: str
) -> None:
    nearest = page.look("threads", "find", chart=chart, **{"class": 1}).json or []
    assert [one["delta_e"] for one in nearest] == sorted(one["delta_e"] for one in nearest)
    assert nearest[0]["code"] == _chosen(page, chart)[1]
    found = page.look("threads", "find", chart=chart, words="corn blue", **{"class": 1}).json or []
    assert {one["name"][:13] for one in found} == {"Cornfield blu"}
    assert all(one["grade"] for one in found)


def test_blends_are_offered_for_a_class(page: Caller, table: Table) -> None:
    chart = lay(table, chart_of(["#6fa89f"]))
    found = page.look("threads", "blends", chart=chart, **{"class": 1}).json or []
    assert found
    assert all(len(one["threads"]) == 2 for one in found)


def test_names_from_files_are_shown_and_never_run(page: Caller, table: Table) -> None:
    plain = chart_of([None])
    classes = (plain.classes[0], ChartClass(1, "stitch", None, HOSTILE))
    chart = lay(table, Chart(plain.cells, classes), HOSTILE)
    for screen in ("threads", "fabric", "papers"):
        html = page.screen(screen, chart=chart)
        assert html.status_code == 200
        assert HOSTILE not in html.text
        assert "&lt;img" in html.text
