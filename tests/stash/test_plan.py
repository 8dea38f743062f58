"""Plans, what can be started today, shopping, what-if: they agree with each other."""

from __future__ import annotations

import tempfile
from collections.abc import Iterable
from contextlib import suppress
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from chartscan.errors import StashError
from chartscan.stash.charts import ChartSource, add_chart
from chartscan.stash.check import audit
from chartscan.stash.entries import acting
from chartscan.stash.fabric_plan import FreePieces, load_free
from chartscan.stash.fabrics import Piece, add_piece, nearest_pieces
from chartscan.stash.kitting import kit
from chartscan.stash.labels import bag_label, stash_list
from chartscan.stash.ledger import Ledger, open_ledger
from chartscan.stash.needs import (
    FabricNeed,
    ThreadNeed,
    add_fabric_need,
    add_notion_need,
    add_thread_need,
)
from chartscan.stash.notions import NotionInfo, add_notion
from chartscan.stash.offcuts import cut_out
from chartscan.stash.owned import free_threads
from chartscan.stash.paper import ShoppingList, ShoppingOffcut
from chartscan.stash.plan import make_plan
from chartscan.stash.projects import Project, find_project, new_project, set_charts
from chartscan.stash.rules import change_rules
from chartscan.stash.shopping import book_bought, grid_cut, least_cut, make_list, narrow
from chartscan.stash.threads import ThreadInfo, add_thread
from chartscan.stash.today import what_today
from chartscan.stash.whatif import short_threads, what_if

if TYPE_CHECKING:
    from tests.stash.conftest import Shelf

# ---------------------------------------------------------------------------- drawn at random


@st.composite
def stashes(draw: st.DrawFn) -> dict[str, Any]:
    """A drawer, up to four projects that need things of it, and a stitcher's rules."""
    codes = ["T1", "T2", "T3"]
    return {
        "threads": draw(
            st.lists(
                st.tuples(
                    st.sampled_from(codes), st.integers(0, 3), st.integers(0, 8000),
                    st.sampled_from(["", "A", "B"]),
                ),
                max_size=8,
            )
        ),
        "pieces": draw(st.lists(st.tuples(st.integers(80, 600), st.integers(80, 600)), max_size=4)),
        "beads": draw(st.integers(0, 6)),
        "projects": draw(
            st.lists(
                st.tuples(
                    st.lists(
                        st.tuples(st.sampled_from(codes), st.integers(1, 20000)),
                        min_size=1, max_size=4,
                    ),
                    st.lists(
                        st.tuples(
                            st.integers(60, 300), st.integers(60, 300), st.integers(1, 4)
                        ),
                        max_size=1,
                    ),
                    st.integers(0, 3),
                ),
                min_size=1, max_size=4,
            )
        ),
        "rules": {
            "keep_back": draw(st.integers(0, 1)),
            "fresh_unless_more_than": draw(st.integers(0, 1)),
            "parts_count": draw(st.booleans()),
            "smallest_part_mm": draw(st.sampled_from([0, 1000])),
            "share_skeins": draw(st.booleans()),
        },
        "same_dye_lot": draw(st.booleans()),
    }  # fmt: skip


