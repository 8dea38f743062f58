"""Grids of few cells are laid on lines that a lens bends, and stay where nothing is seen."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray

from chartscan.reading.lattice.bowed import BowSettings, bowed
from chartscan.reading.lattice.model import FLAT, Lattice
from chartscan.reading.lattice.refine import refined

PITCH, CELLS, MARGIN, PAPER, INK = 20.0, 9, 40, 235.0, 60.0
SIDE = int(CELLS * PITCH) + 2 * MARGIN
Points = NDArray[np.float64]


def through_lens(points: Points, bend: float) -> Points:
    """Where a lens shows points: moved outward, at the grid's corners by ``bend`` cells each way.

    The first radial term (D. C. Brown, Close-range camera calibration, 1971), its middle that of
    the page.
    """
    far = (points - SIDE / 2) / (CELLS * PITCH / 2)
    moved = bend * PITCH * far * (far**2).sum(axis=-1, keepdims=True) / 2
    return np.asarray(points + moved, dtype=np.float64)


def on_page(bend: float) -> Points:
    """Columns and rows, in cells, of every pixel of a page seen through the lens: (h, w, 2)."""
    y, x = np.mgrid[0:SIDE, 0:SIDE] + 0.5
    seen = np.stack([x, y], axis=-1)
    flat = seen
    for _ in range(20):
        flat = flat + seen - through_lens(flat, bend)
    return (flat - MARGIN) / PITCH


def ruled(bend: float, noise: float = 8.0) -> NDArray[np.float32]:
    """A grid of dark lines two px wide."""
    places = on_page(bend)
    inside = ((places > -0.05) & (places < CELLS + 0.05)).all(axis=-1)
    lines = (np.abs(places - np.round(places)) <= 1 / PITCH).any(axis=-1)
    return _grained(np.where(inside & lines, INK, PAPER), noise)


def board(bend: float) -> NDArray[np.float32]:
    """Fields of two colours by turns, without lines."""
    places = np.floor(on_page(bend))
    inside = ((places >= 0) & (places < CELLS)).all(axis=-1)
    return _grained(np.where(inside & (places.sum(axis=-1) % 2 == 0), INK, PAPER), 8.0)


def _grained(page: Points, noise: float) -> NDArray[np.float32]:
    grained = page + np.random.default_rng(7).normal(0, noise, page.shape)
    return np.clip(grained, 0, 255).astype(np.float32)


def flat() -> Lattice:
    return Lattice(
        CELLS, CELLS, np.array([[PITCH, 0, MARGIN], [0, PITCH, MARGIN], [0, 0, 1.0]]), FLAT, True
    )


def beside(lattice: Lattice, bend: float) -> float:
    """Cells by which crossings of the lattice lie beside the page's own, root mean square."""
    crossings = np.stack(np.meshgrid(*[np.arange(CELLS + 1.0)] * 2), axis=-1)
    there = through_lens(crossings * PITCH + MARGIN, bend)
    return float(np.sqrt(np.square(lattice.to_pixels(crossings) - there).mean()) / PITCH)


@settings(max_examples=8, deadline=None)
@given(bend=st.floats(-0.25, 0.25))
def test_lines_bent_by_a_lens_are_found(bend: float) -> None:
    """Half a pixel off, where corners were by up to five and took a neighbour's colour in."""
    assert beside(bowed(ruled(bend), flat()), bend) <= 0.025


@pytest.mark.parametrize("bend", [-0.2, 0.2])
def test_edges_of_colour_tell_as_well_as_lines(bend: float) -> None:
    assert beside(flat(), bend) > 0.07
    assert beside(bowed(board(bend), flat()), bend) <= 0.025


def test_flat_lines_stay_straight_however_grainy() -> None:
    """A surface of high degree would follow the grain: information decides, not the fit."""
    page = ruled(0.0, noise=40.0)
    assert beside(bowed(page, flat()), 0.0) <= 0.015
    assert beside(bowed(page, flat(), BowSettings(degrees=(3,))), 0.0) > 0.015


def test_where_nothing_is_seen_nothing_moves() -> None:
    blank = np.full((SIDE, SIDE), 200.0, np.float32)
    assert beside(bowed(blank, flat()), 0.0) < 1e-6


def test_a_small_lattice_is_laid_on_its_lines_as_a_whole() -> None:
    page = ruled(0.15)
    lies = refined(lambda factor: page[::factor, ::factor], flat())
    assert lies.gain > 0
    assert beside(lies.lattice, 0.15) <= 0.025


def test_a_border_of_few_rows_is_bent_along_its_length() -> None:
    """Ninety columns by eight rows on a page that curls: up to a third of a cell off its lines."""
    columns, rows, curl = 90, 8, 0.35
    y, x = np.mgrid[0 : rows * PITCH + 2 * MARGIN, 0 : columns * PITCH + 2 * MARGIN] + 0.5
    u = (x - MARGIN) / PITCH
    v = (y - MARGIN) / PITCH - curl * (2 * u / columns - 1) ** 2
    inside = (u > -0.05) & (u < columns + 0.05) & (v > -0.05) & (v < rows + 0.05)
    lines = (np.abs(u - np.round(u)) <= 1 / PITCH) | (np.abs(v - np.round(v)) <= 1 / PITCH)
    page = _grained(np.where(inside & lines, INK, PAPER), 8.0)
    lies = bowed(page, replace(flat(), columns=columns, rows=rows))
    along = np.linspace(0, columns, 31)
    seen = lies.to_pixels(np.stack([along, np.full_like(along, 4.0)], axis=1))[:, 1]
    there = MARGIN + (4 + curl * (2 * along / columns - 1) ** 2) * PITCH
    assert np.abs(seen - there).max() <= 0.05 * PITCH
