"""The list beside a review picture: nothing in it is cut off or hidden by something else."""

from __future__ import annotations

import numpy as np
import pytest
from numpy.typing import NDArray
from PIL import Image

from chartscan.chart import Chart, ChartClass, Question
from chartscan.reading.review.drawing import class_tile
from chartscan.reading.review.falsecolour import Paint, Pattern
from chartscan.reading.review.key import ASKED, KeySettings, class_key
from chartscan.reading.review.straighten import Straightened

SIDE = KeySettings.side
FLAT_PAGE = Straightened(Image.new("RGB", (40, 40), (255, 255, 255)), 10, 1)


def listed(classes: int, height: int, *questions: str) -> NDArray[np.uint8]:
    """The list of so many classes, each of its own colour, none with a cell but the first."""
    worked = [ChartClass(k, "stitch", (k, 255 - k, 40)) for k in range(1, classes + 1)]
    asked = tuple(Question("ground", (0,), (), text, ()) for text in questions)
    chart = Chart(np.zeros((2, 2), np.int32), (ChartClass(0, "empty"), *worked), questions=asked)
    painted = [Paint(entry.rgb or (255, 255, 255)) for entry in chart.classes]
    return np.asarray(class_key(chart, FLAT_PAGE, painted, false=False, height=height))


def test_every_class_has_its_tile_in_as_many_columns_as_it_takes() -> None:
    """Forty tiles of 30 px and gaps of 6 in columns of 300 px: five columns or six."""
    shown = listed(40, 300)
    assert shown.shape[0] == 300
    lefts = set()
    for k in range(1, 41):
        rows, columns = np.nonzero((shown == (k, 255 - k, 40)).all(axis=2))
        assert len(rows) >= SIDE * SIDE * 0.8, f"class {k} is hidden"
        lefts.add(columns.min())
    assert len(lefts) in (5, 6)


def test_every_line_of_a_long_question_is_shown() -> None:
    """Of 24 words of four letters eight go on a line."""
    shown = listed(2, 600, "word " * 24, "more " * 8)
    inked = (shown == ASKED).all(axis=2).any(axis=1)
    lines = np.flatnonzero(np.diff(inked.astype(int), prepend=0) == 1)
    assert len(lines) == 4
    assert np.diff(lines).min() > KeySettings.text


@pytest.mark.parametrize("pattern", ["dot", "bar", "corner", "frame"])
def test_a_sign_leaves_the_middle_to_the_symbol(pattern: Pattern) -> None:
    side, rgb = 30, (200, 60, 60)
    entry = ChartClass(1, "stitch", rgb)
    plain = class_tile(entry, Paint(rgb), side)
    signed = class_tile(entry, Paint(rgb, pattern), side)
    assert (plain == rgb).all()
    changed = (signed != plain).any(axis=2)
    assert changed.any()
    assert not changed[10:20, 10:20].any()
    beside = [changed[0], changed[:, 0]]
    if pattern != "corner":
        beside += [changed[-1], changed[:, -1]]
    assert not np.concatenate(beside).any(), "cells side by side would run together"
