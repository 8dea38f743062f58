"""Part stitches, lines, knots and beads."""

from __future__ import annotations

import math
from collections import Counter
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from chartscan.chart import Chart, ChartClass, Knot, Line, Part
from chartscan.yardage import EstimateSettings, Requirement, estimate, make_fabric
from chartscan.yardage.geometry import Cell, least_road
from chartscan.yardage.lines import (
    Method,
    join_runs,
    knot_length,
    route_knots,
    route_lines,
    split_line,
)
from chartscan.yardage.stitches import works_of_parts

R2 = math.sqrt(2)
SQUARE = Cell(1, 1)
CLASSES = (
    ChartClass(0, "empty"),
    ChartClass(1, "stitch", (200, 0, 0)),
    ChartClass(2, "stitch", (0, 200, 0)),
    ChartClass(3, "line", (0, 0, 0)),
    ChartClass(4, "knot", (0, 0, 200)),
)


def _chart(
    cells: list[list[int]],
    parts: tuple[Part, ...] = (),
    lines: tuple[Line, ...] = (),
    knots: tuple[Knot, ...] = (),
) -> Chart:
    return Chart(np.array(cells), CLASSES, parts=parts, lines=lines, knots=knots)


def _terms(requirement: Requirement, *names: str) -> float:
    return math.fsum(t.mm for t in requirement.terms if t.name in names)


# ---------------------------------------------------------------------------- part stitches


def test_half_and_quarter_stitches_take_their_share_of_a_cross() -> None:
    """A half is half a cross, a quarter 0.29 to 0.35, a three-quarter 0.79 to 0.85 (long run)."""
    n = 100_000
    cross = least_road(SQUARE, 2 * n, 0) / n
    assert cross == pytest.approx(4.8284, abs=1e-4)
    assert least_road(SQUARE, n, 0) / n / cross == pytest.approx(0.5, abs=1e-4)
    assert 0.29 <= least_road(SQUARE, 0, n) / n / cross <= 0.354
    assert 0.79 <= least_road(SQUARE, n, n) / n / cross <= 0.854


def test_a_triangle_alone_is_a_three_quarter_stitch_or_what_is_told() -> None:
    """Half crosses where the stitcher says so."""
    chart = _chart([[0, 1]], (Part(0, 0, "triangle", "top left", 1),))
    for work in ("three-quarter", "half"):
        told = EstimateSettings(triangle=work)
        (r,) = estimate(chart, make_fabric(14), told).threads
        assert r.work == (("cross", 1), (work, 1))


def test_of_two_triangles_in_a_cell_the_one_in_front_takes_three_quarters() -> None:
    """The other is worked as a quarter; the class with fewer stitches lies in front.

    "Fractional Stitches", CS-FRAC.TXT in XSTITCH.ZIP on cd.textfiles.com; 1990s, no author named.
    """
    shared = (
        Part(0, 0, "triangle", "top left", 1),
        Part(0, 0, "triangle", "bottom right", 2),
    )
    chart = _chart([[0, 1, 1, 2]], shared)
    assert [work for _, work in works_of_parts(chart, "three-quarter")] == [
        "quarter",
        "three-quarter",
    ]


def test_quarters_stay_quarters_and_may_share_a_cell() -> None:
    """Four of them in one cell are four stitches."""
    corners = ("top left", "top right", "bottom left", "bottom right")
    parts = tuple(Part(0, 0, "quarter", c, 1 + i % 2) for i, c in enumerate(corners))  # type: ignore[arg-type]
    found = estimate(_chart([[0, 0]], parts), make_fabric(14)).threads
    assert [r.work for r in found] == [(("quarter", 2),), (("quarter", 2),)]


