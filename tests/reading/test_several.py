"""Small values that stages hand on: chances out of log-odds, refusals of one of several pages."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.special import expit

from chartscan.chart import Chart, ChartClass
from chartscan.errors import GridError
from chartscan.reading.odds import SURE, chance_of
from chartscan.reading.several import PagesRefused, PageTold, refused
from chartscan.remedies import Remedy
from tests.reading.staged import evidence


@given(st.lists(st.floats(-60, 60), max_size=20))
def test_log_odds_come_to_the_chance_that_another_library_gives(nats: list[float]) -> None:
    np.testing.assert_allclose(chance_of(nats), expit(nats), rtol=1e-12, atol=1e-21)


def test_chances_keep_the_shape_and_know_nought_and_one() -> None:
    assert chance_of(0.0) == 0.5
    assert chance_of(np.zeros((2, 3, 4))).shape == (2, 3, 4)
    far = chance_of([-1e9, -np.inf, np.inf, 1e9])
    assert far.tolist() == pytest.approx([0, 0, 1, 1], abs=1e-20)
    assert chance_of(-SURE - 1) == chance_of(-SURE)


@given(st.floats(-SURE, SURE), st.floats(0.001, 40))
def test_more_speaks_for_more_and_the_contrary_for_what_is_left(nats: float, more: float) -> None:
    assert chance_of(nats) <= chance_of(nats + more)
    assert chance_of(nats) + chance_of(-nats) == pytest.approx(1)


def test_a_refusal_keeps_its_words_and_remedies_and_gains_its_page() -> None:
    read = [evidence(Chart(np.zeros((2, 2), np.int32), (ChartClass(0, "empty"),)))]
    error = refused(GridError("no grid", Remedy.CROP, Remedy.TELL_SIZE), 2, read)
    assert isinstance(error, GridError)
    assert str(error) == "no grid"
    assert error.remedies == (Remedy.CROP, Remedy.TELL_SIZE)
    assert error.place == 2
    assert error.read == tuple(read)
    read.clear()
    assert len(error.read) == 1


def test_a_refusal_may_be_about_no_page_and_say_nothing() -> None:
    assert refused(GridError("they don't fit"), None, []).place is None
    empty = PagesRefused()
    assert (str(empty), empty.remedies, empty.place, empty.read) == ("", (), None, ())


def test_of_a_page_nothing_is_told_unless_it_is() -> None:
    assert PageTold() == PageTold(None, None, None)
    assert PageTold(turn=0) != PageTold()
