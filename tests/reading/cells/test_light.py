"""The light on a page: even paper under uneven light comes out even; stitches are no light."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from chartscan.reading.cells.light import Fold, Light, balanced
from chartscan.reading.cells.paper import paper_light
from chartscan.reading.lattice.model import FLAT, Lattice
from chartscan.reading.page.page import Page

PITCH, COLUMNS, ROWS = 10, 30, 24


def page_of(picture: NDArray[np.float64]) -> Page:
    return Page(
        file="page.jpg",
        pixels=np.clip(picture, 0, 255).astype(np.uint8),
        sha256="0" * 64,
        lossless=False,
    )


def lattice(margin: int) -> Lattice:
    matrix = np.array([[PITCH, 0, margin], [0, PITCH, margin], [0, 0, 1.0]])
    return Lattice(COLUMNS, ROWS, matrix, FLAT, True)


def grounds(page: Page, margin: int) -> NDArray[np.float64]:
    middle = margin + PITCH // 2
    return page.pixels[middle::PITCH, middle::PITCH][:ROWS, :COLUMNS].astype(np.float64)


def test_a_fold_and_a_vignette_are_taken_off() -> None:
    margin = 3 * PITCH
    height, width = ROWS * PITCH + 2 * margin, COLUMNS * PITCH + 2 * margin
    y, x = np.mgrid[0:height, 0:width]
    shade = 1 - 0.2 * ((x / width - 0.5) ** 2 + (y / height - 0.5) ** 2)
    shade *= 1 - 0.25 * np.exp(-np.abs(x - 0.6 * width) / 15)
    page = page_of(np.array([240.0, 232, 215]) * shade[..., None])
    light = paper_light(page, lattice(margin), grounds(page, margin))
    assert light is not None
    assert len(light.folds) == 1
    u, v = (np.arange(cells, dtype=np.float64) + 0.5 for cells in (COLUMNS, ROWS))
    even = balanced(grounds(page, margin), light.at(u, v))
    assert np.abs(even - 250).max() < 12  # the fold alone takes 60


def test_colours_that_change_over_the_chart_are_no_light() -> None:
    """A chart that fills the page and goes from red to blue has no paper to tell the light by."""
    y, x = np.mgrid[0:ROWS, 0:COLUMNS]
    red, blue = 250 - 150 * x / COLUMNS, 100 + 150 * x / COLUMNS
    cells = np.stack([red, np.full_like(red, 180.0), blue], axis=-1) + (y % 2)[..., None]
    page = page_of(cells.repeat(PITCH, 0).repeat(PITCH, 1))
    assert paper_light(page, lattice(0), grounds(page, 0)) is None


def test_a_pale_colour_in_the_midst_of_white_is_no_light() -> None:
    """Pink all over but for its edge bent the light until pink and white were one class."""
    margin = 3 * PITCH
    height, width = ROWS * PITCH + 2 * margin, COLUMNS * PITCH + 2 * margin
    picture = np.full((height, width, 3), 250.0)
    inside = slice(margin + PITCH, -margin - PITCH)
    picture[inside, inside] = (250, 207, 229)
    page = page_of(picture * (1 - 0.1 * np.linspace(0, 1, width)[:, None]))
    light = paper_light(page, lattice(margin), grounds(page, margin))
    assert light is not None
    u, v = (np.arange(cells, dtype=np.float64) + 0.5 for cells in (COLUMNS, ROWS))
    even = balanced(grounds(page, margin), light.at(u, v))
    assert np.abs(even[0] - 250).max() < 3
    assert np.abs(even[1:-1, 1:-1] - (250, 207, 229)).max() < 3


def test_light_at_each_of_some_places_is_that_of_all_of_them() -> None:
    rng = np.random.default_rng(3)
    folds = (
        Fold(-rng.random(80) / 3, 0.05, down=True),
        Fold(-rng.random(120) / 3, -0.02, down=False),
    )
    light = Light(np.vstack([np.full(3, 5.4), rng.normal(0, 0.1, (5, 3))]), (20, 30), folds)
    u, v = rng.random(7) * 20, rng.random(5) * 30
    each = np.stack(np.meshgrid(u, v), axis=-1).reshape(-1, 2)
    np.testing.assert_allclose(
        light.at_each(each).reshape(5, 7, 3), light.at(u, v), rtol=1e-4, atol=1e-2
    )


def test_a_table_darker_than_the_paper_is_no_light() -> None:
    """On it lies a board that was cut out along its grid; half of its cells were a class too many.

    White cells came out up to 22 CIELAB apart by the light of the table.
    """
    margin = 3 * PITCH
    height, width = ROWS * PITCH + 2 * margin, COLUMNS * PITCH + 2 * margin
    y, x = np.mgrid[0:height, 0:width]
    table = 60 + 130 * x / width + 25 * np.sin(y / 6)
    fields = ((x - margin) // PITCH + (y - margin) // PITCH) % 2
    picture = np.where(fields == 0, 30.0, 240.0)
    board = (slice(margin, -margin), slice(margin, -margin))
    table[board] = picture[board]
    page = page_of(table[..., None].repeat(3, axis=2))
    ground = grounds(page, margin)
    light = paper_light(page, lattice(margin), ground)
    assert light is not None
    u, v = (np.arange(cells, dtype=np.float64) + 0.5 for cells in (COLUMNS, ROWS))
    even = balanced(ground, light.at(u, v))
    assert np.abs(even[ground[..., 0] > 200] - 250).max() < 3
    assert even[ground[..., 0] < 100].max() < 40
