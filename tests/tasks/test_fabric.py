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
    size_on,
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
    cloth = choose_fabric(14)
    cut = size_on(CHART, cloth, 75).cut_mm
    once = pieces_that_fit(stash, cloth, cut)
    assert [p.piece.size_mm for p in once] == [(160, 200), (180, 310), (900, 900)]
    assert once[0].fit.turned
    twice = pieces_that_fit(stash, cloth, cut, copies=2)
    assert [p.piece.size_mm for p in twice] == [(180, 310), (900, 900)]


def test_sizes_are_those_of_the_estimate() -> None:
    cloth = choose_fabric(28, 2)
    (found,) = estimate_on(CHART, [cloth], way_of_working(own_factor=False, margin_mm=40.0))
    sizes = size_on(CHART, cloth, 40)
    assert (sizes.finished_mm, sizes.cut_mm) == (found.finished_mm, found.cut_mm)
