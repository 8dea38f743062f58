"""The reader's numbers can be moved from where a page is read."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from chartscan.reading.classes.classify import ClassSettings
from chartscan.reading.lattice.locate import LocateSettings
from chartscan.reading.lattice.straight import StraightSettings
from chartscan.reading.page.page import Page
from chartscan.reading.read import read_page
from chartscan.reading.settings import ReaderSettings
from tests.reading.lattice.drawn_grid import drawn

USUAL = ReaderSettings()


def coarse_only(page: Page) -> ReaderSettings:
    """No straight lattice has cells as large as the page."""
    straight = StraightSettings(rows_sampled=(1,), least_pitch=float(max(page.size)))
    return replace(USUAL, lattice=LocateSettings(straight=straight))


def test_a_number_of_the_classes_reaches_them() -> None:
    page, _ = drawn(24, 18)
    usual = read_page(page, rooms=USUAL).chart
    never = replace(USUAL, classes=ClassSettings(bare=1.1))  # no chance is as great
    kinds = {entry.kind for entry in read_page(page, rooms=never).chart.classes}
    assert "empty" in {entry.kind for entry in usual.classes}
    assert "empty" not in kinds


def test_a_number_of_the_marks_reaches_them() -> None:
    page, _ = drawn(24, 18)
    blind = replace(USUAL, marks=replace(USUAL.marks, pitch=np.inf))
    assert read_page(page, rooms=blind).clues.over == ()
