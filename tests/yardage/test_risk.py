"""Ranges, chances, skeins, and classes of one thread added up."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from chartscan.errors import YardageError
from chartscan.yardage import LengthRange, Requirement, Supply, Term, combine, words
from chartscan.yardage.risk import chances, length_range, skeins_needed

SKEIN = 48_000.0


def _requirement(likely: float, habit: float = 0.0, chance: float = 0.0) -> Requirement:
    return Requirement(
        class_index=1,
        stitches=10,
        work=(("cross", 10),),
        strands=2,
        length_mm=LengthRange(likely, likely, likely),
        least_mm=likely / 2,
        pieces=3,
        skeins=1,
        terms=(Term("front", likely),),
        habit_mm=habit,
        chance_mm=chance,
    )


def test_skeins_keep_the_chance_of_running_out_under_the_risk() -> None:
    """The normal law's 95 % point lies 1.6449 deviations up (any table of it)."""
    assert skeins_needed(40_000, 4_860, SKEIN, 0.05) == 1
    assert skeins_needed(40_000, 4_870, SKEIN, 0.05) == 2
    assert skeins_needed(40_000, 4_870, SKEIN, 0.06) == 1
    assert skeins_needed(1, 0, SKEIN, 0.05) == 1
    assert skeins_needed(SKEIN, 0, SKEIN, 0.05) == 1


def test_the_range_holds_nine_projects_of_ten_and_never_beats_the_bound() -> None:
    """1.6449 deviations each way, but not below the least."""
    wide = length_range(1000, 100, 0)
    assert (wide.low, wide.high) == pytest.approx((835.5, 1164.5), abs=0.1)
    assert length_range(1000, 100, 900).low == 900


@given(likely=st.floats(1, 1e6), share=st.floats(0.001, 0.3), risk=st.floats(0.001, 0.5))
def test_the_last_skein_is_enough_and_the_one_before_is_not(
    likely: float, share: float, risk: float
) -> None:
    """At every risk that can be chosen."""
    deviation = likely * share
    skeins = skeins_needed(likely, deviation, SKEIN, risk)
    enough = chances(likely, deviation, SKEIN, skeins)
    assert enough[-1] >= 1 - risk - 1e-6
    assert list(enough) == sorted(enough)
    if skeins > 1:
        assert enough[-2] < 1 - risk + 1e-6


def test_chances_agree_with_drawn_projects() -> None:
    """A hundred thousand drawn lengths: the share that one skein is enough for."""
    drawn = np.random.default_rng(5).normal(45_000, 5_000, 100_000)
    (one, two) = chances(45_000, 5_000, SKEIN, 2)
    assert one == pytest.approx((drawn <= SKEIN).mean(), abs=0.005)
    assert two == pytest.approx((drawn <= 2 * SKEIN).mean(), abs=0.005)


def test_what_the_second_skein_buys_is_said_in_words() -> None:
    """In projects of a hundred; nothing is promised for all of them."""
    assert words((0.71, 0.9999)) == (
        "one skein is enough in 71 of 100 such projects, two in more than 99"
    )
    assert words((0.0, 0.001, 0.4, 0.97)).startswith("three skeins are enough in 40 of 100")
    assert words((1.0,)) == "one skein is enough in more than 99 of 100 such projects"
    assert words(()) == ""
    many = words(tuple(n / 20 for n in range(20)))
    assert many == "two skeins are enough in 5 of 100 such projects, 19 in 90, 20 in 95"


def test_classes_of_one_thread_share_their_skeins() -> None:
    """Two of 20 m each fit into one skein of 48 m; habit adds straight, chance in squares."""
    both = combine([_requirement(20_000, 300, 400), _requirement(20_000, 300, 300)], Supply())
    assert both.skeins == 1
    assert both.length_mm.likely == 40_000
    assert both.spread_mm == pytest.approx(math.hypot(600, 500))
    assert both.work == (("cross", 20),)
    assert (both.stitches, both.pieces, both.least_mm) == (20, 6, 20_000)
    assert sum(t.mm for t in both.terms) == pytest.approx(both.length_mm.likely, abs=1e-9)
    assert len(both.enough) == 1


def test_one_class_alone_is_what_it_was() -> None:
    """Adding up one requirement changes no length."""
    one = _requirement(50_000, 100, 100)
    alone = combine([one], Supply())
    assert alone.length_mm.likely == one.length_mm.likely
    assert alone.skeins == 2
    assert replace(alone, skeins=1).spread_mm == one.spread_mm


def test_there_is_no_sum_of_nothing() -> None:
    """One clear line instead."""
    with pytest.raises(YardageError, match="no classes"):
        combine([], Supply())


@pytest.mark.parametrize(("metres", "strands"), [(0, 6), (-8, 6), (math.inf, 6), (8, 0)])
def test_a_put_up_without_thread_is_refused(metres: float, strands: int) -> None:
    """Length and strands must be there."""
    with pytest.raises(YardageError):
        Supply(metres, strands)
