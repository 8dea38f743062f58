"""The whole estimate: ceilings, scattered against solid, symmetries, sums, strands, copies."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray

from chartscan.chart import Chart
from chartscan.errors import YardageError
from chartscan.yardage import (
    EstimateSettings,
    Factor,
    Order,
    Requirement,
    Requirements,
    Supply,
    estimate,
    in_all,
    make_fabric,
)

MakeChart = Callable[[object], Chart]
SKEIN = 48_000.0  # mm of single strand in 8 m of six strands

# Most crosses from a skein of 8 m by stitches per inch and strands: 48000 / strands /
# (4.828427 × 25.4 / s), rounded down. Nobody can stitch more.
CEILING = {
    (10, 1): 3913,
    (11, 3): 1435,
    (12, 2): 2348,
    (14, 1): 5479,
    (14, 2): 2739,
    (14, 3): 1826,
    (14, 4): 1369,
    (16, 2): 3131,
    (18, 2): 3522,
    (20, 1): 7827,
    (22, 1): 8610,
}


def _likely(found: Requirements) -> list[float]:
    return [r.length_mm.likely for r in found.threads]


def _terms(requirement: Requirement, *names: str) -> float:
    return math.fsum(t.mm for t in requirement.terms if t.name in names)


@pytest.mark.parametrize(("pitch", "strands"), CEILING)
def test_no_skein_gives_more_crosses_than_the_ceiling(
    pitch: int, strands: int, make_chart: MakeChart
) -> None:
    """A solid block of as many crosses as the ceiling allows takes more than one skein."""
    crosses = CEILING[pitch, strands]
    side = math.isqrt(crosses)
    chart = make_chart(np.ones((side, side), dtype=int))
    (r,) = estimate(chart, make_fabric(pitch), EstimateSettings(strands=strands)).threads
    assert side * side * SKEIN / r.least_mm <= crosses + 2
    assert side * side * SKEIN / r.length_mm.low < crosses
    # Of 450 mm, 80 stay in the needle and 30 lie under stitches at the end, 30 more at a start
    # without a loop; of the rest 2.5 % are take-up and unpicking. All common practice, no source.
    share = (340 if strands % 2 == 0 else 310) / 450 / 1.025
    per_skein = side * side * SKEIN / r.length_mm.likely
    assert per_skein == pytest.approx(share * crosses, rel=0.012), "the last needleful's rest"


@pytest.mark.parametrize(
    ("strands", "needlefuls", "waste"), [(2, 24, 24 * (30 + 80)), (1, 27, 27 * (30 + 30 + 80))]
)
def test_a_worked_example_at_the_usual_ways(
    strands: int, needlefuls: int, waste: int, make_chart: MakeChart
) -> None:
    """A block of 30 × 30 on 14, by hand: what a stitcher gets who tells nothing about herself.

    The road is (2√2 · 900 + 1,799) cells of 25.4/14 mm, 7,882 mm; with 1.5 % of take-up and 1 %
    that is unpicked 8,079 mm. A needleful covers 340 mm with a loop, 310 without: 23.8 and 26.1 of
    them. Ways of working: common practice, no source.
    """
    chart = make_chart(np.ones((30, 30), dtype=int))
    (r,) = estimate(chart, make_fabric(14), EstimateSettings(strands=strands)).threads
    road = (2 * math.sqrt(2) * 900 + 1799) * 25.4 / 14
    assert r.pieces == needlefuls
    assert _terms(r, "take-up") == pytest.approx(0.015 * road * strands)
    assert _terms(r, "unpicking") == pytest.approx(0.01 * road * strands)
    assert r.length_mm.likely == pytest.approx((1.025 * road + waste) * strands)


def test_each_term_says_how_it_comes_about(make_chart: MakeChart) -> None:
    """What `--explain` prints: she can count legs and ends, and check the rest with a pencil.

    Two copies of a block of 30 × 30 and a cross 3 cells off: 1,802 legs; a move behind less for
    each of the two areas; the carry is 2 cells, as far as from the block's edge to its other side.
    """
    cells = np.zeros((30, 34), dtype=int)
    cells[:, :30] = 1
    cells[0, 32] = 1
    told = EstimateSettings(strands=2, copies=2, class_hand={1: 1.25}, factor=Factor(1.2, 1, 4))
    (r,) = estimate(make_chart(cells), make_fabric(14), told).threads
    notes = {term.name: term.note for term in r.terms}
    assert notes == {
        "front": "stretches: 3,604",
        "back": "moves: 3,600; areas: 4",
        "carries": "carries: 2, up to 12 mm each; under earlier stitches: 0",
        "take-up": "1.5 % of the road",
        "unpicking": "1 % of the road",
        "starts and ends": f"starts: {r.pieces + 1}",
        "left in needle": f"needlefuls: {r.pieces}, of 450 mm",
        "this thread": "× 1.25, as told of it",
        "own factor": "× 1.200, from 4 records",
    }
    plain = _terms(r, *(set(notes) - {"this thread", "own factor"}))
    assert _terms(r, "this thread") == pytest.approx(0.25 * plain)
    assert _terms(r, "own factor") == pytest.approx(0.2 * 1.25 * plain)
    assert _terms(r, "left in needle") == r.pieces * 80 * 2


@pytest.mark.parametrize(("gap", "carried"), [(24, True), (25, False)])
def test_the_back_is_crossed_for_12_mm_and_no_further(
    gap: int, carried: bool, make_chart: MakeChart
) -> None:
    """About half an inch (common practice, no source); cells of half a millimetre."""
    (r,) = estimate(make_chart("X" + "." * gap + "X"), make_fabric(50.8)).threads
    assert _terms(r, "carries") == pytest.approx(12.0 * r.strands if carried else 0.0)


def test_a_hundred_scattered_crosses_take_several_times_as_much(make_chart: MakeChart) -> None:
    """Per cross, against a solid block: their ends make the difference."""
    scattered = np.zeros((150, 150), dtype=int)
    scattered[::15, ::15] = 1
    apart, block = (
        estimate(make_chart(cells), make_fabric(14)).threads[0]
        for cells in (scattered, np.ones((10, 10), dtype=int))
    )
    assert apart.stitches == block.stitches == 100
    assert apart.least_mm == pytest.approx(block.least_mm)
    assert apart.length_mm.likely > 5 * block.length_mm.likely
    assert _terms(apart, "starts and ends", "left in needle") > 0.8 * apart.length_mm.likely
    per_cross = apart.length_mm.likely / 100 / apart.strands
    assert 60 <= per_cross <= 90  # common practice, no source


def test_solid_areas_keep_their_ends_apart_from_the_road(make_chart: MakeChart) -> None:
    """From 400 crosses the road, allowances included, is within 3 % of the bound."""
    for side in (20, 30, 60):
        chart = make_chart(np.ones((side, side), dtype=int))
        (r,) = estimate(chart, make_fabric(28, 2)).threads
        road = _terms(r, "front", "back", "carries", "take-up", "unpicking")
        assert r.least_mm <= road <= 1.03 * r.least_mm


def test_every_length_is_the_sum_of_its_terms(make_chart: MakeChart) -> None:
    """To 1e-9 of the whole, for each class and for all together."""
    cells = np.random.default_rng(3).integers(0, 6, (40, 50))
    found = estimate(make_chart(cells), make_fabric(16))
    for r in (*found.threads, in_all(found)):
        assert math.fsum(t.mm for t in r.terms) == pytest.approx(r.length_mm.likely, rel=1e-9)
        assert r.least_mm < r.length_mm.low < r.length_mm.likely < r.length_mm.high
    assert in_all(found).length_mm.likely == pytest.approx(sum(_likely(found)), rel=1e-9)
    assert in_all(found).stitches == np.count_nonzero(cells)


def test_the_bound_is_the_formula_times_strands_and_copies(make_chart: MakeChart) -> None:
    """(2√2·n + 2n − 1) cells of single strand."""
    chart = make_chart("XXXX/XXXX")
    cell = 25.4 / 14
    for strands, copies in ((1, 1), (2, 1), (3, 5)):
        told = EstimateSettings(strands=strands, copies=copies)
        (r,) = estimate(chart, make_fabric(28, 2), told).threads
        road = (2 * math.sqrt(2) * 8 + 15) * cell
        assert r.least_mm == pytest.approx(road * strands * copies)
        assert r.stitches == 8 * copies
        assert r.work == (("cross", 8 * copies),)


@st.composite
def _confetti(draw: st.DrawFn) -> NDArray[np.int64]:
    rows, columns = draw(st.integers(1, 14)), draw(st.integers(1, 14))
    seed, classes = draw(st.integers(0, 2**32 - 1)), draw(st.integers(1, 3))
    cells = np.random.default_rng(seed).integers(0, classes + 1, (rows, columns))
    cells[0, 0] = 1
    return cells


@settings(max_examples=40, deadline=None)
@given(cells=_confetti(), order=st.sampled_from(["rows", "crosses", "shortest"]))
def test_mirrored_and_turned_charts_need_the_same(
    cells: NDArray[np.int64], order: Order, make_chart: MakeChart
) -> None:
    """On a square weave; columns after a turn are what rows were."""
    told = EstimateSettings(order=order)
    turned_told = EstimateSettings(order="columns" if order == "rows" else order)
    wanted = _likely(estimate(make_chart(cells), make_fabric(14), told))
    for changed in (cells[::-1], cells[:, ::-1]):
        found = estimate(make_chart(changed), make_fabric(14), told)
        assert _likely(found) == pytest.approx(wanted, rel=1e-9)
    found = estimate(make_chart(np.rot90(cells)), make_fabric(14), turned_told)
    assert _likely(found) == pytest.approx(wanted, rel=1e-9)


@settings(max_examples=25, deadline=None)
@given(cells=_confetti())
def test_a_weave_turned_with_its_chart_needs_the_same(
    cells: NDArray[np.int64], make_chart: MakeChart
) -> None:
    """Also where warp and weft differ."""
    straight = estimate(make_chart(cells), make_fabric(28, 2, 25), EstimateSettings(order="rows"))
    turned = estimate(
        make_chart(np.rot90(cells)), make_fabric(25, 2, 28), EstimateSettings(order="columns")
    )
    assert _likely(turned) == pytest.approx(_likely(straight), rel=1e-9)


@settings(max_examples=40, deadline=None)
@given(seed=st.integers(0, 2**32 - 1), order=st.sampled_from(["rows", "crosses"]))
def test_more_stitches_of_one_joined_area_never_need_less(
    seed: int, order: Order, make_chart: MakeChart
) -> None:
    """An area grown stitch by stitch, by sides or corners, needs no less thread at any step."""
    rng = np.random.default_rng(seed)
    cells = np.zeros((24, 24), dtype=int)
    cells[12, 12] = 1
    before = 0.0
    for _ in range(40):
        told = EstimateSettings(order=order)
        (now,) = _likely(estimate(make_chart(cells), make_fabric(14), told))
        assert now >= before - 1e-9
        before = now
        stitched = np.argwhere(cells == 1)
        row, column = stitched[rng.integers(len(stitched))]
        down, right = rng.integers(-1, 2, 2).tolist()
        cells[np.clip(row + down, 0, 23), np.clip(column + right, 0, 23)] = 1


@settings(max_examples=40, deadline=None)
@given(seed=st.integers(0, 2**32 - 1))
def test_moving_a_part_away_never_shortens_the_road(seed: int, make_chart: MakeChart) -> None:
    """Two parts side by side, the right one moved further right step by step."""
    rng = np.random.default_rng(seed)
    left, right = (rng.integers(0, 2, (5, 4)) for _ in range(2))
    left[2, 2], right[2, 1] = 1, 1
    before = 0.0
    for gap in range(9):
        cells = np.hstack([left, np.zeros((5, gap), dtype=int), right])
        found = estimate(make_chart(cells), make_fabric(14), EstimateSettings(strands=1))
        road = _terms(found.threads[0], "front", "back", "carries")
        ends = _terms(found.threads[0], "starts and ends")
        assert road + ends >= before - 1e-9
        before = road + ends


def test_carries_save_ends(make_chart: MakeChart) -> None:
    """Without them each area has its own start and end."""
    chart = make_chart("X.X.X.X.X")
    with_carries, without = (
        estimate(chart, make_fabric(14), EstimateSettings(carry_mm=mm)).threads[0]
        for mm in (12.0, 0.0)
    )
    assert with_carries.length_mm.likely < without.length_mm.likely
    assert _terms(without, "carries") == 0


def test_copies_take_as_many_times_the_road(make_chart: MakeChart) -> None:
    """And less than as many times the tails, since a needleful goes on to the next."""
    chart = make_chart("X..X/XXXX")
    one, many = (
        estimate(chart, make_fabric(14), EstimateSettings(copies=n)).threads[0] for n in (1, 25)
    )
    road = ("front", "back", "carries")
    assert _terms(many, *road) == pytest.approx(25 * _terms(one, *road))
    assert many.length_mm.likely < 25 * one.length_mm.likely
    assert many.stitches == 25 * one.stitches


def test_strands_can_be_told_by_class_and_stitch(make_chart: MakeChart) -> None:
    """By class goes before by stitch, by stitch before all."""
    chart = make_chart("112233")
    told = EstimateSettings(
        strands=2,
        class_strands={1: 3},
        work_strands={"half": 1},
        works={2: "half"},
    )
    found = estimate(chart, make_fabric(14), told, {3: Supply(10, 2)})
    assert [r.strands for r in found.threads] == [3, 1, 2]
    assert found.threads[2].put_up_mm == 20_000


def test_a_thread_that_is_not_divided_is_used_whole(make_chart: MakeChart) -> None:
    """Pearl cotton: one strand, whatever the table says for the count."""
    found = estimate(make_chart("XX"), make_fabric(14), threads={1: Supply(25, 1)})
    assert found.threads[0].strands == 1


@pytest.mark.parametrize(
    ("told", "message"),
    [
        ({"strands": 0}, "0 strands"),
        ({"strands": 7}, "divides into 6"),
        ({"class_strands": {1: 9}}, "class 1"),
        ({"class_strands": {8: 1}}, "no such class"),
        ({"class_strands": {0: 1}}, "no such class"),
        ({"works": {0: "half"}}, "class 0"),
        ({"works": {1: "knot"}}, "class 1"),
    ],
)
def test_strands_and_stitches_that_can_not_be_are_refused(
    told: dict[str, Any], message: str, make_chart: MakeChart
) -> None:
    """In one line that names the class."""
    with pytest.raises(YardageError, match=message):
        estimate(make_chart("XX"), make_fabric(14), EstimateSettings(**told))


def test_an_empty_chart_has_nothing_to_estimate(make_chart: MakeChart) -> None:
    """No stitches, no thread."""
    with pytest.raises(YardageError, match="no stitches"):
        estimate(make_chart("..../...."), make_fabric(14))


def test_the_own_factor_is_a_term_like_the_others(make_chart: MakeChart) -> None:
    """It moves likely, takes the spread along, and leaves the bound alone."""
    chart = make_chart(np.ones((30, 30), dtype=int))
    plain = estimate(chart, make_fabric(14)).threads[0]
    told = EstimateSettings(factor=Factor(1.2, 0.5, 4))
    own = estimate(chart, make_fabric(14), told).threads[0]
    assert own.length_mm.likely == pytest.approx(1.2 * plain.length_mm.likely)
    assert 0.6 * plain.spread_mm < own.spread_mm < 0.8 * plain.spread_mm
    assert own.least_mm == plain.least_mm
    assert _terms(own, "own factor") == pytest.approx(0.2 * plain.length_mm.likely)


def test_working_shorter_lengths_takes_more_thread(make_chart: MakeChart) -> None:
    """More starts, ends and tails; and a loop start saves."""
    chart = make_chart(np.ones((30, 30), dtype=int))

    told = [EstimateSettings(working_mm=mm) for mm in (300.0, 400.0, 450.0, 600.0, 900.0)]
    lengths = [_likely(estimate(chart, make_fabric(14), one))[0] for one in told]
    assert lengths == sorted(lengths, reverse=True)
    (no_loop,) = _likely(estimate(chart, make_fabric(14), EstimateSettings(loop_start=False)))
    assert no_loop > lengths[2]


def _likely_by_class(found: Iterable[Requirement]) -> dict[int, float]:
    return {r.class_index: r.length_mm.likely for r in found}


def test_one_class_does_not_change_another(make_chart: MakeChart) -> None:
    """Each is estimated as if it were alone on the cloth."""
    cells = np.random.default_rng(11).integers(0, 4, (30, 30))
    together = _likely_by_class(estimate(make_chart(cells), make_fabric(14)).threads)
    for index in (1, 2, 3):
        alone = estimate(make_chart(np.where(cells == index, index, 0)), make_fabric(14))
        assert _likely_by_class(alone.threads) == {index: pytest.approx(together[index], rel=1e-9)}