def test_part_stitches_join_areas_of_their_class() -> None:
    """A cross, a part stitch beside it and a cross beyond are one area, whoever shares the cell."""
    parts = (
        Part(0, 1, "triangle", "top left", 1),
        Part(0, 1, "triangle", "bottom right", 2),
    )
    chart = _chart([[1, 0, 1], [2, 2, 0]], parts)
    first, second = estimate(chart, make_fabric(14), EstimateSettings(carry_mm=0)).threads
    assert "areas: 1" in next(t.note for t in first.terms if t.name == "back")
    assert "areas: 1" in next(t.note for t in second.terms if t.name == "back")


def test_parts_in_other_strands_are_threaded_apart() -> None:
    """Quarters in one strand among crosses in two: their own needleful, the same skein."""
    chart = _chart([[1, 0]], (Part(0, 1, "quarter", "top left", 1),))
    told = EstimateSettings(strands=2, work_strands={"quarter": 1})
    (r,) = estimate(chart, make_fabric(25.4), told).threads
    assert (r.strands, r.pieces) == (2, 2)
    road = 2 * (2 * R2 + 1) + R2 / 2
    assert _terms(r, "front", "back", "carries") == pytest.approx(road)
    assert r.least_mm == pytest.approx(road)
    assert math.fsum(t.mm for t in r.terms) == pytest.approx(r.length_mm.likely, rel=1e-9)


def test_marks_can_be_left_out() -> None:
    """All of a kind at once."""
    chart = _chart(
        [[1, 0]],
        (Part(0, 1, "quarter", "top left", 1),),
        (Line(3, ((0, 0), (2, 0))),),
        (Knot(4, 1, 1),),
    )
    assert len(estimate(chart, make_fabric(14)).threads) == 3
    told = EstimateSettings(without=frozenset({"parts", "lines", "knots"}))
    (r,) = estimate(chart, make_fabric(14), told).threads
    assert r.work == (("cross", 1),)


# ---------------------------------------------------------------------------- lines


@pytest.mark.parametrize("k", [1, 2, 3, 10, 200])
def test_backstitch_of_unit_segments_takes_three_cells_less_two(k: int) -> None:
    """One in front and two behind: 3k − 2 for a run of k."""
    road = route_lines([Line(3, ((0, 0), (k, 0)))], SQUARE, "backstitch", 0)
    assert road.length == pytest.approx(3 * k - 2)
    assert (road.legs, len(road.groups)) == (k, 1)


@pytest.mark.parametrize("k", [1, 2, 3, 10, 200])
def test_double_running_takes_twice_what_is_drawn(k: int) -> None:
    """One stitch on each side per segment.

    J. Holden, "The Graph Theory of Blackwork Embroidery", in Making Mathematics with Needlework
    (2007).
    """
    road = route_lines([Line(3, ((0, 0), (0, k)))], SQUARE, "double-running", 0)
    assert road.length == pytest.approx(2 * k)


def test_lines_are_divided_where_they_meet_the_weave() -> None:
    """Along threads and diagonals into units; other slopes where they meet a crossing."""
    assert split_line([(0, 0), (3, 0)]) == [(0, 0), (1, 0), (2, 0), (3, 0)]
    assert split_line([(0, 0), (2, 2)]) == [(0, 0), (1, 1), (2, 2)]
    assert split_line([(0, 0), (4, 2)]) == [(0, 0), (2, 1), (4, 2)]
    assert split_line([(0, 0), (3, 1)]) == [(0, 0), (3, 1)]
    assert split_line([(0, 0), (2.5, 0)]) == [(0, 0), (1, 0), (2, 0), (2.5, 0)]
    assert split_line([(0.5, 0), (0.5, 2)]) == [(0.5, 0), (0.5, 2)]
    assert split_line([(0.5, 3), (2.5, 3)]) == [(0.5, 3), (1, 3), (2, 3), (2.5, 3)]
    assert split_line([(3, 1.5), (3, 3)]) == [(3, 1.5), (3, 2), (3, 3)]
    assert split_line([(0.5, 4.5), (2, 6)]) == [(0.5, 4.5), (1, 5), (2, 6)]
    assert split_line([(0.04, 0), (0.96, 0.02), (0.97, 1.05)]) == [(0, 0), (1, 0), (1, 1)]
    assert split_line([(1, 1), (1.1, 1.1)]) == [(1, 1)]


