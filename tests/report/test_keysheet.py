"""The key sheet shows every class and keeps what was told."""

from __future__ import annotations

import html
import json
import re
from dataclasses import replace

import numpy as np

from chartscan.chart import Chart, ChartClass, Line
from chartscan.palette.keytemplate import key_rows
from chartscan.report.keysheet import key_sheet

PICTURE = b"\x89PNG\r\n\x1a\nrest"


def _chart() -> Chart:
    return Chart(
        np.array([[0, 1], [2, 1]], dtype=np.int32),
        (
            ChartClass(0, "empty", (255, 255, 255)),
            ChartClass(1, "stitch", None, "symbol 1", picture=PICTURE),
            ChartClass(2, "stitch", (10, 20, 30), "<b>bold</b>"),
            ChartClass(3, "line", (0, 0, 0)),
        ),
        lines=(Line(3, ((0, 0), (2, 0))),),
    )


def test_every_class_has_its_row_with_symbol_colour_count_and_room() -> None:
    rows = key_rows(_chart())
    rows[0]["code"] = 'A"7'
    page = key_sheet(_chart(), "My <chart>", rows)
    assert "My &lt;chart&gt;" in page
    assert "<b>bold" not in page
    assert page.count("<input") == 3
    assert "data:image/png;base64," in page
    assert 'value="A&#34;7"' in page


def test_a_class_is_called_as_the_stitcher_calls_it() -> None:
    chart = _chart()
    first, second, *rest = chart.classes
    named = replace(chart, classes=(first, replace(second, name="deep <water>"), *rest))
    assert "deep &lt;water&gt;" in key_sheet(named, "Sea", key_rows(named))


def test_what_the_page_saves_has_the_rows_of_the_key() -> None:
    rows = key_rows(_chart())
    page = key_sheet(_chart(), "Key", rows)
    kept = [json.loads(html.unescape(row)) for row in re.findall(r'data-row="([^"]*)"', page)]
    assert kept == rows
