"""Two stashes that parted are brought together: what was done in either is done in both."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from chartscan.errors import ChartscanError
from chartscan.stash.backup import back_up, restore
from chartscan.stash.check import audit
from chartscan.stash.entries import acting
from chartscan.stash.finishing import finish
from chartscan.stash.joining import join
from chartscan.stash.kitting import kit, release, start, undo_last
from chartscan.stash.ledger import Ledger, LedgerSettings, open_ledger
from chartscan.stash.lookback import history
from chartscan.stash.mistyped import put_in_place, rename_thread
from chartscan.stash.projects import Project, change_project, find_project, new_project
from chartscan.stash.reversing import reverse
from chartscan.stash.rules import change_rules, load_rules
from chartscan.stash.tables import TABLES, export_table
from chartscan.stash.threads import ThreadInfo, find_thread, know_thread, take_thread
from chartscan.stash.wishes import add_wish, drop_wish, wishes
from tests.stash.conftest import Shelf, TickingClock

if TYPE_CHECKING:
    from tests.stash.conftest import Call


def _clock(minute: int) -> TickingClock:
    clock = TickingClock()
    clock.now = clock.now.replace(month=6, minute=minute)
    return clock


def _parted(shelf: Shelf, folder: Path, minute: int = 7) -> Shelf:
    """The stash of another machine, which begins as a backup of this one."""
    back_up(shelf.ledger, folder / "parted.backup")
    path = folder / "laptop.db"
    restore(folder / "parted.backup", path)
    clock = _clock(minute)
    return Shelf(open_ledger(path, settings=LedgerSettings(clock=clock)), clock)


@pytest.fixture
def laptop(shelf: Shelf, tmp_path: Path) -> Iterator[Shelf]:
    """Another machine's stash; both own four skeins of T1, and Robin needs two."""
    shelf.thread("T1", 4)
    shelf.project("Robin", T1=2)
    other = _parted(shelf, tmp_path)
    yield other
    other.ledger.close()


def _tables(ledger: Ledger) -> dict[str, list[str]]:
    return {table: sorted(export_table(ledger, table).splitlines()) for table in TABLES}


def test_what_was_done_on_two_machines_is_done_on_both(shelf: Shelf, laptop: Shelf) -> None:
    shelf.thread("T2", 3, lot="7")
    rename_thread(shelf.ledger, "T1", None, new_line="Meadowline")
    put_in_place(shelf.ledger, "thread", "T1", "box 2")
    laptop.thread("T3", 1, (2500,))
    laptop.thread("T1", 1)
    laptop.project("Wren", T3=1, T1=1)
    kit(laptop.ledger, "Wren")
    start(laptop.ledger, "Wren")
    change_rules(laptop.ledger, keep_back=1)
    with acting(laptop.ledger, "learnt"):
        know_thread(laptop.ledger, ThreadInfo("T3", name="Rust", price=150))

    done = join(shelf.ledger, laptop.ledger.path)
    assert (done.clashes, done.remarks) == ((), ())
    assert done.acts > 5
    assert audit(shelf.ledger) == []
    assert shelf.free("T1") == (4, 0)  # 4, one more came there, one is in Wren's bag
    assert shelf.free("T3") == (1, 2500) or shelf.free("T3") == (0, 2500)
    assert find_project(shelf.ledger, "Wren").state == "in work"
    assert load_rules(shelf.ledger).keep_back == 1
    assert find_thread(shelf.ledger, "T3")["name"] == "Rust"
    assert any("from laptop.db" in entry.note for entry in history(shelf.ledger))

    again = join(shelf.ledger, laptop.ledger.path)
    assert (again.acts, again.clashes) == (0, ())
    back = join(laptop.ledger, shelf.ledger.path)
    assert (back.clashes, audit(laptop.ledger)) == ((), [])
    assert _tables(laptop.ledger) == _tables(shelf.ledger)
    assert join(shelf.ledger, laptop.ledger.path).acts == 0


def test_what_came_from_there_can_be_taken_back_here(shelf: Shelf, laptop: Shelf) -> None:
    kit(laptop.ledger, "Robin")
    laptop.thread("T2", 2)
    join(shelf.ledger, laptop.ledger.path)
    assert undo_last(shelf.ledger, "Robin").name == "kitted"
    reverse(shelf.ledger, shelf.ledger.value("SELECT id FROM acts WHERE name = 'bought'") + 0)
    assert audit(shelf.ledger) == []


def test_what_was_taken_back_there_is_taken_back_here(shelf: Shelf, laptop: Shelf) -> None:
    bought = shelf.ledger.value("SELECT id FROM acts WHERE name = 'bought'")
    reverse(laptop.ledger, bought)
    join(shelf.ledger, laptop.ledger.path)
    assert shelf.free("T1") == (0, 0)
    assert audit(shelf.ledger) == []


