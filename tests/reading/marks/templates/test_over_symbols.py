"""Marks over symbols and on scans, from the page to the chart."""

from __future__ import annotations

import json
from io import BytesIO

import numpy as np
import pytest
from PIL import Image

from chartscan.chart.file import dump_chart
from chartscan.reading.page.page import Page
from chartscan.reading.read import read_page
from tests.drawing.corpus import draw
from tests.drawing.score import Score, score


def read(group: str, seed: int) -> Score:
    """A drawn page of the group, read and held against its truth."""
    sample = draw(group, seed)
    name = sample.truth["image"]
    pixels = np.asarray(Image.open(BytesIO(sample.files[name])).convert("RGB"))
    chart = read_page(Page(pixels, lossless=name.endswith("png"))).chart
    return score(sample.truth, json.loads(dump_chart(chart)))


@pytest.mark.parametrize(
    ("group", "seed"),
    [
        ("backstitch-one-ink", 6),
        ("backstitch-one-ink", 141003),
        ("backstitch-symbols-on-colour", 1),
        ("backstitch-one-ink", 143002),
        ("parts-symbols-on-colour", 3),
        ("parts-symbols-on-colour", 141001),
        ("parts-symbols-on-colour", 143004),
        ("marks-scanned", 3),
        ("marks-scanned", 61005),
        ("marks-scanned", 141003),
        ("marks-scanned", 310001),
    ],
)
def test_marks_are_read_and_leave_every_cell_right(group: str, seed: int) -> None:
    """No class is made of crossed cells, and at least 95 of 100 marks of each kind are found."""
    found = read(group, seed)
    assert found.perfect
    for kind, marks in found.marks.items():
        if marks.true and kind != "knots":
            assert marks.f1 is not None
            assert marks.f1 >= 0.95


def test_part_stitches_are_kept_where_no_cell_is_bare_but_those() -> None:
    sample = draw("parts-symbols-on-colour", 141004)
    pixels = np.asarray(Image.open(BytesIO(sample.files["image.png"])).convert("RGB"))
    chart = read_page(Page(pixels, lossless=True)).chart
    assert [entry.kind for entry in chart.classes].count("empty") == 1
    assert len(chart.parts) >= 0.8 * len(sample.truth["parts"])


def test_marks_that_leave_cells_unread_are_kept_for_what_they_explain() -> None:
    """Two colours were taken for one: a class more is worth it, where lines explain 400 cells."""
    found = read("marks-scanned", 88011)
    assert found.wrong <= 2
    assert (found.marks["lines"].f1 or 0) >= 0.95
    assert (found.marks["parts"].f1 or 0) >= 0.95


@pytest.mark.parametrize(
    ("group", "seed"),
    [("symbols-one-ink", 9003), ("symbols-on-colour", 9003), ("mild-scan", 9003)],
)
def test_where_there_are_no_marks_none_are_read(group: str, seed: int) -> None:
    sample = draw(group, seed)
    name = sample.truth["image"]
    pixels = np.asarray(Image.open(BytesIO(sample.files[name])).convert("RGB"))
    chart = read_page(Page(pixels, lossless=name.endswith("png"))).chart
    assert (chart.parts, chart.lines, chart.knots) == ((), (), ())
