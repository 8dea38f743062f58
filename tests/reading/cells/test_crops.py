"""The pictures of the symbols that a reading keeps beside its classes."""

from __future__ import annotations

from chartscan.reading import read_pages
from tests.conftest import DrawChart


def test_every_symbol_has_a_picture_dark_on_light(draw_chart: DrawChart) -> None:
    reading = read_pages(draw_chart("symbols-one-ink", 10).pages)
    pictures = reading.evidence[0].glyphs
    assert set(pictures) == {c.index for c in reading.chart.classes if c.symbol is not None}
    for picture in pictures.values():
        assert picture.dtype == "uint8"
        assert picture.shape == (32, 32)
        assert picture.min() == 0
        assert (picture > 128).mean() > 0.5  # ink covers less than the ground


def test_a_chart_without_symbols_has_no_pictures(draw_chart: DrawChart) -> None:
    assert read_pages(draw_chart("clean", 3).pages).evidence[0].glyphs == {}
