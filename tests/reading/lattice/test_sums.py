"""Means over rectangles, against those of the values themselves."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.typing import NDArray

from chartscan.reading.lattice.sums import Sums

VALUES = st.integers(1, 12).flatmap(
    lambda rows: st.lists(
        st.lists(st.floats(-50, 50), min_size=7, max_size=7), min_size=rows, max_size=rows
    )
)


def part_of(length: int, data: st.DataObject) -> slice:
    """A slice of one value or more."""
    start = data.draw(st.integers(0, length - 1))
    return slice(start, data.draw(st.integers(start + 1, length)))


@given(VALUES, st.data())
def test_a_table_tells_what_the_values_do(drawn: list[list[float]], data: st.DataObject) -> None:
    values: NDArray[np.float64] = np.array(drawn)
    rows, columns = (part_of(length, data) for length in values.shape)
    inside, sums = values[rows, columns], Sums.of(values)
    assert sums.total(rows, columns) == pytest.approx(inside.sum(), abs=1e-9)
    assert sums.mean(rows, columns) == pytest.approx(inside.mean(), abs=1e-9)
    assert sums.by_row(rows, columns) == pytest.approx(inside.mean(axis=1), abs=1e-9)
    assert sums.by_column(rows, columns) == pytest.approx(inside.mean(axis=0), abs=1e-9)
