"""Needlefuls: what starts, ends and tails cost, by hand."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from chartscan.errors import YardageError
from chartscan.yardage.pieces import cut_road
from chartscan.yardage.settings import EstimateSettings

PLAIN = EstimateSettings()  # 450 mm, ends of 30 mm, 80 mm left in the needle
FRESH, FRESH_LOOP = 450 - 80 - 30 - 30, 450 - 80 - 30


def test_one_needleful_has_a_start_an_end_and_a_tail() -> None:
    """With a loop the start takes nothing."""
    single = cut_road(np.array([100.0]), 1, PLAIN)
    assert (single.needlefuls, single.starts) == (1, 1)
    assert (single.ends_mm, single.needle_mm) == (60, 80)
    assert cut_road(np.array([100.0]), 2, PLAIN).ends_mm == 30
    no_loop = EstimateSettings(loop_start=False)
    assert cut_road(np.array([100.0]), 2, no_loop).ends_mm == 60


@pytest.mark.parametrize("needlefuls", [1, 2, 3, 10, 1000])
def test_a_long_stretch_is_cut_where_the_thread_runs_out(needlefuls: int) -> None:
    """A road of just so many needlefuls takes them; a hair more takes another."""
    for strands, fresh in ((1, FRESH), (2, FRESH_LOOP)):
        exact = cut_road(np.array([needlefuls * fresh]), strands, PLAIN)
        assert (exact.needlefuls, exact.starts) == (needlefuls, needlefuls)
        over = cut_road(np.array([needlefuls * fresh + 0.01]), strands, PLAIN)
        assert over.needlefuls == needlefuls + 1


def test_short_stretches_share_a_needleful() -> None:
    """Of 32.5 mm each with 60 mm of ends, four fill one of 450 mm with its tail just so."""
    four, five = (cut_road(np.full(n, 32.5), 1, PLAIN) for n in (4, 5))
    assert (four.needlefuls, four.starts, four.ends_mm) == (1, 4, 4 * 60)
    assert 4 * 32.5 + four.ends_mm + four.needle_mm == 450
    assert (five.needlefuls, five.starts, five.ends_mm) == (2, 6, 6 * 60)


def test_only_the_first_start_of_a_needleful_is_a_loop() -> None:
    """The next ones are run under stitches."""
    four = cut_road(np.full(4, 20.0), 2, PLAIN)
    assert (four.needlefuls, four.starts) == (1, 4)
    assert four.ends_mm == 4 * 30 + 3 * 30


ROADS = st.lists(st.floats(1, 900), min_size=1, max_size=30)


@settings(max_examples=100, deadline=None)
@given(roads=ROADS, strands=st.sampled_from([1, 2, 3]))
def test_no_thread_is_lost_or_made(roads: list[float], strands: int) -> None:
    """Road and waste are the needlefuls less what the last one has left."""
    cut = cut_road(np.array(roads), strands, PLAIN)
    used = sum(roads) + cut.ends_mm + cut.needle_mm
    assert used <= cut.needlefuls * PLAIN.working_mm + 1e-4
    assert used > (cut.needlefuls - 1) * PLAIN.working_mm - 1e-4
    assert cut.starts == len(roads) + cut.needlefuls - 1


@settings(max_examples=60, deadline=None)
@given(roads=ROADS, more=st.floats(0, 500), strands=st.sampled_from([1, 2]))
def test_a_longer_or_further_stretch_never_needs_less(
    roads: list[float], more: float, strands: int
) -> None:
    """More road in one of them, or one stretch more, takes no less thread."""
    lengthened, added = [roads[0] + more, *roads[1:]], [*roads, more]

    def needed(some: list[float]) -> float:
        cut = cut_road(np.array(some), strands, PLAIN)
        return sum(some) + cut.ends_mm + cut.needle_mm

    assert needed(lengthened) >= needed(roads) - 1e-6
    assert needed(added) >= needed(roads) - 1e-6


def test_copies_are_cut_one_after_the_other() -> None:
    """Two copies of a stretch are two such stretches."""
    twice = cut_road(np.array([20.0, 100.0]), 1, EstimateSettings(copies=2))
    assert twice == cut_road(np.array([20.0, 20.0, 100.0, 100.0]), 1, PLAIN)


@pytest.mark.parametrize(
    ("settings_told", "message"),
    [
        ({"working_mm": 100.0}, "leaves nothing to stitch with"),
        ({"working_mm": float("nan")}, "makes no sense"),
        ({"margin_mm": -1.0}, "margin of -1 mm"),
        ({"carry_mm": -0.1}, "carry"),
        ({"risk": 0.0}, "risk"),
        ({"copies": 0}, "copies"),
        ({"wraps": 0}, "wraps"),
        ({"line_strands": 0}, "1 strand or more"),
        ({"knot_strands": -1}, "1 strand or more"),
    ],
)
def test_settings_that_make_no_sense_are_refused(
    settings_told: dict[str, Any], message: str
) -> None:
    """In one line that names the value."""
    with pytest.raises(YardageError, match=message):
        EstimateSettings(**settings_told)
