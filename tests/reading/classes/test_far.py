"""A few cells among hundreds that were taken for one class with them."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.typing import NDArray

from chartscan.reading.classes.appearance import AppearanceSettings, looks_of
from chartscan.reading.classes.far import far_off
from chartscan.reading.classes.grouping import Grouped
from chartscan.reading.classes.judged import Judged, judged
from chartscan.reading.classes.spread import Spread

SIDE = 10  # places along a cell
ROWS, COLUMNS = 24, 30
TEAL, OTHER = (55.0, -12.0, -8.0), (52.0, -17.0, -1.0)  # CIELAB; 9.1 apart
SETTINGS = AppearanceSettings()

Patches = NDArray[np.float32]
Labels = NDArray[np.intp]


def painted(cells: NDArray[np.intp], colour: tuple[float, float, float], seed: int) -> Patches:
    """A field of one colour under uneven light, which makes it wide, with some of another."""
    rng = np.random.default_rng(seed)
    lab = np.broadcast_to(TEAL, (ROWS * COLUMNS, SIDE, SIDE, 3)).copy()
    lab[cells] = colour
    lab[..., 0] += rng.normal(0, 3.0, (len(lab), 1, 1))
    lab += rng.normal(0, 2.0, lab.shape)
    return lab.reshape(ROWS, COLUMNS, SIDE, SIDE, 3).astype(np.float32)


def framed(lab: Patches) -> tuple[Patches, Labels]:
    """The field beside as much bare paper, which is a class of its own."""
    paper = np.random.default_rng(0).normal((96.0, 0.0, 2.0), 2.0, lab.shape)
    labels = np.repeat([0, 1], COLUMNS)[None].repeat(ROWS, axis=0)
    return np.concatenate([lab, paper.astype(np.float32)], axis=1), labels


def found(lab: Patches) -> Judged:
    whole, labels = framed(lab)
    grouped = Grouped(labels, Spread.of(looks_of(whole, SETTINGS.blur), SETTINGS))
    return judged(whole, grouped, free=True, drawn=False)


def in_chart(cells: NDArray[np.intp]) -> NDArray[np.intp]:
    """Cells of the field as cells of the whole."""
    row, column = np.divmod(np.sort(cells), COLUMNS)
    return np.asarray(row * 2 * COLUMNS + column)


def some(seed: int, number: int) -> NDArray[np.intp]:
    """So many cells of the field, none of them in an outermost row or column of the chart."""
    inner = np.arange(ROWS * COLUMNS).reshape(ROWS, COLUMNS)[1:-1, 1:].ravel()
    return np.random.default_rng(seed).permutation(inner)[:number]


@pytest.mark.parametrize("seed", range(4))
def test_a_few_cells_of_another_colour_are_asked_about(seed: int) -> None:
    cells = some(seed, 16)
    parts = found(painted(cells, OTHER, seed)).heaps
    assert [np.sort(part.cells).tolist() for part in parts] == [in_chart(cells).tolist()]
    assert parts[0].chance > 0.3
    assert parts[0].lab == pytest.approx(OTHER, abs=2.0)


@pytest.mark.parametrize("seed", range(4))
def test_light_that_is_uneven_makes_no_part(seed: int) -> None:
    assert found(painted(some(seed, 0), TEAL, seed)).heaps == ()


def test_a_frame_around_the_chart_makes_none() -> None:
    top = np.arange(COLUMNS)
    assert found(painted(top, OTHER, 2)).heaps == ()


def glyphs(aside: float, other: bool, cells: NDArray[np.intp]) -> Patches:
    """Slanted strokes, on ``cells`` a little aside, or level strokes instead."""
    rng = np.random.default_rng(5)
    y, x = (np.mgrid[:SIDE, :SIDE] + 0.5) / SIDE - 0.5
    lab = np.broadcast_to((94.0, 0.0, 2.0), (ROWS * COLUMNS, SIDE, SIDE, 3)).copy()
    usual = -70 * np.exp(-(((x - y) / 0.15) ** 2))
    moved = -70 * np.exp(-(((x - y - aside) / 0.15) ** 2))
    lab[..., 0] += usual
    lab[cells, ..., 0] += (-70 * np.exp(-((y / 0.15) ** 2)) if other else moved) - usual
    lab += rng.normal(0, 2.0, lab.shape)
    return lab.reshape(ROWS, COLUMNS, SIDE, SIDE, 3).astype(np.float32)


@pytest.mark.parametrize(("other", "parts"), [(False, 0), (True, 1)])
def test_glyphs_beside_themselves_are_none_and_others_are(other: bool, parts: int) -> None:
    cells = some(3, 20)
    lab, labels = framed(glyphs(0.05, other, cells))
    spread = Spread.of(looks_of(lab, SETTINGS.blur), SETTINGS)
    white = spread.whitened(spread.apart(labels.ravel()))
    off = [found for group, found in far_off(lab, white, labels) if group == 0]
    assert len(off) == parts
    assert all(np.array_equal(np.sort(found), in_chart(cells)) for found in off)


@given(st.integers(0, 1 << 30), st.integers(1, 40), st.integers(1, 12))
def test_parts_are_of_their_group_and_less_than_half_of_it(
    seed: int, number: int, groups: int
) -> None:
    rng = np.random.default_rng(seed)
    labels = rng.integers(0, groups, (6, number)).astype(np.intp)
    white = rng.standard_t(2, (labels.size, 8)) * 10
    lab = rng.uniform(0, 100, (*labels.shape, 4, 4, 3)).astype(np.float32)
    for group, cells in far_off(lab, white, labels):
        assert set(labels.flat[cells]) == {group}
        assert len(cells) <= (labels == group).sum() / 2
