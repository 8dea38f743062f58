"""A first look tells bare pages from marked ones, whatever frame and bold lines lie across."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra import numpy as arrays
from numpy.typing import NDArray
from PIL import Image

from chartscan.reading.lattice.model import FLAT, Lattice
from chartscan.reading.marks.glance import is_bare
from chartscan.reading.marks.patches import difference
from chartscan.reading.page.page import Page

PITCH, ROWS, COLUMNS = 16, 12, 20
FRAME, TIMES = 5, 1.63
COLOURS = np.array([(255, 240, 238), (40, 44, 216)], np.uint8)
LINE = (130, 130, 130)
PIXELS = arrays.arrays(np.int16, (40, 3, 3), elements=st.integers(0, 255))


def drawn(frame: int) -> tuple[Page, Lattice, NDArray[np.int32]]:
    """A page of two colours under a grid, with a ``frame`` of so many pixels inside its border."""
    cells = np.zeros((ROWS, COLUMNS), np.int32)
    cells[3:8, 4:15:3] = 1
    page = COLOURS[np.kron(cells, np.ones((PITCH, PITCH), np.intp))]
    page[::PITCH] = page[:, ::PITCH] = LINE
    for turned in (page, page.swapaxes(0, 1)):
        turned[:, :frame] = turned[:, turned.shape[1] - frame :] = 0
    lattice = Lattice(COLUMNS, ROWS, np.diag([PITCH, PITCH, 1.0]), FLAT, drawn=True)
    return Page(page, lossless=True), lattice, cells


@pytest.mark.parametrize("frame", [0, 2, FRAME])
def test_a_frame_across_the_first_cells_is_no_mark(frame: int) -> None:
    assert is_bare(*drawn(frame), 5.0)


@pytest.mark.parametrize("columns", [slice(1, None), slice(5, 6)])
def test_strokes_on_every_line_or_on_one_are_marks(columns: slice) -> None:
    page, lattice, cells = drawn(FRAME)
    pixels = page.pixels.copy()
    for line in range(COLUMNS)[columns]:
        pixels[4 * PITCH : 5 * PITCH, line * PITCH - 1 : line * PITCH + 2] = (200, 20, 30)
    assert not is_bare(Page(pixels, lossless=True), lattice, cells, 5.0)


def scaled(pixels: NDArray[np.uint8]) -> tuple[Page, Lattice]:
    """The page a little larger than drawn, so that cells aren't whole pixels."""
    wide, high = round(COLUMNS * PITCH * TIMES), round(ROWS * PITCH * TIMES)
    large = Image.fromarray(pixels).resize((wide, high), Image.Resampling.LANCZOS)
    place = np.diag([wide / COLUMNS, high / ROWS, 1.0])
    return Page(np.asarray(large), lossless=True), Lattice(COLUMNS, ROWS, place, FLAT, drawn=True)


def test_what_scaling_leaves_along_sides_is_no_mark() -> None:
    page, _, cells = drawn(0)
    assert is_bare(*scaled(page.pixels), cells, 5.0)


@pytest.mark.parametrize("at", [(5 * PITCH, 6 * PITCH), (5 * PITCH + 8, 6 * PITCH)])
def test_a_small_knot_on_a_scaled_page_is_a_mark(at: tuple[int, int]) -> None:
    page, _, cells = drawn(0)
    pixels = page.pixels.copy()
    pixels[at[0] - 2 : at[0] + 3, at[1] - 2 : at[1] + 3] = (90, 20, 30)
    assert not is_bare(*scaled(pixels), cells, 5.0)


@given(PIXELS, PIXELS)
def test_the_difference_of_samples_is_that_of_the_worst_channel(
    a: NDArray[np.int16], b: NDArray[np.int16]
) -> None:
    for other in (b, b[:1], b[0, 0]):
        assert np.array_equal(difference(a, other), np.abs(a - other).max(axis=-1))
