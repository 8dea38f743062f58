"""What is at hand, as a list tells it, and how it stands beside what is chosen."""

from __future__ import annotations

import pytest

from chartscan.csvtable import TableText
from chartscan.palette import MatchSettings, Owned, Palette, load_owned, match, unknown_codes
from tests.palette.making import chart_of, thread

RED, STRAW, NIGHT, GOLD = (
    thread(code, colour, metres=8)
    for code, colour in (
        *(("R1", "#c83a32"), ("S1", "#ead9a0")),
        *(("N1", "#101420"), ("G1", "#e8c860")),
    )
)
RANGE = Palette((RED, STRAW, NIGHT, GOLD))


def _listed(*rows: str) -> Owned:
    return load_owned(TableText("\n".join(("code,skeins,metres_left", *rows)), "drawer.csv"))


def test_rows_of_one_thread_add_up_to_the_centimetre() -> None:
    """A metre too many at hand, and the last row of stitches lacks its thread."""
    owned = _listed("R1,1,2", "R1,0,3.5", "S1,2,")
    assert owned.of(RED) == pytest.approx(1 + 5.5 / 8)
    assert owned.of(STRAW) == 2
    assert owned.of(NIGHT) == 0


def test_codes_that_the_range_lacks_are_named_in_the_list_s_order() -> None:
    assert unknown_codes(_listed("Q9,1,", "R1,1,", "B2,1,"), RANGE) == ("Q9", "B2")
    assert unknown_codes(_listed("R1,1,", "S1,1,"), RANGE) == ()


def test_beside_a_thread_that_is_not_at_hand_stands_the_nearest_that_is() -> None:
    """For a straw colour that is gold, not the dark one, though both are in the drawer."""
    owned = Owned({("", "N1"): 1.0, ("", "G1"): 1.0})
    (found,) = match(chart_of(["#ead9a0"]), RANGE, owned=owned).matches
    assert found.chosen.thread == STRAW
    assert found.own is not None
    assert found.own.thread == GOLD


def test_what_was_found_stands_first_beside_what_was_picked() -> None:
    settings = MatchSettings(alternatives=2)
    (found,) = match(chart_of(["#ead9a0"]), RANGE, settings, picks={1: (GOLD,)}).matches
    assert (found.chosen.thread, found.picked) == (GOLD, True)
    beside = [candidate.thread for candidate in found.alternatives]
    assert beside[0] == STRAW
    assert GOLD not in beside
