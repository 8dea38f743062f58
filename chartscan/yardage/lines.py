"""The road of lines (backstitch, double running, straight stitches) and of French knots."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Literal

import numpy as np

from chartscan.chart import Knot, Line
from chartscan.yardage.carries import join
from chartscan.yardage.geometry import BEAD_MM, KNOT_MM, WRAP_MM, Cell
from chartscan.yardage.route import Road

QUARTER = 0.25  # of a cell: a hole nearer than that to the middle lies between crossings
Point = tuple[float, float]
Run = list[Point]
Stitch = tuple[Point, Point]
Method = Literal["backstitch", "double-running"]


@dataclass(frozen=True)
class Stretch:
    """Something that is worked in one go: a run, a design in double running, a knot. Lengths in mm.

    Attributes:
        front: thread in front.
        back: thread behind.
        ends: where the needle first comes up and last goes down, or the reverse.
    """

    front: float
    back: float
    ends: tuple[Point, Point]


def route_lines(lines: Sequence[Line], cell: Cell, method: Method, carry_mm: float) -> Road:
    """The road of the ``lines`` of one class.

    Lines that meet are worked as runs, straight on where several go on; from run to run the needle
    goes along the back, up to ``carry_mm`` (:mod:`carries`).

    Backstitch: up one stitch ahead, down at the last one's end, so that behind the needle goes from
    the beginning of one stitch to the end of the next; k unit stitches in a row take 3k − 2 cells.
    Double running: out with every other stitch, back with those between, side branches on the way;
    lines that hang together take twice what is drawn (Holden, "The Graph Theory of Blackwork
    Embroidery", in Making Mathematics with Needlework, 2007).
    """
    drawn = {
        frozenset(pair): pair for line in lines for pair in pairwise(split_line(line.points))
    }  # a stitch that is drawn twice is worked once
    stitches = [(_in_mm(a, cell), _in_mm(b, cell)) for a, b in drawn.values()]
    runs = join_runs(stitches)
    backstitch = method == "backstitch"
    stretches = [_backstitch(r) for r in runs] if backstitch else _double_running(runs)
    moves = len(stitches) - (len(stretches) if backstitch else 0)
    bound = max(0, len(stitches) - 1) * _nearest_holes(stitches, cell)
    return _road(stretches, carry_mm, len(stitches), moves, bound)


def route_knots(knots: Sequence[Knot], cell: Cell, each: float, carry_mm: float) -> Road:
    """The road of the French knots, or beads, of one class.

    ``each`` is what one takes by itself, in mm; that alone is its bound.
    """
    places = [_in_mm((k.x, k.y), cell) for k in knots]
    return _road([Stretch(each, 0.0, (p, p)) for p in places], carry_mm, len(knots), 0, 0.0)


def knot_length(wraps: int) -> float:
    """What a French knot takes, without the way to it, in mm."""
    return KNOT_MM + WRAP_MM * wraps


def bead_length(cell: Cell) -> float:
    """What a bead takes that is held by a half cross, without the way to it, in mm."""
    return cell.diagonal + BEAD_MM


def _road(
    stretches: Sequence[Stretch], carry_mm: float, legs: int, moves: int, bound: float
) -> Road:
    """The road of ``stretches``; ``bound`` is the least that lies behind."""
    joined = join(np.array([s.ends for s in stretches]).reshape(-1, 2, 2), carry_mm)
    roads = np.array([s.front + s.back for s in stretches])
    groups = np.zeros(joined.number)
    np.add.at(groups, joined.group, roads)
    np.add.at(groups, joined.within, joined.carries_mm)
    front = math.fsum(s.front for s in stretches)
    return Road(
        front=front,
        back=math.fsum(s.back for s in stretches),
        carries=math.fsum(joined.carries_mm),
        groups=groups,
        least=front + bound,
        legs=legs,
        moves=moves,
        areas=len(stretches),
        jumps=joined.carries_mm.size,
    )


def _in_mm(point: Point, cell: Cell) -> Point:
    return point[0] * cell.across, point[1] * cell.down


def _nearest_holes(stitches: Sequence[Stitch], cell: Cell) -> float:
    """The least move behind: half a cell where a stitch begins or ends between crossings."""
    holes = np.array(stitches, dtype=np.float64).reshape(-1, 2) / (cell.across, cell.down)
    between = np.abs(holes % 1 - 0.5) < QUARTER
    return cell.shortest / 2 if between.any() else cell.shortest


# ---------------------------------------------------------------------------- runs


def split_line(points: Sequence[Point]) -> Run:
    """A polyline as the holes its stitches run between, in cell units.

    A straight stretch is divided at every crossing of the weave that it meets, so that a stretch
    along a thread or a diagonal becomes unit stitches; a slope that meets no crossing on its way
    stays one straight stitch. Ends that lie between crossings are taken to the nearest half cell.
    A line of no length has one hole only.
    """
    holes: Run = []
    for start, end in pairwise(points):
        for hole in _divide(start, end):
            if not holes or hole != holes[-1]:
                holes.append(hole)
    return holes


def _divide(start: Point, end: Point) -> Run:
    """The holes from ``start`` to ``end``, both included."""
    (ax, ay), (bx, by) = ((round(2 * x), round(2 * y)) for x, y in (start, end))
    steps = math.gcd(bx - ax, by - ay)
    if steps == 0:
        return [(ax / 2, ay / 2)]
    dx, dy = (bx - ax) // steps, (by - ay) // steps
    # In half cells a crossing has two even numbers; one of a step's is odd: every other may be.
    if ax % 2 == 0 and ay % 2 == 0:
        first = 2
    else:
        first = 1 if (ax + dx) % 2 == 0 and (ay + dy) % 2 == 0 else steps
    inner = [((ax + i * dx) / 2, (ay + i * dy) / 2) for i in range(first, steps, 2)]
    return [(ax / 2, ay / 2), *inner, (bx / 2, by / 2)]


def join_runs(stitches: Sequence[Stitch]) -> list[Run]:
    """Stitches that meet, joined to runs of holes; each stitch is in one run, once.

    Runs begin where an odd number of stitches meet, which gives the fewest, then anywhere on what
    is left; each goes as straight on as it can.
    """
    meeting: dict[Point, set[int]] = {}
    for number, stitch in enumerate(stitches):
        for hole in stitch:
            meeting.setdefault(hole, set()).add(number)
    odd = [hole for hole, numbers in meeting.items() if len(numbers) % 2]
    runs = [_follow(hole, stitches, meeting) for hole in odd if len(meeting[hole]) % 2]
    for hole, numbers in meeting.items():
        while numbers:
            runs.append(_follow(hole, stitches, meeting))
    return runs


def _follow(hole: Point, stitches: Sequence[Stitch], meeting: dict[Point, set[int]]) -> Run:
    """Take stitches out of ``meeting`` from ``hole`` on, until none goes on."""
    run = [hole]
    while meeting[run[-1]]:
        here = run[-1]
        before = run[-2] if len(run) > 1 else here
        ways = [(_other_end(stitches[n], here), n) for n in meeting[here]]
        there, number = ways[0]
        if len(ways) > 1:
            _, number, there = min((_bend(before, here, ahead), n, ahead) for ahead, n in ways)
        meeting[here].discard(number)
        meeting[there].discard(number)
        run.append(there)
    return run


def _other_end(stitch: Stitch, hole: Point) -> Point:
    return stitch[1] if stitch[0] == hole else stitch[0]


def _bend(before: Point, here: Point, ahead: Point) -> float:
    """By how much the way bends at ``here``, from 0 for straight on to π for back."""
    ax, ay = here[0] - before[0], here[1] - before[1]
    bx, by = ahead[0] - here[0], ahead[1] - here[1]
    return round(abs(math.atan2(ax * by - ay * bx, ax * bx + ay * by)), 9)


def _backstitch(run: Run) -> Stretch:
    """The stitch from hole i to hole i + 1 comes up at i + 1 and goes down at i."""
    front = math.fsum(math.dist(a, b) for a, b in pairwise(run))
    back = math.fsum(math.dist(a, b) for a, b in zip(run, run[2:], strict=False))
    return Stretch(front, back, (run[1], run[-2]))


def _double_running(runs: Sequence[Run]) -> list[Stretch]:
    """Each design, that is all runs that hang together, begins and ends at the same hole."""
    design: dict[Point, int] = {}
    members: list[list[Run]] = []
    for run in runs:
        met = sorted({design[hole] for hole in run if hole in design})
        into = met[0] if met else len(members)
        if not met:
            members.append([])
        for other in met[1:]:
            members[into] += members[other]
            members[other] = []
        members[into].append(run)
        design.update((hole, into) for joined in members[into] for hole in joined)
    stretches = []
    for some in members:
        drawn = math.fsum(math.dist(a, b) for run in some for a, b in pairwise(run))
        if some:
            stretches.append(Stretch(drawn, drawn, (some[0][0], some[0][0])))
    return stretches