@settings(max_examples=100, deadline=None)
@given(
    points=st.lists(st.tuples(st.integers(-20, 20), st.integers(-20, 20)), min_size=2, max_size=8),
    double=st.booleans(),
    part=st.sampled_from([1, 2]),
)
def test_every_line_is_worked_once_and_never_beats_the_bound(
    points: list[tuple[int, int]], double: bool, part: int
) -> None:
    """Whatever is drawn, crossing itself and going back, also from half cells: each stitch once."""
    method: Method = "double-running" if double else "backstitch"
    line = Line(3, tuple((x / part, y / part) for x, y in points))
    drawn = {frozenset(pair) for pair in pairwise(split_line(line.points))}
    if not drawn:
        return
    road = route_lines([line], SQUARE, method, 1000)
    assert road.legs == len(drawn)
    assert road.front == pytest.approx(math.fsum(math.dist(*pair) for pair in drawn))
    assert road.least - 1e-9 <= road.length <= 3 * road.front + 1000
    assert road.groups.sum() == pytest.approx(road.length)
    if double:
        assert road.length == pytest.approx(2 * road.front), "what hangs together is one design"


def test_segments_that_meet_are_worked_as_one_run_in_whatever_order_they_are_drawn() -> None:
    """A reader lists an outline piece by piece: a square of 4 × 4 is still one run of 16."""
    outline = [((x, 0), (x + 1, 0)) for x in range(4)] + [((4, y), (4, y + 1)) for y in range(4)]
    outline += [((x + 1, 4), (x, 4)) for x in range(4)] + [((0, y + 1), (0, y)) for y in range(4)]
    shuffled = np.random.default_rng(2).permutation(len(outline)).tolist()
    road = route_lines([Line(3, outline[i]) for i in shuffled], SQUARE, "backstitch", 0)
    assert (road.legs, road.areas, len(road.groups)) == (16, 1, 1)
    assert min(abs(road.back - (11 * 2 + 4 * R2)), abs(road.back - (12 * 2 + 3 * R2))) < 1e-9


def test_a_crossing_is_passed_straight_on() -> None:
    """Two lines that cross are two straight runs, not two bent ones."""
    cross = [((1, 0), (1, 1)), ((0, 1), (1, 1)), ((1, 1), (2, 1)), ((1, 1), (1, 2))]
    road = route_lines([Line(3, pair) for pair in cross], SQUARE, "backstitch", 0)
    assert road.areas == 2
    assert road.back == pytest.approx(2 * 2)


def test_lines_are_carried_to_the_next_within_the_limit() -> None:
    """From hole 1, where the first goes down when it comes up at 0, to hole 2: one cell."""
    lines = [Line(3, ((0, 0), (1, 0))), Line(3, ((2, 0), (3, 0)))]
    near, far = (route_lines(lines, SQUARE, "backstitch", limit) for limit in (1, 0.9))
    assert (near.carries, near.jumps, len(near.groups)) == (1, 1, 1)
    assert (far.carries, far.jumps, len(far.groups)) == (0, 0, 2)


def test_lines_take_one_strand_and_are_counted_by_segments() -> None:
    """Outlines in one strand: common practice, no source."""
    chart = _chart([[0, 0, 0]], lines=(Line(3, ((0, 0), (3, 0), (3, 1))),))
    (r,) = estimate(chart, make_fabric(14)).threads
    assert (r.strands, r.stitches, r.work) == (1, 4, (("backstitch", 4),))


# ---------------------------------------------------------------------------- knots and beads


def test_a_knot_takes_twenty_to_thirty_millimetres_with_its_way() -> None:
    """One or two wraps, the next knot within 5 mm. Common practice, no source."""
    knots = [Knot(4, x, 0) for x in range(10)]
    for wraps in (1, 2):
        road = route_knots(knots, Cell(4, 4), knot_length(wraps), 12)
        assert 18 <= road.length / 10 <= 30
        assert road.jumps == 9


