"""A lattice that slipped by a line somewhere is counted anew, and one that didn't is left alone."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from chartscan.reading.lattice.extent import Extent
from chartscan.reading.lattice.model import FLAT, Lattice
from chartscan.reading.lattice.placed import placed
from chartscan.reading.lattice.rectified import LineEvidence, line_evidence
from chartscan.reading.lattice.slips import unslipped
from chartscan.reading.lattice.views import Views
from chartscan.reading.page.page import Page
from tests.reading.lattice.drawn_grid import drawn

COLUMNS, ROWS = 34, 30
BEGINS, ENDS = 11.0, 21.0  # true lines between which the lattice slips


def slipped(true: Lattice, missed: tuple[int, int]) -> Lattice:
    """``true`` with as many columns and rows fewer as were ``missed`` (more, if negative)."""
    size, lost = np.array([true.columns, true.rows]), np.array(missed)
    left = size - lost
    nodes = np.stack(np.meshgrid(*(np.linspace(0, n, 2 * n + 1) for n in left)), axis=-1)
    there = nodes.copy()
    for axis in (0, 1):
        known = np.array([0.0, BEGINS, ENDS, size[axis]])
        number = known - lost[axis] * np.array([0, 0, 1, 1])
        there[..., axis] = np.interp(nodes[..., axis], number, known)
    homography = true.homography @ np.diag([*(size / left), 1.0])
    flat = Lattice(int(left[0]), int(left[1]), homography, FLAT, True)
    return replace(flat, residual=true.to_pixels(there) - flat.to_pixels(nodes))


def seen(page: Page, lattice: Lattice) -> LineEvidence:
    whole = Extent(0, lattice.columns, 0, lattice.rows)
    return line_evidence(Views.at(page, "luma").grey(1), lattice, whole)


@pytest.mark.parametrize("missed", [(1, 0), (-1, 0), (0, 1), (0, -1)])
def test_a_line_missed_or_invented_is_found(missed: tuple[int, int]) -> None:
    page, true = drawn(COLUMNS, ROWS)
    wrong = slipped(true, missed)
    (found,) = unslipped(wrong, seen(page, wrong))
    assert (found.columns, found.rows) == (COLUMNS, ROWS)
    off = np.linalg.norm(found.centres() - true.centres(), axis=-1)
    assert off.max() <= 0.35 * true.pitch[0]  # as far as a lattice is moved


def test_lines_missed_both_ways_are_found_together() -> None:
    page, true = drawn(COLUMNS, ROWS)
    wrong = slipped(true, (1, 1))
    sizes = [(each.columns, each.rows) for each in unslipped(wrong, seen(page, wrong))]
    assert sorted(sizes) == [(COLUMNS - 1, ROWS), (COLUMNS, ROWS - 1), (COLUMNS, ROWS)]


def test_a_right_lattice_is_left_alone() -> None:
    page, true = drawn(COLUMNS, ROWS)
    assert not list(unslipped(true, seen(page, true)))


@pytest.mark.parametrize("missed", [(1, 0), (-1, 0), (1, 1)])
def test_the_likelier_size_is_taken(missed: tuple[int, int]) -> None:
    page, true = drawn(COLUMNS, ROWS)
    luma = Views.at(page, "luma")
    found = placed(luma, slipped(true, missed), luma)
    assert found is not None
    assert (found.columns, found.rows) == (COLUMNS, ROWS)
    assert np.abs(found.centres() - true.centres()).max() <= 1.5  # px, of 14
