"""How far what a stitcher tells of herself may go: real ways of working in, slips of keys out."""

from __future__ import annotations

from typing import Any

import pytest

from chartscan.errors import YardageError
from chartscan.yardage import EstimateSettings, Supply, cut_size, make_fabric
from chartscan.yardage.handling import Handling

# The most that is taken of each, and the least beyond it that isn't.
MOST: dict[str, tuple[float, float]] = {
    "copies": (10_000, 10_001),
    "wraps": (20, 21),
    "risk": (0.5, 0.51),
    "carry_mm": (100_000, 100_001),
    "working_mm": (100_000, 100_001),
    "margin_mm": (10_000, 10_001),
}
LEAST: dict[str, tuple[float, float]] = {
    "copies": (1, 0),
    "wraps": (1, 0),
    "risk": (0.001, 0.0),
    "carry_mm": (0, -1),
    "start_mm": (0, -1),
    "end_mm": (0, -1),
    "needle_mm": (0, -1),
    "margin_mm": (0, -1),
    "line_strands": (1, 0),
    "knot_strands": (1, 0),
}


@pytest.mark.parametrize(
    ("name", "taken", "refused"),
    [(name, *ends) for told in (MOST, LEAST) for name, ends in told.items()],
)
def test_what_can_be_told_ends_where_it_makes_no_sense(
    name: str, taken: float, refused: float
) -> None:
    """An edge that is refused would stop somebody's real work; one too many is a unit mistyped."""
    told: dict[str, Any] = {name: taken}
    assert getattr(EstimateSettings(**told), name) == taken
    told[name] = refused
    with pytest.raises(YardageError):
        EstimateSettings(**told)


def test_a_working_length_must_leave_some_road() -> None:
    """80 mm in the needle and 30 at each end: of 140 mm nothing is left, of 141 a millimetre."""
    with pytest.raises(YardageError, match=r"after 60 mm of ends and 80 mm in the needle"):
        EstimateSettings(working_mm=140)
    assert EstimateSettings(working_mm=141).fresh_mm(loop=False) == 1
    assert EstimateSettings(working_mm=141).fresh_mm(loop=True) == 31


@pytest.mark.parametrize("share", [0.2, 5.0])
def test_a_thread_may_take_a_fifth_or_five_times_the_usual(share: float) -> None:
    """Told of the range's thread or of the class; beyond that a decimal point slipped."""
    assert Supply(handling=Handling(hand=share)).handling.hand == share
    assert EstimateSettings(class_hand={1: share}).class_hand[1] == share
    beyond = share * (0.99 if share < 1 else 1.01)
    with pytest.raises(YardageError, match="a tenth more"):
        Supply(handling=Handling(hand=beyond))
    with pytest.raises(YardageError, match="a tenth more"):
        EstimateSettings(class_hand={1: beyond})


@pytest.mark.parametrize(
    ("count", "over", "down"), [(1, 1, None), (100, 1, None), (14, 20, None), (14, 1, 100.0)]
)
def test_the_coarsest_and_the_finest_cloth_is_cloth(
    count: float, over: int, down: float | None
) -> None:
    """A rug canvas has 3 holes an inch, silk gauze 40 and more; nobody works over 21 threads."""
    assert make_fabric(count, over, down).over == over
    for beyond in (count * 0.99, count * 1.01):
        if not 1 <= beyond <= 100:
            with pytest.raises(YardageError, match="makes no cloth"):
                make_fabric(beyond, over, down)
    with pytest.raises(YardageError, match="can't be worked"):
        make_fabric(count, 21, down)
    with pytest.raises(YardageError, match="makes no cloth"):
        make_fabric(count, over, 101)


def test_one_strand_makes_a_thread_and_none_does_not() -> None:
    assert Supply(8, 1).strand_mm == 8_000
    assert Supply(0.5, 6).strand_mm == 3_000
    with pytest.raises(YardageError, match="at least 1 strand"):
        Supply(8, 0)


def test_no_margin_is_a_margin_and_one_without_end_is_none() -> None:
    assert cut_size((100, 80), 0) == (100, 80)
    with pytest.raises(YardageError, match="margin"):
        cut_size((100, 80), float("inf"))
