"""Whole pages on which marks were once seen where none are, or not seen at all."""

from __future__ import annotations

import pytest

from chartscan.reading import read_pages
from tests.conftest import DrawChart


@pytest.mark.parametrize(
    "seed",
    [
        11006,  # few knots of an ink lie alone; the end of a line does, too
        11012,  # pieces of lines, cut by dotted ones, are as round as knots
    ],
)
def test_knots_are_those_that_were_drawn(draw_chart: DrawChart, seed: int) -> None:
    drawn = draw_chart("parts-knots", seed)
    knots = read_pages(drawn.pages).chart.knots
    places = sorted((knot.x, knot.y) for knot in knots)
    assert places == sorted((knot["x"], knot["y"]) for knot in drawn.truth["knots"])


def test_on_a_scan_cells_beside_bold_lines_stay_stitches(draw_chart: DrawChart) -> None:
    """All fourteen cells of the only colour lie beside such lines, which take on its colour."""
    drawn = draw_chart("mild-scan", 10019)
    chart = read_pages(drawn.pages).chart
    stitched = [entry.index for entry in chart.classes if entry.kind == "stitch"]
    assert not chart.lines
    assert max((chart.cells == index).sum() for index in stitched) == 14
