"""Lattices by what the whole page repeats by."""

from __future__ import annotations

from io import BytesIO

import numpy as np
import pytest
from numpy.typing import NDArray
from PIL import Image

from chartscan.reading.lattice.locate import locate
from chartscan.reading.lattice.periods import periodic, repeats_of
from chartscan.reading.page.page import Page
from tests.drawing.corpus import draw

MARGIN = 60


def crosses(columns: int, rows: int, pitch: int) -> NDArray[np.uint8]:
    """A page of crosses from corner to corner, and of bare cells ruled with three threads."""
    rng = np.random.default_rng(5)
    place = (np.arange(pitch) + 0.5) / pitch
    u, v = np.meshgrid(place, place)
    heavy = 0.04 + 0.2 * np.maximum(np.abs(u - 0.5), np.abs(v - 0.5))  # thinner in the middle
    cross = np.minimum(np.abs(u - v), np.abs(u + v - 1)) < heavy
    thread = [np.abs((at * 3) % 1 - 0.5) > 0.4 for at in (u, v)]
    edge = np.minimum(np.minimum(u, 1 - u), np.minimum(v, 1 - v)) < 0.1
    bare = thread[0] | thread[1] | edge
    cells = rng.random((rows, columns)) < 0.6
    ink = np.where(cells[:, :, None, None], cross, bare).swapaxes(1, 2)
    area = np.where(ink.reshape(rows * pitch, columns * pitch), 30, 240).astype(np.uint8)
    return np.pad(area, MARGIN, constant_values=240)


def proposals(page: NDArray[np.uint8], longer: float = 0.0) -> dict[tuple[int, int], float]:
    """The size of each proposal, and how far its corner lies from the grid's, in px."""
    height, width = page.shape
    repeats = repeats_of((width, height), lambda factor: page[::factor, ::factor])
    corner = np.array([0.0, 0.0])
    return {
        (each.columns, each.rows): float(np.abs(each.to_pixels(corner) - MARGIN).max())
        for each in periodic(repeats, longer)
    }


@pytest.mark.parametrize(("columns", "rows", "pitch"), [(40, 31, 18), (26, 52, 23)])
def test_crosses_that_hide_the_lines_are_found_by_their_period(
    columns: int, rows: int, pitch: int
) -> None:
    found = proposals(crosses(columns, rows, pitch))
    assert found[columns, rows] < 0.15 * pitch


def test_threads_are_left_out_where_cells_are_longer() -> None:
    found = proposals(crosses(40, 31, 24), longer=12.0)
    assert (40, 31) in found
    assert (120, 93) not in found


def test_noise_and_an_empty_page_repeat_by_nothing() -> None:
    noise = np.random.default_rng(3).integers(0, 255, (400, 500)).astype(np.uint8)
    assert proposals(noise) == {}
    assert proposals(np.full((300, 300), 240, np.uint8)) == {}


@pytest.mark.parametrize("seed", [88012, 141004, 310001, 310002])
def test_a_plate_of_crosses_has_its_size(seed: int) -> None:
    """Threads of its ground were taken for cells, or twice the pitch, or bare cells for all."""
    sample = draw("plate", seed)
    pixels = np.asarray(Image.open(BytesIO(sample.files["image.jpg"])).convert("RGB"))
    lattice = locate(Page(pixels, lossless=False)).lattice
    assert (lattice.columns, lattice.rows) == (sample.truth["columns"], sample.truth["rows"])
