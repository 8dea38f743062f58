"""Where the grid lies on a vector page: from the lines it draws, else from the squares it fills."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from chartscan.reading.scale import BOLD, LEAST_CELLS
from chartscan.reading.vector.objects import Drawn, PageObjects, sides
from chartscan.reading.vector.shapes import ShapeSettings

Floats = NDArray[np.float64]

LEAST_LINES = LEAST_CELLS + 1  # each way that make a grid
CLOSED = 5  # points of a rectangle whose last one is its first


@dataclass(frozen=True)
class GridSettings:
    """Thresholds of the search, in points (1/72 inch) or shares of a cell.

    Attributes:
        together: lines nearer than this are one line drawn twice (plain and bold); the ends of a
            level line differ in height by less.
        thin: a filled rectangle no wider than this may be a line, if it is so many times longer
            than wide as a grid has cells.
        flush: how far line ends may stand apart from the outermost crossing line, in points;
            bold lines overlap by half their width.
        overshoot: ... and in cells, for lines drawn a little beyond the frame.
        regular: share of lines or squares that must lie on the lattice.
        shapes: how far a line or side may lie off it.
    """

    together: float = 0.15
    thin: float = 2.5
    flush: float = 2.0
    overshoot: float = 0.6
    regular: float = 0.9
    shapes: ShapeSettings = field(default_factory=ShapeSettings)


@dataclass(frozen=True)
class Grid:
    """A straight, level grid in points: left, top, cell width and height, columns, rows, drawn."""

    left: float
    top: float
    width: float
    height: float
    columns: int
    rows: int
    drawn: bool

    def to_cells(self, points: Floats) -> Floats:
        """Grid coordinates (column, row) of ``points`` (…, 2)."""
        cells: Floats = (points - (self.left, self.top)) / (self.width, self.height)
        return cells


class _Line(NamedTuple):
    """A level or upright line: its position across, where it starts and ends along."""

    at: float
    start: float
    end: float


class _Comb(NamedTuple):
    """Evenly spaced positions: the first, the spacing, how many spaces."""

    first: float
    pitch: float
    spaces: int


def find_grid(objects: PageObjects, settings: GridSettings = GridSettings()) -> Grid | None:
    """The grid that the lines form, or else the filled squares; None where neither does."""
    upright, level = (_merged(lines, settings) for lines in _lines(objects.drawn, settings))
    boxes = _filled_boxes(objects.drawn, settings)
    grid = _grid_of_lines(upright, level, settings)
    if grid is not None:
        return _subdivided(grid, boxes, settings)
    squares = _grid_of_boxes(boxes, settings)
    return squares and (_framed(squares, boxes, upright, level, settings) or squares)


# -------------------------------------------------------------------------- lines


def _lines(drawn: tuple[Drawn, ...], settings: GridSettings) -> tuple[list[_Line], list[_Line]]:
    """Upright and level lines among strokes and thin filled rectangles."""
    upright: list[_Line] = []
    level: list[_Line] = []
    for path in drawn:
        if path.curved:
            continue
        if path.stroke is not None:
            for outline in path.outlines:
                for (x0, y0), (x1, y1) in sides(outline, path.closed):
                    if abs(x1 - x0) <= settings.together < abs(y1 - y0):
                        upright.append(_Line((x0 + x1) / 2, min(y0, y1), max(y0, y1)))
                    elif abs(y1 - y0) <= settings.together < abs(x1 - x0):
                        level.append(_Line((y0 + y1) / 2, min(x0, x1), max(x0, x1)))
        elif is_rectangle(path):
            left, top, right, bottom = path.box
            width, height = right - left, bottom - top
            if width <= settings.thin and height >= LEAST_CELLS * width:
                upright.append(_Line((left + right) / 2, top, bottom))
            elif height <= settings.thin and width >= LEAST_CELLS * height:
                level.append(_Line((top + bottom) / 2, left, right))
    return upright, level


def is_rectangle(path: Drawn) -> bool:
    """Whether a path is one upright rectangle."""
    return not path.curved and len(path.outlines) == 1 and is_box(path.outlines[0])


def is_box(outline: Floats, close: float = 0.01) -> bool:
    """Whether an outline is an upright rectangle, to within ``close`` points."""
    if len(outline) not in (4, CLOSED):
        return False
    points = outline.tolist()
    if len(points) == CLOSED and max(abs(a - b) for a, b in zip(*points[::4], strict=True)) > close:
        return False
    # Plain numbers: pages hold tens of thousands of squares, and arrays of four are slow.
    (x0, y0), (x1, y1), (x2, y2), (x3, y3) = points[:4]
    if abs(x0 - x1) <= close:  # down or up first
        return bool(max(abs(x2 - x3), abs(y1 - y2), abs(y3 - y0)) <= close)
    return bool(max(abs(y0 - y1), abs(y2 - y3), abs(x1 - x2), abs(x3 - x0)) <= close)


def _merged(lines: list[_Line], settings: GridSettings) -> list[_Line]:
    """Pieces of the same line joined; a line with gaps falls into its unbroken runs."""
    merged: list[_Line] = []
    group: list[_Line] = []
    for line in sorted(lines):
        if group and line.at - group[-1].at > settings.together:
            merged += _runs(group, settings)
            group = []
        group.append(line)
    return merged + _runs(group, settings)


def _runs(group: list[_Line], settings: GridSettings) -> list[_Line]:
    if not group:
        return []
    at = float(np.median([line.at for line in group]))
    runs: list[_Line] = []
    for line in sorted(group, key=lambda line: line.start):
        if runs and line.start <= runs[-1].end + settings.together:
            runs[-1] = runs[-1]._replace(end=max(runs[-1].end, line.end))
        else:
            runs.append(_Line(at, line.start, line.end))
    return runs


def _grid_of_lines(upright: list[_Line], level: list[_Line], settings: GridSettings) -> Grid | None:
    """The largest pair of combs whose lines end at each other's outermost lines."""
    best: Grid | None = None
    for columns in _groups(upright, settings, LEAST_LINES):
        for rows in _groups(level, settings, LEAST_LINES):
            across, down = _comb(columns, settings), _comb(rows, settings)
            if across is None or down is None:
                continue
            if not (_flush(columns, down, settings) and _flush(rows, across, settings)):
                continue
            if best is None or across.spaces * down.spaces > best.columns * best.rows:
                best = Grid(
                    across.first,
                    down.first,
                    across.pitch,
                    down.pitch,
                    across.spaces,
                    down.spaces,
                    drawn=True,
                )
    return best


