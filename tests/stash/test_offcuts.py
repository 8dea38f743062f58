"""What is cut off a piece, and what comes back of it."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest
from hypothesis import given
from hypothesis import strategies as st

from chartscan.errors import StashError
from chartscan.stash.check import audit
from chartscan.stash.kitting import kit, undo_last
from chartscan.stash.offcuts import (
    Cutting,
    OffcutSettings,
    Rect,
    cut_out,
    lay,
    plan_cuts,
)
from chartscan.stash.plan import make_plan
from chartscan.stash.rectangles import cut_block, yield_of

if TYPE_CHECKING:
    from tests.stash.conftest import Shelf

sides = st.integers(40, 1500)
cuts = st.integers(30, 400)


@given(sides, sides, cuts, cuts, st.integers(1, 30))
def test_block_and_offcuts_make_up_the_piece_and_the_block_holds_the_cuts(
    width: int, height: int, w: int, h: int, wanted: int
) -> None:
    number = min(wanted, yield_of((width, height), (w, h)))
    if not number:
        return
    block, offcuts = cut_block((width, height), (w, h), number)
    assert block[0] <= width
    assert block[1] <= height
    assert yield_of(block, (w, h)) >= number
    assert sum(a * b for a, b in (block, *offcuts)) == width * height
    assert all(a >= 0 and b >= 0 for a, b in offcuts)


def _apart(a: Rect, b: Rect) -> bool:
    return (
        a.x + a.width <= b.x
        or b.x + b.width <= a.x
        or a.y + a.height <= b.y
        or b.y + b.height <= a.y
    )


@given(sides, sides, cuts, cuts, st.integers(1, 30))
def test_in_a_plan_no_cut_or_offcut_lies_over_another_or_beyond_the_piece(
    width: int, height: int, w: int, h: int, wanted: int
) -> None:
    number = min(wanted, yield_of((width, height), (w, h)))
    if not number:
        return
    plan = lay("F1", (width, height), (w, h), number, OffcutSettings())
    everything = (*plan.cuts, *plan.kept, *plan.lost)
    assert len(plan.cuts) == number
    assert {(r.width, r.height) for r in plan.cuts} <= {(w, h), (h, w)}
    assert all(r.x >= 0 and r.x + r.width <= width for r in everything)
    assert all(r.y >= 0 and r.y + r.height <= height for r in everything)
    assert all(_apart(a, b) for n, a in enumerate(everything) for b in everything[:n])
    block = plan.block_mm[0] * plan.block_mm[1]
    rest = sum(r.width * r.height for r in (*plan.kept, *plan.lost))
    assert block + rest == width * height


def test_a_plan_is_made_of_free_pieces_too_and_cuts_nothing(shelf: Shelf) -> None:
    shelf.piece(1100, 600)
    shelf.project("Stars")
    shelf.needs_fabric("Stars", 100, 100, pieces=25)
    (before,) = plan_cuts(shelf.ledger, "Stars").pieces
    assert (before.label, len(before.cuts)) == ("F1", 25)
    assert before.kept == (Rect(500, 0, 600, 600), Rect(0, 500, 500, 100))
    kit(shelf.ledger, "Stars")
    assert plan_cuts(shelf.ledger, "Stars") == Cutting((before,), ())
    assert shelf.ledger.value("SELECT count(*) FROM pieces") == 1


def test_a_plan_says_what_no_piece_yields(shelf: Shelf) -> None:
    shelf.piece(250, 150)
    shelf.project("Stars")
    shelf.needs_fabric("Stars", 100, 100, pieces=5)
    shelf.needs_fabric("Stars", 300, 400)
    cutting = plan_cuts(shelf.ledger, "Stars")
    assert [len(piece.cuts) for piece in cutting.pieces] == [2]
    wanted = {(n.pieces, n.width_mm, n.height_mm) for n in cutting.to_buy}
    assert wanted == {(3, 100, 100), (1, 300, 400)}


def test_a_set_comes_in_one_block_and_the_strips_go_back(shelf: Shelf) -> None:
    shelf.piece(1100, 600)
    shelf.project("Stars")
    shelf.needs_fabric("Stars", 100, 100, pieces=25)
    kit(shelf.ledger, "Stars")
    done = cut_out(shelf.ledger, "Stars")
    assert [(c.label, c.kept) for c in done] == [("F1", ("F1-1", (500, 500)))]
    assert done[0].offcuts == (("F1-2", (600, 600)), ("F1-3", (500, 100)))
    assert done[0].waste_mm2 == 0
    assert make_plan(shelf.ledger, "Stars").missing == ()
    assert audit(shelf.ledger) == []
    with pytest.raises(StashError, match="nothing in its bag is to be cut"):
        cut_out(shelf.ledger, "Stars")
    undo_last(shelf.ledger, "Stars")
    assert shelf.ledger.value("SELECT count(*) FROM balances WHERE owned > 0") == 1


def test_a_strip_too_narrow_to_keep_is_waste(shelf: Shelf) -> None:
    shelf.piece(350, 400)
    shelf.project("Robin")
    shelf.needs_fabric("Robin", 300, 400)
    kit(shelf.ledger, "Robin")
    done = cut_out(shelf.ledger, "Robin")
    assert (done[0].kept[1], done[0].offcuts, done[0].waste_mm2) == ((300, 400), (), 20_000)


def test_a_piece_that_just_fits_isnt_cut(shelf: Shelf) -> None:
    shelf.piece(400, 300)
    shelf.project("Robin")
    shelf.needs_fabric("Robin", 300, 400)
    kit(shelf.ledger, "Robin")
    with pytest.raises(StashError, match="nothing in its bag is to be cut"):
        cut_out(shelf.ledger, "Robin")
