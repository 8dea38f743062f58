"""Threads that may bleed: named where the fabric would show it. Common practice, no source."""

from __future__ import annotations

import pytest

from chartscan.colour import parse_hex, srgb_to_lab
from chartscan.palette.bleeding import Lab, bleeding_words, may_bleed
from tests.palette.making import thread

WHITE, NAVY = "#ffffff", "#1c2340"


def lab(text: str) -> Lab:
    lightness, a, b = srgb_to_lab(parse_hex(text)).tolist()
    return lightness, a, b


# Colours by their CSS names (W3C, CSS Color Module Level 4, section 6.1).
@pytest.mark.parametrize(
    ("name", "code", "bleeds"),
    [
        ("red", "#ff0000", True),
        ("crimson", "#dc143c", True),
        ("firebrick", "#b22222", True),
        ("maroon", "#800000", True),
        ("navy", "#000080", True),
        ("darkgreen", "#006400", False),  # lightness 36
        ("darkslategray", "#2f4f4f", True),
        ("black", "#000000", True),
        ("pink", "#ffc0cb", False),
        ("orange", "#ffa500", False),
        ("gold", "#ffd700", False),
        ("skyblue", "#87ceeb", False),
        ("rosybrown", "#bc8f8f", False),
        ("white", "#ffffff", False),
    ],
)
def test_dark_ones_and_reds_may_bleed(name: str, code: str, bleeds: bool) -> None:
    assert may_bleed(lab(code)) is bleeds, name


def test_they_are_named_once_each_and_only_on_pale_fabric() -> None:
    threads = [thread("A1", "#b22222"), thread("A2", "#87ceeb"), thread("A1", "#b22222")]
    assert bleeding_words(threads, lab(WHITE)).startswith("A1 is dark or red and may bleed")
    assert bleeding_words(threads, None).startswith("A1 is")
    assert bleeding_words(threads, lab(NAVY)) == ""
    assert bleeding_words(threads[1:2], None) == ""


def test_a_long_list_is_cut_short_and_the_rest_is_counted() -> None:
    threads = [thread(f"N{n}", NAVY) for n in range(1, 10)]
    assert bleeding_words(threads, None).startswith("N1, N2, N3, N4, N5, N6 and 3 more are")
