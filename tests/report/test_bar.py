"""The bar of low, likely and high against whole skeins."""

from __future__ import annotations

import re
from xml.etree import ElementTree

import pytest

from chartscan.report.bar import WIDTH, range_bar
from chartscan.yardage.requirement import LengthRange

SKEIN = 48_000.0


def _boxes(svg: str) -> list[ElementTree.Element]:
    return [rect for rect in ElementTree.fromstring(svg).iter("rect") if rect.get("fill") == "none"]


def _likely(svg: str) -> float:
    found = re.findall(r'<line x1="([\d.]+)"[^>]* y1="0"', svg)
    return float(found[-1])


@pytest.mark.parametrize(("high", "skeins"), [(100.0, 1), (48_000.0, 1), (48_001.0, 2), (1e6, 21)])
def test_there_is_a_box_per_skein(high: float, skeins: int) -> None:
    svg = range_bar(LengthRange(0.5 * high, 0.7 * high, high), skeins, SKEIN)
    assert len(_boxes(svg)) == skeins


def test_where_the_high_end_passes_the_skeins_a_box_more_is_drawn() -> None:
    """Skeins are chosen by the chance of running out, so the high end may lie beyond them."""
    assert len(_boxes(range_bar(LengthRange(40e3, 44e3, 49e3), 1, SKEIN))) == 2


def test_the_stroke_stands_at_the_likely_length() -> None:
    svg = range_bar(LengthRange(10_000, 24_000, 30_000), 1, SKEIN)
    assert _likely(svg) == pytest.approx(1 + (WIDTH - 2) / 2, abs=0.01)


def test_black_ends_at_low_and_hatching_at_high() -> None:
    """A quarter of a skein, and three quarters: the stitcher sees where her thread may end."""
    svg = ElementTree.fromstring(range_bar(LengthRange(12_000, 24_000, 36_000), 1, SKEIN))
    black, hatched = (
        next(r for r in svg.iter("rect") if r.get("fill") == fill)
        for fill in ("#000", "url(#hatch)")
    )
    whole = WIDTH - 2
    assert _ends(black) == pytest.approx((1, 1 + whole / 4), abs=0.01)
    assert _ends(hatched) == pytest.approx((1 + whole / 4, 1 + 3 * whole / 4), abs=0.01)


def _ends(rect: ElementTree.Element) -> tuple[float, float]:
    left = float(rect.get("x", ""))
    return left, left + float(rect.get("width", ""))


def test_an_unknown_put_up_and_no_thread_at_all_still_draw() -> None:
    for length in (LengthRange(1, 2, 3), LengthRange(0, 0, 0)):
        svg = range_bar(length, 0, 0.0)
        assert len(_boxes(svg)) == 1
        assert 0 <= _likely(svg) <= WIDTH


def test_the_figures_are_there_in_words() -> None:
    svg = range_bar(LengthRange(10_000, 24_000, 30_000), 1, SKEIN)
    label = ElementTree.fromstring(svg).get("aria-label")
    assert label == "low 10.0 m, likely 24.0 m, high 30.0 m; 1 skein"


def test_the_boxes_of_skeins_are_alike_and_fill_the_bar() -> None:
    """Three of them, one beside the other, so that a length can be read off."""
    boxes = _boxes(range_bar(LengthRange(90_000, 110_000, 130_000), 3, SKEIN))
    third = (WIDTH - 2) / 3
    for number, box in enumerate(boxes):
        assert _ends(box) == pytest.approx((1 + number * third, 1 + (number + 1) * third), abs=0.02)


def test_an_open_box_goes_a_little_beyond_the_high_end() -> None:
    """A tenth, where nobody knows how long a put-up is."""
    svg = ElementTree.fromstring(range_bar(LengthRange(10_000, 20_000, 40_000), 0, 0.0))
    hatched = next(r for r in svg.iter("rect") if r.get("fill") == "url(#hatch)")
    assert _ends(hatched)[1] == pytest.approx(1 + (WIDTH - 2) / 1.1, abs=0.02)


def test_no_thread_at_all_of_a_known_put_up_still_has_a_box() -> None:
    assert len(_boxes(range_bar(LengthRange(0, 0, 0), 0, SKEIN))) == 1


def test_the_stroke_stands_out_alike_above_and_below_boxes_that_are_all_of_one_height() -> None:
    """It is found at a glance, in black and white too, and is no edge of a skein."""
    svg = ElementTree.fromstring(range_bar(LengthRange(90_000, 110_000, 130_000), 3, SKEIN))
    heights = {(float(r.get("y", "")), float(r.get("height", ""))) for r in svg.iter("rect")}
    ((top, height),) = heights
    strokes = {(float(s.get("y1", "")), float(s.get("y2", ""))) for s in svg.iter("line")}
    above, below = min(strokes)[0], max(end for _, end in strokes)
    assert top - above == below - (top + height) > 0
    assert svg.get("viewBox") == f"0 0 {WIDTH} {below:g}"
