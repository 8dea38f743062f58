"""A page is resampled in strips, over several threads, to what one call for the whole gives."""

from __future__ import annotations

import numpy as np
import pytest
from scipy import ndimage

from chartscan import cores
from chartscan.reading.lattice.model import FLAT, Lattice
from chartscan.reading.marks.templates.flat import STRIP, interpolated
from chartscan.reading.page.page import Page

COLUMNS, ROWS, SIDE = 30, 24, 9


@pytest.mark.parametrize("threads", [1, 2, 3])
def test_strips_give_what_the_whole_page_gives(
    threads: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.delenv(cores.LIMIT, raising=False)
    monkeypatch.setattr(cores, "available_cores", lambda: threads)
    pixels = np.random.default_rng(1_200_003).integers(0, 256, (290, 310, 3), dtype=np.uint8)
    aslant = np.array([[9.6, 0.3, 8.2], [-0.2, 10.4, 14.7], [0.0, 0.0, 1.0]])
    lattice = Lattice(COLUMNS, ROWS, aslant, FLAT, drawn=True)
    seen = interpolated(Page(pixels, lossless=True), lattice, SIDE, None).pixels
    u, v = ((np.arange(cells * SIDE) + 0.5) / SIDE for cells in (COLUMNS, ROWS))
    assert min(len(u), len(v), *pixels.shape[:2]) > STRIP, "one strip tells nothing"
    x, y = lattice.grid_to_pixels(u, v)
    for channel in range(3):
        spline = ndimage.spline_filter(pixels[..., channel].astype(np.float32), 3, np.float32)
        whole = ndimage.map_coordinates(
            spline, [y - 0.5, x - 0.5], order=3, mode="nearest", prefilter=False
        )
        np.testing.assert_array_equal(seen[..., channel], np.clip(np.rint(whole), 0, 255))
