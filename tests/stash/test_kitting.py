"""A project's life: planned, kitted, in work, finished or given up; and every move back."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from chartscan.errors import StashError
from chartscan.remedies import Remedy
from chartscan.stash.amounts import parse_amount
from chartscan.stash.charts import ChartSource, add_chart
from chartscan.stash.check import audit
from chartscan.stash.entries import acting
from chartscan.stash.finishing import Left, finish, give_up, held_thread, sum_left, usage_record
from chartscan.stash.kitting import Divided, divided, kit, release, start, undo_last
from chartscan.stash.needs import (
    ThreadNeed,
    add_notion_need,
    add_thread_need,
    called_thread,
    choose_thread,
    drop_hand_needs,
)
from chartscan.stash.notions import NotionInfo, add_notion
from chartscan.stash.plan import make_plan
from chartscan.stash.projects import change_project, find_project, set_charts
from chartscan.stash.rules import change_rules
from chartscan.stash.threads import ThreadInfo

if TYPE_CHECKING:
    from tests.stash.conftest import Shelf


def _state(shelf: Shelf, name: str) -> str:
    return find_project(shelf.ledger, name).state


def test_a_life_from_plan_to_finish(shelf: Shelf) -> None:
    shelf.thread("T1", 3)
    shelf.piece(400, 500)
    shelf.project("Robin", T1=2)
    shelf.needs_fabric("Robin", 300, 400)
    assert _state(shelf, "Robin") == "planned"
    assert kit(shelf.ledger, "Robin").missing == ()
    assert _state(shelf, "Robin") == "kitted"
    assert shelf.free("T1") == (1, 0)
    assert start(shelf.ledger, "Robin").state == "in work"
    number = held_thread(shelf.ledger, "Robin", "T1")
    finish(shelf.ledger, "Robin", {number: Left(1, (2500,))})
    assert _state(shelf, "Robin") == "finished"
    assert shelf.free("T1") == (2, 2500)
    assert audit(shelf.ledger) == []


def test_half_a_skein_that_is_left_becomes_a_part_skein(shelf: Shelf) -> None:
    shelf.thread("T1", 2)
    shelf.thread("T2", 1)
    shelf.project("Robin", T1=2, T2=1)
    kit(shelf.ledger, "Robin")
    start(shelf.ledger, "Robin")
    told = [
        ("T1", parse_amount("1")),
        ("T1", parse_amount("1/2 sk")),
        ("T2", parse_amount("2.5m")),
    ]
    finish(shelf.ledger, "Robin", sum_left(shelf.ledger, "Robin", told))
    assert shelf.free("T1") == (1, 4000)
    assert shelf.free("T2") == (0, 2500)
    assert audit(shelf.ledger) == []


def test_nothing_is_promised_twice(shelf: Shelf) -> None:
    shelf.thread("T1", 2)
    shelf.project("Robin", T1=2)
    shelf.project("Wren", T1=1)
    kit(shelf.ledger, "Robin")
    with pytest.raises(StashError, match="lacks: thread T1: 1 skein"):
        kit(shelf.ledger, "Wren")
    plan = make_plan(shelf.ledger, "Wren").threads[0]
    assert [(e.project, e.skeins) for e in plan.elsewhere] == [("Robin", 2)]
    release(shelf.ledger, "Robin")
    kit(shelf.ledger, "Wren")
    assert shelf.free("T1") == (1, 0)


def test_kitting_names_everything_that_lacks_and_books_nothing(shelf: Shelf) -> None:
    shelf.thread("T1", 2)
    shelf.project("Robin", T1=1, T2=3)
    shelf.needs_fabric("Robin", 300, 400)
    add_notion_need(shelf.ledger, "Robin", NotionInfo("beads", "g"), 2.5)
    with acting(shelf.ledger, "bought") as act:
        add_chart(act, ChartSource("Robin on a spade"), copies=0)
    set_charts(shelf.ledger, find_project(shelf.ledger, "Robin").id, ["Robin on a spade"])
    with pytest.raises(StashError) as refused:
        kit(shelf.ledger, "Robin")
    for words in ("chart Robin on a spade", "28 count ivory: 1 of 30 × 40 cm", "T2: 3", "2.5 g"):
        assert words in str(refused.value)
    assert shelf.free("T1") == (2, 0)


def test_what_is_there_can_be_set_apart_and_the_rest_later(shelf: Shelf) -> None:
    shelf.thread("T1", 1)
    shelf.project("Robin", T1=1, T2=1)
    after = kit(shelf.ledger, "Robin", partly=True)
    assert (after.project.state, after.missing) == ("planned", ("thread T2: 1 skein",))
    with pytest.raises(StashError, match="nothing more to set apart"):
        kit(shelf.ledger, "Robin", partly=True)
    shelf.thread("T2", 1)
    assert kit(shelf.ledger, "Robin").project.state == "kitted"
    assert shelf.ledger.value("SELECT sum(amount) FROM holdings") == 2
    assert audit(shelf.ledger) == []


def test_moves_are_checked_and_say_the_way_out(shelf: Shelf) -> None:
    shelf.thread("T1", 1)
    shelf.project("Robin", T1=1)
    with pytest.raises(StashError, match="planned and can't be started") as refused:
        start(shelf.ledger, "Robin")
    assert refused.value.remedies == (Remedy.KIT_FIRST,)
    with pytest.raises(StashError, match="can't be finished"):
        finish(shelf.ledger, "Robin", {})
    kit(shelf.ledger, "Robin")
    with pytest.raises(StashError, match="can't be kitted"):
        kit(shelf.ledger, "Robin")
    start(shelf.ledger, "Robin")
    with pytest.raises(StashError, match="in work and can't be") as refused:
        release(shelf.ledger, "Robin")
    assert refused.value.remedies == (Remedy.FINISH_FIRST,)
    give_up(shelf.ledger, "Robin")
    with pytest.raises(StashError, match="given up and can't be") as refused:
        give_up(shelf.ledger, "Robin")
    assert refused.value.remedies == (Remedy.UNDO_PROJECT,)
    assert shelf.free("T1") == (1, 0)


def test_every_move_can_be_undone_in_turn(shelf: Shelf) -> None:
    shelf.thread("T1", 2, (3000,))
    shelf.project("Robin", T1=2)
    kit(shelf.ledger, "Robin")
    start(shelf.ledger, "Robin")
    finish(shelf.ledger, "Robin", {1: Left(0, (4000,))})
    assert undo_last(shelf.ledger, "Robin").name == "finished"
    assert _state(shelf, "Robin") == "in work"
    assert shelf.free("T1") == (0, 3000)
    assert undo_last(shelf.ledger, "Robin").name == "started"
    assert undo_last(shelf.ledger, "Robin").name == "kitted"
    assert (shelf.free("T1"), _state(shelf, "Robin")) == ((2, 3000), "planned")
    assert undo_last(shelf.ledger, "Robin").name == "needs more"
    assert make_plan(shelf.ledger, "Robin").empty
    with pytest.raises(StashError, match="nothing to undo"):
        undo_last(shelf.ledger, "Robin")
    assert audit(shelf.ledger) == []


def test_a_finish_cant_be_undone_once_its_rest_is_promised(shelf: Shelf) -> None:
    shelf.thread("T1", 1)
    shelf.project("Robin", T1=1)
    kit(shelf.ledger, "Robin")
    start(shelf.ledger, "Robin")
    finish(shelf.ledger, "Robin", {1: Left(0, (4000,))})
    shelf.project("Wren")
    shelf.needs_length("Wren", "T1", 3500)
    kit(shelf.ledger, "Wren")
    with pytest.raises(StashError, match="promised to a project"):
        undo_last(shelf.ledger, "Robin")
    assert _state(shelf, "Robin") == "finished"


def test_an_empty_project_is_never_kitted(shelf: Shelf) -> None:
    shelf.project("Robin")
    with pytest.raises(StashError, match="nothing is known of what it needs"):
        kit(shelf.ledger, "Robin")


def test_charts_fabric_copies_and_threads_change_only_while_planned(shelf: Shelf) -> None:
    shelf.thread("T1", 1)
    shelf.project("Robin", T1=1)
    kit(shelf.ledger, "Robin")
    change_project(shelf.ledger, "Robin", {"place": "tin", "name": "Redbreast"})
    with pytest.raises(StashError, match="only while it is planned"):
        change_project(shelf.ledger, "Redbreast", {"copies": 2})
    with pytest.raises(StashError, match="only while it is planned or in work"):
        add_thread_need(shelf.ledger, "Redbreast", ThreadNeed(ThreadInfo("T1"), 1))
    called = called_thread(shelf.ledger, "Redbreast", "T1", None)
    with pytest.raises(StashError, match="chosen while it is planned"):
        choose_thread(shelf.ledger, "Redbreast", called, ThreadInfo("T2"))


def test_work_that_runs_out_can_fetch_more(shelf: Shelf) -> None:
    shelf.thread("T1", 3)
    shelf.project("Robin", T1=1)
    kit(shelf.ledger, "Robin")
    start(shelf.ledger, "Robin")
    add_thread_need(shelf.ledger, "Robin", ThreadNeed(ThreadInfo("T1"), 1))
    assert kit(shelf.ledger, "Robin").project.state == "in work"
    assert shelf.free("T1") == (1, 0)


def test_a_stand_in_takes_the_place_of_the_thread_called_for(shelf: Shelf) -> None:
    shelf.thread("T2", 2)
    shelf.project("Robin")
    shelf.needs_length("Robin", "T1", 9000)
    choose_thread(
        shelf.ledger, "Robin", called_thread(shelf.ledger, "Robin", "T1", None), ThreadInfo("T2")
    )
    planned = make_plan(shelf.ledger, "Robin").threads[0]
    assert (planned.thread.code, planned.need.called, planned.skeins) == ("T2", ("T1",), 2)
    shelf.needs_length("Robin", "T1", 100)  # what is added later follows the choice
    assert len(make_plan(shelf.ledger, "Robin").threads) == 1
    drop_hand_needs(shelf.ledger, "Robin")
    assert make_plan(shelf.ledger, "Robin").empty
    with pytest.raises(StashError, match="doesn't call for"):
        called_thread(shelf.ledger, "Robin", "T2", None)


def test_a_stand_in_sold_in_other_lengths_is_counted_anew(shelf: Shelf) -> None:
    shelf.project("Robin")
    shelf.needs_length("Robin", "T1", 9000)  # 54 m of single strand
    pearl = ThreadInfo("P5", putup_mm=25000, strands=1)
    called = called_thread(shelf.ledger, "Robin", "T1", None)
    choose_thread(shelf.ledger, "Robin", called, pearl)
    assert make_plan(shelf.ledger, "Robin").threads[0].skeins == 3


def test_a_skein_is_opened_only_where_another_project_waits_for_its_rest(shelf: Shelf) -> None:
    shelf.thread("T1", 1)
    shelf.project("Robin")
    shelf.needs_length("Robin", "T1", 3000)
    kit(shelf.ledger, "Robin")
    assert shelf.free("T1") == (0, 0)  # nobody else wants it: the skein stays whole in the bag
    undo_last(shelf.ledger, "Robin")
    shelf.project("Wren")
    shelf.needs_length("Wren", "T1", 4000)
    whole = kit(shelf.ledger, "Robin")
    assert (shelf.free("T1"), divided(shelf.ledger, whole.project)) == ((0, 0), ())
    undo_last(shelf.ledger, "Robin")
    after = kit(shelf.ledger, "Robin", divide=True)
    assert shelf.free("T1") == (0, 5000)
    assert divided(shelf.ledger, after.project) == (Divided("T1", True, 3000, 5000),)
    kit(shelf.ledger, "Wren")
    assert audit(shelf.ledger) == []
    undo_last(shelf.ledger, "Wren")
    undo_last(shelf.ledger, "Robin")
    assert shelf.free("T1") == (1, 0)
    change_rules(shelf.ledger, share_skeins=True)
    kit(shelf.ledger, "Robin")
    assert shelf.free("T1") == (0, 5000)


def test_a_project_may_be_begun_a_skein_short_if_she_says_so(shelf: Shelf) -> None:
    shelf.thread("T1", 1)
    shelf.project("Robin", T1=2)
    with pytest.raises(StashError, match="nothing is set apart"):
        start(shelf.ledger, "Robin", short=True)
    kit(shelf.ledger, "Robin", partly=True)
    with pytest.raises(StashError, match="still lacks thread T1: 1 skein") as refused:
        start(shelf.ledger, "Robin")
    assert refused.value.remedies == (Remedy.START_SHORT,)
    assert start(shelf.ledger, "Robin", short=True).state == "in work"
    assert make_plan(shelf.ledger, "Robin").missing == ("thread T1: 1 skein",)
    shelf.thread("T1", 1)
    kit(shelf.ledger, "Robin")  # it has come
    assert make_plan(shelf.ledger, "Robin").missing == ()
    assert audit(shelf.ledger) == []


def test_a_thread_that_is_replaced_goes_back_into_the_drawer(shelf: Shelf) -> None:
    shelf.thread("T1", 1, (4000,))
    shelf.thread("T2", 1)
    shelf.project("Robin", T1=3)
    kit(shelf.ledger, "Robin", partly=True)
    assert shelf.free("T1") == (0, 4000)
    called = called_thread(shelf.ledger, "Robin", "T1", None)
    choose_thread(shelf.ledger, "Robin", called, ThreadInfo("T2"))
    assert shelf.free("T1") == (1, 4000)
    assert undo_last(shelf.ledger, "Robin").name == "chose"
    assert shelf.free("T1") == (0, 4000)
    assert audit(shelf.ledger) == []


def test_paper_is_set_apart_once_and_a_file_is_printed_at_need(shelf: Shelf) -> None:
    shelf.thread("T1", 5)
    with acting(shelf.ledger, "bought") as act:
        add_chart(act, ChartSource("on paper", book="Winter birds"), copies=1)
        add_chart(act, ChartSource("in a file", file="/charts/robin.json"), copies=0)
    for name, title in (("A", "on paper"), ("B", "on paper"), ("C", "in a file")):
        project = shelf.project(name, T1=1)
        set_charts(shelf.ledger, project.id, [title])
    kit(shelf.ledger, "A")
    with pytest.raises(StashError, match="chart on paper, Winter birds"):
        kit(shelf.ledger, "B")
    kit(shelf.ledger, "C")
    start(shelf.ledger, "A")
    finish(shelf.ledger, "A", {})
    kit(shelf.ledger, "B")  # the chart went back to its place


def test_notions_are_counted_in_their_unit(shelf: Shelf) -> None:
    with acting(shelf.ledger, "bought") as act:
        add_notion(act, NotionInfo("beads", "g"), 2.5)
        add_notion(act, NotionInfo("beads", "packet"), 9)
    shelf.project("Robin")
    add_notion_need(shelf.ledger, "Robin", NotionInfo("beads", "g"), 1.2)
    add_notion_need(shelf.ledger, "Robin", NotionInfo("beads", "g"), 1.2)
    kit(shelf.ledger, "Robin")
    held = shelf.ledger.value("SELECT amount FROM holdings")
    assert held == 2400
    with pytest.raises(StashError, match="how much"):
        add_notion_need(shelf.ledger, "Robin", NotionInfo("beads", "g"), 0)


# ---------------------------------------------------------------------------- finishing


def test_what_isnt_measured_is_taken_as_the_estimate_calls_likely(shelf: Shelf) -> None:
    shelf.thread("T1", 2)
    shelf.project("Robin")
    shelf.needs_length("Robin", "T1", 12000)  # likely 10 m of put-up
    kit(shelf.ledger, "Robin")
    start(shelf.ledger, "Robin")
    used = finish(shelf.ledger, "Robin", {})
    assert (used[0].used_mm, used[0].measured) == (10000, False)
    assert shelf.free("T1") == (0, 6000)
    assert usage_record("Robin", used, "2026-03-01") is None


def test_what_is_measured_teaches_the_estimate(shelf: Shelf) -> None:
    shelf.thread("T1", 2)
    shelf.project("Robin")
    shelf.needs_length("Robin", "T1", 12000)  # likely 60 m of single strand
    kit(shelf.ledger, "Robin")
    start(shelf.ledger, "Robin")
    used = finish(shelf.ledger, "Robin", {1: Left(0, (5000,))})
    record = usage_record("Robin", used, "2026-03-01")
    assert record is not None
    assert (record.estimated_mm, record.used_mm) == (60000, 66000)


def test_what_was_used_of_a_project_given_up_stays_used(shelf: Shelf) -> None:
    shelf.thread("T1", 2)
    shelf.thread("T2", 1)
    shelf.project("Robin", T1=2, T2=1)
    kit(shelf.ledger, "Robin")
    start(shelf.ledger, "Robin")
    give_up(shelf.ledger, "Robin", {1: Left(1, (3000,))})
    assert (shelf.free("T1"), shelf.free("T2")) == ((1, 3000), (1, 0))
    undo_last(shelf.ledger, "Robin")
    assert (shelf.free("T1"), _state(shelf, "Robin")) == ((0, 0), "in work")
    assert audit(shelf.ledger) == []


@pytest.mark.parametrize(("lots", "of_rest"), [(("7", "7"), "7"), (("7", "8"), "")])
def test_a_part_skein_that_was_worked_is_gone_and_a_rest_is_of_the_lot_of_all(
    shelf: Shelf, lots: tuple[str, str], of_rest: str
) -> None:
    """Of two lots it may be of either."""
    shelf.thread("T1", 1, lot=lots[0])
    shelf.thread("T1", 0, (2000,), lot=lots[1])
    shelf.project("Robin")
    shelf.needs_length("Robin", "T1", 9000)
    kit(shelf.ledger, "Robin")
    start(shelf.ledger, "Robin")
    finish(shelf.ledger, "Robin", {1: Left(0, (1500,))})
    assert shelf.free("T1") == (0, 1500)
    rest = "SELECT s.dye_lot FROM stock s JOIN balances b ON b.stock = s.id WHERE b.owned = 1500"
    assert shelf.ledger.value(rest) == of_rest


def test_more_cant_be_left_than_was_set_apart(shelf: Shelf) -> None:
    shelf.thread("T1", 3)
    shelf.project("Robin", T1=2)
    kit(shelf.ledger, "Robin")
    start(shelf.ledger, "Robin")
    for left in (Left(3), Left(0, (17000,)), Left(2, (1,))):
        with pytest.raises(StashError, match="more of thread T1"):
            finish(shelf.ledger, "Robin", {1: left})
    with pytest.raises(StashError, match="holds nothing of a thread"):
        finish(shelf.ledger, "Robin", {99: Left(1)})
    with pytest.raises(StashError, match="holds no thread T9"):
        held_thread(shelf.ledger, "Robin", "T9")


def test_fabric_that_is_left_comes_back_as_new_pieces(shelf: Shelf) -> None:
    shelf.thread("T1", 1)
    shelf.piece(500, 700)
    shelf.project("Robin", T1=1)
    shelf.needs_fabric("Robin", 300, 400)
    kit(shelf.ledger, "Robin")
    start(shelf.ledger, "Robin")
    finish(shelf.ledger, "Robin", {}, fabric_left=[(200, 700), (300, 300)])
    pieces = shelf.ledger.rows(
        "SELECT label, width_mm FROM pieces p JOIN balances b ON b.stock = p.stock"
        " WHERE b.owned = 1 AND b.promised = 0 ORDER BY label"
    )
    assert [tuple(row) for row in pieces] == [("F1-1", 200), ("F1-2", 300)]
    undo_last(shelf.ledger, "Robin")
    assert shelf.ledger.value("SELECT sum(owned) FROM balances WHERE kind = 'piece'") == 1