def test_the_last_skein_used_twice_is_asked_about(shelf: Shelf, laptop: Shelf) -> None:
    for machine, skeins in ((shelf, 3), (laptop, 3)):
        with acting(machine.ledger, "used") as act:
            take_thread(act, find_thread(machine.ledger, "T1")["id"], "used", skeins=skeins)
    laptop.thread("T9", 1)
    before = _tables(shelf.ledger)
    refused = join(shelf.ledger, laptop.ledger.path)
    assert refused.acts == 0
    assert [clash.what for clash in refused.clashes] == ["used"]
    assert _tables(shelf.ledger) == before
    left = join(shelf.ledger, laptop.ledger.path, [refused.clashes[0].number])
    assert left.acts == 1
    assert (shelf.free("T1"), shelf.free("T9")) == ((1, 0), (1, 0))
    assert audit(shelf.ledger) == []


def test_one_project_kitted_twice_and_one_name_given_twice_are_asked_about(
    shelf: Shelf, laptop: Shelf
) -> None:
    for machine in (shelf, laptop):
        kit(machine.ledger, "Robin")
        machine.project("Finch", T1=1 + (machine is laptop))
        change_project(machine.ledger, "Robin", {"place": f"tin {machine is shelf}"})
    done = join(shelf.ledger, laptop.ledger.path, leave_all=True)
    whys = {clash.what: str(clash.refusal) for clash in done.clashes}
    assert "moved on" in whys["kitted for Robin"]
    assert "another project Finch" in whys["planned for Finch"]
    assert any("changed here too" in why for why in whys.values())
    assert audit(shelf.ledger) == []


def test_a_project_that_was_told_alike_on_both_machines_is_one(shelf: Shelf, laptop: Shelf) -> None:
    for machine in (shelf, laptop):
        machine.project("Wren", T1=1)
        machine.project("Finch", T1=1)
    laptop.needs_length("Finch", "T2", 3000)
    change_project(laptop.ledger, "Wren", {"place": "box 2"})
    kit(laptop.ledger, "Wren")
    refused = join(shelf.ledger, laptop.ledger.path)
    assert {clash.what for clash in refused.clashes} == {
        "planned for Finch",
        "needs more for Finch",
    }
    assert "differs in threads" in str(refused.clashes[0].refusal)

    done = join(shelf.ledger, laptop.ledger.path, one=["finch"])
    assert done.clashes == ()
    assert "Wren: place box 2 there, none here; that stays" in done.remarks
    assert find_project(shelf.ledger, "Wren").state == "kitted"
    needs = shelf.ledger.rows(
        "SELECT p.name, count(*) FROM thread_needs JOIN projects p"
        " ON p.id = project WHERE p.name <> 'Robin' GROUP BY p.name"
    )
    assert [tuple(row) for row in needs] == [("Finch", 1), ("Wren", 1)]
    assert audit(shelf.ledger) == []

    undo_last(shelf.ledger, "Wren")
    shelf.needs_length("Wren", "T1", 3000)
    back = join(laptop.ledger, shelf.ledger.path)
    assert (back.clashes, audit(laptop.ledger)) == ((), [])
    assert find_project(laptop.ledger, "Wren").state == "planned"
    wren = [export_table(m.ledger, "thread-needs").count("Wren") for m in (shelf, laptop)]
    assert wren == [2, 2]
    assert join(shelf.ledger, laptop.ledger.path).acts == 0


def test_found_short_there_counts_as_nothing_that_came(shelf: Shelf, laptop: Shelf) -> None:
    kit(shelf.ledger, "Robin")
    undo_last(shelf.ledger, "Robin")
    kit(laptop.ledger, "Robin")
    with acting(laptop.ledger, "learnt"):
        know_thread(laptop.ledger, ThreadInfo("T1", putup_mm=4000))
    acts = shelf.ledger.value("SELECT count(*) FROM acts")
    done = join(shelf.ledger, laptop.ledger.path)
    assert done.acts == shelf.ledger.value("SELECT count(*) FROM acts") - acts


def test_what_is_wished_for_on_both_machines_is_asked_about(shelf: Shelf, laptop: Shelf) -> None:
    for machine in (shelf, laptop):
        add_wish(machine.ledger, "T1", 2)
    done = join(shelf.ledger, laptop.ledger.path, leave_all=True)
    assert [(clash.what, str(clash.refusal)) for clash in done.clashes] == [
        ("wished", "T1 would be wished for twice; nothing was booked")
    ]
    assert [(wish.what, wish.skeins) for wish in wishes(shelf.ledger)] == [("T1", 2)]


def test_what_clashed_is_taken_over_where_what_came_later_makes_room(
    shelf: Shelf, laptop: Shelf
) -> None:
    """Both wish for T1; there it was dropped again. Joined once more, nothing is left to come."""
    add_wish(shelf.ledger, "T1", 2)
    add_wish(laptop.ledger, "T1", 2)
    drop_wish(laptop.ledger, 1)
    add_wish(laptop.ledger, "a frame")
    join(shelf.ledger, laptop.ledger.path, leave_all=True)
    again = join(shelf.ledger, laptop.ledger.path, leave_all=True)
    assert again.acts == 0
    assert [wish.what for wish in wishes(shelf.ledger)] == ["T1", "a frame"]


