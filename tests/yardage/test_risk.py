"""Ranges, chances, skeins, and classes of one thread added up."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from chartscan.errors import YardageError
from chartscan.yardage import LengthRange, Requirement, Supply, Term, combine, words
from chartscan.yardage.risk import chances, drawn_of, length_range, skeins_needed

SKEIN = 48_000.0


def _requirement(likely: float, more: float = 0.0) -> Requirement:
    return Requirement(
        class_index=1,
        stitches=10,
        work=(("cross", 10),),
        strands=2,
        length_mm=LengthRange(likely - more, likely, likely + more),
        least_mm=likely / 2,
        pieces=3,
        skeins=1,
        terms=(Term("front", likely),),
    )


def test_skeins_keep_the_chance_of_running_out_under_the_risk() -> None:
    """Of a hundred drawn projects five may run out, not six."""
    projects = np.linspace(30_000, 46_000, 95).tolist() + [50_000.0] * 5
    assert skeins_needed(np.array(projects), SKEIN, 0.051) == 1
    assert skeins_needed(np.array([*projects[1:], 50_000.0]), SKEIN, 0.05) == 2
    assert skeins_needed(np.array([1.0, 1.0]), SKEIN, 0.05) == 1
    assert skeins_needed(np.array([SKEIN, SKEIN]), SKEIN, 0.05) == 1


def test_the_range_holds_nine_projects_of_ten_and_never_beats_the_bound() -> None:
    """5 % use less, 5 % more, but none less than the least."""
    used = np.arange(1, 1001, dtype=float)
    wide = length_range(500, used, 0)
    assert (wide.low, wide.high) == pytest.approx((51, 950), abs=1)
    assert length_range(500, used, 200).low == 200


@given(likely=st.floats(1, 1e6), share=st.floats(0.001, 0.3), risk=st.floats(0.001, 0.5))
def test_the_last_skein_is_enough_and_the_one_before_is_not(
    likely: float, share: float, risk: float
) -> None:
    """At every risk that can be chosen."""
    drawn = np.random.default_rng(2).normal(likely, likely * share, 4000)
    skeins = skeins_needed(drawn, SKEIN, risk)
    enough = chances(drawn, SKEIN, skeins)
    assert enough[-1] >= 1 - risk - 1e-3
    assert list(enough) == sorted(enough)
    assert all(0 < chance < 1 for chance in enough), "nobody can promise that"
    if skeins > 1:
        assert enough[-2] < 1 - risk + 1e-3


def test_a_requirement_known_by_its_range_alone_keeps_it() -> None:
    """A normal law whose 95 % point, 1.6449 deviations up (any table of it), is the high end."""
    drawn = drawn_of(_requirement(40_000, 4_000)).used_mm
    assert float((drawn <= 44_000).mean()) == pytest.approx(0.95, abs=1e-3)
    assert float(drawn.std()) == pytest.approx(4_000 / 1.6449, rel=2e-3)


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
    """Two of 20 m each fit into one skein of 48 m; a hand that uses much uses much of both."""
    both = combine([_requirement(20_000, 1000), _requirement(20_000, 2000)], Supply())
    assert both.skeins == 1
    assert both.length_mm.likely == 40_000
    assert both.length_mm.high == pytest.approx(43_000, rel=1e-4)
    assert both.work == (("cross", 20),)
    assert (both.stitches, both.pieces, both.least_mm) == (20, 6, 20_000)
    assert sum(t.mm for t in both.terms) == pytest.approx(both.length_mm.likely, abs=1e-9)
    assert len(both.enough) == 1


def test_one_class_alone_is_what_it_was() -> None:
    """Adding up one requirement changes no length."""
    one = _requirement(50_000, 200)
    alone = combine([one], Supply())
    assert alone.length_mm.likely == one.length_mm.likely
    assert alone.length_mm.high == pytest.approx(one.length_mm.high, rel=1e-4)
    assert alone.skeins == 2


def test_there_is_no_sum_of_nothing() -> None:
    """One clear line instead."""
    with pytest.raises(YardageError, match="no classes"):
        combine([], Supply())


@pytest.mark.parametrize(("metres", "strands"), [(0, 6), (-8, 6), (math.inf, 6), (8, 0)])
def test_a_put_up_without_thread_is_refused(metres: float, strands: int) -> None:
    """Length and strands must be there."""
    with pytest.raises(YardageError):
        Supply(metres, strands)
