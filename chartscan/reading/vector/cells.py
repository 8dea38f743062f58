"""What a vector page puts into the cells of its grid: grounds, symbols, pieces, lines and dots.

Paths and letters are gone through in the order of painting, so that what is painted over is gone.
Anything that is none of the things a chart consists of is a :class:`Misfit`: the page is then read
from its rendered picture instead.
"""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from chartscan.chart import Corner, Shape
from chartscan.colour.contrast import WHITE
from chartscan.reading.vector.grid import Grid, is_rectangle
from chartscan.reading.vector.objects import Drawn, Letter, PageObjects, Rgb, sides
from chartscan.reading.vector.shapes import ShapeSettings, inside, is_dot, piece

Floats = NDArray[np.float64]
Place = tuple[int, int]  # row, column

# In cells: the middle, and four points that grid lines, frames and knots at crossings leave free.
FIVE_POINTS = 0.5 + np.array([(0, 0), (-0.3, -0.3), (0.3, -0.3), (-0.3, 0.3), (0.3, 0.3)])


class Misfit(Exception):
    """Something on the grid that the exact reading has no name for; says what."""


@dataclass(frozen=True)
class CellSettings:
    """Tolerances in cells.

    Attributes:
        inset: how far a filled square may stay inside its cell, along each of its sides, and still
            mean the whole cell.
        reach: how far a symbol may stick out of its cell.
        same: how far two symbols' points may differ and be the same symbol.
        span: share of the grid that a ruler-straight line must run along a grid line to be part
            of the grid (its frame, its middle lines).
        common: cells that a stroke must be repeated alike in to be a symbol, not an outline.
        shapes: tolerances of dots and part stitches.
    """

    inset: float = 0.2
    reach: float = 0.15
    same: float = 0.04
    span: float = 0.9
    common: int = 12
    shapes: ShapeSettings = field(default_factory=ShapeSettings)


@dataclass(frozen=True)
class Dot:
    """A filled round spot: centre in cells, diameter in cells, colour."""

    x: float
    y: float
    across: float
    fill: Rgb


@dataclass(eq=False)
class Cells:
    """The cells while they are being painted (and nowhere else).

    Attributes:
        ground: sRGB per cell, shape (rows, columns, 3).
        painted: whether a cell has been filled on its own, shape (rows, columns).
        tint: sRGB of what fills the grid as a whole.
        symbols: place -> the signatures of what is printed in it, in order.
        inks: place -> the colours of those.
        pieces: place -> part stitches: shape, corner, colour.
        strokes: open and closed runs that may be outlines: style -> runs in cells.
        dots: round spots that may be knots.
    """

    ground: NDArray[np.uint8]
    painted: NDArray[np.bool_]
    tint: Rgb = WHITE
    symbols: dict[Place, list[tuple[object, ...]]] = field(
        default_factory=lambda: defaultdict(list)
    )
    inks: dict[Place, list[Rgb]] = field(default_factory=lambda: defaultdict(list))
    pieces: dict[Place, list[tuple[Shape, Corner, Rgb]]] = field(
        default_factory=lambda: defaultdict(list)
    )
    strokes: dict[tuple[Rgb, float], list[Floats]] = field(
        default_factory=lambda: defaultdict(list)
    )
    dots: list[Dot] = field(default_factory=list)

    def cover(self, rows: slice, columns: slice, colour: Rgb) -> None:
        """Paint whole cells; what was in them is gone."""
        self.ground[rows, columns] = colour
        self.painted[rows, columns] = True
        places = [
            (row, column)
            for row in range(rows.start, rows.stop)
            for column in range(columns.start, columns.stop)
        ]
        for content in (self.symbols, self.inks, self.pieces):
            for place in places if len(places) < len(content) else tuple(content):
                if rows.start <= place[0] < rows.stop and columns.start <= place[1] < columns.stop:
                    content.pop(place, None)


def paint(objects: PageObjects, grid: Grid, settings: CellSettings = CellSettings()) -> Cells:
    """Paint everything the page draws on its grid.

    Raises:
        Misfit: something is drawn there that no chart consists of, or that can't be told apart.
    """
    cells = Cells(
        np.full((grid.rows, grid.columns, 3), 255, dtype=np.uint8),
        np.zeros((grid.rows, grid.columns), dtype=bool),
    )
    for left, top, right, bottom in objects.opaque_boxes:
        if _touches(_to_box(grid, (left, top, right, bottom)), grid, settings):
            raise Misfit("a picture lies on the grid")
    things: list[Drawn | Letter] = sorted(
        [*objects.drawn, *objects.letters], key=lambda thing: thing.order
    )
    for thing in things:
        box = _to_box(grid, thing.box)
        if not _touches(box, grid, settings):
            continue
        if isinstance(thing, Letter):
            _paint_letter(cells, thing, box, settings)
        else:
            _paint_path(cells, thing, box, grid, settings)
    return cells


