"""Booking, taking back, looking back."""

from __future__ import annotations

from datetime import timedelta
from typing import TYPE_CHECKING

import pytest

from chartscan.errors import StashError
from chartscan.remedies import Remedy
from chartscan.stash.check import audit
from chartscan.stash.entries import acting
from chartscan.stash.fabrics import cut_piece, find_piece
from chartscan.stash.kitting import kit, start
from chartscan.stash.ledger import Ledger
from chartscan.stash.lookback import as_of, history
from chartscan.stash.notions import NotionInfo, add_notion, count_notion, take_notion
from chartscan.stash.reversing import reverse, undo
from chartscan.stash.threads import ThreadInfo, add_thread, count_thread, find_thread, take_thread

if TYPE_CHECKING:
    from tests.stash.conftest import Shelf


def _balances(ledger: Ledger) -> list[tuple[int, int, int]]:
    return [
        tuple(row)
        for row in ledger.rows(
            "SELECT stock, owned, promised FROM balances WHERE owned <> 0 OR promised <> 0"
        )
    ]


def test_a_reversed_act_restores_what_was_there(shelf: Shelf) -> None:
    shelf.thread("T1", 3, (2500,))
    before = _balances(shelf.ledger)
    shelf.thread("T1", 2, (700, 800), lot="9")
    number = shelf.ledger.value("SELECT max(id) FROM acts")
    reverse(shelf.ledger, number)
    assert _balances(shelf.ledger) == before
    assert audit(shelf.ledger) == []


def test_one_line_of_an_act_can_be_reversed_and_once_only(shelf: Shelf) -> None:
    shelf.thread("T1", 3, (2500,))
    reverse(shelf.ledger, 1, 2, note="wrong")
    assert shelf.free("T1") == (3, 0)
    with pytest.raises(StashError, match="taken back already"):
        reverse(shelf.ledger, 1, 2)
    reverse(shelf.ledger, 1)  # what is left of it
    assert shelf.free("T1") == (0, 0)
    with pytest.raises(StashError, match="taken back already"):
        reverse(shelf.ledger, 1)


def test_a_reversal_can_be_reversed(shelf: Shelf) -> None:
    shelf.thread("T1", 3)
    back = reverse(shelf.ledger, 1)
    reverse(shelf.ledger, back)
    assert shelf.free("T1") == (3, 0)
    assert audit(shelf.ledger) == []


@pytest.mark.parametrize(("act", "place"), [(99, None), (1, 7), (1, 0)])
def test_an_entry_that_isnt_there_cant_be_reversed(
    shelf: Shelf, act: int, place: int | None
) -> None:
    shelf.thread("T1", 3)
    with pytest.raises(StashError, match="there is no"):
        reverse(shelf.ledger, act, place)


def test_what_is_gone_or_promised_cant_be_taken_back(shelf: Shelf) -> None:
    number = shelf.thread("T1", 2)
    shelf.project("Robin", T1=2)
    kit(shelf.ledger, "Robin")
    with pytest.raises(StashError, match="promised to a project"):
        reverse(shelf.ledger, 1)
    undo(shelf.ledger, shelf.ledger.value("SELECT id FROM projects"))
    with acting(shelf.ledger, "used") as act:
        take_thread(act, number, "used", skeins=1)
    with pytest.raises(StashError, match="more would be taken"):
        reverse(shelf.ledger, 1)
    assert audit(shelf.ledger) == []


def test_a_projects_acts_are_taken_back_last_first(shelf: Shelf) -> None:
    shelf.thread("T1", 2)
    shelf.project("Robin", T1=2)
    kit(shelf.ledger, "Robin")
    kitted = shelf.ledger.value("SELECT max(id) FROM acts")
    start(shelf.ledger, "Robin")
    with pytest.raises(StashError, match="belongs to the project Robin") as refused:
        reverse(shelf.ledger, kitted, 1)
    assert refused.value.remedies == (Remedy.UNDO_PROJECT,)
    with pytest.raises(StashError, match="last first"):
        reverse(shelf.ledger, kitted)
    reverse(shelf.ledger, kitted + 1)
    reverse(shelf.ledger, kitted)
    assert shelf.ledger.value("SELECT state FROM projects") == "planned"
    assert shelf.free("T1") == (2, 0)


def test_history_tells_the_last_entries_oldest_first(shelf: Shelf) -> None:
    shelf.thread("T1", 3, (2500,))
    shelf.piece(300, 400)
    reverse(shelf.ledger, 1, 1)
    found = history(shelf.ledger, last=3)
    assert [e.number for e in found] == ["1.2", "2.1", "3.1"]
    assert [e.thing for e in found] == ["T1", "fabric F1", "T1"]
    assert [(e.owned, e.unit) for e in found] == [(2.5, "m"), (1, "pieces"), (-3, "skeins")]
    assert history(shelf.ledger)[0].reversed_by == 3
    assert [e.time for e in found] == sorted(e.time for e in found)


def test_as_of_sums_the_entries_up_to_a_moment(shelf: Shelf) -> None:
    shelf.thread("T1", 3)
    moment = shelf.clock.now
    shelf.clock.now += timedelta(days=2)
    shelf.thread("T1", 4, (1500,))
    with acting(shelf.ledger, "used") as act:
        take_thread(act, 1, "used", skeins=5)
    assert [(s.thing, s.owned, s.unit) for s in as_of(shelf.ledger, moment)] == [
        ("T1", 3, "skeins")
    ]
    now = as_of(shelf.ledger, shelf.clock.now)
    assert sorted((s.owned, s.unit) for s in now) == [(1.5, "m"), (2, "skeins")]
    assert as_of(shelf.ledger, moment - timedelta(days=1)) == []


