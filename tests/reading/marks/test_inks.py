"""Inks that are near each other, or one a blend of the other, are told apart."""

from __future__ import annotations

import numpy as np
import pytest

from chartscan.chart import Line
from chartscan.reading.page.page import Page
from chartscan.reading.read import read_page
from tests.drawing.mark_recipes import draw_marked
from tests.drawing.marks import Marks
from tests.drawing.style import RGB, Design, Rule, Style

COLOURS = np.array([(255, 255, 255), (37, 198, 251)], np.uint8)
STYLE = Style(pitch=21, minor=Rule(1, (110, 110, 110)), margin=(16, 16, 16, 16))


@pytest.mark.parametrize(
    ("one", "other"),
    [((205, 234, 190), (203, 220, 170)), ((0, 0, 0), (60, 60, 60)), ((60, 20, 90), (40, 30, 70))],
)
def test_lines_of_two_near_inks_are_two_classes_with_their_own_lines(one: RGB, other: RGB) -> None:
    cells = np.zeros((20, 26), np.int32)
    cells[4:14, 3:13] = 1
    first = [((15.0, 2.0), (19.0, 6.0)), ((3.0, 6.0), (3.0, 9.0)), ((14.0, 17.0), (24.0, 17.0))]
    second = [((16.0, 8.0), (21.0, 13.0)), ((5.0, 4.0), (9.0, 4.0)), ((5.0, 7.0), (10.0, 10.0))]
    lines = [Line(2, ends) for ends in first] + [Line(3, ends) for ends in second]
    marks = Marks(lines=tuple(lines), colours=(("line", one), ("line", other)))
    page = draw_marked(Design(cells, COLOURS), STYLE, marks)
    chart = read_page(Page(page.pixels, lossless=True)).chart
    read: dict[RGB | None, list[tuple[tuple[float, float], ...]]] = {}
    for line in chart.lines:
        read.setdefault(chart.classes[line.class_index].rgb, []).append(line.points)
    assert {rgb: sorted(ends) for rgb, ends in read.items()} == {
        one: sorted(first),
        other: sorted(second),
    }
