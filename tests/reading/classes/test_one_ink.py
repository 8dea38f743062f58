"""A symbol on bare paper has no thread's colour, however dense it is; one on a colour has."""

from __future__ import annotations

from dataclasses import replace

import pytest

from chartscan.chart import ChartClass
from chartscan.reading import read_pages
from chartscan.reading.classes.one_ink import _named_apart
from tests.conftest import DrawChart


@pytest.mark.parametrize("seed", [3, 4, 6])
def test_symbols_in_one_ink_have_no_colour(draw_chart: DrawChart, seed: int) -> None:
    chart = read_pages(draw_chart("symbols-one-ink", seed).pages).chart
    symbols = [c for c in chart.classes if c.symbol is not None]
    assert symbols
    assert all(c.rgb is None for c in symbols)


@pytest.mark.parametrize("seed", [3, 4])
def test_symbols_on_colours_keep_them(draw_chart: DrawChart, seed: int) -> None:
    chart = read_pages(draw_chart("symbols-on-colour", seed).pages).chart
    symbols = [c for c in chart.classes if c.symbol is not None]
    assert symbols
    assert all(c.rgb is not None for c in symbols)


def test_signs_that_are_much_alike_go_by_names_of_their_own() -> None:
    """A heart and a triangle in ink; only their symbols' names tell them apart in words."""
    inked = [ChartClass(k, "stitch", None, f"symbol {min(k, 2)}") for k in (1, 2, 3, 4)]
    named = _named_apart((ChartClass(0, "empty", (255, 255, 255)), *inked))
    assert [c.symbol for c in named] == [None, "symbol 1", "symbol 2", "symbol 3", "symbol 4"]
    coloured = tuple(replace(c, rgb=(9, 9, c.index)) for c in inked)
    assert _named_apart(coloured) == coloured, "one symbol on several colours is one symbol"
