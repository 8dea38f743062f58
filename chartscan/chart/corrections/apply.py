"""What one act does to a reading."""

from __future__ import annotations

from itertools import combinations
from typing import assert_never

import numpy as np
from numpy.typing import NDArray

from chartscan.chart.corrections.acts import (
    Act,
    Adrift,
    Apart,
    AsRead,
    Bare,
    Block,
    ClassRef,
    Colour,
    Colours,
    Corners,
    Ground,
    IsKind,
    LookAgain,
    Made,
    Name,
    One,
    PutKnot,
    PutLine,
    PutPart,
    SetCells,
    Size,
    Split,
    Symbol,
    TakeKnot,
    TakeLine,
    TakePart,
    Turn,
    Whole,
)
from chartscan.chart.corrections.bench import HALF, Bench, Idle, Lost
from chartscan.chart.kinds import Kind
from chartscan.chart.model import Chart, ChartClass

Mask = NDArray[np.bool_]
MOST = 0.75  # share of cells, well over a half, that two classes have both for them to be one
INK = (0, 0, 0)  # of marks in a class that no cell was like


def apply(bench: Bench, act: Act) -> None:
    """Apply an act.

    Raises:
        Lost: it names a class or a place that isn't there; nothing is changed.
    """
    match act:
        case SetCells():
            _set(bench, act)
        case Ground():
            _ground(bench, [_cell_class(bench, ref) for ref in act.classes])
        case One():
            _one(bench, act)
        case Apart():
            _apart(bench, act)
        case Split():
            _split(bench, act)
        case Whole():
            bench.whole.append(bench.find(act.of))
        case Name():
            bench.become(bench.find(act.of), name=act.text or None)
        case Colour():
            bench.become(bench.find(act.of), rgb=act.rgb)
        case Symbol():
            bench.become(bench.find(act.of), symbol=act.text or None)
        case IsKind():
            _kind(bench, bench.find(act.of), act.kind)
        case PutPart() | TakePart() | PutLine() | TakeLine() | PutKnot() | TakeKnot():
            _mark(bench, act)
        case Size() | Corners():
            bench.settled.add("size")
        case AsRead() | LookAgain():
            bench.settled.add(act.matter)
        case Turn() | Colours():
            pass  # the next reading follows them
        case Adrift():
            raise Lost(act.reason)
        case _:
            assert_never(act)


# ------------------------------------------------------------------------------- cells


def _set(bench: Bench, act: SetCells) -> None:
    bench.check(act.blocks)
    top, left, *_ = act.blocks[0]
    index = _cell_class(bench, act.into, like=bench.root(bench.cells.item(top, left)))
    for block in act.blocks:
        bench.fill(block, index)


def _cell_class(bench: Bench, ref: ClassRef, like: int | None = None) -> int:
    """The class meant, which must be one that fills cells."""
    index = bench.find(ref, like)
    kind = bench.classes[index].kind
    if kind not in ("empty", "stitch"):
        raise Lost(f"its class is a {kind}, not a stitch")
    return index


# ----------------------------------------------------------------------------- classes


def _ground(bench: Bench, told: list[int]) -> None:
    """Make the classes ``told`` the one bare ground, and what was ground before stitched."""
    for index in bench.grounds():
        if index not in told:
            bench.become(index, kind="stitch")
    for index in told:
        bench.become(index, kind="empty")
        bench.merge(index, told[0])
    bench.settled.add("ground")


def _one(bench: Bench, act: One) -> None:
    first, *others = (bench.find(ref) for ref in act.classes)
    kinds = {bench.classes[i].kind for i in (first, *others)}
    if len(kinds) > 1 and kinds != {"empty", "stitch"}:
        raise Lost(f"a {' and a '.join(sorted(kinds))} can't be one class")
    for index in others:
        if index != first:
            bench.merge(index, first)


def _apart(bench: Bench, act: Apart) -> None:
    found = [bench.find(ref) for ref in act.classes]
    if len(set(found)) < len(found):
        raise Lost("what was told to be several classes is one")
    bench.apart += combinations(found, 2)


def _split(bench: Bench, act: Split) -> None:
    """Move the cells that are of the class and in the blocks into one of their own."""
    bench.check(act.blocks)
    index = bench.find(act.of)
    within = np.zeros(bench.cells.shape, dtype=bool)
    for top, left, bottom, right in act.blocks:
        within[top : bottom + 1, left : right + 1] = True
    moved = within & bench.mask(index)
    if not moved.any():
        _call(bench, act.into, within)
        raise Idle("none of those cells is of that class")
    made = bench.find(act.into, like=index)
    bench.cells[moved] = made
    bench.whole += [index, made]


