"""Looking into the drawer: worth, what lies unused, wishes, what a project took, narrow windows."""

from __future__ import annotations

import json
from datetime import timedelta
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from chartscan.errors import StashError
from chartscan.report.listing import Column, list_lines
from chartscan.stash.check import audit
from chartscan.stash.entries import acting
from chartscan.stash.finishing import Left, finish
from chartscan.stash.idle import lying_idle
from chartscan.stash.kitting import kit, release, start, undo_last
from chartscan.stash.ledger import open_ledger
from chartscan.stash.lookback import history
from chartscan.stash.mistyped import merge_threads, put_in_place
from chartscan.stash.moving import WHOLE, export_all, import_all
from chartscan.stash.notions import NotionInfo, add_notion
from chartscan.stash.reversing import reverse
from chartscan.stash.shopping import make_list
from chartscan.stash.threads import ThreadInfo, add_thread, count_thread, find_thread, know_thread
from chartscan.stash.took import what_it_took
from chartscan.stash.wishes import add_wish, drop_wish, wishes
from chartscan.stash.worth import worth
from tests.stash.conftest import something_of_everything

if TYPE_CHECKING:
    from tests.stash.conftest import Call, Shelf


def test_the_drawer_is_worth_its_prices_opened_skeins_by_their_length(shelf: Shelf) -> None:
    with acting(shelf.ledger, "bought") as act:
        add_thread(act, ThreadInfo("T1", putup_mm=8000, price=120), skeins=3, parts_mm=(2000,))
        add_thread(act, ThreadInfo("T2"), skeins=5)
        add_notion(act, NotionInfo("beads", "g", price=40), 2.5)
    shelf.piece(500, 400)
    with acting(shelf.ledger, "priced"):
        shelf.ledger.execute("INSERT INTO fabric_prices VALUES (28.0, 'Ivory', 5000)")
    told = {w.kind: (w.value, w.priced, w.unpriced) for w in worth(shelf.ledger)}
    assert told == {  # 3 1/4 skeins at 1.20; 0.2 m² at 50.00; 2.5 g at 0.40
        "threads": (3.90, 1, 1),
        "fabric": (10.0, 1, 0),
        "notions": (1.0, 1, 0),
    }


def test_what_lies_unused_is_what_nothing_was_done_with(shelf: Shelf) -> None:
    for code in ("T1", "T2", "T3", "T4"):
        shelf.thread(code, 2)
    put_in_place(shelf.ledger, "thread", "T1", "attic")
    shelf.project("Robin", T4=2)
    kit(shelf.ledger, "Robin")  # nothing of T4 is free
    shelf.clock.now += timedelta(days=3 * 365)
    shelf.project("Wren", T2=1)
    kit(shelf.ledger, "Wren")
    release(shelf.ledger, "Wren")
    with acting(shelf.ledger, "counted") as act:  # a count is no use
        count_thread(act, find_thread(shelf.ledger, "T3")["id"], skeins=2)
    found = lying_idle(shelf.ledger, shelf.clock.now - timedelta(days=2 * 365))
    assert [(i.thing.label, i.since[:10]) for i in found] == [
        ("T1", "2026-03-01"),
        ("T3", "2026-03-01"),
    ]
    assert found[0].thing.heaps[0].place == "attic"


def test_two_wishes_for_one_thread_become_one(shelf: Shelf) -> None:
    """She wished for T1 twice, once mistyped; both wishes are meant."""
    for code, skeins in (("T1", 2), ("TI", 1)):
        with acting(shelf.ledger, "learnt"):
            know_thread(shelf.ledger, ThreadInfo(code))
        add_wish(shelf.ledger, code, skeins, note=f"as {code}")
    merge_threads(shelf.ledger, "TI", "T1")
    assert [(w.what, w.skeins, w.note) for w in wishes(shelf.ledger)] == [("T1", 3, "as T1; as TI")]
    reverse(shelf.ledger, shelf.ledger.value("SELECT max(id) FROM acts"))
    assert [(w.what, w.skeins) for w in wishes(shelf.ledger)] == [("T1", 2), ("TI", 1)]


@pytest.mark.parametrize("what", ["T1", "a frame of 40 cm"])
def test_a_dropped_wish_that_was_told_again_does_not_come_back_as_a_second(
    shelf: Shelf, what: str
) -> None:
    shelf.thread("T1", 1)
    add_wish(shelf.ledger, what)
    drop_wish(shelf.ledger, 1)
    dropped = shelf.ledger.value("SELECT max(id) FROM acts")
    add_wish(shelf.ledger, what.upper())  # as people compare texts
    with pytest.raises(StashError, match="wished for twice"):
        reverse(shelf.ledger, dropped)
    assert len(wishes(shelf.ledger)) == 1