# ---------------------------------------------------------------------------- what goes and comes


def test_a_length_comes_from_the_shortest_part_that_holds_it(shelf: Shelf) -> None:
    number = shelf.thread("T1", 1, (6000, 2500, 1000))
    with acting(shelf.ledger, "used") as act:
        take_thread(act, number, "used", length_mm=2000)
    owned = shelf.ledger.rows("SELECT owned FROM balances WHERE kind = 'part' ORDER BY owned")
    assert [row[0] for row in owned] == [500, 1000, 6000]


def test_a_skein_is_opened_when_no_part_is_long_enough(shelf: Shelf) -> None:
    number = shelf.thread("T1", 2, (1000,), lot="7")
    with acting(shelf.ledger, "used") as act:
        take_thread(act, number, "used", length_mm=3000)
    assert shelf.free("T1") == (1, 6000)
    lots = shelf.ledger.rows("SELECT DISTINCT dye_lot FROM stock")
    assert [row[0] for row in lots] == ["7"]  # the rest keeps its dye lot
    with pytest.raises(StashError, match="holds 9 m"), acting(shelf.ledger, "used") as act:
        take_thread(act, number, "used", length_mm=9000)


def test_a_count_says_what_is_free_whatever_was_booked(shelf: Shelf) -> None:
    number = shelf.thread("T1", 5, (3000, 2000))
    shelf.project("Robin", T1=2)
    kit(shelf.ledger, "Robin")
    held = shelf.ledger.rows("SELECT stock, amount FROM holdings ORDER BY stock")
    with acting(shelf.ledger, "counted") as act:
        count_thread(act, number, skeins=1, parts_mm=(3000, 450))
    assert shelf.ledger.rows("SELECT stock, amount FROM holdings ORDER BY stock") == held
    free = shelf.ledger.rows(
        "SELECT owned - promised FROM balances WHERE owned > promised ORDER BY 1"
    )
    assert [row[0] for row in free] in ([1, 450, 3000], [1, 450, 3000, 5000])


def test_notions_are_kept_to_the_thousandth_and_no_finer(ledger: Ledger) -> None:
    with acting(ledger, "bought") as act:
        stock = add_notion(act, NotionInfo("beads", "g"), 0.1)
        for _ in range(9):
            add_notion(act, NotionInfo("beads", "g"), 0.1)
        take_notion(act, stock, 1.0, "used")
    assert ledger.value("SELECT owned FROM balances") == 0
    with pytest.raises(StashError, match="three decimals"), acting(ledger, "bought") as act:
        add_notion(act, NotionInfo("beads", "g"), 0.0001)
    with acting(ledger, "counted") as act:
        count_notion(act, stock, 7.25)
    assert ledger.value("SELECT owned FROM balances") == 7250


def test_a_piece_that_is_cut_comes_back_as_new_pieces(shelf: Shelf) -> None:
    label = shelf.piece(500, 700)
    with acting(shelf.ledger, "cut") as act:
        assert cut_piece(act, label, [(300, 400), (200, 700)]) == ["F1-1", "F1-2"]
    assert find_piece(shelf.ledger, "F1-1")["colour"] == "ivory"
    with pytest.raises(StashError, match="is gone"):
        find_piece(shelf.ledger, label)
    reverse(shelf.ledger, 2)
    assert find_piece(shelf.ledger, label)["owned"] == 1
    with pytest.raises(StashError, match="smaller than"), acting(shelf.ledger, "cut") as act:
        cut_piece(act, label, [(600, 700)])


def test_a_code_in_two_lines_must_be_told_apart(shelf: Shelf) -> None:
    shelf.thread("T1", 1, line="Meadowline")
    shelf.thread("T1", 1, line="Fenmarl")
    with pytest.raises(StashError, match="is in several lines") as refused:
        find_thread(shelf.ledger, "T1")
    assert refused.value.remedies == (Remedy.SAY_LINE,)
    assert find_thread(shelf.ledger, "T1", "Fenmarl")["line"] == "Fenmarl"
    with pytest.raises(StashError, match="no thread T2"):
        find_thread(shelf.ledger, "T2")


def test_a_line_told_later_is_that_of_the_thread_known_before(shelf: Shelf) -> None:
    shelf.thread("T1", 2)  # the drawer's own list names no line
    shelf.thread("T1", 1, line="Meadowline")
    assert shelf.free("T1") == (3, 0)
    shelf.thread("T1", 1)  # and not told again it is still that one
    row = find_thread(shelf.ledger, "T1")
    assert (row["line"], shelf.free("T1")) == ("Meadowline", (4, 0))


def test_what_is_told_of_a_thread_again_completes_what_was_known(ledger: Ledger) -> None:
    with acting(ledger, "bought") as act:
        add_thread(act, ThreadInfo("T1", name="Rosehip", putup_mm=8000), skeins=1)
        add_thread(act, ThreadInfo("T1", hex="#aa3344", discontinued=True), skeins=1)
        add_thread(act, ThreadInfo("T1"), skeins=1)
    row = find_thread(ledger, "T1")
    assert (row["name"], row["putup_mm"], row["hex"]) == ("Rosehip", 8000, "#aa3344")
    assert row["discontinued"] == 1
