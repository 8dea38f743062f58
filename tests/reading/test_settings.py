"""The reader's numbers can be moved from where a page is read."""

from __future__ import annotations

from dataclasses import replace

from chartscan.reading.classes.classify import ClassSettings
from chartscan.reading.read import read_page
from chartscan.reading.settings import ReaderSettings
from tests.reading.lattice.drawn_grid import drawn

USUAL = ReaderSettings()


def test_a_number_of_the_classes_reaches_them() -> None:
    page, _ = drawn(24, 18)
    usual = read_page(page, rooms=USUAL).chart
    never = replace(USUAL, classes=ClassSettings(bare=1.1))  # no chance is as great
    kinds = {entry.kind for entry in read_page(page, rooms=never).chart.classes}
    assert "empty" in {entry.kind for entry in usual.classes}
    assert "empty" not in kinds
