"""Lines that lie on a lattice to the pixel, and those that are turned, bent or shifted a little."""

from __future__ import annotations

import numpy as np
import pytest
from numpy.typing import NDArray
from PIL import Image

from chartscan.reading.lattice.edges import find_edges
from chartscan.reading.lattice.model import FLAT, Lattice
from chartscan.reading.lattice.tight import lies_tight

PITCH, COLUMNS, ROWS, MARGIN = 20, 40, 30, 30
LATTICE = Lattice(
    COLUMNS,
    ROWS,
    np.array([[PITCH, 0, MARGIN + 0.5], [0, PITCH, MARGIN + 0.5], [0, 0, 1.0]]),
    FLAT,
    drawn=True,
)


def ruled() -> Image.Image:
    """A grid of lines one pixel wide in a white margin."""
    page = np.full((2 * MARGIN + ROWS * PITCH, 2 * MARGIN + COLUMNS * PITCH), 255, np.uint8)
    inside = page[MARGIN : MARGIN + ROWS * PITCH + 1, MARGIN : MARGIN + COLUMNS * PITCH + 1]
    inside[:, ::PITCH] = inside[::PITCH] = 90
    return Image.fromarray(page).convert("RGB")


def lies(pixels: NDArray[np.uint8], lattice: Lattice = LATTICE, sampled: int = 700) -> bool:
    """Whether the lattice lies on the lines that a page shows on so many of its rows."""
    edges = [find_edges(p, sampled, lossless=False) for p in (pixels, pixels.swapaxes(0, 1))]
    return lies_tight(lattice, edges[0], edges[1])


def test_lines_drawn_on_the_lattice_lie_tight() -> None:
    for sampled in (700, 200, 50):
        assert lies(np.asarray(ruled()), sampled=sampled)


@pytest.mark.parametrize("degrees", [-0.5, 0.3])
def test_lines_that_are_turned_do_not(degrees: float) -> None:
    turned = ruled().rotate(degrees, Image.Resampling.BICUBIC, fillcolor="white")
    assert not lies(np.asarray(turned))


def test_one_corner_that_bends_is_enough() -> None:
    pixels = np.asarray(ruled()).copy()
    corner = np.s_[: MARGIN + 5 * PITCH, : MARGIN + 7 * PITCH]
    pixels[corner] = np.roll(pixels, 3, axis=1)[corner]
    assert not lies(pixels)


def test_a_lattice_half_a_cell_beside_its_lines_does_not() -> None:
    assert not lies(np.asarray(ruled()), LATTICE.cut(0, 0, 30, 20).scaled(1.01))