def _to_box(grid: Grid, box: tuple[float, float, float, float]) -> Floats:
    return grid.to_cells(np.array(box).reshape(2, 2)).ravel()


def _touches(box: Floats, grid: Grid, settings: CellSettings) -> bool:
    """Whether a box reaches into the grid by more than the width of its frame."""
    left, top, right, bottom = box
    edge = settings.shapes.snap
    return bool(
        right > edge and bottom > edge and left < grid.columns - edge and top < grid.rows - edge
    )


# ------------------------------------------------------------------------ letters


def _paint_letter(cells: Cells, letter: Letter, box: Floats, settings: CellSettings) -> None:
    if not letter.text:
        raise Misfit("a symbol's font doesn't say which sign it is")
    place = _home(box, cells, settings)
    if place is None:
        raise Misfit(f"the letter {letter.text!r} stands across cells")
    sign = (letter.text, letter.font, round(letter.size, 2), letter.turn)
    cells.symbols[place].append(("letter", *sign))
    cells.inks[place].append(letter.ink)


def _home(box: Floats, cells: Cells, settings: CellSettings) -> Place | None:
    """The cell that holds a box, the reach of a symbol allowed; None where it holds more."""
    left, top, right, bottom = box
    column, row = int(np.floor((left + right) / 2)), int(np.floor((top + bottom) / 2))
    rows, columns = cells.painted.shape
    reach = settings.reach
    inside = (
        left >= column - reach
        and right <= column + 1 + reach
        and top >= row - reach
        and bottom <= row + 1 + reach
    )
    return (row, column) if inside and 0 <= row < rows and 0 <= column < columns else None


# -------------------------------------------------------------------------- paths


def _paint_path(cells: Cells, path: Drawn, box: Floats, grid: Grid, settings: CellSettings) -> None:
    if _is_grid_line(path, box, grid, settings) or _goes_around(path, grid, settings):
        return
    if not path.opaque:
        raise Misfit("a colour on the grid is see-through")
    outlines = [grid.to_cells(outline) for outline in path.outlines]
    if path.fill is not None:
        _paint_fill(cells, path, outlines, box, settings)
    if path.stroke is not None and not (path.fill is not None and _fills_cell(box, settings)):
        _paint_stroke(cells, path, outlines, box, grid, settings)


def _goes_around(path: Drawn, grid: Grid, settings: CellSettings) -> bool:
    """Whether a stroke passes outside the grid on all sides, as the frame of a page does."""
    if path.fill is not None or path.curved:
        return False
    return not any(
        _touches(np.concatenate([side.min(axis=0), side.max(axis=0)]), grid, settings)
        for outline in path.outlines
        for side in map(np.array, sides(grid.to_cells(outline), path.closed))
    )


def _is_grid_line(path: Drawn, box: Floats, grid: Grid, settings: CellSettings) -> bool:
    """Whether a path is a grid line, a frame or a middle line: thin, on the lattice, all along."""
    if path.curved:
        return False
    left, top, right, bottom = box
    size = np.array([right - left, bottom - top])
    if path.stroke is not None and path.fill is None:
        runs = [grid.to_cells(outline) for outline in path.outlines]
        return all(_along_grid(run, grid, settings) for run in runs)
    thin = size < settings.inset
    spans = np.array([grid.columns, grid.rows])
    return bool(thin.any() and is_rectangle(path) and (size > settings.span * spans)[~thin].all())


def _along_grid(run: Floats, grid: Grid, settings: CellSettings) -> bool:
    """Whether every side of a run follows a grid line and the run spans the grid one way."""
    steps = np.abs(np.diff(run, axis=0))
    level = steps.min(axis=1) <= settings.shapes.snap
    if not level.all():
        return False
    on = [
        abs(coordinate - round(coordinate)) <= settings.shapes.snap
        for (x0, y0), (dx, dy) in zip(run[:-1], steps, strict=True)
        for coordinate in [y0 if dx > dy else x0]
    ]
    spread = np.ptp(run, axis=0)
    spans = spread > settings.span * np.array([grid.columns, grid.rows])
    return all(on) and bool(spans.any())


def _fills_cell(box: Floats, settings: CellSettings) -> bool:
    left, top, right, bottom = box
    return bool(min(right - left, bottom - top) >= 1 - 2 * settings.inset)


