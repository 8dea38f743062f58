"""Pixels taken at places of the lattice: on which a place falls, in what order, off the page."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray
from scipy import ndimage

from chartscan.reading.cells.sampling import (
    between,
    luma,
    meshed,
    pack,
    pixels_at,
    sample,
    take,
    unpack,
)
from chartscan.reading.lattice.model import FLAT, Lattice
from chartscan.reading.page.page import Page
from tests.reading.staged import Pixels, straight

HEIGHT, WIDTH = 40, 50
LEAN = np.array([[6.0, 0.7, 4.0], [-0.5, 5.5, 8.0], [1e-3, -5e-4, 1.0]])


def noise(seed: int = 1) -> Pixels:
    return np.random.default_rng(seed).integers(0, 256, (HEIGHT, WIDTH, 3), dtype=np.uint8)


def page_of(upright: bool = True) -> Page:
    """Noise, as it lies in memory or as a view with its axes swapped."""
    pixels = noise() if upright else noise().swapaxes(0, 1).copy().swapaxes(0, 1)
    return Page(pixels, lossless=True)


PLACES = st.lists(st.tuples(st.floats(-9, 60), st.floats(-9, 60)), min_size=1, max_size=12)


@given(PLACES, st.booleans())
def test_a_place_falls_on_the_pixel_that_holds_it_or_the_nearest_on_the_page(
    places: list[tuple[float, float]], upright: bool
) -> None:
    """Pixel k reaches from k to k + 1."""
    x, y = np.array(places).T
    found = pixels_at(page_of(upright), x, y)
    for (px, py), seen in zip(places, found, strict=True):
        column = min(max(int(np.floor(px)), 0), WIDTH - 1)
        row = min(max(int(np.floor(py)), 0), HEIGHT - 1)
        assert (seen == noise()[row, column]).all()


@pytest.mark.parametrize("upright", [True, False])
def test_rows_cross_columns(upright: bool) -> None:
    rows, columns = np.array([3, 0, 39, 3]), np.array([49, 7])
    assert (meshed(page_of(upright), rows, columns) == noise()[np.ix_(rows, columns)]).all()


@settings(max_examples=25)
@given(st.integers(1, 6), st.floats(-0.2, 0.4))
def test_places_of_a_cell_lie_evenly_between_its_insets(per_side: int, inset: float) -> None:
    """The value of each pixel is where it lies."""
    y, x = np.mgrid[0:HEIGHT, 0:WIDTH]
    page = Page(np.stack([x, y, 0 * x], axis=-1).astype(np.uint8), lossless=True)
    lattice = straight(4, 3, 10, 5, 5)
    seen = sample(page, lattice, per_side, inset)
    assert seen.shape == (3, 4, per_side, per_side, 3)
    parts = inset + (np.arange(per_side) + 0.5) * (1 - 2 * inset) / per_side
    for row in range(3):
        for column in range(4):
            along_x, along_y = 5 + 10 * (column + parts), 5 + 10 * (row + parts)
            assert (seen[row, column, 0, :, 0] == np.clip(along_x, 0, WIDTH - 1).astype(int)).all()
            assert (seen[row, column, :, 0, 1] == np.clip(along_y, 0, HEIGHT - 1).astype(int)).all()


@pytest.mark.parametrize("homography", [np.array([[6.0, 0, 4], [0, 5.5, 8], [0, 0, 1]]), LEAN])
def test_taking_is_the_same_along_the_pixels_and_aslant(homography: NDArray[np.float64]) -> None:
    """Straight lattices are read by rows and columns, others place by place."""
    lattice = Lattice(7, 5, homography, FLAT, True)
    u, v = np.linspace(-0.5, 7.5, 13), np.linspace(-0.5, 5.5, 11)
    places = lattice.to_pixels(np.stack(np.meshgrid(u, v), axis=-1))
    expected = pixels_at(page_of(), places[..., 0], places[..., 1])
    assert (take(page_of(), lattice, u, v) == expected).mean() > 0.99  # single precision at edges


def test_between_pixels_colours_are_those_of_another_library() -> None:
    """SciPy interpolates linearly between middles of pixels and repeats the edge."""
    lattice = Lattice(7, 5, LEAN, FLAT, True)
    u, v = np.linspace(0.1, 6.9, 15), np.linspace(0.1, 4.9, 12)
    places = lattice.to_pixels(np.stack(np.meshgrid(u, v), axis=-1)) - 0.5
    at = [places[..., 1], places[..., 0]]
    seen = between(page_of(), lattice, u, v)
    for channel in range(3):
        values = noise()[..., channel].astype(float)
        expected = ndimage.map_coordinates(values, at, order=1, mode="nearest")
        np.testing.assert_allclose(seen[channel], expected, atol=0.05)


@given(st.lists(st.tuples(*[st.integers(0, 255)] * 3), min_size=1, max_size=9))
def test_a_colour_is_one_number_and_no_two_share_it(colours: list[tuple[int, int, int]]) -> None:
    rgb = np.array(colours, np.uint8)
    packed = pack(rgb)
    assert (unpack(packed) == rgb).all()
    assert len(set(packed.tolist())) == len(set(colours))


@given(st.tuples(*[st.integers(0, 255)] * 3))
def test_luma_is_weighed_as_the_standard_says(colour: tuple[int, int, int]) -> None:
    """ITU-R BT.601-7, 2.5.1: 0.299 R + 0.587 G + 0.114 B."""
    found = float(luma(np.array(colour, np.uint8)))
    assert found == pytest.approx(np.dot(colour, (0.299, 0.587, 0.114)), abs=1e-3)