def _call(bench: Bench, made: Made, within: Mask) -> None:
    """Let a class to be made be one that is read so already: most of it lies in those cells."""
    counts = np.bincount(bench.cells[within])
    there = bench.root(int(counts.argmax()))
    cells = bench.mask(there)
    if (cells & within).sum() >= MOST * max(cells.sum(), within.sum()) and not bench.knows(made):
        bench.call(made, there)


def _kind(bench: Bench, index: int, kind: Kind) -> None:
    """Make a class another kind: its cells become knots or its knots cells, where that is asked."""
    now = bench.classes[index].kind
    if kind == now:
        return
    if kind == "empty":
        _ground(bench, [*(i for i in bench.grounds() if i != index), _fills(bench, index)])
    elif kind == "stitch" and now == "empty":
        bench.become(index, kind="stitch")
        bench.settled.add("ground")
    elif (now, kind) == ("stitch", "knot"):
        _into_knots(bench, index)
    elif (now, kind) == ("knot", "stitch"):
        _into_cells(bench, index)
    elif kind == "line" or now == "line":
        raise Lost(f"a {now} can't become a {kind}; put or take its lines one by one")
    else:
        raise Lost(f"a {now} can't become a {kind}")


def _fills(bench: Bench, index: int) -> int:
    kind = bench.classes[index].kind
    if kind not in ("empty", "stitch"):
        raise Lost(f"a {kind} can't be the ground")
    return index


def _into_knots(bench: Bench, index: int) -> None:
    ground = bench.find(Bare())
    where = np.argwhere(bench.mask(index)).tolist()
    for row, column in where:
        bench.fill((row, column, row, column), ground)
        bench.knots.put(index, ((column + HALF, row + HALF),))
    bench.become(index, kind="knot")


def _into_cells(bench: Bench, index: int) -> None:
    rows, columns = bench.cells.shape
    mine = [points for i, points in bench.knots if bench.root(i) == index]
    bench.become(index, kind="stitch")
    for points in mine:
        bench.knots.take(points)
        ((x, y),) = points
        row, column = min(max(int(y), 0), rows - 1), min(max(int(x), 0), columns - 1)
        bench.fill((row, column, row, column), index)


# ------------------------------------------------------------------------------- marks


def _mark(bench: Bench, act: PutPart | TakePart | PutLine | TakeLine | PutKnot | TakeKnot) -> None:
    match act:
        case PutPart():
            _put_part(bench, act)
        case TakePart():
            bench.check((_cell(act),))
            if not bench.clear_corner(act.row, act.column, act.corner):
                raise Idle("there is no part stitch at that corner")
            bench.fixed[act.row, act.column] = True
        case PutLine():
            _put_line(bench, act)
        case TakeLine():
            if not bench.lines.take(act.points):
                raise Idle("there is no line through those points")
        case PutKnot():
            _put_knot(bench, act)
        case TakeKnot():
            if not bench.knots.take(((act.x, act.y),)):
                raise Idle("there is no knot near that point")
        case _:
            assert_never(act)


def _cell(act: PutPart | TakePart) -> Block:
    return act.row, act.column, act.row, act.column


def _put_part(bench: Bench, act: PutPart) -> None:
    bench.check((_cell(act),))
    here = bench.root(bench.cells.item(act.row, act.column))
    index = _of_kind(bench, act.of, "stitch", here)
    if bench.classes[here].kind != "empty":
        bench.fill(_cell(act), bench.find(Bare()))
    bench.clear_corner(act.row, act.column, act.corner)
    bench.pieces.setdefault((act.row, act.column), {})[act.corner, act.shape] = index
    bench.fixed[act.row, act.column] = True


def _put_line(bench: Bench, act: PutLine) -> None:
    _inside(bench.read, act.points)
    index = _of_kind(bench, act.of, "line")
    bench.lines.put(index, act.points)


def _put_knot(bench: Bench, act: PutKnot) -> None:
    _inside(bench.read, ((act.x, act.y),))
    index = _of_kind(bench, act.of, "knot")
    bench.knots.put(index, ((act.x, act.y),))


def _inside(chart: Chart, points: tuple[tuple[float, float], ...]) -> None:
    if not all(0 <= x <= chart.columns and 0 <= y <= chart.rows for x, y in points):
        raise Lost("it lies outside the chart")


def _of_kind(bench: Bench, ref: ClassRef, kind: Kind, here: int | None = None) -> int:
    """The class meant, which must be of ``kind``; a new one is made so."""
    if isinstance(ref, Made) and not bench.knows(ref):
        like = ChartClass(0, kind, INK if here is None else bench.classes[here].rgb)
        return bench.make(ref, like)
    index = bench.find(ref)
    if bench.classes[index].kind != kind:
        raise Lost(f"its class is a {bench.classes[index].kind}, not a {kind}")
    return index
