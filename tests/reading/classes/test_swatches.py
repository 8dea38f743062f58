"""Swatches of a key: seen beside the grid wherever they are, never in it, and in no letters."""

from __future__ import annotations

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from chartscan.reading.classes.cloth import Cloth
from chartscan.reading.classes.swatches import _squares, find_key
from chartscan.reading.lattice.model import FLAT, Lattice
from chartscan.reading.page.page import Page

PITCH = 10  # px
LEFT, TOP, COLUMNS, ROWS = 50, 40, 12, 9
RED, GREEN, BLUE, PALE = (200, 30, 40), (30, 140, 60), (40, 60, 190), (253, 253, 254)
WHITE = (255, 255, 255)


def told_by(pixels: np.ndarray, turn: float = 0.0) -> np.ndarray | None:
    """Which of three colours and a pale one have a swatch beside a grid, ``turn``ed in radians."""
    matrix = np.array(
        [
            [PITCH * np.cos(turn), -PITCH * np.sin(turn), LEFT],
            [PITCH * np.sin(turn), PITCH * np.cos(turn), TOP],
            [0, 0, 1.0],
        ]
    )
    colours = np.array([RED, GREEN, BLUE, PALE], dtype=np.float64)
    cloth = Cloth(
        np.zeros((ROWS, COLUMNS), np.intp), colours, np.zeros(4), np.array([255.0] * 3), exact=True
    )
    return find_key(
        Page(pixels, lossless=True), Lattice(COLUMNS, ROWS, matrix, FLAT, drawn=True), None, cloth
    )


def blank() -> np.ndarray:
    return np.full((200, 260, 3), 255, np.uint8)


def with_swatches(*places: tuple[int, int, tuple[int, int, int]], side: int = 8) -> np.ndarray:
    page = blank()
    for x, y, colour in places:
        page[y : y + side, x : x + side] = colour
    return page


def test_a_swatch_speaks_for_its_class_and_none_for_what_is_like_paper() -> None:
    told = told_by(with_swatches((200, 20, RED), (200, 40, GREEN), (10, 160, PALE)))
    assert told is not None
    assert told.tolist() == [1.0, 1.0, 0.0, 0.5]


def test_a_key_may_lie_on_any_side_of_a_grid_that_lies_aslant() -> None:
    for x, y in ((4, 60), (200, 60), (100, 4), (100, 180)):
        told = told_by(with_swatches((x, y, RED), (x + 14, y, BLUE)), turn=0.03)
        assert told is not None, (x, y)
        assert told.tolist() == [1.0, 0.0, 1.0, 0.5]


def test_cells_of_the_grid_are_no_swatches() -> None:
    page = blank()
    page[TOP : TOP + ROWS * PITCH, LEFT : LEFT + COLUMNS * PITCH] = RED
    page[TOP + PITCH : TOP + 3 * PITCH, LEFT : LEFT + 3 * PITCH] = GREEN
    assert told_by(page) is None


def test_rules_in_a_chart_s_colours_are_no_swatches() -> None:
    page = blank()
    page[150] = RED
    page[170] = GREEN
    page[190] = BLUE
    assert told_by(page) is None


def test_a_grid_that_fills_its_page_has_no_key() -> None:
    page = np.zeros((ROWS * PITCH, COLUMNS * PITCH, 3), np.uint8)
    cloth = Cloth(
        np.zeros((ROWS, COLUMNS), np.intp), np.zeros((1, 3)), np.zeros(1), None, exact=True
    )
    lattice = Lattice(COLUMNS, ROWS, np.diag([PITCH, PITCH, 1.0]), FLAT, drawn=True)
    assert find_key(Page(page, lossless=True), lattice, None, cloth) is None


@given(
    st.integers(2, 9).flatmap(
        lambda width: st.lists(
            st.lists(st.integers(-1, 3), min_size=width, max_size=width), min_size=1, max_size=8
        )
    )
)
def test_squares_of_two_by_two_are_counted_as_one_by_one(rows: list[list[int]]) -> None:
    shown = np.array(rows)
    counted = [0, 0, 0]
    for y in range(shown.shape[0] - 1):
        for x in range(shown.shape[1] - 1):
            four = {int(k) for k in shown[y : y + 2, x : x + 2].ravel()}
            if len(four) == 1 and (only := four.pop()) in (0, 1, 2):
                counted[only] += 1
    every = np.arange(shown.size)
    assert _squares(every, shown.ravel(), shown.shape[1], 3).tolist() == counted
    seen = shown.ravel() >= 0  # what shows nothing needn't be told
    assert _squares(every[seen], shown.ravel()[seen], shown.shape[1], 3).tolist() == counted
