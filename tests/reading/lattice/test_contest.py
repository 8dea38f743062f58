"""The judge of lattices, and what it makes of proposals that are nearly right."""

from __future__ import annotations

import numpy as np
import pytest

from chartscan.reading.lattice.contest import Verdict, contest, judge_of
from chartscan.reading.lattice.extent import Extent
from chartscan.reading.lattice.model import FLAT, Lattice
from chartscan.reading.lattice.rectified import Grey
from chartscan.reading.lattice.sight import sight_of
from chartscan.reading.lattice.verify import log_odds, terms_of
from chartscan.reading.lattice.weights import TERMS
from chartscan.reading.page.smaller import luma_of, smaller
from tests.reading.lattice.drawn_grid import drawn

COLUMNS, ROWS = 24, 18
PAGE, LATTICE = drawn(COLUMNS, ROWS)


def held(*proposals: Lattice) -> Verdict:
    verdict = contest(judge_of(lambda factor: luma_of(PAGE.pixels, factor)), proposals)
    assert verdict is not None
    return verdict


def test_every_term_has_its_weight() -> None:
    sight = sight_of(luma_of(PAGE.pixels), LATTICE)
    terms = terms_of(sight, Extent(0, COLUMNS, 0, ROWS))
    assert terms.shape == (len(TERMS),)
    assert np.isfinite(log_odds(terms))


def test_a_grid_is_likelier_than_none() -> None:
    assert held(LATTICE).winner.log_odds > 3


@pytest.mark.parametrize("side", range(4))
@pytest.mark.parametrize("lines", [-2, -1, 1, 2])
def test_ends_that_are_a_line_or_two_off_are_moved(side: int, lines: int) -> None:
    left, top, right, bottom = (lines * (k == side) for k in range(4))
    cut = LATTICE.cut(left, top, COLUMNS - left + right, ROWS - top + bottom)
    verdict = held(cut)
    assert verdict.winner.size == (COLUMNS, ROWS)
    corner = verdict.winner.lattice.to_pixels(np.zeros(2))
    assert corner == pytest.approx(LATTICE.to_pixels(np.zeros(2)), abs=0.5)


@pytest.mark.parametrize("times", [2.0, 3.0, 0.5])
def test_a_lattice_of_another_pitch_comes_to_its_own(times: float) -> None:
    verdict = held(LATTICE.in_cells(times))
    assert verdict.winner.size == (COLUMNS, ROWS)
    odds = verdict.odds((round(COLUMNS / times), round(ROWS / times)))
    assert odds is not None
    assert verdict.winner.log_odds - odds > 3


def test_no_lattice_is_likely_where_there_is_none() -> None:
    """The bare margin, and noise."""
    rng = np.random.default_rng(4)
    noise = rng.integers(0, 256, (400, 400), dtype=np.uint8)
    flat = Lattice(10, 10, np.array([[20.0, 0, 90], [0, 20, 90], [0, 0, 1]]), FLAT, drawn=True)
    for grey in (noise, np.full((400, 400), 240, np.uint8)):
        judge = judge_of(lambda factor: grey[::factor, ::factor])  # noqa: B023 - called at once
        verdict = contest(judge, [flat])
        assert verdict is not None
        assert verdict.winner.log_odds < 0


def test_too_few_cells_are_no_proposal() -> None:
    judge = judge_of(lambda factor: luma_of(PAGE.pixels, factor))
    assert contest(judge, [LATTICE.cut(0, 0, 4, 9)]) is None


def test_a_lattice_that_comes_again_is_not_looked_at_again() -> None:
    looks: list[int] = []

    def grey(factor: int) -> Grey:
        looks.append(factor)
        return luma_of(PAGE.pixels, factor)

    judge = judge_of(grey)
    first = contest(judge, [LATTICE])
    once = len(looks)
    again = contest(judge, [LATTICE.in_cells(1.0)])
    assert first is not None
    assert again is not None
    assert len(looks) == once
    assert again.rivals == first.rivals
    contest(judge, [LATTICE.cut(1, 0, COLUMNS - 1, ROWS)])
    assert len(looks) > once


def test_who_is_near_is_judged_no_other_way_than_beside_all_else() -> None:
    judge = judge_of(lambda factor: luma_of(PAGE.pixels, factor))
    near, beside = judge.near(LATTICE), judge(LATTICE)
    assert list(beside[: len(near)]) == list(near)
    assert len(beside) > len(near)


@pytest.mark.parametrize("slant", [0.0, 1e-6])
@pytest.mark.parametrize("pitch", [15, 17, 20, 23, 27])
def test_hairlines_on_whole_pixels_are_all_seen(pitch: int, slant: float) -> None:
    page = np.full((ROWS * pitch + 61, COLUMNS * pitch + 61), 250, np.uint8)
    page[30 : 31 + ROWS * pitch : pitch, 30 : 31 + COLUMNS * pitch] = 110
    page[30 : 31 + ROWS * pitch, 30 : 31 + COLUMNS * pitch : pitch] = 110
    place = np.array([[pitch, slant, 30.5], [slant, pitch, 30.5], [0, 0, 1.0]])
    lattice = Lattice(COLUMNS, ROWS, place, FLAT, drawn=True)
    verdict = contest(judge_of(lambda factor: smaller(page, factor)), [lattice])
    assert verdict is not None
    assert verdict.winner.size == (COLUMNS, ROWS)
    assert verdict.winner.log_odds > 5