def _paint_fill(
    cells: Cells, path: Drawn, outlines: list[Floats], box: Floats, settings: CellSettings
) -> None:
    assert path.fill is not None
    rows, columns = cells.painted.shape
    left, top, right, bottom = box
    snap = settings.shapes.snap
    everywhere = left <= snap and top <= snap and right >= columns - snap and bottom >= rows - snap
    if everywhere and is_rectangle(path):
        cells.cover(slice(0, rows), slice(0, columns), path.fill)
        cells.painted[:] = False
        cells.tint = path.fill
    elif is_rectangle(path) and _fills_cell(box, settings):
        _paint_squares(cells, path.fill, box, settings)
    elif (
        not path.curved
        and len(outlines) == 1
        and (found := piece(outlines[0], settings.shapes)) is not None
    ):
        row, column, shape, corner = found
        cells.pieces[row, column].append((shape, corner, path.fill))
    elif path.curved and is_dot(path, box, settings.shapes):
        across = float((right - left + bottom - top) / 2)
        cells.dots.append(Dot(float(left + right) / 2, float(top + bottom) / 2, across, path.fill))
    elif (place := _home(box, cells, settings)) is not None:
        cells.symbols[place].append(_signature("fill", outlines, place))
        cells.inks[place].append(path.fill)
    else:
        _paint_polygon(cells, path, outlines, box, settings)


def _paint_squares(cells: Cells, colour: Rgb, box: Floats, settings: CellSettings) -> None:
    """Fill the whole cells that an upright rectangle means."""
    snapped = np.round(box)
    if np.abs(box - snapped).max() > settings.inset or (snapped[2:] - snapped[:2]).min() < 1:
        raise Misfit("a filled rectangle ends inside a cell")
    rows, columns = cells.painted.shape
    left, top = (max(0, int(v)) for v in snapped[:2])
    cells.cover(
        slice(top, min(rows, int(snapped[3]))), slice(left, min(columns, int(snapped[2]))), colour
    )


def _paint_polygon(
    cells: Cells, path: Drawn, outlines: list[Floats], box: Floats, settings: CellSettings
) -> None:
    """Fill the cells that lie in a polygon with all of five points; refuse any it cuts."""
    if path.curved or not path.closed or path.fill is None:
        raise Misfit("a curved shape lies across cells")
    rows, columns = cells.painted.shape
    left, top = (max(0, int(np.floor(v + settings.shapes.snap))) for v in box[:2])
    right = min(columns, int(np.ceil(box[2] - settings.shapes.snap)))
    bottom = min(rows, int(np.ceil(box[3] - settings.shapes.snap)))
    corners = np.stack(np.meshgrid(np.arange(left, right), np.arange(top, bottom)), axis=-1)
    hit = inside(outlines, corners[:, :, None, :] + FIVE_POINTS)
    if (hit.any(axis=-1) != hit.all(axis=-1)).any():
        raise Misfit("a filled shape cuts through a cell")
    for row, column in np.argwhere(hit.all(axis=-1)).tolist():
        cells.cover(
            slice(top + row, top + row + 1), slice(left + column, left + column + 1), path.fill
        )


def _paint_stroke(
    cells: Cells,
    path: Drawn,
    outlines: list[Floats],
    box: Floats,
    grid: Grid,
    settings: CellSettings,
) -> None:
    """Keep runs between half crossings as possible outlines; others must be part of a symbol."""
    assert path.stroke is not None
    if path.fill is not None:
        place = _home(box, cells, settings)
        if place is not None:
            return  # the rim of a dot or of a symbol that was filled in the same path
    halves = [np.round(2 * run) / 2 for run in outlines]
    snapped = all(
        np.abs(run - half).max() <= settings.shapes.snap
        for run, half in zip(outlines, halves, strict=True)
    )
    if snapped and not path.curved:
        if is_rectangle(path) and np.allclose(box[2:] - box[:2], 1, atol=2 * settings.shapes.snap):
            return  # a cell's own outline, drawn square by square
        style = (path.stroke, round(path.width / min(grid.width, grid.height), 2))
        runs = [
            np.concatenate([half, half[:1]])
            if path.closed and not np.allclose(half[0], half[-1])
            else half
            for half in halves
        ]
        cells.strokes[style] += runs
    elif (place := _home(box, cells, settings)) is not None:
        cells.symbols[place].append(_signature("stroke", outlines, place))
        cells.inks[place].append(path.stroke)
    else:
        raise Misfit("a line on the grid runs neither along it nor between its crossings")


def _signature(kind: str, outlines: list[Floats], place: Place) -> tuple[object, ...]:
    """What a drawn symbol looks like, from its cell's corner: comparable with others."""
    row, column = place
    return (kind, *(tuple(map(tuple, (o - (column, row)).tolist())) for o in outlines))
