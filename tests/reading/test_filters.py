"""The reader's own small filters, against those of scipy.ndimage and numpy."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra.numpy import array_shapes, arrays
from scipy import ndimage

from chartscan.reading.filters import (
    Mode,
    blurred,
    closed,
    dilated,
    highest,
    median,
    pieces,
    quantile,
    smoothed,
    squared,
)

PLACES = array_shapes(min_dims=2, max_dims=2, min_side=1, max_side=12)
MASKS = arrays(np.bool_, PLACES)
GREYS = arrays(np.uint8, PLACES)


@given(GREYS, st.sampled_from([0.6, 1.0, 3.0]), st.sampled_from([0, 1]))
@pytest.mark.parametrize(
    ("mode", "theirs"), [("symmetric", "reflect"), ("edge", "nearest"), ("constant", "constant")]
)
def test_smoothing_is_that_of_scipy(
    mode: Mode, theirs: str, grey: np.ndarray, deviation: float, axis: int
) -> None:
    values = grey.astype(np.float64)
    expected = ndimage.gaussian_filter1d(values, deviation, axis=axis, mode=theirs)
    assert smoothed(values, deviation, axis, mode) == pytest.approx(expected, abs=1e-9)


@given(GREYS, st.sampled_from([3, 5]))
def test_highest_and_closed_are_those_of_scipy(grey: np.ndarray, side: int) -> None:
    assert (highest(grey, side) == ndimage.maximum_filter(grey, side)).all()
    assert (closed(grey, side) == ndimage.grey_closing(grey, (side, side))).all()


@given(GREYS, st.floats(0, 1))
def test_quantile_is_that_of_numpy(grey: np.ndarray, part: float) -> None:
    assert quantile(grey, part) == pytest.approx(float(np.quantile(grey, part)), abs=1e-9)


@given(GREYS, st.sampled_from([None, 0, 1]))
def test_median_is_that_of_numpy(grey: np.ndarray, axis: int | None) -> None:
    assert (median(grey, axis) == np.median(grey, axis)).all()


@given(arrays(np.uint8, (7, 6)), st.sampled_from([None, 0, 1]))
def test_median_of_levels_is_that_of_numpy(levels: np.ndarray, axis: int | None) -> None:
    assert (median(levels, axis) == np.median(levels, axis)).all()


@given(arrays(np.float32, (4, 5, 3), elements=st.floats(-500, 500, width=32)))
def test_squared_is_the_sum_of_squares(colours: np.ndarray) -> None:
    assert (squared(colours) == (colours**2).sum(axis=-1)).all()


@given(MASKS, st.sampled_from([1, 2]))
def test_dilated_is_that_of_scipy(mask: np.ndarray, reach: int) -> None:
    square = np.ones((2 * reach + 1,) * 2, bool)
    assert (dilated(mask, reach) == ndimage.binary_dilation(mask, square)).all()


@given(GREYS)
def test_blurred_is_a_convolution_by_one_two_one(grey: np.ndarray) -> None:
    values = grey.astype(np.float64)
    kernel = np.outer([1, 2, 1], [1, 2, 1])
    assert (blurred(values) == ndimage.convolve(values, kernel, mode="constant")).all()


@given(MASKS)
def test_pieces_are_those_of_scipy(mask: np.ndarray) -> None:
    ours, (theirs, number) = pieces(mask), ndimage.label(mask)
    assert ((ours > 0) == mask).all()
    assert ours.max(initial=0) == number
    pairs = {(int(a), int(b)) for a, b in zip(ours[mask], theirs[mask], strict=True)}
    assert len(pairs) == number


def test_a_winding_piece_is_one() -> None:
    """A spiral of one place's width, whose runs touch only at their ends."""
    mask = np.zeros((21, 21), bool)
    for k in range(0, 10, 2):
        mask[k, k : 21 - k] = mask[20 - k, k : 21 - k] = True
        mask[k : 21 - k, 20 - k] = True
        mask[k + 2 : 21 - k, k] = True
        mask[k + 2, k : k + 3] = True
    assert pieces(mask).max() == ndimage.label(mask)[1]