def test_two_stashes_with_nothing_in_common_are_added_up(shelf: Shelf, tmp_path: Path) -> None:
    shelf.thread("T1", 2)
    with open_ledger(tmp_path / "other.db", create=True) as other:
        there = Shelf(other)
        there.thread("t1", 1)
        there.piece(300, 400)
    shelf.piece(500, 600)
    done = join(shelf.ledger, tmp_path / "other.db")
    assert done.known == 0
    assert done.remarks == ("fabric F1 there is F1-2 here",)
    assert shelf.free("T1") == (3, 0)
    assert audit(shelf.ledger) == []


MOVES: dict[str, Callable[[Shelf, str], object]] = {
    "buy": lambda s, n: s.thread(n, 1, (1500,)),
    "need": lambda s, n: s.project(n, "", **{n: 1}),
    "more": lambda s, n: s.needs_length(n, n, 3000),
    "kit": lambda s, n: kit(s.ledger, n),
    "start": lambda s, n: start(s.ledger, n, short=True),
    "finish": lambda s, n: finish(s.ledger, n, {}),
    "release": lambda s, n: release(s.ledger, n),
    "undo": lambda s, n: undo_last(s.ledger, n),
    "rename": lambda s, n: rename_thread(s.ledger, n, None, new_line=f"Line {n}"),
    "place": lambda s, n: put_in_place(s.ledger, "thread", n, "tin"),
}


def _try(machine: Shelf, code: str, moves: list[str]) -> None:
    for move in moves:
        try:
            MOVES[move](machine, code)
        except ChartscanError:
            continue


@given(
    here=st.lists(st.sampled_from(sorted(MOVES)), max_size=12),
    there=st.lists(st.sampled_from(sorted(MOVES)), max_size=12),
)
@settings(max_examples=15, deadline=None)
def test_whatever_was_done_to_different_things_goes_together(
    tmp_path_factory: pytest.TempPathFactory, here: list[str], there: list[str]
) -> None:
    folder = tmp_path_factory.mktemp("parted")
    clock = TickingClock()
    with open_ledger(folder / "a.db", create=True, settings=LedgerSettings(clock=clock)) as ledger:
        mine = Shelf(ledger, clock)
        for code in ("A", "B"):
            mine.thread(code, 2)
        new_project(ledger, Project("A"))
        other = _parted(mine, folder, minute=23)
        for machine, code, moves in ((mine, "A", here), (other, "B", there)):
            _try(machine, code, moves)
        with other.ledger:
            assert join(ledger, other.ledger.path).clashes == ()
            assert join(other.ledger, ledger.path).clashes == ()
            assert _tables(other.ledger) == _tables(ledger)
            assert audit(ledger) == audit(other.ledger) == []


@given(
    before=st.lists(st.sampled_from(sorted(MOVES)), max_size=6),
    here=st.lists(st.sampled_from(sorted(MOVES)), max_size=8),
    there=st.lists(st.sampled_from(sorted(MOVES)), max_size=8),
)
@settings(max_examples=25, deadline=None)
def test_whatever_was_done_to_the_same_things_leaves_both_clean(
    tmp_path_factory: pytest.TempPathFactory, before: list[str], here: list[str], there: list[str]
) -> None:
    folder = tmp_path_factory.mktemp("parted")
    clock = TickingClock()
    with open_ledger(folder / "a.db", create=True, settings=LedgerSettings(clock=clock)) as ledger:
        mine = Shelf(ledger, clock)
        mine.thread("A", 2)
        _try(mine, "A", before)
        other = _parted(mine, folder, minute=23)
        _try(mine, "A", here)
        _try(other, "A", there)
        with other.ledger:
            join(ledger, other.ledger.path, leave_all=True)
            assert audit(ledger) == []
            assert join(ledger, other.ledger.path, leave_all=True).acts == 0
            join(other.ledger, ledger.path, leave_all=True)
            assert audit(other.ledger) == []


def test_the_command_asks_and_says_what_came(
    chartscan: Call, tmp_path: Path, stash_file: Path
) -> None:
    assert chartscan("stash", "add", "thread", "T1", "--skeins", "2").status == 0
    chartscan("stash", "backup", tmp_path / "laptop.backup")
    laptop = tmp_path / "laptop.db"
    chartscan("stash", "restore", tmp_path / "laptop.backup", "--stash", laptop)
    for place in (stash_file, laptop):
        chartscan("stash", "use", "thread", "T1", "--skeins", "2", "--stash", place)
    chartscan("stash", "add", "thread", "T2", "--skeins", "1", "--stash", laptop)
    refused = chartscan("stash", "join", laptop)
    assert (refused.status, refused.out) == (1, "")
    assert "--leave 2" in refused.err
    done = chartscan("stash", "join", laptop, "--leave", "2")
    assert done.out == "Brought in 1 entry; 1 were here already.\n"
    assert "clean" in chartscan("stash", "check").out
