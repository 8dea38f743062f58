"""What people take for the same is the same, and no text steers a screen."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from chartscan.plaintext import code_key, plain, text_key, thread_order


@pytest.mark.parametrize("written", ["Écru", "ÉCRU", "écru ", "E\u0301cru", "ecru", " Ecru\u200b"])
def test_accents_capitals_and_blanks_make_no_other_colour(written: str) -> None:
    assert text_key(written) == "ecru"


@pytest.mark.parametrize("written", ["ROS1", " ROS1", "ros1", "ROS 1", "ＲＯＳ1"])
def test_blanks_and_capitals_make_no_other_code(written: str) -> None:
    assert code_key(written) == "ros1"


@pytest.mark.parametrize(
    ("one", "other"), [("ROS1", "ROS2"), ("RA-11", "ROS1"), ("й", "и"), ("が", "か"), ("ø", "o")]
)
def test_letters_of_their_own_stay_apart(one: str, other: str) -> None:
    assert code_key(one) != code_key(other)


def test_threads_hang_by_their_line_then_as_people_count() -> None:
    hung = [("", "T2"), ("", "T10"), ("Écru tones", "7"), ("écru tones", "11"), ("Flax", "B5")]
    mixed = [hung[k] for k in (4, 1, 3, 0, 2)]
    assert sorted(mixed, key=lambda thread: thread_order(*thread)) == hung


def test_nothing_that_steers_a_screen_or_turns_a_line_is_left() -> None:
    assert plain("a\x1b[31mred\u202edlog\u2066\r\nb\x9b2J\u200e") == "a [31mred dlog b 2J"


@given(st.text())
def test_a_plain_text_is_one_line_and_stays_as_it_is(text: str) -> None:
    once = plain(text)
    assert once == plain(once)
    assert len(once.splitlines()) <= 1
    assert text_key(text) == text_key(text_key(text))
