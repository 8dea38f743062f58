"""A symbol on bare paper has no thread's colour, however dense it is; one on a colour has."""

from __future__ import annotations

import pytest

from chartscan.reading import read_pages
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
