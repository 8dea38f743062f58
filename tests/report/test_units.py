"""Lengths in words, both ways."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from chartscan.report.units import (
    MM_PER_INCH,
    amount,
    at_hand,
    counted,
    cut,
    cut_cm,
    cut_inches,
    duration,
    length,
    metres,
    size,
    yards,
)


@pytest.mark.parametrize(
    ("mm", "text"),
    [
        (0, "0.00 m (0.00 yd)"),
        (38, "0.04 m (0.04 yd)"),
        (914.4, "0.91 m (1.0 yd)"),
        (8_000, "8.0 m (8.7 yd)"),
        (123_456, "123 m (135 yd)"),
        (1_020_000, "1,020 m (1,115 yd)"),
    ],
)
def test_a_length_has_about_three_figures(mm: float, text: str) -> None:
    """1 yd is 0.9144 m exactly (International Yard and Pound Agreement, 1959)."""
    assert length(mm) == text == f"{metres(mm)} ({yards(mm)})"


def test_a_size_stands_in_centimetres_and_inches() -> None:
    """140 × 112 stitches at 14 to the inch are 10 × 8 in."""
    assert size((254.0, 203.2)) == "25.4 × 20.3 cm (10.0 × 8.0 in)"


@pytest.mark.parametrize(("value", "text"), [(2.0, "2"), (1.5, "1.5"), (0.998, "1"), (0, "0")])
def test_an_amount_has_decimals_only_where_it_needs_them(value: float, text: str) -> None:
    assert amount(value) == text


def test_a_noun_agrees_with_its_number() -> None:
    assert counted(1, "skein") == "1 skein"
    assert counted(0, "skein") == "0 skeins"
    assert counted(1234, "stitch", "stitches") == "1,234 stitches"


@pytest.mark.parametrize(
    ("seconds", "text"),
    [
        (20, "20 s"), (119, "119 s"), (120, "2 min"), (3540, "59 min"), (3600, "1 h 0 min"),
        (12_000, "3 h 20 min"), (363_000, "100 h 50 min"),
    ],
)  # fmt: skip
def test_a_time_of_work_stands_in_the_units_that_matter(seconds: float, text: str) -> None:
    assert duration(seconds) == text


@pytest.mark.parametrize(
    ("mm", "text"),
    [
        (994, "0.99 m"), (996, "1.0 m"), (99_940, "99.9 m"), (99_960, "100 m"),
        (999_600, "1,000 m"),
    ],
)  # fmt: skip
def test_decimals_go_where_the_figure_that_is_shown_has_no_room_for_them(
    mm: float, text: str
) -> None:
    """Never 1.00 beside 1.1, nor 100.0 beside 101: a column of lengths is read at a glance."""
    assert metres(mm) == text


@pytest.mark.parametrize(
    ("value", "text"), [(1.004, "1"), (1.006, "1.0"), (0.994, "1.0"), (2.5, "2.5"), (12, "12")]
)
def test_a_hair_of_a_skein_is_no_part_of_one(value: float, text: str) -> None:
    assert amount(value) == text


@pytest.mark.parametrize(
    ("skeins", "text"),
    [(2, "2"), (0.75, "0.75"), (2.5 / 8, "0.31"), (0.999, "0.99"), (0.1 + 0.2, "0.3"), (0, "0")],
)
def test_no_more_is_at_hand_than_there_is(skeins: float, text: str) -> None:
    assert at_hand(skeins) == text


@given(st.floats(1, 3000), st.floats(1, 3000))
def test_what_is_cut_is_never_less_than_is_needed_nor_a_step_more(wide: float, high: float) -> None:
    """In inches than what is cut in cm: who keeps whole millimetres says the same."""
    needed = [wide, high]
    for words, unit_mm in ((cut_cm((wide, high)), 10.0), (cut_inches((wide, high)), MM_PER_INCH)):
        told = [float(figure) * unit_mm for figure in words.split(" ")[::2][:2]]
        for least, cut_mm in zip(needed, told, strict=True):
            assert least - 1e-4 <= cut_mm <= least + unit_mm / 10 + 1e-9
        needed = told


def test_a_size_that_comes_out_even_is_cut_as_it_is() -> None:
    """0.1 + 0.2 of a millimetre and the like are no reason for another tenth."""
    assert cut((305.4 + 0.1 + 0.2 - 0.3, 254.0)) == "30.6 × 25.4 cm (12.1 × 10.0 in)"
    assert cut((100 * 1.1, 3 * 0.1 + 99.7)) == "11.0 × 10.0 cm (4.4 × 4.0 in)"