def test_a_knot_takes_what_goes_through_the_cloth_and_a_turn_round_the_needle() -> None:
    """14 mm, and 4 mm a wrap, about π × 1.3 mm. Common practice, no source."""
    assert (knot_length(1), knot_length(2)) == (18, 22)


def test_stitches_of_half_a_cell_may_lie_half_a_cell_apart() -> None:
    """Three along one thread, in double running: as much behind as in front."""
    road = route_lines(
        [Line(3, ((0, 0), (0.5, 0))), Line(3, ((0.5, 0), (1, 0))), Line(3, ((1, 0), (1.5, 0)))],
        SQUARE,
        "double-running",
        0,
    )
    assert road.length == pytest.approx(3.0)
    assert road.least == pytest.approx(2.5)


def test_knots_are_worked_next_the_nearest_and_not_carried_too_far() -> None:
    """Two groups far apart are two stretches, in whatever order the chart lists them."""
    knots = [Knot(4, x, 0) for x in (0, 100, 1, 101, 2)]
    road = route_knots(knots, SQUARE, knot_length(1), 5)
    assert (road.jumps, len(road.groups), road.carries) == (3, 2, 3)
    assert road.length == 5 * knot_length(1) + 3


def test_beads_are_held_by_half_crosses_in_one_strand() -> None:
    """Common practice, no source."""
    told = EstimateSettings(works={1: "bead"})
    bead, half = (
        estimate(_chart([[1, 1]]), make_fabric(14), EstimateSettings(works={1: work})).threads[0]
        for work in ("bead", "half")
    )
    assert estimate(_chart([[1, 1]]), make_fabric(14), told).threads[0].strands == 1
    assert half.strands == 2
    assert bead.work == (("bead", 2),)
    assert _terms(bead, "front") == pytest.approx(_terms(half, "front") / 2 + 2 * 2)


def test_knots_may_be_beads() -> None:
    """A reader can't tell a bead's dot from a knot's."""
    chart = _chart([[0, 0]], knots=(Knot(4, 0.5, 0.5), Knot(4, 1.5, 0.5)))
    told = EstimateSettings(works={4: "bead"})
    bead, knot = (
        estimate(chart, make_fabric(14), s).threads[0] for s in (told, EstimateSettings())
    )
    assert bead.work == (("bead", 2),)
    assert _terms(bead, "front") == pytest.approx(2 * (25.4 / 14 * R2 + 2))
    assert _terms(knot, "front") == 2 * knot_length(EstimateSettings().wraps)
    assert _terms(bead, "carries") == _terms(knot, "carries")


def test_no_chart_is_changed_by_counting_its_parts() -> None:
    """Each part is worked once."""
    parts = tuple(Part(0, c, "triangle", "top left", 1) for c in range(3))
    works = Counter(work for _, work in works_of_parts(_chart([[0, 0, 0]], parts), "half"))
    assert works == {"half": 3}


@pytest.mark.parametrize("start", [(0, 0), (1, 0), (2, 3), (3, 1)])
@pytest.mark.parametrize("way", [(1, 0), (0, 1), (1, 1)])
def test_a_line_is_worked_hole_by_hole_wherever_it_begins(
    start: tuple[int, int], way: tuple[int, int]
) -> None:
    holes = [(start[0] + n * way[0], start[1] + n * way[1]) for n in range(5)]
    assert split_line([holes[0], holes[-1]]) == holes


def test_where_lines_meet_the_needle_goes_on_as_straight_as_it_can() -> None:
    """To the side rather than aslant back."""
    here, aside, back = ((0, 0), (1, 0)), ((1, 0), (1, 1)), ((1, 0), (0, 1))
    for stitches in ([here, aside, back], [here, back, aside]):
        assert join_runs(stitches)[0] == [(0, 0), (1, 0), (1, 1)]
