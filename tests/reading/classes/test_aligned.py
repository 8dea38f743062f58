"""A lattice that lies a little beside its cells is moved by what the glyphs show."""

from __future__ import annotations

import numpy as np
import pytest
from numpy.typing import NDArray

from chartscan.reading.classes.aligned import aligned, scatter
from chartscan.reading.lattice.model import FLAT, Lattice

ROWS, COLUMNS, SIDE, PITCH, INSIDE = 20, 30, 10, 16.0, 0.66
LATTICE = Lattice(COLUMNS, ROWS, np.diag([PITCH, PITCH, 1.0]), FLAT, drawn=True)
LABELS = np.random.default_rng(3).integers(0, 3, (ROWS, COLUMNS))


def disc(x: NDArray[np.float64], y: NDArray[np.float64]) -> NDArray[np.float64]:
    return 90 - 60 / (1 + np.exp(30 * (np.hypot(x, y) - 0.2)))


def bar(x: NDArray[np.float64], y: NDArray[np.float64]) -> NDArray[np.float64]:
    return 90 - 60 / (1 + np.exp(30 * (np.hypot(x, 0.3 * y) - 0.1)))


def bare(x: NDArray[np.float64], y: NDArray[np.float64]) -> NDArray[np.float64]:
    return np.full(np.broadcast(x, y).shape, 90.0)


def looked_at(
    right: NDArray[np.float64], down: NDArray[np.float64], labels: NDArray[np.intp] = LABELS
) -> NDArray[np.float64]:
    """Lightness of places in every cell of a chart whose glyphs lie aside, in cells."""
    place = ((np.arange(SIDE) + 0.5) / SIDE - 0.5) * INSIDE
    x = place[None, None, None, :] - right[:, :, None, None]
    y = place[None, None, :, None] - down[:, :, None, None]
    drawn = np.stack([np.broadcast_to(g(x, y), (ROWS, COLUMNS, SIDE, SIDE)) for g in GLYPHS])
    noise = np.random.default_rng(5).normal(0, 0.5, drawn.shape[1:])
    light: NDArray[np.float64] = np.take_along_axis(drawn, labels[None, ..., None, None], axis=0)[0]
    return light + noise


GLYPHS = (bare, disc, bar)
V, U = np.mgrid[0:ROWS, 0:COLUMNS] + 0.5
NOUGHT = np.zeros((ROWS, COLUMNS))


@pytest.mark.parametrize("most", [0.03, 0.06, -0.05])
def test_cells_that_lie_aside_in_one_corner_are_found_there(most: float) -> None:
    """More than half of it at once: what is left shows the next time."""
    right = most * np.exp(-(U**2 + V**2) / 60)
    down = -right / 2
    lattice, lost = LATTICE, looked_at(right, down)
    moved = aligned(lattice, lost, LABELS, INSIDE)
    assert moved is not None
    step = (moved.lattice.centres() - lattice.centres()) / PITCH
    far = np.hypot(U, V) > 18
    step -= step[far].mean(axis=0)
    assert np.abs(step[:3, :3, 0] - right[:3, :3]).max() < 0.5 * abs(most)
    again = looked_at(right - step[..., 0], down - step[..., 1])
    assert scatter(again, LABELS) < 0.6 * scatter(lost, LABELS)


def test_a_glyph_stitched_only_where_paper_bends_follows_its_neighbours() -> None:
    """Its own mean lies aside with it, so that it alone tells nothing."""
    right = 0.05 * np.exp(-(((U - 15) / 6) ** 2 + ((V - 10) / 5) ** 2))
    bent = right > 0.015
    mostly = np.random.default_rng(7).random(LABELS.shape) < 0.75
    labels = np.where(bent & mostly, 2, np.minimum(LABELS, 1))
    moved = aligned(LATTICE, looked_at(right, NOUGHT, labels), labels, INSIDE)
    assert moved is not None
    step = (moved.lattice.centres() - LATTICE.centres())[..., 0] / PITCH
    step -= step[~bent].mean()
    assert np.abs(step - right)[bent].max() < 0.5 * right.max()


@pytest.mark.parametrize(("most", "settled"), [(0.021, True), (0.06, False)])
def test_where_little_was_off_nothing_is_looked_for_again(most: float, *, settled: bool) -> None:
    right = most * np.sin(U / 4)
    moved = aligned(LATTICE, looked_at(right, NOUGHT), LABELS, INSIDE)
    assert moved is not None
    assert moved.settled == settled
    if settled:
        left = right - (moved.lattice.centres() - LATTICE.centres())[..., 0] / PITCH
        assert aligned(moved.lattice, looked_at(left, NOUGHT), LABELS, INSIDE) is None


def test_a_lattice_that_lies_well_is_left() -> None:
    assert aligned(LATTICE, looked_at(NOUGHT, NOUGHT), LABELS, INSIDE) is None


def test_fills_alone_tell_nothing() -> None:
    """What bleeds into cells from those beside is no glyph."""
    light = np.full((ROWS, COLUMNS, SIDE, SIDE), 80.0)
    light[:, :, :, 0] -= 5 * np.random.default_rng(2).random((ROWS, COLUMNS, 1))
    assert aligned(LATTICE, light, LABELS, INSIDE) is None


def test_scatter_is_nought_where_cells_of_a_group_are_equal() -> None:
    light = np.zeros((ROWS, COLUMNS, SIDE, SIDE)) + LABELS[:, :, None, None]
    assert scatter(light, LABELS) == 0
    light[0, 0] += 1
    assert scatter(light, LABELS) == pytest.approx(SIDE**2, rel=0.02)
