"""Colours taken between pixels."""

from __future__ import annotations

import numpy as np

from chartscan.reading.cells.sampling import between
from chartscan.reading.lattice.model import FLAT, Lattice
from chartscan.reading.page.page import Page


def test_on_a_ramp_every_place_has_its_own_colour() -> None:
    """A page that rises by a level a pixel: what is linear is interpolated exactly."""
    y, x = np.mgrid[0:60, 0:80]
    page = Page(np.stack([x, y, x + y], axis=-1).astype(np.uint8), lossless=False)
    turned = np.array([[7.3, 0.8, 5.0], [-0.6, 7.1, 9.0], [0.001, 0.0005, 1.0]])
    lattice = Lattice(8, 6, turned, FLAT, drawn=True)
    u, v = np.linspace(0.5, 7.5, 9), np.linspace(0.5, 5.5, 7)
    seen = between(page, lattice, u, v)
    places = lattice.to_pixels(np.stack(np.meshgrid(u, v), axis=-1)) - 0.5
    np.testing.assert_allclose(seen[0], places[..., 0], atol=0.01)
    np.testing.assert_allclose(seen[1], places[..., 1], atol=0.01)
    np.testing.assert_allclose(seen[2], places.sum(axis=-1), atol=0.02)


def test_places_off_the_page_repeat_its_edge() -> None:
    pixels = np.zeros((30, 30, 3), np.uint8)
    pixels[:, -1] = 200
    page = Page(pixels, lossless=False)
    lattice = Lattice(5, 5, np.diag([10.0, 10.0, 1.0]), FLAT, drawn=True)
    assert (between(page, lattice, np.array([4.5]), np.array([1.0])) == 200).all()