def _groups(lines: list[_Line], settings: GridSettings, least: int) -> list[list[_Line]]:
    """Lines grouped by where they start and end; groups of at least ``least`` only."""
    groups: list[list[_Line]] = []
    for line in sorted(lines, key=lambda line: line.start - line.end):
        for group in groups:
            if (
                abs(group[0].start - line.start) <= settings.flush
                and abs(group[0].end - line.end) <= settings.flush
            ):
                group.append(line)
                break
        else:
            groups.append([line])
    return [sorted(group) for group in groups if len(group) >= least]


def _comb(lines: list[_Line], settings: GridSettings) -> _Comb | None:
    """The even spacing of sorted lines, by least squares; None where they aren't even."""
    at = np.array([line.at for line in lines])
    at = at[np.insert(np.diff(at) > settings.together, 0, True)]
    return fit_comb(at, float(np.median(np.diff(at))), settings) if len(at) > 1 else None


def fit_comb(at: Floats, pitch: float, settings: GridSettings) -> _Comb | None:
    """Fit first + pitch × index to sorted positions; None where one lies off the lattice."""
    index = np.round((at - at[0]) / pitch)
    # The pitch is refined from the near positions outwards, so that the far ones count right.
    for _ in range(3):
        slope, first = np.polyfit(index, at, 1) if index[-1] > 0 else (pitch, at[0])
        index = np.round((at - first) / slope)
    off = np.abs(at - (first + slope * index)) / slope
    if slope <= 0 or off.max() > settings.shapes.snap:
        return None
    spaces = int(index[-1] - index[0])
    if len(at) < settings.regular * (spaces + 1) and len(at) < LEAST_LINES:
        return None
    return _Comb(float(first + slope * index[0]), float(slope), spaces)


def _flush(lines: list[_Line], crossing: _Comb, settings: GridSettings) -> bool:
    """Whether ``lines`` run from the first to the last of the lines that cross them."""
    slack = max(settings.flush, settings.overshoot * crossing.pitch)
    last = crossing.first + crossing.spaces * crossing.pitch
    start = float(np.median([line.start for line in lines]))
    end = float(np.median([line.end for line in lines]))
    return abs(start - crossing.first) <= slack and abs(end - last) <= slack


# ------------------------------------------------------------------------- squares


def _filled_boxes(drawn: tuple[Drawn, ...], settings: GridSettings) -> Floats:
    """Left, top, right, bottom of every filled rectangle that is no line, shape (n, 4)."""
    boxes = [
        (*outline.min(axis=0), *outline.max(axis=0))
        for path in drawn
        if path.fill is not None and not path.curved
        for outline in path.outlines
        if is_box(outline)
    ]
    found = np.array(boxes, dtype=np.float64).reshape(-1, 4)
    sizes = found[:, 2:] - found[:, :2]
    return found[(sizes > settings.thin).all(axis=1)] if len(found) else found


def _subdivided(grid: Grid, boxes: Floats, settings: GridSettings) -> Grid:
    """``grid``, with more cells between its lines where most squares fit only such a lattice."""
    inside = boxes[
        (boxes[:, 0] > grid.left - grid.width)
        & (boxes[:, 2] < grid.left + grid.width * (grid.columns + 1))
        & (boxes[:, 1] > grid.top - grid.height)
        & (boxes[:, 3] < grid.top + grid.height * (grid.rows + 1))
    ]
    if len(inside) < LEAST_LINES:
        return grid
    for parts in range(1, max(BOLD) + 1):
        finer = Grid(
            grid.left,
            grid.top,
            grid.width / parts,
            grid.height / parts,
            grid.columns * parts,
            grid.rows * parts,
            drawn=True,
        )
        if _share_fitting(finer, inside, settings) >= settings.regular:
            return finer
    return grid


