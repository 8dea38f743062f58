"""Fabric: what is told and what is usual, several side by side, and pieces of the drawer."""

from __future__ import annotations

from pathlib import Path

import pytest

from chartscan.errors import YardageError
from chartscan.stash.fabrics import Piece
from chartscan.tasks.drawer import add_fabric
from chartscan.tasks.fabric import (
    choose_fabric,
    estimate_on,
    explain,
    pieces_that_fit,
    way_of_working,
)
from chartscan.yardage import EstimateSettings
from tests.palette.making import chart_of

CHART = chart_of(["#a80505", "#0505a8"])


def test_a_finish_says_the_margin_and_a_margin_beside_it_is_refused() -> None:
    assert way_of_working("card", own_factor=False).margin_mm == 40
    assert way_of_working(own_factor=False) == EstimateSettings()
    with pytest.raises(YardageError, match="either says the margin"):
        way_of_working("card", margin_mm=30.0)
    with pytest.raises(YardageError, match="no finish 'flag'; there are framed"):
        way_of_working("flag")


def test_fabrics_side_by_side_are_each_what_they_are_alone() -> None:
    working = way_of_working(own_factor=False)
    fabrics = [choose_fabric(14), choose_fabric(28, 2), choose_fabric(32, 2)]
    together = estimate_on(CHART, fabrics, working)
    assert together == tuple(estimate_on(CHART, [one], working)[0] for one in fabrics)
    assert together[0].finished_mm == together[1].finished_mm  # 14 over 1 is 28 over 2
    assert together[2].finished_mm[0] < together[1].finished_mm[0]


def test_a_class_that_is_not_worked_can_not_be_explained() -> None:
    (found,) = estimate_on(CHART, [choose_fabric(14)], way_of_working(own_factor=False))
    assert [r.class_index for r in explain(found, 2)] == [2]
    assert len(explain(found)) == 2
    with pytest.raises(YardageError, match="no class 7 is worked; there are 1, 2"):
        explain(found, 7)


def test_the_free_pieces_that_hold_every_copy_are_found_smallest_first(tmp_path: Path) -> None:
    stash = tmp_path / "stash.db"
    # 13 × 1 cells on 14 per inch with 75 mm all round: 173.6 × 151.8 mm; two copies side by side
    # are 347 mm wide, one above the other 304 mm high.
    for count, width, height in (
        (14, 900, 900),
        (14, 160, 200),  # turned by a quarter it holds one copy
        (14, 160, 150),  # too small
        (14, 180, 310),  # holds two
        (28, 900, 900),  # another count
    ):
        add_fabric(stash, Piece(count, width, height))
    one = way_of_working(own_factor=False)
    (found,) = estimate_on(CHART, [choose_fabric(14)], one)
    assert [p.piece.size_mm for p in pieces_that_fit(stash, found)] == [
        (160, 200),
        (180, 310),
        (900, 900),
    ]
    assert pieces_that_fit(stash, found)[0].fit.turned
    (twice,) = estimate_on(CHART, [choose_fabric(14)], way_of_working(own_factor=False, copies=2))
    assert [p.piece.size_mm for p in pieces_that_fit(stash, twice)] == [(180, 310), (900, 900)]
