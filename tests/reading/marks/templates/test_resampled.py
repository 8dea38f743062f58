"""A page is resampled in strips, over several threads, to what one call for the whole gives.

The reference is ``scipy.ndimage.map_coordinates``, over the coefficients that it documents.
"""

from __future__ import annotations

import numpy as np
import pytest
from scipy import ndimage

from chartscan import cores
from chartscan.reading.lattice.model import FLAT, Lattice
from chartscan.reading.marks.templates.flat import interpolated
from chartscan.reading.marks.templates.resampled import STRIP, where_crossing
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


@pytest.mark.parametrize("seed", range(4))
def test_rows_that_cross_columns_show_what_each_place_shows(seed: int) -> None:
    """One way after the other, at the page's ends and beyond them too: scipy's to a hundredth."""
    rng = np.random.default_rng(1_440_000 + seed)
    height, width = rng.integers(40, 300, 2)
    levels = rng.integers(0, 256, (height, width), dtype=np.uint8)
    down, across = (rng.uniform(-3, n + 2, 150) for n in (height, width))
    down[:3], across[:3] = (0, height - 1, 7), (0, width - 1, 7)
    ends = [np.clip(places, 0, n - 1) for places, n in ((down, height), (across, width))]
    places = np.meshgrid(*ends, indexing="ij")
    whole = ndimage.map_coordinates(levels.astype(np.float64), places, order=3, mode="mirror")
    np.testing.assert_allclose(where_crossing(levels, down, across), whole, atol=0.01)


def test_a_straight_lattice_is_resampled_as_one_that_is_hardly_aslant() -> None:
    pixels = np.random.default_rng(1_440_010).integers(0, 256, (290, 310, 3), dtype=np.uint8)
    maps = [np.array([[9.6, off, 8.2], [0.0, 10.4, 14.7], [0.0, 0.0, 1.0]]) for off in (0, 1e-9)]
    lattices = [Lattice(COLUMNS, ROWS, map_, FLAT, drawn=True) for map_ in maps]
    page = Page(pixels, lossless=True)
    one, other = (interpolated(page, lattice, SIDE, None) for lattice in lattices)
    assert np.abs(one.pixels - other.pixels).max() <= 1
    np.testing.assert_array_equal(one.beside_x, other.beside_x)
