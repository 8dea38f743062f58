"""The reader's numbers can be moved from where a page is read."""

from __future__ import annotations

from dataclasses import replace
from math import inf

import numpy as np
import pytest
from PIL import Image

from chartscan.errors import GridError
from chartscan.reading.classes.classify import ClassSettings
from chartscan.reading.classes.judged import JudgeSettings
from chartscan.reading.classes.noisy import NoisySettings
from chartscan.reading.lattice.grown import GrownSettings
from chartscan.reading.lattice.locate import LocateSettings
from chartscan.reading.page.page import Page
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


def aslant() -> Page:
    """A small chart that lies aslant, as scanned."""
    page, _ = drawn(24, 18)
    turned = Image.fromarray(page.pixels).rotate(
        6, Image.Resampling.BICUBIC, expand=True, fillcolor=(255, 255, 255)
    )
    return Page(np.asarray(turned), lossless=False)


def test_numbers_of_growth_reach_it() -> None:
    """Without growth there is only what the whole page repeats by, which is never likely enough."""
    never = replace(USUAL, lattice=LocateSettings(grown=GrownSettings(sweeps=(), likely=inf)))
    assert read_page(aslant(), rooms=USUAL).chart.columns == 24
    with pytest.raises(GridError, match="grid"):
        read_page(aslant(), rooms=never)


def test_numbers_of_noisy_cells_reach_them() -> None:
    doubting = NoisySettings(judge=JudgeSettings(ahead=1e9))  # no lead over another is as large
    usual, all_ = (
        read_page(aslant(), rooms=replace(USUAL, classes=ClassSettings(noisy=noisy))).chart
        for noisy in (None, doubting)
    )
    assert len(usual.doubtful) < len(all_.doubtful) == all_.cells.size
