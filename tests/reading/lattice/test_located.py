"""What the search for a grid hands on beside the lattice."""

from __future__ import annotations

import numpy as np

from chartscan.reading.lattice.grown import locate_grown
from chartscan.reading.lattice.located import Located, Rival, SizeOdds
from chartscan.reading.page.page import Page


def test_the_margin_is_what_the_likeliest_other_size_lacks() -> None:
    odds = SizeOdds(12.0, (Rival(40, 30, 9.5), Rival(20, 15, 1.0)))
    assert odds.margin == 2.5
    assert SizeOdds(12.0).margin is None
    assert SizeOdds(None, (Rival(40, 30, 9.5),)).margin is None


def test_a_plain_grid_has_all_votes() -> None:
    """Lines of 2 px every 12 px, 40 × 30 cells, turned by two degrees."""
    y, x = np.mgrid[0:520, 0:640].astype(np.float64)
    turn = np.radians(2.0)
    u = ((x - 320) * np.cos(turn) + (y - 260) * np.sin(turn)) / 12 + 20
    v = ((y - 260) * np.cos(turn) - (x - 320) * np.sin(turn)) / 12 + 15
    on = (u > -0.1) & (u < 40.1) & (v > -0.1) & (v < 30.1)
    off = np.minimum(np.abs(u - np.round(u)), np.abs(v - np.round(v))) * 12  # px from a line
    grey = 240 - 180 * np.clip(1.5 - off, 0, 1) * on
    page = Page(grey.astype(np.uint8)[..., None].repeat(3, 2), lossless=False)
    located = locate_grown(page)
    assert isinstance(located, Located)
    assert (located.lattice.columns, located.lattice.rows) == (40, 30)
    assert located.odds.decided
    assert located.odds.votes > 0.5
