"""Where a grid ends by other looks at the page, in numbers."""

from __future__ import annotations

from collections import Counter

import numpy as np
import pytest

from chartscan.reading.doubt.cuts import Cuts, cut_anew
from chartscan.reading.lattice.model import FLAT, Lattice
from chartscan.reading.page.page import Page

NONE: Counter[tuple[int, int] | None] = Counter()


def test_half_the_looks_end_elsewhere_and_a_quarter_of_them_at_one_place() -> None:
    """Of twelve six: three at one size, one at another, two see no grid."""
    cuts = Cuts(12, Counter({(40, 30): 3, (41, 30): 1, None: 2}), left=4)
    assert (cuts.unsteady, cuts.agreed) == (6 / 12, 3 / 12)
    assert cuts.at_worst() == Cuts(12, Counter({(40, 30): 7, (41, 30): 1, None: 2}))


def test_that_no_grid_is_seen_is_no_size_to_agree_on() -> None:
    cuts = Cuts(12, Counter({None: 6}), left=6)
    assert (cuts.unsteady, cuts.agreed) == (0.5, 0.0)
    assert cuts.at_worst().agreed == 0.5


def test_without_a_look_nothing_is_unsteady() -> None:
    assert (Cuts(0, NONE).unsteady, Cuts(0, NONE).agreed) == (0.0, 0.0)


def looks_at(pitch: int) -> list[Cuts]:
    """A plain grid of 12 × 10 cells on a page that shows three cells more all around."""
    pixels = np.full((16 * pitch + 1, 18 * pitch + 1, 3), 240, np.uint8)
    inside = pixels[3 * pitch : 13 * pitch + 1, 3 * pitch : 15 * pitch + 1]
    inside[::pitch] = inside[:, ::pitch] = 40
    there = np.array([[pitch, 0, 3 * pitch + 0.5], [0, pitch, 3 * pitch + 0.5], [0, 0, 1.0]])
    lattice = Lattice(12, 10, there, FLAT, drawn=True)
    return list(cut_anew(Page(pixels, lossless=False), lattice))


@pytest.mark.parametrize(("pitch", "left"), [(3, [(0, 0)]), (6, [(6, 0)]), (7, [(12, 6), (12, 0)])])
def test_a_page_is_seen_smaller_only_where_cells_have_an_inside_of_their_own_then(
    pitch: int, left: list[tuple[int, int]]
) -> None:
    """Six looks at each size."""
    assert [(cuts.looks, cuts.left) for cuts in looks_at(pitch)] == left


def test_a_plain_grid_ends_where_it_does_by_every_look() -> None:
    assert [cuts.unsteady for cuts in looks_at(16)] == [0.0, 0.0]
