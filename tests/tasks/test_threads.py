"""Choosing threads: what a person picks, what she looks up, and blends for some classes."""

from __future__ import annotations

import pytest

from chartscan.errors import MatchError
from chartscan.palette import Palette
from chartscan.palette.ownership import Owned
from chartscan.tasks.picks import Pick
from chartscan.tasks.threads import blends_for_chart, choose_threads, find_thread, look_up
from tests.palette.making import chart_of, thread

RANGE = Palette(
    (
        thread("RB1", "#aa0000", line="Field"),
        thread("RB12", "#0000aa", line="Field", status="discontinued"),
        thread("RB13", "#00aa00", line="Field"),
        thread("X9", "#aaaa00", line="Moor"),
    ),
    "the range",
)
CHART = chart_of(["#a80505", "#0505a8", "#05a805"])


def test_a_pick_stands_in_the_place_of_the_match_which_becomes_the_next_best() -> None:
    plain = choose_threads(CHART, RANGE).matches
    picked = choose_threads(CHART, RANGE, picks={1: Pick((RANGE.threads[3],))}).matches
    assert picked[1:] == plain[1:]
    assert picked[0].chosen.thread.code == "X9"
    assert picked[0].chosen.delta_e > 30
    assert picked[0].alternatives[0] == plain[0].chosen
    assert picked[0].chosen.thread not in [c.thread for c in picked[0].alternatives]


def test_a_pick_teaches_nothing_about_the_colours_of_other_classes() -> None:
    """A key does: where it says that red is printed as orange, other colours are corrected."""
    picks = {1: Pick((RANGE.threads[3],)), 2: Pick((RANGE.threads[2],))}
    assert choose_threads(CHART, RANGE, picks=picks).matches[2].corrected is None


def test_two_threads_picked_are_a_blend() -> None:
    first, second = RANGE.threads[0], RANGE.threads[3]
    found = choose_threads(CHART, RANGE, picks={1: Pick((first, second))}).matches[0]
    assert (found.chosen.thread, found.blended) == (first, second)


def test_a_class_in_one_ink_can_be_picked_for() -> None:
    chart = chart_of([None, "#0505a8"])
    assert [m.chosen.thread.told for m in choose_threads(chart, RANGE).matches] == [False, True]
    found = choose_threads(chart, RANGE, picks={1: Pick((RANGE.threads[2],))}).matches
    assert found[0].chosen.thread.code == "RB13"


@pytest.mark.parametrize(
    ("words", "codes"),
    [
        ("rb1", ["RB1", "RB13", "RB12"]),  # typed whole; begun, still sold; begun, not sold
        ("  ", []),
        ("field 3", ["RB13"]),
        ("zzz", []),
        ("moor", ["X9"]),
    ],
)
def test_threads_are_looked_up_by_the_beginning_of_a_code_or_by_words(
    words: str, codes: list[str]
) -> None:
    assert [t.code for t in look_up(RANGE, words)] == codes


def test_what_is_at_hand_comes_before_what_is_not() -> None:
    owned = Owned({("Field", "RB12"): 1.0})
    assert [t.code for t in look_up(RANGE, "rb", owned)] == ["RB12", "RB1", "RB13"]
    assert len(look_up(RANGE, "rb", owned, count=2)) == 2


def test_a_code_that_is_not_in_the_range_is_refused_by_the_name_of_the_range() -> None:
    assert find_thread(RANGE, "rb13").code == "RB13"
    with pytest.raises(MatchError, match="the range: no thread 'Q1'"):
        find_thread(RANGE, "Q1")


def test_blends_are_looked_for_for_the_classes_that_are_told() -> None:
    assert [b.name for b in blends_for_chart(CHART, RANGE)] == ["1", "2", "3"]
    assert [b.name for b in blends_for_chart(CHART, RANGE, classes=[2])] == ["2"]
    with pytest.raises(MatchError, match="nothing to blend"):
        blends_for_chart(chart_of([None]), RANGE)