def test_a_dropped_wish_comes_back_though_another_has_its_number(shelf: Shelf) -> None:
    add_wish(shelf.ledger, "a frame")
    drop_wish(shelf.ledger, 1)
    dropped = shelf.ledger.value("SELECT max(id) FROM acts")
    add_wish(shelf.ledger, "a hoop")
    reverse(shelf.ledger, dropped)
    assert [wish.what for wish in wishes(shelf.ledger)] == ["a hoop", "a frame"]


def test_a_wish_in_words_stays_words_in_an_export(shelf: Shelf, tmp_path: Path) -> None:
    """It was told before any thread had that code; that thread was wished for afterwards."""
    add_wish(shelf.ledger, "T9")
    add_wish(shelf.ledger, "T9", 2, line="Meadowline")
    export_all(shelf.ledger, tmp_path / "out")
    (tmp_path / "out" / WHOLE).unlink()
    with open_ledger(tmp_path / "again.db", create=True) as again:
        import_all(again, tmp_path / "out")
        assert [(w.what, w.skeins) for w in wishes(again)] == [("T9", None), ("Meadowline T9", 2)]


def test_a_wish_is_kept_dropped_and_taken_back(shelf: Shelf) -> None:
    shelf.thread("T1", 1)
    add_wish(shelf.ledger, "t1", 2, "for the owl")
    add_wish(shelf.ledger, "a frame of 40 cm")
    with pytest.raises(StashError, match="wished for already"):
        add_wish(shelf.ledger, "A frame  of 40 CM")
    assert [(w.number, w.what, w.skeins, w.owned) for w in wishes(shelf.ledger)] == [
        (1, "T1", 2, 1),
        (2, "a frame of 40 cm", None, 0),
    ]
    assert history(shelf.ledger)[-1].thing == "wish: a frame of 40 cm"
    drop_wish(shelf.ledger, 1)
    assert [w.number for w in wishes(shelf.ledger)] == [2]
    reverse(shelf.ledger, shelf.ledger.value("SELECT max(id) FROM acts"))
    assert [w.number for w in wishes(shelf.ledger)] == [1, 2]
    with pytest.raises(StashError, match="no wish 9"):
        drop_wish(shelf.ledger, 9)
    assert audit(shelf.ledger) == []


def test_what_a_project_took_is_what_it_used_up_and_no_more(shelf: Shelf) -> None:
    number = shelf.thread("T1", 3)
    with acting(shelf.ledger, "learnt"):
        know_thread(shelf.ledger, ThreadInfo("T1", name="Rust", price=160))
    shelf.project("Robin", T1=2)
    kit(shelf.ledger, "Robin")
    assert what_it_took(shelf.ledger, "Robin").things == ()
    start(shelf.ledger, "Robin")
    finish(shelf.ledger, "Robin", {number: Left(parts_mm=(4000,))})
    undo_last(shelf.ledger, "Robin")
    finish(shelf.ledger, "Robin", {number: Left(parts_mm=(6000,))})
    took = what_it_took(shelf.ledger, "robin")
    (thread,) = took.things
    assert (thread.thing, thread.name, thread.amount, thread.skeins) == ("T1", "Rust", 10.0, 1.25)
    assert took.price == 2.0
    assert took.begun < took.ended


def test_history_tells_what_became_of_a_project(shelf: Shelf) -> None:
    shelf.thread("T1", 2)
    project = shelf.project("Robin", T1=2)
    kit(shelf.ledger, "Robin")
    start(shelf.ledger, "Robin")
    undo_last(shelf.ledger, "Robin")
    told = [
        (e.act, e.thing) for e in history(shelf.ledger, project=project.id) if e.kind == "moved"
    ]
    assert told == [
        ("planned", "project Robin: begun"),
        ("kitted", "project Robin: planned → kitted"),
        ("started", "project Robin: kitted → in work"),
        ("undone", "project Robin: in work → kitted"),
    ]


