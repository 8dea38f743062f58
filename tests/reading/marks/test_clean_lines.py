"""Lines of clean charts: edges as bits, drawn lines beside symbols, bold lines, clean JPEG."""

from __future__ import annotations

import io

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray
from PIL import Image

from chartscan.reading.cells.sampling import look_into
from chartscan.reading.classes.evenly import sort_even
from chartscan.reading.lattice.edges import find_edges, opened
from chartscan.reading.lattice.locate import locate_straight
from chartscan.reading.page.page import Page

Picture = NDArray[np.uint8]
PITCH, COLUMNS, ROWS = 15, 22, 31
PALETTE = np.array([(255, 255, 255), (200, 40, 40), (30, 90, 170), (240, 220, 90)], np.uint8)


def fills(seed: int = 3) -> NDArray[np.intp]:
    """Cells in blobs of one to three a side, so that many neighbours are alike."""
    rng = np.random.default_rng(seed)
    small = rng.integers(0, 4, (ROWS, COLUMNS))
    tall = np.repeat(small, rng.integers(1, 4, ROWS), axis=0)[:ROWS]
    return np.repeat(tall, rng.integers(1, 4, COLUMNS), axis=1)[:, :COLUMNS]


def chart(cells: NDArray[np.intp], every: int, dash: int = 0) -> Picture:
    """Cells with a line at every ``every``-th side; with ``dash``, the others are dashed."""
    page = PALETTE[np.kron(cells, np.ones((PITCH, PITCH), np.intp))]
    page = np.pad(page, ((0, 1), (0, 1), (0, 0)), constant_values=255)
    for turned in (page, page.swapaxes(0, 1)):
        for line in range(0, turned.shape[1], PITCH):
            if (line // PITCH) % every == 0:
                turned[:, line] = 0
            elif dash:
                for k in range(dash):
                    turned[k :: 2 * dash, line] = 120
    return np.pad(page, ((23, 31), (37, 19), (0, 0)), constant_values=255)


def stored(page: Picture, quality: int) -> Page:
    """The page as it comes back from a JPEG file."""
    stream = io.BytesIO()
    Image.fromarray(page).save(stream, "JPEG", quality=quality)
    return Page(np.array(Image.open(stream).convert("RGB")), lossless=False)


@settings(max_examples=60, deadline=None)
@given(st.lists(st.booleans(), min_size=1, max_size=40), st.integers(1, 12))
def test_opening_keeps_exactly_the_runs_that_are_long_enough(on: list[bool], need: int) -> None:
    column = np.array(on)
    kept = np.zeros(len(on), bool)
    for first in range(len(on) - need + 1):
        if column[first : first + need].all():
            kept[first : first + need] = True
    bits = np.packbits(np.repeat(column[:, None], 3, axis=1), axis=1)
    found = np.unpackbits(opened(bits, need), axis=1, count=3).view(bool)
    assert (found == kept[:, None]).all()


def test_edges_are_the_same_whichever_axis_is_looked_at() -> None:
    page = chart(fills(), 1)
    upright = find_edges(page, 5000)
    turned = find_edges(np.ascontiguousarray(page.swapaxes(0, 1)).swapaxes(0, 1), 5000)
    assert (upright.on == turned.on).all()
    assert upright.on.any()


@pytest.mark.parametrize(("every", "dash"), [(1, 0), (10, 3), (10, 0), (5, 0), (5, 2)])
def test_lines_drawn_dashed_or_only_every_tenth_give_the_same_cells(every: int, dash: int) -> None:
    straight = locate_straight(Page(chart(fills(), every, dash), lossless=True))
    assert straight is not None
    lattice = straight.lattice
    assert (lattice.columns, lattice.rows) == (COLUMNS, ROWS)
    assert lattice.homography[0, 0] == pytest.approx(PITCH, abs=0.01)
    assert lattice.homography[0, 2] == pytest.approx(37.5, abs=1)


@pytest.mark.parametrize("part", [2, 3, 5])
def test_symbols_that_repeat_within_the_cell_are_no_lines(part: int) -> None:
    page = chart(np.zeros((ROWS, COLUMNS), np.intp), 1)
    step = PITCH // part
    for row in range(ROWS):
        for column in range(2, COLUMNS - 3):
            top, left = 23 + row * PITCH, 37 + column * PITCH
            for x in range(left + 2, left + PITCH - 1, step):
                page[top + 2 : top + PITCH - 1, x] = 0
    straight = locate_straight(Page(page, lossless=True))
    assert straight is not None
    lattice = straight.lattice
    assert (lattice.columns, lattice.rows) == (COLUMNS, ROWS)


def test_a_jpeg_page_with_large_cells_is_sorted_by_their_middles() -> None:
    large = np.kron(chart(fills(), 1), np.ones((3, 3, 1), np.uint8))
    page = stored(large, 85)
    straight = locate_straight(page)
    assert straight is not None
    lattice = straight.lattice
    assert (lattice.columns, lattice.rows) == (COLUMNS, ROWS)
    found = sort_even(page, lattice, look_into(page, lattice))
    assert found is not None
    labels, colours = found
    assert np.abs(colours[labels] - PALETTE[fills()]).max() <= 4


def test_colours_too_near_for_jpeg_are_left_to_the_dearer_way() -> None:
    near = chart(fills(), 1)
    near[(near == PALETTE[1]).all(axis=2)] = PALETTE[2] + 9
    page = stored(np.kron(near, np.ones((3, 3, 1), np.uint8)), 85)
    straight = locate_straight(page)
    assert straight is not None
    lattice = straight.lattice
    assert sort_even(page, lattice, look_into(page, lattice)) is None
