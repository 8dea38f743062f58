"""Large cells of a clean lossy page sorted by their middles, or left to the dearer way."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from numpy.typing import NDArray

from chartscan.reading.cells.sampling import look_into
from chartscan.reading.classes.evenly import EvenSettings, sort_even
from chartscan.reading.page.page import Page
from tests.reading.staged import BLUE, RED, WHITE, YELLOW, Pixels, Rgb, fill, straight, tiled

PITCH, ROWS, COLUMNS = 20, 14, 18
COLOURS: tuple[Rgb, ...] = (WHITE, RED, BLUE, YELLOW)
Cells = NDArray[np.intp]


def cells_of(kinds: int = 4) -> Cells:
    return np.random.default_rng(7).integers(0, kinds, (ROWS, COLUMNS))


def page_of(cells: Cells, colours: tuple[Rgb, ...] = COLOURS, noise: int = 0) -> Pixels:
    """Fills with grey lines, in a blank margin of a cell."""
    pixels = tiled(cells, [fill(c, PITCH) for c in colours])
    pixels[::PITCH] = pixels[:, ::PITCH] = 120
    grain = np.random.default_rng(1).integers(-noise, noise + 1, pixels.shape[:2])[..., None]
    grained = np.clip(pixels.astype(int) + grain, 0, 255).astype(np.uint8)
    return np.pad(grained, ((PITCH, PITCH), (PITCH, PITCH), (0, 0)), constant_values=255)


def sorted_(
    pixels: Pixels, **changed: float
) -> tuple[NDArray[np.intp], NDArray[np.float64]] | None:
    page = Page(pixels, lossless=False)
    lattice = straight(COLUMNS, ROWS, PITCH, PITCH, PITCH)
    known = replace(EvenSettings(), **changed)  # type: ignore[arg-type]  # by name
    return sort_even(page, lattice, look_into(page, lattice), known)


@pytest.mark.parametrize("noise", [0, 3, 5])
def test_every_cell_has_the_colour_that_it_was_drawn_in(noise: int) -> None:
    cells = cells_of()
    found = sorted_(page_of(cells, noise=noise))
    assert found is not None
    labels, colours = found
    truth = np.array(COLOURS)[cells]
    assert np.abs(colours[labels] - truth).max() <= noise
    counts = np.bincount(labels.ravel()).tolist()
    assert len(counts) == 4
    assert noise or counts == sorted(counts, reverse=True)


def test_cells_whose_middles_vary_are_left() -> None:
    """A middle may vary by twelve levels, in forty-nine of fifty cells."""
    assert sorted_(page_of(cells_of(), noise=5)) is not None
    assert sorted_(page_of(cells_of(), noise=8)) is None
    few = page_of(cells_of())
    few[PITCH + 8 : PITCH + 12, PITCH + 8 : PITCH + 12] = 0  # a blot in one of 252
    assert sorted_(few) is not None


@pytest.mark.parametrize(("off", "told"), [(18, True), (17, False)])
def test_two_classes_nearer_than_eighteen_levels_leave_a_doubt(off: int, told: bool) -> None:
    near: Rgb = (BLUE[0], BLUE[1] + off, BLUE[2])
    found = sorted_(page_of(cells_of(), (WHITE, RED, BLUE, near)))
    assert (found is not None) is told


@pytest.mark.parametrize(("number", "told"), [(3, True), (2, False)])
def test_a_class_of_fewer_than_three_cells_must_lie_farther_off(number: int, told: bool) -> None:
    near: Rgb = (BLUE[0], BLUE[1] + 40, BLUE[2])
    cells = cells_of(3)
    cells.ravel()[:number] = 3
    assert (sorted_(page_of(cells, (WHITE, RED, BLUE, near))) is not None) is told
    far: Rgb = (BLUE[0], BLUE[1] + 60, BLUE[2])
    assert sorted_(page_of(cells, (WHITE, RED, BLUE, far))) is not None


def test_small_cells_and_too_many_classes_are_left() -> None:
    pixels = page_of(cells_of())
    assert sorted_(pixels, least_pitch=PITCH) is not None
    assert sorted_(pixels, least_pitch=PITCH + 0.1) is None
    assert sorted_(pixels, most=4) is not None
    assert sorted_(pixels, most=3) is None


def test_a_page_with_symbols_is_left() -> None:
    cells = cells_of(3)
    pixels = page_of(cells)
    for row, column in np.argwhere(cells == 1):
        y, x = (row + 1) * PITCH, (column + 1) * PITCH
        pixels[y + 4 : y + 7, x + 4 : x + 17] = 0
        pixels[y + 14 : y + 17, x + 4 : x + 17] = 0
    assert sorted_(pixels) is None
