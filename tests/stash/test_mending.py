"""Putting right what was mistyped, finding things, and taking back in words."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from chartscan.errors import StashError
from chartscan.plaintext import number_order
from chartscan.remedies import Remedy
from chartscan.stash.check import audit
from chartscan.stash.entries import acting
from chartscan.stash.finding import find_by_colour, find_things
from chartscan.stash.kitting import kit, undo_last
from chartscan.stash.lookback import history
from chartscan.stash.mistyped import (
    forget_thread,
    merge_notions,
    merge_threads,
    put_in_place,
    rename_thread,
)
from chartscan.stash.needs import ThreadNeed, add_thread_need
from chartscan.stash.notions import NotionInfo, add_notion, find_notion
from chartscan.stash.plan import make_plan
from chartscan.stash.projects import Project, find_project, new_project
from chartscan.stash.reversing import reverse
from chartscan.stash.threads import ThreadInfo, add_thread, find_thread, know_thread

if TYPE_CHECKING:
    from tests.stash.conftest import Call, Shelf


def _state(shelf: Shelf) -> list[list[tuple[object, ...]]]:
    sqls = (
        "SELECT id, line, code, name, putup_mm, gone FROM threads ORDER BY id",
        "SELECT id, thread, place FROM stock ORDER BY id",
        "SELECT stock, owned, promised, thread FROM balances WHERE owned OR promised ORDER BY 1",
        "SELECT * FROM thread_needs ORDER BY id",
        "SELECT * FROM choices ORDER BY project, called",
        "SELECT id, name, state, place FROM projects ORDER BY id",
    )
    return [[tuple(row) for row in shelf.ledger.rows(sql)] for sql in sqls]


def test_a_merge_brings_everything_together_and_is_taken_back_whole(shelf: Shelf) -> None:
    shelf.thread("ROS1", 2, (1500,), lot="7")
    shelf.thread("ROSS1", 1, lot="7")
    shelf.project("Robin", ROSS1=1)
    kit(shelf.ledger, "Robin")
    before = _state(shelf)
    merge_threads(shelf.ledger, "ROSS1", "ROS1")
    merged = shelf.ledger.value("SELECT max(id) FROM acts")
    assert make_plan(shelf.ledger, "Robin").threads[0].thread.code == "ROS1"
    assert find_project(shelf.ledger, "Robin").state == "kitted"
    with pytest.raises(StashError, match="no thread ROSS1"):
        find_thread(shelf.ledger, "ROSS1")
    assert audit(shelf.ledger) == []
    reverse(shelf.ledger, merged)
    assert _state(shelf) == before
    assert audit(shelf.ledger) == []


def test_what_a_merge_changed_is_taken_back_before_what_came_before_it(shelf: Shelf) -> None:
    shelf.thread("ROS1", 2)
    shelf.project("Robin", ROSS1=1)
    merge_threads(shelf.ledger, "ROSS1", "ROS1")
    with pytest.raises(StashError, match=r"changed again since \(entry 4\)"):
        undo_last(shelf.ledger, "Robin")


def test_a_line_told_later_is_taken_back_with_what_it_came_with(shelf: Shelf) -> None:
    shelf.thread("T1", 2)
    before = _state(shelf)
    with acting(shelf.ledger, "bought") as act:
        add_thread(act, ThreadInfo("T1", "Meadowline", name="Rose"), skeins=1)
    assert find_thread(shelf.ledger, "T1")["line"] == "Meadowline"
    reverse(shelf.ledger, act.number)
    assert _state(shelf) == before


def test_what_was_told_anew_since_stays_when_the_older_is_taken_back(shelf: Shelf) -> None:
    shelf.thread("T1", 1)
    for name, putup in (("Rose", 9000), ("Rose of old", 9000)):
        with acting(shelf.ledger, "learnt"):
            know_thread(shelf.ledger, ThreadInfo("T1", name=name, putup_mm=putup))
    reverse(shelf.ledger, 2)
    row = find_thread(shelf.ledger, "T1")
    assert (row["name"], row["putup_mm"]) == ("Rose of old", 8000)


def test_a_kitted_project_that_is_found_short_is_planned_with_its_bag_full(shelf: Shelf) -> None:
    shelf.thread("T1", 2)
    shelf.project("Robin", T1=2)
    kit(shelf.ledger, "Robin")
    with acting(shelf.ledger, "learnt"):
        know_thread(shelf.ledger, ThreadInfo("T1", putup_mm=5000))
    project = find_project(shelf.ledger, "Robin")
    assert (project.state, shelf.free("T1")) == ("planned", (0, 0))
    assert audit(shelf.ledger) == []
    assert undo_last(shelf.ledger, "Robin").name == "kitted"
    assert shelf.free("T1") == (2, 0)
    assert audit(shelf.ledger) == []


def test_renaming_keeps_everything_and_refuses_a_name_that_is_taken(shelf: Shelf) -> None:
    shelf.thread("ROSS1", 2)
    shelf.thread("ROS2", 1)
    rename_thread(shelf.ledger, "ross1", None, new_code="ROS1", new_line="Meadowline")
    assert shelf.free("ROS1") == (2, 0)
    with pytest.raises(StashError, match="there is a thread ROS2 already") as refused:
        rename_thread(shelf.ledger, "ROS1", None, new_code="ros 2", new_line="")
    assert refused.value.remedies == (Remedy.MERGE_THREADS,)
    told = history(shelf.ledger)[-1]
    assert (told.act, told.thing) == (
        "renamed",
        "thread Meadowline ROS1: line – → Meadowline, code ROSS1 → ROS1",
    )


def test_a_forgotten_thread_is_known_again_when_it_comes(shelf: Shelf) -> None:
    shelf.thread("T1", 1)
    with pytest.raises(StashError, match="it is owned"):
        forget_thread(shelf.ledger, "T1", None)
    reverse(shelf.ledger, 1)
    forget_thread(shelf.ledger, "T1", None)
    with pytest.raises(StashError, match="no thread T1"):
        find_thread(shelf.ledger, "T1")
    shelf.thread("t1", 2)
    assert shelf.free("T1") == (2, 0)


def test_beads_are_beads_whatever_their_capitals_and_two_names_become_one(shelf: Shelf) -> None:
    with acting(shelf.ledger, "bought") as act:
        add_notion(act, NotionInfo("Beads", "g"), 2)
        add_notion(act, NotionInfo(" beads", "G"), 1)
        add_notion(act, NotionInfo("beeds", "g"), 0.5)
    assert shelf.ledger.value("SELECT count(*) FROM notions") == 2
    merge_notions(shelf.ledger, "beeds", "BEADS")
    stock = find_notion(shelf.ledger, "beads")["stock"]
    owned = shelf.ledger.value("SELECT owned FROM balances WHERE stock = ?", (stock,))
    assert owned == 3500
    assert audit(shelf.ledger) == []


def test_the_name_of_a_project_that_is_over_can_be_used_again(shelf: Shelf) -> None:
    from chartscan.stash.finishing import give_up

    first = new_project(shelf.ledger, Project("Robin"))
    give_up(shelf.ledger, "Robin")
    second = new_project(shelf.ledger, Project("robin"))
    assert first.id != second.id == find_project(shelf.ledger, "ROBIN").id
    assert find_project(shelf.ledger, "Robin (given up 2026-03-01)").id == first.id
    with pytest.raises(StashError, match="already"):
        new_project(shelf.ledger, Project("Robin"))


# ---------------------------------------------------------------------------- finding


def test_do_i_own_it_and_where(shelf: Shelf) -> None:
    shelf.thread("ROS1", 3, (2500,), lot="7")
    shelf.thread("RA2", 0)
    with acting(shelf.ledger, "learnt"):
        know_thread(shelf.ledger, ThreadInfo("ROS1", name="Rosé of old", hex="#aa3040"))
    put_in_place(shelf.ledger, "thread", "ros1", "Box 2")
    shelf.project("Robin", ROS1=1)
    kit(shelf.ledger, "Robin")
    for text in ("ROS1", "ros 1", "rose", "box 2"):
        (found,) = find_things(shelf.ledger, text)
        assert [(h.place, h.project, h.skeins, h.metres) for h in found.heaps] == [
            ("", "Robin", 1.0, ()),
            ("Box 2", "", 2.0, (2.5,)),
        ]
    (unowned,) = find_things(shelf.ledger, "RA2")
    assert not unowned.owned
    assert find_things(shelf.ledger, "nothing like it") == []
    assert [f.label for f in find_by_colour(shelf.ledger, (170, 48, 64))] == ["ROS1"]


def test_codes_are_in_the_order_of_their_numbers() -> None:
    codes = ["ROS1", "RA2", "ra1", "B5", "RA 10", "10", "9"]
    assert sorted(codes, key=number_order) == ["9", "10", "B5", "ra1", "RA2", "RA 10", "ROS1"]


def test_what_is_taken_back_is_said(chartscan: Call) -> None:
    chartscan("stash", "add", "thread", "T1", "--skeins", "1 1/2")
    looked = chartscan("stash", "reverse", "1", "--look").out
    assert "bought T1  +1 skein\n" in looked
    assert chartscan("stash", "find", "t1").out.startswith("T1\n  1 skein + 4 m: place not told")
    taken = chartscan("stash", "reverse", "1").out
    assert "bought T1  +4 m" in taken
    assert "Took back 1" in taken


def test_no_name_steers_the_screen(chartscan: Call) -> None:
    evil = "T1\x1b[2J\u202e"
    chartscan("stash", "add", "thread", evil)
    for call in (
        ("project", "new", "Robin\x1b]0;x\x07"),
        ("project", "plan", "Wren\x1b[31m"),
        ("stash", "find", "\x1b[2J"),
        ("stash", "list"),
        ("stash", "export", "threads"),
        ("project", "today"),
    ):
        said = chartscan(*call)
        assert not set("\x1b\x07\u202e") & set(said.out + said.err), call


def test_the_needs_of_a_project_are_in_its_history(shelf: Shelf) -> None:
    project = shelf.project("Robin", T1=2)
    add_thread_need(shelf.ledger, "Robin", ThreadNeed(ThreadInfo("T2"), 1))
    told = [entry.thing for entry in history(shelf.ledger, project=project.id)]
    assert told == ["project Robin: begun", "needs T1: 2 skeins", "needs T2: 1 skein"]
    undo_last(shelf.ledger, "Robin")
    assert history(shelf.ledger)[-1].thing == "no longer: needs T2: 1 skein"