def test_reversing_a_finish_takes_back_what_it_taught(chartscan: Call, tmp_path: Path) -> None:
    chart = Path(__file__).parents[2] / "examples" / "stash" / "sampler.json"
    chartscan("stash", "add", "thread", "STR6", "--palette", "meadowline", "--skeins", "2")
    chartscan("stash", "add", "fabric", "--count", "28", "--size", "60x60cm", "--colour", "ivory")
    begun = ("project", "new", "Band", "--chart", chart, "--palette", "meadowline")
    assert chartscan(*begun, "--fabric", "28").status == 0
    assert chartscan("project", "kit", "Band").status == 0
    chartscan("project", "start", "Band")
    for back in (("project", "undo", "band"), ("stash", "reverse", "LAST")):
        assert chartscan("project", "finish", "Band", "--left", "STR6=1/2sk").status == 0
        assert "Band" in chartscan("usage", "list").out
        newest = json.loads(chartscan("stash", "history", "--json").out)["entries"][-1]["number"]
        number = newest.partition(".")[0]
        done = chartscan(*(number if word == "LAST" else word for word in back))
        assert "What it taught your own factor is taken back, too." in done.out
        assert "Band" not in chartscan("usage", "list").out


def test_a_project_that_is_asked_for_in_small_letters_is_shopped_for(shelf: Shelf) -> None:
    shelf.project("Robin", T1=2)
    assert make_list(shelf.ledger, ["robin"]).projects == ("Robin",)
    with pytest.raises(StashError, match="no project 'Wren'"):
        make_list(shelf.ledger, ["Wren"])


# ---------------------------------------------------------------------------- as wide as it is

LOOKS = (
    ("stash", "list", "--order", "age"),
    ("stash", "list", "--order", "place"),
    ("stash", "find", "T"),
    ("stash", "find", "#aa3040"),
    ("stash", "unused", "--years", "0"),
    ("stash", "wish", "list"),
    ("stash", "history"),
    ("stash", "as-of", "2100-01-01"),
    ("stash", "near-fabric", "#e8dfc8"),
    ("stash", "rules"),
    ("project", "list"),
    ("project", "plan", "Wren"),
    ("project", "took", "Robin"),
    ("project", "today"),
    ("project", "what-if"),
    ("shop", "list"),
)
LONG = "Meadow rue with a very long name indeed 1234567890"


@pytest.mark.parametrize("width", [80, 40])
def test_every_look_keeps_to_the_window_and_its_numbers_whole(
    shelf: Shelf, chartscan: Call, monkeypatch: pytest.MonkeyPatch, width: int
) -> None:
    something_of_everything(shelf)
    shelf.thread("T1", 0, (1111, 2222, 3333, 4444, 5555, 6666, 7777), line="Meadowline")
    with acting(shelf.ledger, "learnt"):
        know_thread(shelf.ledger, ThreadInfo("T1", "Meadowline", name=LONG, hex="#aa3040"))
    add_wish(shelf.ledger, LONG, note=LONG)
    shelf.ledger.close()
    monkeypatch.setenv("COLUMNS", str(width))
    for look in LOOKS:
        said = chartscan(*look)
        assert said.status == 0, said.err
        assert said.out.strip(), look
        wide = [line for line in said.out.splitlines() if len(line) > width]
        assert not wide, (look, wide)
    listed = chartscan("stash", "list", "threads").out
    for metres in ("7.8", "6.7", "5.6", "4.4", "3.3", "2.2", "1.1"):
        assert metres in listed


def test_words_fold_between_words_and_numbers_never() -> None:
    columns = (Column("Code"), Column("Words", loose=True), Column("Number", right=True))
    rows = [("A1", "one two three four five six seven", "123456.78")]
    lines = list_lines(columns, rows, 36)
    assert lines[2:] == [
        "A1    one two three four   123456.78",
        "      five six seven",
    ]
    assert list_lines(columns, rows, 28)[:2] == ["A1", "   Words one two three four"]


def test_the_looks_are_told_as_json_too(shelf: Shelf, chartscan: Call, tmp_path: Path) -> None:
    something_of_everything(shelf)
    add_wish(shelf.ledger, "T1", 2, line="Meadowline")
    shelf.ledger.close()
    told = {
        key: json.loads(chartscan(*call, "--json").out)[key]
        for key, call in (
            ("wishes", ("stash", "wish", "list")),
            ("unused", ("stash", "unused", "--years", "0")),
            ("worth", ("stash", "list")),
            ("things", ("project", "took", "Robin")),
        )
    }
    assert told["wishes"][0]["skeins"] == 2
    assert told["unused"]
    assert [w["kind"] for w in told["worth"]] == ["threads", "fabric", "notions"]
    assert told["things"] == []
