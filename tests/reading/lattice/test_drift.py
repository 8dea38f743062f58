"""Lines that stray from a lattice that is carried on are followed outward, by whole cells."""

from __future__ import annotations

import numpy as np
from hypothesis import given
from hypothesis import strategies as st
from numpy.typing import NDArray

from chartscan.reading.lattice.blocks import Blocks, Phases
from chartscan.reading.lattice.drift import DriftSettings, followed
from chartscan.reading.lattice.extent import Extent

PER, ROWS, COLUMNS = 4, 16, 20
SIZE = (6 * PER, 6 * PER)  # of the lattice, whose cells begin seven blocks right and five down
LEFT, TOP = -7 * PER, -5 * PER
NONE = Phases(np.zeros((0, 0, 2), np.complex64), np.zeros((0, 0, 2), np.float32))
Y, X = np.mgrid[0:ROWS, 0:COLUMNS] - np.array([7.5, 9.5])[:, None, None]


def strayed(bend: float, twist: float) -> NDArray[np.float64]:
    """A drift of the second degree, as perspective makes one; nought in the middle."""
    return np.stack([bend * X**2 + twist * X * Y, bend * Y**2 - twist * X], axis=-1)


def blocks(true: NDArray[np.float64], coherent: NDArray[np.float64]) -> Blocks:
    """What is seen of it: lines look alike, so whole cells don't show."""
    region = Extent(left=LEFT, right=LEFT + COLUMNS * PER, top=TOP, bottom=TOP + ROWS * PER)
    return Blocks(region, PER, NONE, true - np.round(true), coherent, np.zeros_like(true))


@given(st.floats(-0.02, 0.02), st.floats(-0.01, 0.01))
def test_a_drift_of_several_cells_is_followed_to_the_edge(bend: float, twist: float) -> None:
    true = strayed(bend, twist)
    seen = blocks(true, np.ones_like(true))
    np.testing.assert_allclose(followed(seen, SIZE, 0.5, DriftSettings()).shift, true, atol=1e-6)


def test_where_no_lines_are_seen_the_drift_goes_on_as_it_was() -> None:
    """Two columns of blocks without lines are leapt over; what lies behind is told right."""
    true = strayed(0.015, 0.005)
    coherent = np.ones_like(true)
    coherent[:, 15:17] = 0.0
    seen = blocks(true, coherent)
    blank = seen.shift.copy()
    blank[:, 15:17] = 0.37
    told = followed(
        Blocks(seen.region, PER, NONE, blank, coherent, seen.expected), SIZE, 0.5, DriftSettings()
    )
    np.testing.assert_allclose(told.shift[:, 17:], true[:, 17:], atol=1e-6)
    np.testing.assert_allclose(told.expected, true, atol=1e-6)


def test_too_few_blocks_tell_no_surface() -> None:
    true = strayed(0.02, 0.01)
    coherent = np.zeros_like(true)
    coherent[7:9, 8:12] = 1.0
    seen = blocks(true, coherent)
    told = followed(seen, SIZE, 0.5, DriftSettings())
    assert (told.shift == seen.shift).all()
    assert not told.expected.any()
