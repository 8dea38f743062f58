"""The fill of each class, by patches made by hand: ink beside it, lines that bled into it."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.typing import NDArray

from chartscan.colour import srgb_to_lab
from chartscan.reading.classes.appearance import patches_at
from chartscan.reading.classes.colours import FillSettings, drawn_fills, fills_of, plain_fills
from chartscan.reading.classes.sorting import Sight
from chartscan.reading.lattice.model import Lattice
from chartscan.reading.page.page import Page
from tests.reading.staged import BLUE, RED, YELLOW, Pixels, Rgb, fill, straight, tiled

ROWS, COLUMNS, PITCH = 8, 10, 20
Labels = NDArray[np.intp]
Colours = NDArray[np.float64]
FILLS: tuple[Rgb, ...] = (RED, BLUE, YELLOW)


def labels_of(seed: int = 2) -> Labels:
    return np.random.default_rng(seed).integers(0, len(FILLS), (ROWS, COLUMNS))


def cell(colour: Rgb, ink: float = 0.0, line: Rgb = (60, 60, 60), width: int = 1) -> Pixels:
    """A fill with grid lines at its top and left, and a black square over a part of it."""
    picture = fill(colour, PITCH)
    half = round(ink * PITCH / 2)
    middle = slice(PITCH // 2 - half, PITCH // 2 + half)
    picture[middle, middle] = 0
    picture[:width] = picture[:, :width] = line
    return picture


def sheet(*pictures: Pixels, labels: Labels | None = None) -> tuple[Page, Lattice, Labels]:
    labels = labels_of() if labels is None else labels
    return Page(tiled(labels, pictures), lossless=True), straight(COLUMNS, ROWS, PITCH), labels


def sight_of(page: Page, lattice: Lattice, places: int = 8) -> Sight:
    along = 0.2 + 0.6 * np.linspace(0, 1, places)
    return Sight(lattice, None, patches_at(page, lattice, None, along, along), 0.0)


# ------------------------------------------------------------------------- plain


@given(st.integers(0, 2**32 - 1), st.integers(1, 6))
def test_a_plain_class_has_the_middle_colour_of_its_cells(seed: int, number: int) -> None:
    """However cells and classes are shuffled: the median, channel by channel."""
    rng = np.random.default_rng(seed)
    labels = np.concatenate([np.arange(number), rng.integers(0, number, 35 - number)])
    labels = rng.permutation(labels).reshape(5, 7)
    ground = rng.uniform(0, 255, (5, 7, 3))
    found = plain_fills(ground, labels)
    expected = [np.median(ground[labels == k], axis=0) for k in range(number)]
    np.testing.assert_allclose(found, expected)


def test_one_cell_is_a_class() -> None:
    assert plain_fills(np.full((1, 1, 3), 7.0), np.zeros((1, 1), np.intp)).tolist() == [[7.0] * 3]


# -------------------------------------------------------------------------- fills


@pytest.mark.parametrize("ink", [0.0, 0.4, 0.5])
def test_the_fill_is_what_lies_beside_the_glyph_however_large_that_is(ink: float) -> None:
    page, lattice, labels = sheet(*(cell(c, ink) for c in FILLS))
    usual = np.zeros((3, 3))
    found = fills_of(page, sight_of(page, lattice), labels, usual)
    expected = srgb_to_lab(np.array(FILLS, float))
    assert np.abs(found - expected).max() < 0.5


def test_on_a_page_in_one_ink_there_are_no_fills() -> None:
    greys: tuple[Rgb, ...] = ((255, 255, 255), (250, 250, 248), (120, 120, 120))
    page, lattice, labels = sheet(*(cell(c, 0.5) for c in greys))
    usual = np.arange(9.0).reshape(3, 3)
    assert fills_of(page, sight_of(page, lattice), labels, usual).tolist() == usual.tolist()
    page, lattice, labels = sheet(*(cell(c, 0.5) for c in (*greys[:2], BLUE)))
    assert fills_of(page, sight_of(page, lattice), labels, usual).tolist() != usual.tolist()


@pytest.mark.parametrize(("chroma", "grey"), [(11.5, True), (12.5, False)])
def test_a_fill_is_a_colour_from_a_chroma_of_twelve_on(chroma: float, grey: bool) -> None:
    """Patches and page agree on L* 70 and so much b*; nothing else is on the page."""
    lab = np.array([70.0, 0.0, chroma])
    labels = np.zeros((ROWS, COLUMNS), np.intp)
    page, lattice, _ = sheet(fill((181, 171, 150), PITCH), labels=labels)
    patches = np.broadcast_to(lab, (ROWS, COLUMNS, 8, 8, 3))
    sight = Sight(lattice, None, patches, 0.0)
    usual = np.full((1, 3), -1.0)
    assert (fills_of(page, sight, labels, usual)[0, 0] == -1) is np.bool_(grey)


def test_where_lines_bled_into_all_that_lies_outermost_the_rim_tells() -> None:
    """Outermost places are black; those farther in tell the colour, by their middle."""
    labels = np.zeros((ROWS, COLUMNS), np.intp)
    page, lattice, _ = sheet(cell(RED, line=(0, 0, 0), width=PITCH), labels=labels)
    lab = srgb_to_lab(np.array(RED, float))
    sight = Sight(lattice, None, np.broadcast_to(lab, (ROWS, COLUMNS, 8, 8, 3)), 0.0)
    found = fills_of(page, sight, labels, np.zeros((1, 3)))
    np.testing.assert_allclose(found[0], lab)


def test_of_two_colours_at_the_rim_the_one_that_lies_outermost_too_is_the_fill() -> None:
    """A glyph covers most of the rim, and reaches two sides; the fill is seen in a ring alone."""
    labels = np.zeros((ROWS, COLUMNS), np.intp)
    picture = fill(RED, PITCH)
    picture[4:-4, 4:-4] = picture[:, 7:13] = (20, 20, 60)
    page, lattice, _ = sheet(picture, labels=labels)
    red, ink = srgb_to_lab(np.array([RED, (20, 20, 60)], float))
    patches = np.broadcast_to(ink, (ROWS, COLUMNS, 8, 8, 3)).copy()
    patches[:, :, 0, :2] = red
    sight = Sight(lattice, None, patches, 0.0)
    found = fills_of(page, sight, labels, np.zeros((1, 3)))
    np.testing.assert_allclose(found[0], red)


def test_classes_do_not_hang_on_the_order_of_their_cells() -> None:
    labels = labels_of()
    pictures = [cell(c, 0.5) for c in FILLS]
    page, lattice, _ = sheet(*pictures, labels=labels)
    found = fills_of(page, sight_of(page, lattice), labels, np.zeros((3, 3)))
    flipped = sheet(*pictures, labels=labels[::-1, ::-1])
    again = fills_of(flipped[0], sight_of(*flipped[:2]), labels[::-1, ::-1], np.zeros((3, 3)))
    np.testing.assert_allclose(found, again)


# ------------------------------------------------------------------------- drawn


def test_a_fill_that_a_program_drew_is_exact() -> None:
    page, lattice, labels = sheet(*(cell(c, 0.7) for c in FILLS))
    found = drawn_fills(page, lattice, labels, np.zeros((3, 3)))
    assert found.tolist() == [list(map(float, c)) for c in FILLS]


@pytest.mark.parametrize(("part", "exact"), [(0.32, True), (0.26, False)])
def test_three_in_ten_places_must_have_the_very_colour(part: float, exact: bool) -> None:
    """Every other place has a colour that no other has."""
    labels = np.zeros((ROWS, COLUMNS), np.intp)
    page, lattice, _ = sheet(fill(RED, PITCH), labels=labels)
    rng = np.random.default_rng(3)
    shades = np.arange(ROWS * COLUMNS * PITCH**2).reshape(page.pixels.shape[:2]) * 97
    motley = np.stack([shades >> 16, shades >> 8 & 255, shades & 255], axis=-1).astype(np.uint8)
    kept = rng.uniform(size=shades.shape) < part
    pixels = np.where(kept[..., None], page.pixels, motley)
    before = np.full((1, 3), 9.0)
    found = drawn_fills(Page(pixels, lossless=True), lattice, labels, before)
    assert found.tolist() == [list(map(float, RED))] if exact else before.tolist()
    assert (found == before).all() != exact


def test_small_cells_are_looked_at_farther_in() -> None:
    """Lines of three pixels on cells of six: a place nearer the side would be a line."""
    labels = np.zeros((ROWS, COLUMNS), np.intp)
    picture = fill(RED, 6)
    picture[:1] = picture[-1:] = picture[:, :1] = picture[:, -1:] = 0
    page = Page(tiled(labels, [picture]), lossless=True)
    lattice = straight(COLUMNS, ROWS, 6)
    assert drawn_fills(page, lattice, labels, np.zeros((1, 3))).tolist() == [[200.0, 40.0, 60.0]]
    near = FillSettings(line_px=0.0)
    assert drawn_fills(page, lattice, labels, np.zeros((1, 3)), near).tolist() == [[0.0] * 3]