def build(folder: str, drawn: dict[str, Any]) -> Ledger:
    """The ledger that was drawn."""
    ledger = open_ledger(Path(folder) / "stash.db", create=True)
    ledger.execute("PRAGMA synchronous = OFF")  # the disk isn't under test here
    with acting(ledger, "bought") as act:
        for code, skeins, part, lot in drawn["threads"]:
            info = ThreadInfo(code, putup_mm=8000, strands=6, price=120)
            parts = (part,) if part else ()
            add_thread(act, info, skeins=skeins, parts_mm=parts, dye_lot=lot)
        for width, height in drawn["pieces"]:
            add_piece(act, Piece(28, width, height))
        add_notion(act, NotionInfo("beads", "g"), drawn["beads"])
    for number, (threads, fabrics, beads) in enumerate(drawn["projects"]):
        name = f"P{number}"
        new_project(ledger, Project(name))
        for code, length in threads:
            info = ThreadInfo(code, putup_mm=8000, strands=6)
            need = ThreadNeed(info, -(-length // 8000), 6 * length, 5 * length, 4 * length)
            add_thread_need(ledger, name, need)
        for width, height, pieces in fabrics:
            add_fabric_need(ledger, name, FabricNeed(28, width, height, pieces))
        if beads:
            add_notion_need(ledger, name, NotionInfo("beads", "g"), beads)
    change_rules(ledger, **drawn["rules"])
    return ledger


@settings(max_examples=60, deadline=None)
@given(stashes())
def test_what_can_be_started_today_agrees_with_every_plan(drawn: dict[str, Any]) -> None:
    with tempfile.TemporaryDirectory() as folder, build(folder, drawn) as ledger:
        if len(drawn["projects"]) > 1:
            _kit_if_possible(ledger, "P0")
        for lot in (False, drawn["same_dye_lot"]):
            change_rules(ledger, same_dye_lot=lot)
            for found in what_today(ledger):
                plan = make_plan(ledger, found.name)
                if found.state == "kitted":
                    assert found.ready
                    continue
                assert found.ready == (not plan.missing)
                assert found.lacks.skeins == sum(t.to_buy for t in plan.threads)
                assert found.lacks.threads == sum(bool(t.to_buy) for t in plan.threads)
                assert found.lacks.fabrics == sum(f.lack for f in plan.fabrics)
                assert found.lacks.notions == sum(bool(n.lack) for n in plan.notions)


def _kit_if_possible(ledger: Ledger, name: str) -> None:
    with suppress(StashError):
        kit(ledger, name, partly=True)


@settings(max_examples=60, deadline=None)
@given(stashes())
def test_once_the_list_is_bought_every_project_can_be_kitted(drawn: dict[str, Any]) -> None:
    """By rules that let a project take what was bought for it; fabric is cut as she goes."""
    drawn["rules"] |= {"keep_back": 0, "fresh_unless_more_than": 0}
    with tempfile.TemporaryDirectory() as folder, build(folder, drawn) as ledger:
        shopping = make_list(ledger)
        if shopping.threads or shopping.fabrics or shopping.notions:
            book_bought(ledger, shopping)
        for name in shopping.projects:
            kit(ledger, name)
            with suppress(StashError):  # there may be nothing to cut
                cut_out(ledger, name)
        assert audit(ledger) == []
        assert make_list(ledger) == ShoppingList((), (), (), (), 0, None, 0)


# ---------------------------------------------------------------------------- single cases


def test_the_nearest_to_ready_comes_first(shelf: Shelf) -> None:
    shelf.thread("T1", 2)
    shelf.project("far", T1=4, T2=1, T3=1)
    shelf.project("near", T1=3)
    shelf.project("ready", T1=1)
    shelf.project("unknown")
    found = what_today(shelf.ledger)
    assert [(p.name, p.ready) for p in found] == [
        ("ready", True), ("near", False), ("far", False), ("unknown", False),
    ]  # fmt: skip
    assert not found[3].known
    assert found[1].price is None  # nothing has a price


def test_fabric_is_priced_by_its_width_times_its_height(shelf: Shelf) -> None:
    """Two pieces of 30 × 50 cm at 40 the square metre are 12."""
    shelf.project("P", T1=1)
    shelf.thread("T1", 1)
    shelf.needs_fabric("P", 300, 500, pieces=2)
    with acting(shelf.ledger, "priced"):
        shelf.ledger.execute("INSERT INTO fabric_prices VALUES (28.0, 'ivory', 4000)")
    assert what_today(shelf.ledger)[0].price == pytest.approx(12.0)


def test_prices_tell_what_a_project_still_costs(shelf: Shelf) -> None:
    with acting(shelf.ledger, "bought") as act:
        add_thread(act, ThreadInfo("T1", price=125), skeins=1)
        add_notion(act, NotionInfo("beads", "g", price=90), 1)
    shelf.project("Robin", T1=3)
    add_notion_need(shelf.ledger, "Robin", NotionInfo("beads", "g"), 3)
    assert what_today(shelf.ledger)[0].price == pytest.approx(2 * 1.25 + 2 * 0.90)
    shopping = make_list(shelf.ledger, ["Robin"])
    assert shopping.total == pytest.approx(4.30)
    assert shopping.unpriced == 0


def test_a_kitted_project_is_ready_whatever_the_drawer_holds(shelf: Shelf) -> None:
    shelf.thread("T1", 1)
    shelf.project("Robin", T1=1)
    kit(shelf.ledger, "Robin")
    found = what_today(shelf.ledger)
    assert [(p.name, p.state, p.ready) for p in found] == [("Robin", "kitted", True)]


def test_a_chart_without_file_or_paper_keeps_a_project_from_starting(shelf: Shelf) -> None:
    shelf.thread("T1", 1)
    project = shelf.project("Robin", T1=1)
    with acting(shelf.ledger, "bought") as act:
        add_chart(act, ChartSource("lent to a friend"), copies=0)
    set_charts(shelf.ledger, project.id, ["lent to a friend"])
    assert what_today(shelf.ledger)[0].lacks.charts == 1


def test_a_list_counts_projects_by_deadline_and_names_them(shelf: Shelf) -> None:
    shelf.project("later", deadline="2026-12-01", T1=1)
    shelf.project("sooner", deadline="2026-06-01", T1=1, T2=2)
    shelf.project("whenever", T2=1)
    shopping = make_list(shelf.ledger)
    assert shopping.projects == ("sooner", "later", "whenever")
    assert [(t.code, t.skeins, t.projects) for t in shopping.threads] == [
        ("T1", 2, ("sooner", "later")), ("T2", 3, ("sooner", "whenever")),
    ]  # fmt: skip
    with pytest.raises(StashError, match="no project 'nobody'"):
        make_list(shelf.ledger, ["nobody"])


def test_part_skeins_are_used_up_across_projects(shelf: Shelf) -> None:
    shelf.thread("T1", 0, (7000,))
    for name in ("A", "B", "C"):
        shelf.project(name)
        shelf.needs_length(name, "T1", 3000)
    whole = make_list(shelf.ledger)
    assert [(t.skeins, t.apart) for t in whole.threads] == [(2, 2)]
    assert (whole.saved, whole.dividing_saves) == (0, 1)  # she is told what dividing would save
    change_rules(shelf.ledger, share_skeins=True)
    shopping = make_list(shelf.ledger)
    assert [(t.skeins, t.apart) for t in shopping.threads] == [(1, 2)]
    assert shopping.saved == 1


def test_a_part_of_the_list_can_be_booked(shelf: Shelf) -> None:
    shelf.project("Robin", T1=3, T2=1)
    shelf.needs_fabric("Robin", 300, 400)
    add_notion_need(shelf.ledger, "Robin", NotionInfo("beads", "g"), 4)
    whole = make_list(shelf.ledger)
    part = narrow(whole, {"T1": 2.0, "beads": None, "fabric": None})
    book_bought(shelf.ledger, part)
    left = make_list(shelf.ledger)
    assert [(t.code, t.skeins) for t in left.threads] == [("T1", 1), ("T2", 1)]
    assert (left.fabrics, left.notions) == ((), ())
    with pytest.raises(StashError, match="isn't on the list"):
        narrow(whole, {"T9": None})
    with pytest.raises(StashError, match="nothing to buy"):
        book_bought(shelf.ledger, narrow(left, {}))


def test_what_one_project_leaves_of_a_piece_is_not_bought_for_the_next(shelf: Shelf) -> None:
    label = shelf.piece(500, 700)
    for name, *size in (("A", 368, 314), ("B", 259, 477)):
        shelf.project(name)
        shelf.needs_fabric(name, *size)
    shopping = make_list(shelf.ledger)
    assert shopping.fabrics == ()
    assert shopping.offcuts == (ShoppingOffcut("B", label, "A"),)


def test_what_is_free_of_fabric_is_looked_up_once(
    shelf: Shelf, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The second look, at what other projects leave, goes by what the first has found."""
    label = shelf.piece(500, 700)
    for name, *size in (("A", 368, 314), ("B", 259, 477)):
        shelf.project(name)
        shelf.needs_fabric(name, *size)
    kit(shelf.ledger, "A")
    looks = []

    def counting(ledger: Ledger, needs: Iterable[FabricNeed]) -> FreePieces:
        looks.append(needs)
        return load_free(ledger, needs)

    monkeypatch.setattr("chartscan.stash.plan.load_free", counting)
    (fit,) = make_plan(shelf.ledger, "B").fabrics
    assert (fit.lack, fit.offcuts) == (1, ((label, "A"),))
    assert len(looks) == 1


def test_threads_to_buy_and_of_a_plan_stand_as_people_count(shelf: Shelf) -> None:
    shelf.project("Robin", T10=1, T2=1, T1=1)
    assert [t.code for t in make_list(shelf.ledger).threads] == ["T1", "T2", "T10"]
    planned = make_plan(shelf.ledger, "Robin").threads
    assert [t.thread.code for t in planned] == ["T1", "T2", "T10"]


def test_least_cut_lays_pieces_in_rows_across_the_bolt() -> None:
    assert least_cut([(300, 400, 1)], 1400) == (400, 300)
    assert least_cut([(300, 400, 4)], 1400) == (1200, 600)
    assert least_cut([(1600, 200, 1)], 1400) == (1600, 200)


def test_a_set_is_cut_from_the_least_piece() -> None:
    assert grid_cut(FabricNeed(14, 100, 100, 25), 1400) == (500, 500)
    assert grid_cut(FabricNeed(14, 100, 100, 7), 1400) in ((700, 100), (100, 700))
    assert grid_cut(FabricNeed(14, 900, 100, 2), 1000) in ((900, 200), (200, 900))


def test_fabric_is_fitted_either_way_round_and_the_smallest_that_will_do(shelf: Shelf) -> None:
    shelf.piece(900, 900)
    shelf.piece(420, 310)
    shelf.project("Robin")
    shelf.needs_fabric("Robin", 300, 400)
    fit = make_plan(shelf.ledger, "Robin").fabrics[0]
    assert (fit.pieces, fit.lack) == (("F2",), 0)


def test_a_set_may_come_from_several_pieces(shelf: Shelf) -> None:
    shelf.piece(300, 300)
    shelf.piece(300, 400)
    shelf.project("Stars")
    shelf.needs_fabric("Stars", 100, 100, pieces=20)
    fit = make_plan(shelf.ledger, "Stars").fabrics[0]
    assert (set(fit.pieces), fit.lack) == ({"F1", "F2"}, 0)
    assert kit(shelf.ledger, "Stars").project.state == "kitted"
    assert make_plan(shelf.ledger, "Stars").missing == ()


def test_fabric_of_another_count_or_colour_doesnt_serve(shelf: Shelf) -> None:
    shelf.piece(900, 900, count=32)
    shelf.piece(900, 900, colour="oat")
    shelf.project("Robin")
    shelf.needs_fabric("Robin", 300, 400)
    assert make_plan(shelf.ledger, "Robin").fabrics[0].lack == 1
    shelf.piece(900, 900, count=28.1, colour="Ivory")  # the same by its label
    assert make_plan(shelf.ledger, "Robin").fabrics[0].lack == 0


def test_what_if_says_whom_a_short_thread_completes(shelf: Shelf) -> None:
    with acting(shelf.ledger, "bought") as act:
        add_thread(act, ThreadInfo("T1", hex="#aa2030"), skeins=2)
        add_thread(act, ThreadInfo("T2", hex="#ac2233"), skeins=2)
        add_thread(act, ThreadInfo("T3", hex="#2030aa"), skeins=9)
        add_thread(act, ThreadInfo("T4", hex="#ab2131"), parts_mm=(2000,))
    shelf.project("large", deadline="2026-04-01", T1=3)
    shelf.project("small", deadline="2026-05-01", T1=2)
    found = what_if(shelf.ledger, 1)
    assert found.short
    assert [(c.project, c.lack_if_first, c.lack_if_last) for c in found.claims] == [
        ("large", 1, 3), ("small", 0, 2),
    ]  # fmt: skip
    assert found.keeper == "small"
    assert [s.code for s in found.substitutes] == ["T2"]  # T3 is another colour, T4 too short
    assert short_threads(shelf.ledger) == [1]


def test_a_label_says_what_is_in_the_bag_and_what_isnt(shelf: Shelf) -> None:
    shelf.thread("T1", 2)
    shelf.piece(400, 500)
    shelf.project("Robin", T1=1, T2=2)
    shelf.needs_fabric("Robin", 300, 400)
    before = bag_label(shelf.ledger, "Robin")
    assert before.set_apart == ()
    assert before.in_stash == ("fabric F1", "thread T1")
    assert before.to_buy == ("2 × T2",)
    kit(shelf.ledger, "Robin", partly=True)
    label = bag_label(shelf.ledger, "Robin")
    assert label.set_apart == ("fabric F1", "thread T1")
    assert label.in_stash == ()
    assert label.to_buy == ("2 × T2",)
    assert [(t.code, t.skeins, t.to_buy) for t in label.threads] == [("T1", 1, 0), ("T2", 0, 2)]
    assert [p.label for p in label.pieces] == ["F1"]
    assert label.cut_mm == ((300, 400, 1),)


def test_the_stash_list_goes_round_the_hues_and_ends_in_greys(shelf: Shelf) -> None:
    colours = {"grey": "#808080", "blue": "#2040c0", "red": "#c02020", "dark red": "#701010"}
    with acting(shelf.ledger, "bought") as act:
        for code, colour in colours.items():
            add_thread(act, ThreadInfo(code, hex=colour), skeins=1)
        add_thread(act, ThreadInfo("unknown"), skeins=1)
    codes = [t.code for t in stash_list(shelf.ledger).threads]
    assert codes == ["red", "dark red", "blue", "grey", "unknown"]


def test_only_free_stock_is_offered_to_the_matching(shelf: Shelf, stash_file: Path) -> None:
    shelf.thread("T1", 3, (4000, 500), line="Meadowline")
    shelf.thread("T2", 1)
    shelf.project("Robin", T2=1)
    kit(shelf.ledger, "Robin")
    owned = free_threads(stash_file)
    assert owned.skeins == {("Meadowline", "T1"): 3.0}
    assert owned.metres_left == {("Meadowline", "T1"): 4.0}  # the short part doesn't count
    change_rules(shelf.ledger, parts_count=False)
    assert free_threads(stash_file).metres_left == {}


def test_the_nearest_piece_stands_in_for_a_colour_that_is_gone(shelf: Shelf) -> None:
    with acting(shelf.ledger, "bought") as act:
        add_piece(act, Piece(28, 400, 500, colour="ivory", hex="#f4eedd"))
        add_piece(act, Piece(28, 400, 500, colour="dusk", hex="#8d97a6"))
        add_piece(act, Piece(14, 400, 500, colour="cream", hex="#f5efde"))
    near = nearest_pieces(shelf.ledger, (245, 239, 222), count=28)
    assert [n.fabric.name for n in near] == ["F1 ivory", "F2 dusk"]


def test_a_project_that_isnt_there_is_named(ledger: Ledger) -> None:
    for look in (make_plan, find_project, bag_label):
        with pytest.raises(StashError, match="no project 'Robin'"):
            look(ledger, "Robin")


def test_a_thread_that_is_partly_there_stands_under_each_state(shelf: Shelf) -> None:
    """Three skeins needed: one is kitted, one comes into the drawer later, one is to be bought."""
    shelf.thread("T1", 1)
    shelf.project("Robin", T1=3)
    kit(shelf.ledger, "Robin", partly=True)
    shelf.thread("T1", 1)
    label = bag_label(shelf.ledger, "Robin")
    assert label.set_apart == ("thread T1 (in part)",)
    assert label.in_stash == ("thread T1 (in part)",)
    assert label.to_buy == ("1 × T1",)
