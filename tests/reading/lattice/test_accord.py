"""Lattices of many pitches speak against one grid, whole parts and multiples of one for it."""

from __future__ import annotations

from dataclasses import replace
from typing import Any, cast

import numpy as np
import pytest

from chartscan.reading.lattice.accord import AccordSettings, accord, no_one_grid
from chartscan.reading.lattice.contest import Judge, Judged
from chartscan.reading.lattice.extent import Extent
from chartscan.reading.lattice.model import FLAT, Lattice
from chartscan.reading.lattice.seeds import Seed
from chartscan.reading.lattice.votes import Found

NOWHERE = cast(Any, None)
HOPELESS = AccordSettings().hopeless
ROWS_OF_BOXES = [(26.0, down) for down in (22.0, 25.0, 29.0, 31.5, 36.0, 40.0, 53.0, 59.0)]


def grown(across: float, down: float) -> Found:
    lattice = Lattice(10, 20, np.diag([across, down, 1.0]), FLAT, drawn=True)
    seed = Seed((0.0, 0.0), np.eye(2), 0.3)
    return Found(NOWHERE, 1, seed, NOWHERE, lattice, 0.1, whole=True, sure=False)


def judge(odds: float) -> Judge:
    return lambda lattice: [Judged(lattice, Extent(0, 10, 0, 20), odds)]


@pytest.mark.parametrize("number", [0, 1, 2, 7])
def test_few_tell_nothing(number: int) -> None:
    assert accord(ROWS_OF_BOXES[:number]) == 0
    assert accord([(20.0, 20.0)] * number) == 0


def test_one_pitch_speaks_for_a_grid_and_its_parts_as_well() -> None:
    """Perspective makes some hundredths; threads, halves and bold fifths repeat each way."""
    alike = [(20.0, 20.0), (20.4, 19.6), (10.0, 20.0), (40.1, 6.7), (100.0, 100.0)] * 2
    assert accord(alike) == pytest.approx(accord([(20.0, 20.0)] * 10))
    assert accord(alike) > accord(alike[:8]) > 0


def test_rows_of_boxes_at_different_distances_speak_against_one() -> None:
    assert accord(ROWS_OF_BOXES) <= HOPELESS
    assert accord([*ROWS_OF_BOXES, *[(26.0, 22.0)] * 5]) > accord(ROWS_OF_BOXES)


def test_one_that_differs_from_many_tells_little() -> None:
    assert accord([*[(20.0, 20.0)] * 9, (20.0, 31.0)]) > 0


def test_pitches_alone_count_wherever_a_list_begins() -> None:
    backwards = [(across, down) for down, across in ROWS_OF_BOXES[::-1]]
    assert accord(backwards) == pytest.approx(accord(ROWS_OF_BOXES))


def test_a_page_is_given_up_unless_something_is_likelier_a_grid() -> None:
    grew = [grown(*pitch) for pitch in ROWS_OF_BOXES]
    assert no_one_grid(grew, judge(-7.0))
    assert no_one_grid(grew, judge(0.0))
    assert not no_one_grid(grew, judge(6.8))
    assert not no_one_grid([grown(20.0, 20.0) for _ in grew], judge(-7.0))
    assert not no_one_grid([], judge(-7.0))


def test_a_seed_tells_once() -> None:
    """What two dares grow from one place is no second word on the page."""
    grew = [grown(*pitch) for pitch in ROWS_OF_BOXES]
    one = [replace(found, seed=grew[0].seed) for found in grew]
    assert no_one_grid(grew, judge(-7.0))
    assert not no_one_grid(one, judge(-7.0))
