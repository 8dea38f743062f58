"""One grammar for amounts of thread, and thirds that add up."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from chartscan.stash.amounts import ThreadAmount, parse_amount


@pytest.mark.parametrize(
    ("text", "skeins", "lengths"),
    [
        ("1", (1,), ()),
        ("0.5", (Fraction(1, 2),), ()),
        ("0,5", (Fraction(1, 2),), ()),
        (".5 skein", (Fraction(1, 2),), ()),
        ("1/2", (Fraction(1, 2),), ()),
        ("½", (Fraction(1, 2),), ()),
        ("1½sk", (Fraction(3, 2),), ()),
        ("1 1/2 skeins", (Fraction(3, 2),), ()),
        ("3.2 m", (), (3200,)),
        ("3,2m", (), (3200,)),
        ("4 yd", (), (3658,)),  # 3.6576 m: the yard of 1959 is 0.9144 m
        ("1sk+2m", (1,), (2000,)),
        ("1/3 sk + 1/3 sk", (Fraction(1, 3), Fraction(1, 3)), ()),
        ("0", (0,), ()),
    ],
)
def test_every_way_to_write_an_amount(
    text: str, skeins: tuple[Fraction, ...], lengths: tuple[int, ...]
) -> None:
    assert parse_amount(text) == ThreadAmount(skeins, lengths)


@pytest.mark.parametrize(
    "text", ["", "half", "-1", "1/0", "1e9", "2 kg", "nan", "1 2", "9" * 12, "1,000,000", "2sk+"]
)
def test_what_is_no_amount_is_refused(text: str) -> None:
    with pytest.raises(ValueError, match=r"isn't an amount|no unit|more"):
        parse_amount(text)


def test_a_number_alone_may_be_asked_about() -> None:
    with pytest.raises(ValueError, match=r"3\.5 of what\? Write 3\.5 m or sk"):
        parse_amount("3.5", bare="")


def test_three_thirds_are_a_skein_and_no_more() -> None:
    whole, parts = parse_amount("1/3+1/3+1/3").in_stock(8000)
    assert (whole, sum(parts), len(parts)) == (0, 8000, 3)


@given(st.integers(1, 40), st.integers(1, 12), st.integers(1, 20_000))
def test_equal_parts_of_a_skein_always_add_up(skeins: int, parts: int, putup_mm: int) -> None:
    amount = ThreadAmount((Fraction(skeins, parts),) * parts)
    whole, rests = amount.in_stock(putup_mm)
    assert whole * putup_mm + sum(rests) == skeins * putup_mm
