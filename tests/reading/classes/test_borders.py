"""One class under uneven light stays one; two near shades that meet at a line stay two."""

from __future__ import annotations

import numpy as np
import pytest
from PIL import Image

from chartscan.reading.classes.borders import without_drift
from chartscan.reading.page.page import load_page

ROWS, COLUMNS = 20, 30
LIKE = np.zeros((ROWS * COLUMNS, 3))  # grounds that are all of one colour


def noise() -> np.ndarray[tuple[int, ...], np.dtype[np.float64]]:
    return np.random.default_rng(7).normal(0, 0.4, (ROWS * COLUMNS, 6))


def halves() -> np.ndarray[tuple[int, ...], np.dtype[np.intp]]:
    labels = np.zeros((ROWS, COLUMNS), np.intp)
    labels[:, 18:] = 1
    return labels


def test_a_shade_that_comes_little_by_little_is_one_class() -> None:
    points = noise()
    points += np.tile(np.linspace(0, 5, COLUMNS), ROWS)[:, None]
    assert without_drift(points, LIKE, halves()).max() == 0


def test_colours_that_no_light_makes_of_one_another_stay_apart() -> None:
    """Where a lattice lies aside, cells along a border are a little of both."""
    points = noise()
    points += np.tile(np.linspace(0, 5, COLUMNS), ROWS)[:, None]
    ground = LIKE + 40 * halves().reshape(-1, 1)
    assert np.array_equal(without_drift(points, ground, halves()), halves())


@pytest.mark.parametrize("step", [2.0, 5.0, 60.0])
def test_a_shade_that_begins_at_a_line_is_another_class(step: float) -> None:
    points = noise() + step * halves().reshape(-1, 1)
    assert np.array_equal(without_drift(points, LIKE, halves()), halves())


def test_glyphs_that_waver_with_the_lattice_are_no_glyphs_of_each_other() -> None:
    """Bars that lie more and more aside look ever otherwise; level bars beside them stay level."""
    aside = np.tile(np.linspace(0, 2 * np.pi, COLUMNS), ROWS)
    upright = np.stack([np.cos(aside), np.sin(aside)], axis=1) * 20
    other = halves().reshape(-1, 1).astype(bool)
    points = noise()
    points[:, :2] += np.where(other, 0, upright)
    points[:, 2:4] += np.where(other, upright, 0)
    assert np.array_equal(without_drift(points, LIKE, halves()), halves())


def test_groups_that_hardly_meet_are_left_alone() -> None:
    """Two cells in a corner have three neighbours, which tell too little."""
    labels = np.zeros((ROWS, COLUMNS), np.intp)
    labels[0, :2] = 1
    points = np.zeros((ROWS * COLUMNS, 2))
    assert np.array_equal(without_drift(points, LIKE, labels), labels)


@pytest.mark.parametrize(("quality", "luma", "chroma"), [(50, 16 / 8, 17 / 8), (100, 1 / 8, 1 / 8)])
def test_a_jpegs_steps_are_those_of_its_tables(
    tmp_path_factory: pytest.TempPathFactory, quality: int, luma: float, chroma: float
) -> None:
    """ITU-T T.81 (1992), tables K.1 and K.2 begin with 16 and 17, used unscaled at quality 50."""
    path = tmp_path_factory.mktemp("coded") / "page.jpg"
    Image.new("RGB", (40, 40), (200, 180, 160)).save(path, quality=quality)
    assert load_page(path).coded == (luma, chroma)
    path = path.with_suffix(".png")
    Image.new("RGB", (40, 40)).save(path)
    assert load_page(path).coded == (0.0, 0.0)


def test_a_noisy_shade_towards_a_corner_is_one_class() -> None:
    """Where noise decides cell by cell, the border is ragged; the shade tells more than it does."""
    y, x = np.mgrid[:ROWS, :COLUMNS]
    shade = np.maximum(0, (x / COLUMNS + y / ROWS - 1.2)) ** 2 * 8
    points = noise() + shade.reshape(-1, 1)
    labels = (points.mean(axis=1) > 0.8).astype(np.intp).reshape(ROWS, COLUMNS)
    assert without_drift(points, LIKE, labels).max() == 0
