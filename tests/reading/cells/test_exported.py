"""Pages that a program drew: told from scans, and looked at by means of areas."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray
from PIL import Image

from chartscan.reading.cells.exported import is_exported, mean_places
from chartscan.reading.cells.sampling import sample
from chartscan.reading.lattice.model import FLAT, Lattice
from chartscan.reading.page.page import Page

Picture = NDArray[np.uint8]

COLUMNS, ROWS, PITCH, MARGIN = 24, 18, 20, 30
COLOURS = np.array([(255, 255, 255), (200, 40, 60), (40, 110, 180), (90, 150, 60)], np.uint8)


def lattice(
    pitch: tuple[float, float], start: tuple[float, float], columns: int = COLUMNS, rows: int = ROWS
) -> Lattice:
    """Cells of ``pitch`` pixels that begin at ``start``, both x and y."""
    homography = np.array([[pitch[0], 0, start[0]], [0, pitch[1], start[1]], [0, 0, 1.0]])
    return Lattice(columns, rows, homography, FLAT, drawn=True)


def drawn(cells: NDArray[np.intp], frame: int = 1) -> Picture:
    """Fills with grey lines of a pixel, black crosses in class 1, a black frame of ``frame`` px."""
    page = COLOURS[np.kron(cells, np.ones((PITCH, PITCH), np.intp))]
    for row, column in np.argwhere(cells == 1) * PITCH:
        for k in range(5, 16):
            page[row + k, [column + k, column + 20 - k]] = 0
    page[::PITCH] = page[:, ::PITCH] = 150
    page[:frame] = page[-frame:] = page[:, :frame] = page[:, -frame:] = 0
    return np.pad(page, ((MARGIN, MARGIN), (MARGIN, MARGIN), (0, 0)), constant_values=255)


def some_cells(seed: int = 4) -> NDArray[np.intp]:
    return np.random.default_rng(seed).integers(0, 4, (ROWS, COLUMNS))


def resampled(picture: Picture, factor: float, how: Image.Resampling) -> tuple[Page, Lattice]:
    """The picture scaled by ``factor`` and kept without loss, and where its cells lie then."""
    height, width = picture.shape[:2]
    size = round(width * factor), round(height * factor)
    small = np.asarray(Image.fromarray(picture).resize(size, how))
    exact = size[0] / width, size[1] / height
    at = lattice((PITCH * exact[0], PITCH * exact[1]), (MARGIN * exact[0], MARGIN * exact[1]))
    return Page(small, lossless=True), at


def scanned(page: Page, noise: float, white: int = 255) -> Page:
    """The page with noise of ``noise`` levels, all from ``white`` levels on burnt out."""
    rng = np.random.default_rng(9)
    grain = rng.normal(0, noise, page.pixels.shape)
    levels = np.clip(np.rint(page.pixels + grain), 0, 255)
    levels[levels >= white] = 255
    return replace(page, pixels=levels.astype(np.uint8))


# ----------------------------------------------------------------------- is_exported


@pytest.mark.parametrize("how", list(Image.Resampling))
@pytest.mark.parametrize("factor", [1.0, 0.83, 0.47])
def test_a_drawn_page_is_exported_however_it_was_resampled(
    how: Image.Resampling, factor: float
) -> None:
    assert is_exported(*resampled(drawn(some_cells()), factor, how))


@pytest.mark.parametrize("noise", [0.7, 1.0, 2.0])
def test_a_scan_is_not_even_where_its_paper_is_burnt_out(noise: float) -> None:
    page, at = resampled(drawn(some_cells()), 0.83, Image.Resampling.BICUBIC)
    assert not is_exported(scanned(page, noise), at)
    assert not is_exported(scanned(page, noise, white=240), at)


def test_a_page_of_lossy_coding_or_a_skewed_one_is_not() -> None:
    page, at = resampled(drawn(some_cells()), 1.0, Image.Resampling.NEAREST)
    assert not is_exported(replace(page, lossless=False), at)
    skew = at.homography.copy()
    skew[0, 1] = 0.2
    assert not is_exported(page, replace(at, homography=skew))


# ----------------------------------------------------------------------- mean_places


def overlap(low: float, high: float, length: int) -> NDArray[np.float64]:
    """How much of each of ``length`` pixels lies between two places on an axis."""
    pixel = np.arange(length, dtype=np.float64)
    shared: NDArray[np.float64] = np.minimum(high, pixel + 1) - np.maximum(low, pixel)
    return shared.clip(min=0)


@settings(max_examples=40, deadline=None)
@given(
    st.floats(5, 13),
    st.floats(5, 13),
    st.floats(0, 9),
    st.floats(0, 9),
    st.integers(1, 6),
    st.floats(0, 0.35),
)
def test_a_place_is_the_mean_of_the_area_that_it_covers(
    width: float, height: float, left: float, top: float, side: int, inset: float
) -> None:
    columns, rows = 7, 6
    shape = int(top + rows * height) + 2, int(left + columns * width) + 2, 3
    pixels = np.random.default_rng(3).integers(0, 256, shape).astype(np.uint8)
    at = lattice((width, height), (left, top), columns, rows)
    found = mean_places(Page(pixels, lossless=True), at, side, inset)
    assert found.shape == (rows, columns, side, side, 3)
    edges = inset + np.arange(side + 1) * (1 - 2 * inset) / side
    for row, column, i, j in ((0, 0, 0, 0), (2, 3, side // 2, 0), (5, 6, side - 1, side - 1)):
        above, below = top + (row + edges[i : i + 2]) * height
        before, after = left + (column + edges[j : j + 2]) * width
        weight = overlap(above, below, shape[0])[:, None] * overlap(before, after, shape[1])
        mean = (pixels * weight[..., None]).sum(axis=(0, 1)) / weight.sum()
        np.testing.assert_allclose(found[row, column, i, j], mean, atol=1e-6)


def test_cells_that_reach_over_the_page_are_looked_at_where_it_ends() -> None:
    pixels = np.full((50, 60, 3), 90, np.uint8)
    at = lattice((10.0, 10.0), (-5.0, 0.0), 7, 6)
    assert np.isfinite(mean_places(Page(pixels, lossless=True), at, 4, 0.1)).all()


@pytest.mark.parametrize("how", [Image.Resampling.BILINEAR, Image.Resampling.LANCZOS])
def test_cells_of_one_class_are_more_alike_by_areas_than_by_pixels(how: Image.Resampling) -> None:
    cells = some_cells()
    page, at = resampled(drawn(cells), 0.43, how)
    areas = mean_places(page, at, 5, 0.15)[cells == 1]
    pixels = sample(page, at, 5, 0.15)[cells == 1].astype(np.float64)
    assert areas.std(axis=0).mean() <= 0.6 * pixels.std(axis=0).mean()


# ----------------------------------------------------------------------- a frame


@pytest.mark.parametrize("frame", [5, 6, 7])
def test_a_thick_frame_is_taken_out_of_the_outer_cells(frame: int) -> None:
    """Also where it ends in the middle of a place."""
    cells = some_cells()
    at = lattice((PITCH, PITCH), (MARGIN, MARGIN))
    found = mean_places(Page(drawn(cells, frame), lossless=True), at, 10, 0.17)
    plain = cells != 1  # a symbol may reach to the frame
    wanted = np.broadcast_to(COLOURS[cells][:, :, None, None], found.shape)
    np.testing.assert_allclose(found[plain], wanted[plain], atol=1)


def test_a_row_stitched_in_one_dark_colour_is_no_frame() -> None:
    cells = some_cells()
    cells[0] = cells[:, -1] = 2
    page = Page(drawn(cells), lossless=True)
    at = lattice((PITCH, PITCH), (MARGIN, MARGIN))
    outer = mean_places(page, at, 10, 0.17)[0].reshape(-1, 3)
    np.testing.assert_allclose(outer, np.broadcast_to(COLOURS[2], outer.shape), atol=1)


@pytest.mark.parametrize("top", [9, 2])
def test_a_last_row_of_one_symbol_keeps_its_symbols(top: int) -> None:
    """Its ground lies all along the side as a frame does, whether or not it shows beyond them."""
    cells = some_cells()
    cells[-2:] = 3
    picture = drawn(cells)
    for row, column in np.argwhere(cells == 3) * PITCH + MARGIN:
        picture[row + top : row + 14, column + 5 : column + 16] = 0
    at = lattice((PITCH, PITCH), (MARGIN, MARGIN))
    found = mean_places(Page(picture, lossless=True), at, 10, 0.17)
    np.testing.assert_allclose(found[-1], found[-2], atol=1)
