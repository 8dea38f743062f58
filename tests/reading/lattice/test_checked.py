"""A straight lattice against one that grows in its stead: which is taken, and what is told."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import pytest

from chartscan.reading.lattice.checked import checked
from chartscan.reading.lattice.contest import Judged, Verdict
from chartscan.reading.lattice.extent import Extent
from chartscan.reading.lattice.located import Located, NotFound, Rival, SizeOdds
from chartscan.reading.lattice.model import FLAT, Lattice
from chartscan.reading.page.page import Page
from tests.reading.lattice.test_refine import beside, folded, plain

PAGE = Page(np.full((300, 400, 3), 240, np.uint8), lossless=False)
ROOM = "chartscan.reading.lattice"


def lattice(columns: int, rows: int) -> Lattice:
    return Lattice(columns, rows, np.diag([9.0, 9.0, 1.0]), FLAT, drawn=True)


STRAIGHT, GROWN = lattice(30, 20), lattice(31, 20)


def verdict(winner: Lattice, log_odds: float, *rivals: Rival) -> Verdict:
    whole = Extent(0, winner.columns, 0, winner.rows)
    return Verdict(Judged(winner, whole, log_odds), rivals)


def taken(
    monkeypatch: pytest.MonkeyPatch,
    alone: Verdict | None,
    grown: Located | NotFound | None,
    both: Verdict | None = None,
) -> Located:
    """What is taken where the stages around the choice give that; ``grown`` None: none may grow."""

    def grow(*_: object) -> Located | NotFound:
        assert grown is not None, "nothing need be grown"
        return grown

    def contest(_: object, proposals: Sequence[Lattice], __: object) -> Verdict | None:
        return alone if len(proposals) == 1 else both

    monkeypatch.setattr(f"{ROOM}.checked.locate_grown", grow)
    monkeypatch.setattr(f"{ROOM}.checked.contest", contest)
    return checked(PAGE, STRAIGHT, tight=True)


def test_a_likely_straight_lattice_is_taken_and_its_rivals_told(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Five nats are enough, and so is a rival ahead by three."""
    behind = taken(monkeypatch, verdict(STRAIGHT, 5, Rival(31, 20, 2)), None)
    assert behind == Located(STRAIGHT, SizeOdds(5, (Rival(31, 20, 2),)))
    ahead = taken(monkeypatch, verdict(GROWN, 9, Rival(30, 20, 6)), None)
    assert ahead == Located(STRAIGHT, SizeOdds(6, (Rival(31, 20, 9),)))


@pytest.mark.parametrize("alone", [verdict(STRAIGHT, 4.9), verdict(GROWN, 9.1, Rival(30, 20, 6))])
def test_in_doubt_another_is_grown_and_the_straight_one_stays_where_none_does(
    monkeypatch: pytest.MonkeyPatch, alone: Verdict
) -> None:
    """Unlikely by itself; a rival farther ahead."""
    with pytest.raises(AssertionError, match="nothing need be grown"):
        taken(monkeypatch, alone, None)
    assert taken(monkeypatch, alone, NotFound("nothing repeats")).lattice == STRAIGHT


def test_one_of_the_same_size_tells_how_sure_it_is(monkeypatch: pytest.MonkeyPatch) -> None:
    """The straight one lies better."""
    told = SizeOdds(7.5, (), 0.8, decided=False)
    alike = Located(lattice(30, 20), told)
    assert taken(monkeypatch, verdict(STRAIGHT, 1), alike) == Located(STRAIGHT, told)


@pytest.mark.parametrize(
    ("both", "wins"),
    [
        (verdict(GROWN, 9, Rival(30, 20, 5.9)), True),
        (verdict(GROWN, 9, Rival(30, 20, 6)), False),
        (verdict(STRAIGHT, 9, Rival(31, 20, 2)), False),
        (None, False),
    ],
)
def test_of_another_size_it_is_taken_where_it_leads_by_more_than_three_nats(
    monkeypatch: pytest.MonkeyPatch, both: Verdict | None, wins: bool
) -> None:
    other = Located(GROWN, SizeOdds(9))
    found = taken(monkeypatch, verdict(STRAIGHT, 1), other, both)
    assert found == (other if wins else Located(STRAIGHT, SizeOdds(1)))


