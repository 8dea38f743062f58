"""The road of lines (backstitch, double running, straight stitches) and of French knots."""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import pairwise
from typing import Literal

import numpy as np

from chartscan.chart import Knot, Line
from chartscan.yardage.geometry import KNOT_MM, WRAP_MM, Cell
from chartscan.yardage.route import Road

Point = tuple[float, float]


def split_line(points: Sequence[Point]) -> list[list[Point]]:
    """A polyline as the holes its stitches run between; gaps of no length are left out.

    A straight stretch is divided at every crossing of the weave that it meets, so that a stretch
    along a thread or a diagonal becomes unit stitches; a slope that meets no crossing on its way
    stays one straight stitch. Ends that lie between crossings are taken to the nearest half cell.

    Returns:
        Runs of holes in cell units, each of two or more; an empty list for a line of no length.
    """
    holes: list[Point] = []
    for start, end in pairwise(points):
        for hole in _divide(start, end):
            if not holes or hole != holes[-1]:
                holes.append(hole)
    return [holes] if len(holes) > 1 else []


def _divide(start: Point, end: Point) -> list[Point]:
    """The holes from ``start`` to ``end``, both included."""
    (ax, ay), (bx, by) = ((round(2 * x), round(2 * y)) for x, y in (start, end))
    steps = math.gcd(bx - ax, by - ay)
    if steps == 0:
        return [(ax / 2, ay / 2)]
    dx, dy = (bx - ax) // steps, (by - ay) // steps
    way = [(ax + i * dx, ay + i * dy) for i in range(steps + 1)]
    inner = [(x, y) for x, y in way[1:-1] if x % 2 == 0 and y % 2 == 0]
    return [(x / 2, y / 2) for x, y in (way[0], *inner, way[-1])]


def route_lines(
    lines: Sequence[Line],
    cell: Cell,
    method: Literal["backstitch", "double-running"],
    carry_mm: float,
) -> Road:
    """The road of the ``lines`` of one class, worked in the chart's order.

    Backstitch: up one stitch ahead, down at the last one's end, so that behind the needle goes from
    the beginning of one stitch to the end of the next; k unit stitches in a row take 3k − 2 cells.
    Double running: out with every other stitch, back with those between; 2k cells (Holden, "The
    Graph Theory of Blackwork Embroidery", 2007). From run to run the needle is carried along the
    back up to ``carry_mm``.
    """
    runs = [
        [(x * cell.across, y * cell.down) for x, y in run]
        for line in lines
        for run in split_line(line.points)
    ]
    front = back = carries = 0.0
    groups: list[float] = []
    at: Point | None = None
    jumps = stitches = 0
    shortest = math.inf
    for run in runs:
        if at is not None and math.dist(at, run[-1]) < math.dist(at, run[0]):
            run = run[::-1]
        lengths = [math.dist(a, b) for a, b in pairwise(run)]
        ahead, behind, end = _work_run(run, lengths, method)
        jump = _jump(at, run, method)
        if jump is not None and jump <= carry_mm + 1e-9:
            carries += jump
            jumps += 1
            groups[-1] += jump
        else:
            groups.append(0.0)
        groups[-1] += ahead + behind
        front, back, at = front + ahead, back + behind, end
        stitches += len(lengths)
        shortest = min(shortest, *lengths)
    hole = cell.shortest / 2 if shortest < cell.shortest else cell.shortest
    least = front + max(0, stitches - 1) * hole
    moves = 2 * stitches if method == "double-running" else stitches
    return Road(
        front=front,
        back=back,
        carries=carries,
        groups=np.array(groups),
        least=least,
        legs=stitches,
        moves=max(0, moves - len(runs)),
        areas=len(runs),
        jumps=jumps,
    )


def _work_run(run: list[Point], lengths: list[float], method: str) -> tuple[float, float, Point]:
    """Thread in front, thread behind, and the hole the needle has gone down by."""
    front = math.fsum(lengths)
    if method == "double-running":
        return front, front, run[0]
    # The stitch from hole i to hole i + 1 comes up at i + 1 and goes down at i.
    behind = math.fsum(math.dist(run[i], run[i + 2]) for i in range(len(run) - 2))
    return front, behind, run[-2]


def _jump(at: Point | None, run: list[Point], method: str) -> float | None:
    """The move behind to the first hole of a run; None where there is no thread to go on with."""
    if at is None:
        return None
    return math.dist(at, run[0] if method == "double-running" else run[1])


def route_knots(knots: Sequence[Knot], cell: Cell, wraps: int, carry_mm: float) -> Road:
    """The road of the French knots of one class, each next the nearest not yet worked.

    A knot takes a fixed length and one more per wrap. Its shape hides a move of less than a
    stitch, so that its least length is its own, without any way to the next.
    """
    left = np.array([(k.x * cell.across, k.y * cell.down) for k in knots], dtype=np.float64)
    each = KNOT_MM + WRAP_MM * wraps
    carries, jumps = 0.0, 0
    groups = [each]
    start = int(np.lexsort((left[:, 0], left[:, 1]))[0])
    at, left = left[start], np.delete(left, start, axis=0)
    while len(left):
        ways = np.hypot(*(left - at).T)
        nearest = int(ways.argmin())
        way = float(ways[nearest])
        if way <= carry_mm + 1e-9:
            carries, jumps = carries + way, jumps + 1
            groups[-1] += way + each
        else:
            groups.append(each)
        at, left = left[nearest], np.delete(left, nearest, axis=0)
    front = each * len(knots)
    return Road(
        front=front,
        back=0.0,
        carries=carries,
        groups=np.array(groups),
        least=front,
        legs=len(knots),
        moves=0,
        areas=len(knots),
        jumps=jumps,
    )