def _share_fitting(grid: Grid, boxes: Floats, settings: GridSettings) -> float:
    """Share of boxes that fill whole cells, or sit centred or in a corner of one."""
    low = grid.to_cells(boxes[:, :2])
    high = grid.to_cells(boxes[:, 2:])
    whole = (np.abs(low - np.round(low)) <= settings.shapes.snap) & (
        np.abs(high - np.round(high)) <= settings.shapes.snap
    )
    whole &= high - low > 0.5
    middle = (low + high) / 2
    small = high - low < 1 + settings.shapes.snap
    in_cell = small & (high - low > 0.5) & (np.abs(middle % 1 - 0.5) <= settings.shapes.snap)
    return float((whole | in_cell).all(axis=1).mean())


def _grid_of_boxes(boxes: Floats, settings: GridSettings) -> Grid | None:
    """The lattice of filled squares where no lines are drawn, over the box of those on it."""
    if len(boxes) < LEAST_LINES:
        return None
    across = _box_comb(boxes[:, 0], boxes[:, 2], settings)
    down = _box_comb(boxes[:, 1], boxes[:, 3], settings)
    if across is None or down is None:
        return None
    lattice = Grid(across.first, down.first, across.pitch, down.pitch, 1, 1, drawn=False)
    low, high = lattice.to_cells(boxes[:, :2]), lattice.to_cells(boxes[:, 2:])
    on = (np.abs(low - np.round(low)) <= settings.shapes.snap).all(axis=1)
    on &= (np.abs(high - np.round(high)) <= settings.shapes.snap).all(axis=1)
    if on.mean() < settings.regular:
        return None
    first = np.round(low[on]).min(axis=0)
    columns, rows = np.round(high[on]).max(axis=0) - first
    if min(columns, rows) < LEAST_CELLS:
        return None
    return Grid(
        across.first + first[0] * across.pitch,
        down.first + first[1] * down.pitch,
        across.pitch,
        down.pitch,
        int(columns),
        int(rows),
        drawn=False,
    )


def _box_comb(low: Floats, high: Floats, settings: GridSettings) -> _Comb | None:
    """The widest comb on which most boxes start and, with an even gap, end, in one direction."""
    starts = np.sort(low)
    starts = starts[np.insert(np.diff(starts) > settings.together, 0, True)]
    steps, counts = np.unique(np.round(np.diff(starts), 1), return_counts=True)
    anchor = float(np.sort(low)[len(low) // 2])
    for step in steps[(counts > 1) & (steps > settings.thin)][::-1]:
        near = np.abs(np.diff(starts) - step) <= settings.together
        pitch = float(np.median(np.diff(starts)[near]))
        index = np.round((low - anchor) / pitch)
        on = np.abs(low - anchor - index * pitch) <= 2 * settings.shapes.snap * pitch
        if on.mean() < settings.regular or np.ptp(index[on]) < 1:
            continue
        slope, first = (float(v) for v in np.polyfit(index[on], low[on], 1))
        # Squares with a gap between them leave half of it on each side.
        ends = (high[on] - first) / slope
        gap = float(np.median(np.round(ends) - ends))
        even = np.abs(ends + gap - np.round(ends + gap)) <= settings.shapes.snap
        if even.mean() >= settings.regular and gap > -settings.shapes.snap:
            return _Comb(first - max(0.0, gap) * slope / 2, slope, 0)
    return None


def _framed(
    squares: Grid,
    boxes: Floats,
    upright: list[_Line],
    level: list[_Line],
    settings: GridSettings,
) -> Grid | None:
    """``squares`` out to the frame drawn around most of them, if it lies on their lattice."""
    middles = squares.to_cells((boxes[:, :2] + boxes[:, 2:]) / 2)
    best: Grid | None = None
    most = 0
    for columns in _groups(upright, settings, 2):
        for rows in _groups(level, settings, 2):
            low = squares.to_cells(np.array([columns[0].at, rows[0].at]))
            high = squares.to_cells(np.array([columns[-1].at, rows[-1].at]))
            count = np.round(high) - np.round(low)
            across = _Comb(columns[0].at, squares.width, int(count[0]))
            down = _Comb(rows[0].at, squares.height, int(count[1]))
            on_lattice = (
                np.abs(np.array([low, high]) - np.round([low, high])) <= 2 * settings.shapes.snap
            )
            held = ((middles > low) & (middles < high)).all(axis=1).mean() >= settings.regular
            flush = _flush(columns, down, settings) and _flush(rows, across, settings)
            if on_lattice.all() and held and flush and len(columns) + len(rows) > most:
                most = len(columns) + len(rows)
                best = Grid(
                    columns[0].at,
                    rows[0].at,
                    (columns[-1].at - columns[0].at) / count[0],
                    (rows[-1].at - rows[0].at) / count[1],
                    across.spaces,
                    down.spaces,
                    drawn=True,
                )
    return best
