"""Sizes, margins, strands and what fits, against worked examples."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from chartscan.errors import YardageError
from chartscan.yardage import (
    cut_size,
    finished_size,
    fits,
    make_fabric,
    sheet_for,
    stitches_per_inch,
    usual_strands,
)
from chartscan.yardage.fabric import MARGINS, cautions

INCH = 25.4


def _inches(size: tuple[float, float]) -> tuple[float, float]:
    return size[0] / INCH, size[1] / INCH


def test_a_worked_example_with_margins_of_three_inches() -> None:
    """140 × 112 stitches on 14 per inch are 10 × 8 in; with 3 in all round cut 16 × 14 in.

    Plain arithmetic, as how-to pages teach it; common practice, no source.
    """
    size = finished_size(140, 112, make_fabric(14))
    assert _inches(size) == pytest.approx((10, 8))
    assert _inches(cut_size(size, 3 * INCH)) == pytest.approx((16, 14))


def test_a_worked_example_with_margins_of_two_inches() -> None:
    """98 × 140 on 14 are 7 × 10 in; 2 in margins make 11 × 14 in. Common practice, no source."""
    size = finished_size(98, 140, make_fabric(14))
    assert _inches(size) == pytest.approx((7, 10))
    assert _inches(cut_size(size, 2 * INCH)) == pytest.approx((11, 14))


def test_the_margin_goes_on_every_side() -> None:
    """A design of 6 × 8 in with 3 in all round needs 12 × 14 in. Common practice, no source."""
    assert _inches(cut_size((6 * INCH, 8 * INCH), 3 * INCH)) == pytest.approx((12, 14))


@pytest.mark.parametrize(
    ("count", "over", "pitch"),
    [(28, 2, 14), (32, 2, 16), (20, 2, 10), (14, 1, 14), (25, 1, 25), (18, 1, 18)],
)
def test_over_two_halves_the_count(count: float, over: int, pitch: float) -> None:
    """28 over two is 14 over one (Wikipedia, "Cross-stitch", as of November 2026).

    The others follow.
    """
    assert stitches_per_inch(make_fabric(count, over)) == pytest.approx((pitch, pitch))


@pytest.mark.parametrize(
    ("count", "over", "strands"),
    [
        (11, 1, 3),
        (14, 1, 2),
        (16, 1, 2),
        (18, 1, 2),
        (28, 2, 2),
        (32, 2, 2),
        (22, 1, 1),
        (28, 1, 1),
    ],
)
def test_strands_follow_the_stitches_per_inch(count: float, over: int, strands: int) -> None:
    """Common practice, no source."""
    assert usual_strands(make_fabric(count, over)) == strands


def test_strands_follow_the_stitches_along_a_row() -> None:
    """Where warp and weft differ the rows decide, since a cross is covered row by row."""
    assert usual_strands(make_fabric(11, 1, 14)) == 3
    assert usual_strands(make_fabric(14, 1, 11)) == 2


@pytest.mark.parametrize(
    ("kind", "side"),
    [("framed", 350), ("hoop", 350), ("cushion", 300), ("card", 280), ("ornament", 260)],
)
def test_the_way_it_is_finished_says_how_much_cloth_is_left_round_it(kind: str, side: int) -> None:
    """A design of 20 × 20 cm; common practice, no source."""
    assert cut_size((200, 200), MARGINS[kind]) == (side, side)


def test_warp_and_weft_may_differ() -> None:
    """A weave of 28 by 30 gives cells that are wider than high, and says so."""
    fabric = make_fabric(28, 2, 30)
    assert finished_size(14, 15, fabric) == pytest.approx((INCH, INCH))
    assert any("isn't square" in line for line in cautions(fabric, (100, 100), 75, parts=False))


@pytest.mark.parametrize("count", [0, -14, math.nan, math.inf, 1000])
def test_a_count_that_makes_no_cloth_is_refused(count: float) -> None:
    """With what to give instead."""
    with pytest.raises(YardageError, match="14 or 28"):
        make_fabric(count)


def test_an_over_that_can_not_be_worked_is_refused() -> None:
    """Nought threads crossed make no stitch."""
    with pytest.raises(YardageError, match="over 0"):
        make_fabric(28, 0)
    with pytest.raises(YardageError, match="makes no cloth"):
        make_fabric(28, 2, 0)


def test_a_piece_holds_copies_straight_or_turned() -> None:
    """Of 150 × 200 a piece of 300 × 400 holds four straight, of 130 × 100 nine turned."""
    assert fits((300, 400), (150, 200)).copies == 4
    turned = fits((300, 400), (130, 100))
    assert (turned.copies, turned.turned) == (9, True)
    just = fits((100, 200), (200, 100))
    assert (just.copies, just.turned, just.spare_mm) == (1, True, (0, 0))
    none = fits((100, 100), (120, 90))
    assert (none.copies, none.turned) == (0, False)
    assert none.spare_mm == (-20, 10)


@given(
    piece=st.tuples(st.floats(1, 3000), st.floats(1, 3000)),
    cut=st.tuples(st.floats(1, 3000), st.floats(1, 3000)),
)
def test_turning_piece_and_cut_changes_nothing(
    piece: tuple[float, float], cut: tuple[float, float]
) -> None:
    """Nor can more area be cut than there is."""
    fit = fits(piece, cut)
    assert fit.copies == fits(piece[::-1], cut[::-1]).copies == fits(piece, cut[::-1]).copies
    assert fit.copies * cut[0] * cut[1] <= piece[0] * piece[1] * (1 + 1e-3) + 1e-3


@pytest.mark.parametrize(
    ("copies", "across", "down"), [(1, 1, 1), (2, 2, 1), (7, 4, 2), (12, 4, 3), (25, 5, 5)]
)
def test_copies_lie_together_on_the_handiest_piece(copies: int, across: int, down: int) -> None:
    """Near a square, without more cloth than needed: 25 small ones in five rows of five."""
    sheet = sheet_for(copies, (100.0, 120.0))
    assert sheet.across == across
    assert sheet.down == down
    assert sheet.size_mm == pytest.approx((across * 100, down * 120))
    assert fits(sheet.size_mm, (100.0, 120.0)).copies >= copies


def test_a_piece_without_size_and_a_negative_margin_are_refused() -> None:
    """In words."""
    with pytest.raises(YardageError, match="width and a height"):
        fits((0, 100), (10, 10))
    with pytest.raises(YardageError, match="margin"):
        cut_size((100, 100), -1)


def test_cautions_are_given_only_where_they_matter() -> None:
    """Narrow margins and a hoop; part stitches over one thread."""
    small, large = (100.0, 80.0), (400.0, 300.0)
    assert cautions(make_fabric(14), small, 75, parts=True) == ()
    assert "too narrow for a hoop" in cautions(make_fabric(14), small, 30, parts=False)[0]
    assert "over one thread" in cautions(make_fabric(28, 1), small, 75, parts=True)[0]
    assert "creases" in cautions(make_fabric(14), large, 75, parts=False)[0]
    assert "shrink" in cautions(make_fabric(14), large, 15, parts=False)[1]


def test_what_is_said_of_a_fabric_ends_where_it_no_longer_matters() -> None:
    """Hoops close from 50 mm of margin, to 250 mm of design; the percentages are those meant."""
    square, small = make_fabric(14), (100.0, 80.0)
    assert cautions(square, small, 50, parts=False) == ()
    assert "49 mm is too narrow" in cautions(square, small, 49, parts=False)[0]
    assert cautions(square, (250.0, 250.0), 50, parts=False) == ()
    assert cautions(square, (20.0, 251.0), 50, parts=False)[0].startswith("the design is larger")
    (said,) = cautions(make_fabric(14, 1, 15), small, 75, parts=False)
    assert said == "the weave isn't square: the design comes out 7 % off its shape"
    (said,) = cautions(make_fabric(28, 1, 14), small, 75, parts=False)
    assert "100 % off" in said
    assert cautions(make_fabric(100, 1, 98.1), small, 75, parts=False) == ()
    (shrinks,) = cautions(square, (2000.0, 80.0), 75, parts=False)[1:]
    assert "by up to 5 %" in shrinks
    assert not cautions(square, (1500.0, 80.0), 75, parts=False)[1:]


@pytest.mark.parametrize(("count", "over", "warned"), [(24, 1, 0), (25, 1, 1), (25, 2, 0)])
def test_part_stitches_are_hard_over_one_thread_of_fine_cloth(
    count: int, over: int, warned: int
) -> None:
    """From 25 threads an inch; common practice, no source."""
    said = cautions(make_fabric(count, over), (100.0, 80.0), 75, parts=True)
    assert len(said) == warned


@pytest.mark.parametrize(
    ("piece", "cut", "copies", "spare"),
    [((310, 225), (100, 100), 6, (10, 25)), ((100, 30), (30, 50), 2, (0, 0))],
)
def test_what_is_left_of_a_piece_is_told(
    piece: tuple[float, float],
    cut: tuple[float, float],
    copies: int,
    spare: tuple[float, float],
) -> None:
    """She may still use it: three across and two down, or two that are turned."""
    fit = fits(piece, cut)
    assert fit.copies == copies
    assert fit.spare_mm == spare