@pytest.mark.parametrize(("own", "wins"), [(-2.0, False), (-3.1, True)])
def test_where_nothing_grows_what_leads_by_more_than_ten_nats_is_taken(
    monkeypatch: pytest.MonkeyPatch, own: float, wins: bool
) -> None:
    """A motif of 9 by 9, saved as a JPEG, was read as 19 by 19: at half its pitch."""
    alone = verdict(GROWN, 8.0, Rival(30, 20, own))
    found = taken(monkeypatch, alone, NotFound("nothing repeats"))
    assert found.lattice.columns == (31 if wins else 30)
    assert found.odds.log_odds == (8.0 if wins else own)


def test_what_leads_and_is_itself_unlikely_is_not_taken(monkeypatch: pytest.MonkeyPatch) -> None:
    alone = verdict(GROWN, 4.9, Rival(30, 20, -20.0))
    assert taken(monkeypatch, alone, NotFound("nothing repeats")).lattice == STRAIGHT


@pytest.mark.parametrize("tight", [True, False])
def test_of_too_few_cells_to_be_judged_what_grows_is_taken_unless_it_lies_tight(
    monkeypatch: pytest.MonkeyPatch, tight: bool
) -> None:
    """Four rows are no chart, but may be part of one."""
    few, whole = lattice(30, 4), Located(GROWN, SizeOdds(9))
    monkeypatch.setattr(f"{ROOM}.checked.locate_grown", lambda *_: whole)
    found = checked(PAGE, few, tight=tight)
    assert found == (Located(few) if tight else whole)
    monkeypatch.setattr(f"{ROOM}.checked.locate_grown", lambda *_: NotFound("nothing repeats"))
    assert checked(PAGE, few, tight=tight) == Located(few)


@pytest.mark.parametrize("drawn", [True, False])
def test_where_no_lines_are_drawn_another_is_grown(
    monkeypatch: pytest.MonkeyPatch, drawn: bool
) -> None:
    """However likely it is: blocks of colour repeat in step with a rug's threads, too."""
    asked = []

    def grow(*_: object) -> NotFound:
        asked.append(True)
        return NotFound("nothing repeats")

    monkeypatch.setattr(f"{ROOM}.checked.locate_grown", grow)
    monkeypatch.setattr(f"{ROOM}.checked.contest", lambda *_: verdict(STRAIGHT, 12))
    start = replace(STRAIGHT, drawn=drawn)
    found = checked(ruled(start), start)
    assert found.lattice is start
    assert len(asked) == (0 if drawn else 1)


def ruled(where: Lattice) -> Page:
    """A white page with the lattice's lines."""
    pixels = np.full((300, 400, 3), 250, np.uint8)
    x, y = int(9 * where.columns), int(9 * where.rows)
    pixels[0 : y + 1, 0 : x + 1 : 9] = pixels[0 : y + 1 : 9, 0 : x + 1] = 90
    return Page(pixels, lossless=False)


@pytest.mark.parametrize("deep", [0.0, 3.0])
def test_a_scan_that_bends_near_a_fold_is_laid_on_its_lines_and_an_export_stays(
    deep: float,
) -> None:
    """Rows beside the fold lie by up to a quarter of a cell off the straight lattice."""
    grey = np.clip(folded(deep, 6.0), 0, 255).astype(np.uint8)
    page = Page(np.repeat(grey[..., None], 3, axis=2), lossless=False)
    found = checked(page, plain())
    assert (found.lattice.columns, found.lattice.rows) == (40, 50)
    assert beside(found.lattice, deep) <= 0.13
    assert found.lattice.straight is (deep == 0)
