"""Columns that two pages of symbols in one ink have in common, from the symbols' numbers alone."""

from __future__ import annotations

import numpy as np
import pytest
from numpy.typing import NDArray

from chartscan.errors import GridError
from chartscan.reading.join.overlap import Sheet, find_overlap, told_overlap

Signs = NDArray[np.int32]
ROWS, COLUMNS, COMMON = 9, 14, 3


def sheet(sign: Signs, name: str = "a.png") -> Sheet:
    """A white page with those symbols."""
    return Sheet(np.full((*sign.shape, 3), 255.0), sign, True, None, name)


@pytest.fixture
def signs() -> tuple[Signs, Signs]:
    """Two pages of three symbols and bare cells (0) that have three columns in common."""
    whole = np.random.default_rng(3).integers(0, 4, (ROWS, 2 * COLUMNS - COMMON)).astype(np.int32)
    return whole[:, :COLUMNS], whole[:, COLUMNS - COMMON :]


def divided(sign: Signs) -> Signs:
    """A third of the cells of symbol 2 taken for another symbol, 9."""
    places = np.argwhere(sign == 2)[::3]
    found = sign.copy()
    found[places[:, 0], places[:, 1]] = 9
    return found


def test_pages_that_number_their_symbols_alike_overlap_where_all_agree(
    signs: tuple[Signs, Signs],
) -> None:
    before, after = signs
    found = find_overlap([(sheet(before), sheet(after))])
    assert (found.columns, found.agreed, found.compared) == (COMMON, 27, 27)
    assert (found.share, found.first_wrong, found.shaded) == (1.0, None, None)
    assert found.rival != COMMON
    assert found.rival_share < 0.9


@pytest.mark.parametrize("which", ["before", "after"])
def test_a_symbol_that_one_page_takes_for_two_still_goes_with_its_own(
    signs: tuple[Signs, Signs], which: str
) -> None:
    before, after = signs
    pair = (divided(before), after) if which == "before" else (before, divided(after))
    found = find_overlap([(sheet(pair[0]), sheet(pair[1]))])
    assert (found.columns, found.share) == (COMMON, 1.0)


def test_a_symbol_over_a_bare_cell_is_told_as_the_first_that_differs(
    signs: tuple[Signs, Signs],
) -> None:
    before, after = signs[0], signs[1].copy()
    row = int(np.flatnonzero(after[:, 1] > 0)[-1])
    after[row, 1] = 0
    found = told_overlap([(sheet(before), sheet(after))], COMMON)
    assert (found.agreed, found.compared, found.first_wrong) == (26, 27, (row, 1))
    assert found.told
    assert found.by_hand


def test_pages_below_each_other_along_one_seam_are_compared_together(
    signs: tuple[Signs, Signs],
) -> None:
    """Upside down they fit as well, and one seam has one overlap."""
    before, after = signs
    pairs = [(sheet(before), sheet(after)), (sheet(before[::-1]), sheet(after[::-1]))]
    found = find_overlap(pairs)
    assert (found.columns, found.agreed, found.compared) == (COMMON, 54, 54)


def test_a_page_cannot_have_all_its_columns_in_common(signs: tuple[Signs, Signs]) -> None:
    pair = (sheet(signs[0], "a.png"), sheet(signs[1][:, :5], "b.png"))
    assert told_overlap([pair], 4).columns == 4
    with pytest.raises(GridError, match=r"a\.png and b\.png can't have 5 .* the smaller has 5"):
        told_overlap([pair], 5)
