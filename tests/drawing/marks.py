"""Marks over the cells: part stitches, backstitch and French knots, invented and painted."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from chartscan.chart import Corner, Knot, Line, Part
from tests.drawing.palettes import colours_apart, lab
from tests.drawing.render import Canvas, contrast, key_side, key_spot
from tests.drawing.style import RGB, Design, Pixels, Style
from tests.drawing.symbols import mask

Rng = np.random.Generator
Point = tuple[float, float]
SMALL = 0.55
"""How large a part stitch's glyph is beside a whole one."""
GAP = 1
"""Pixels between that glyph and the sides of its cell."""
CORNERS: tuple[Corner, ...] = ("top left", "top right", "bottom right", "bottom left")


@dataclass(frozen=True)
class Marks:
    """All marks of a design.

    Attributes:
        parts, lines, knots: as in a chart; class numbers go on after the design's own.
        colours: (kind, colour) of the classes after the design's own.
        width: thickness of lines, ``dot``: diameter of knots, both in cells.
        round_ends: whether lines end in half discs.
    """

    parts: tuple[Part, ...] = ()
    lines: tuple[Line, ...] = ()
    knots: tuple[Knot, ...] = ()
    colours: tuple[tuple[str, RGB], ...] = ()
    width: float = 0.2
    dot: float = 0.5
    round_ends: bool = True


# ---------------------------------------------------------------------------- painting


def paint_parts(canvas: Canvas, design: Design, marks: Marks) -> None:
    """Fill the pieces of divided cells; comes before the lattice is ruled."""
    for part in marks.parts:
        x0, x1 = int(canvas.x[part.column]), int(canvas.x[part.column + 1])
        y0, y1 = int(canvas.y[part.row]), int(canvas.y[part.row + 1])
        u = (np.arange(x1 - x0) + 0.5)[None, :] / (x1 - x0)
        v = (np.arange(y1 - y0) + 0.5)[:, None] / (y1 - y0)
        u = 1 - u if "right" in part.corner else u
        v = 1 - v if "bottom" in part.corner else v
        if part.shape == "triangle":
            cover = np.clip((1 - u - v) * (x1 - x0) / np.sqrt(2) + 0.5, 0, 1)
        else:
            half_x = np.clip((0.5 - u) * (x1 - x0) + 0.5, 0, 1)
            half_y = np.clip((0.5 - v) * (y1 - y0) + 0.5, 0, 1)
            cover = half_x * half_y
        area = canvas.pixels[y0:y1, x0:x1]
        _blend(area, cover, design.colours[part.class_index])


def stamp_part_glyphs(canvas: Canvas, design: Design, style: Style, marks: Marks) -> None:
    """The glyph of each piece of a divided cell, small, in the piece's corner."""
    for part in marks.parts:
        name = design.symbol(part.class_index)
        if name is None:
            continue
        side = max(4, round(style.pitch * style.glyph * SMALL))
        cover = mask(name, side, side, style.font)
        x, y = canvas.x[part.column : part.column + 2], canvas.y[part.row : part.row + 2]
        left = int(x[1] - side - GAP if "right" in part.corner else x[0] + GAP + 1)
        top = int(y[1] - side - GAP if "bottom" in part.corner else y[0] + GAP + 1)
        ink = style.ink if style.one_ink else contrast(design.colours[part.class_index])
        area = canvas.pixels[top : top + side, left : left + side]
        _blend(area, cover, np.array(ink))


def paint_lines(canvas: Canvas, design: Design, marks: Marks) -> None:
    """Backstitch, then knots; comes after the lattice."""
    pitch = (float(canvas.x[-1]) - float(canvas.x[0])) / (len(canvas.x) - 1)
    table = [colour for _, colour in marks.colours]
    wide = max(1.6, marks.width * pitch)
    for line in marks.lines:
        colour = np.array(table[line.class_index - design.classes])
        ends = canvas.at(np.array(line.points, float))
        for a, b in pairwise(ends):
            _stroke(canvas.pixels, a, b, wide, colour, marks.round_ends)
    if marks.knots:
        middles = canvas.at(np.array([(k.x, k.y) for k in marks.knots], float))
        for knot, at in zip(marks.knots, middles, strict=True):
            colour = np.array(table[knot.class_index - design.classes])
            _stroke(canvas.pixels, at, at, max(3.0, marks.dot * pitch), colour, True)


def paint_key(canvas: Canvas, design: Design, style: Style, marks: Marks) -> None:
    """A short line or a dot per mark's class in the key, after the stitches' swatches."""
    side = key_side(style)
    for i, (kind, colour) in enumerate(marks.colours):
        x, y = key_spot(canvas, style, design.classes - 1 + i)
        a, b = np.array([x, y + side / 2]), np.array([x + side, y + side / 2])
        if kind == "knot":
            a = b = (a + b) / 2
        wide = marks.dot * style.pitch if kind == "knot" else marks.width * style.pitch
        _stroke(canvas.pixels, a, b, max(2.0, wide), np.array(colour), marks.round_ends)


def _stroke(
    pixels: Pixels,
    a: NDArray[np.float64],
    b: NDArray[np.float64],
    wide: float,
    colour: NDArray[np.int64],
    round_ends: bool,
) -> None:
    """An antialiased stroke from ``a`` to ``b`` (x, y), or a disc where they are one place."""
    low = np.floor(np.minimum(a, b) - wide / 2 - 1).astype(int).clip(0)
    high = np.ceil(np.maximum(a, b) + wide / 2 + 1).astype(int)
    area = pixels[low[1] : high[1], low[0] : high[0]]
    y, x = np.mgrid[0 : area.shape[0], 0 : area.shape[1]]
    dx, dy = x + low[0] + 0.5 - a[0], y + low[1] + 0.5 - a[1]
    run = b - a
    length = float(np.hypot(*run))
    along = (dx * run[0] + dy * run[1]) / (length**2 or 1.0)
    near = np.clip(along, 0, 1)
    away = np.hypot(dx - near * run[0], dy - near * run[1])
    cover = np.clip(wide / 2 + 0.5 - away, 0, 1)
    if not round_ends:
        cover = np.where((along < 0) | (along > 1), 0, cover)
    _blend(area, cover, colour)


def _blend(area: Pixels, cover: NDArray[np.float64], colour: NDArray[np.generic]) -> None:
    share = cover[:, :, None]
    area[:] = (area * (1 - share) + np.asarray(colour, float) * share + 0.5).astype(np.uint8)


# ---------------------------------------------------------------------------- inventing


def invent_parts(rng: Rng, design: Design, share: float) -> tuple[Design, tuple[Part, ...]]:
    """Cells at colour borders divided: triangles, quarters, two colours sharing a cell."""
    cells = design.cells.copy()
    parts: list[Part] = []
    inner = np.zeros(cells.shape, bool)
    inner[1:-1, 1:-1] = True
    change = np.zeros(cells.shape, bool)
    change[:, :-1] |= cells[:, :-1] != cells[:, 1:]
    change[:-1] |= cells[:-1] != cells[1:]
    for row, column in np.argwhere(change & inner):
        if rng.random() > share:
            continue
        around = {int(v) for v in cells[row - 1 : row + 2, column - 1 : column + 2].ravel() if v}
        if not around:
            continue
        own = int(cells[row, column]) or min(around)
        cells[row, column] = 0
        at = int(rng.integers(4))
        shape = "quarter" if rng.random() < 0.25 else "triangle"
        r, c = int(row), int(column)
        if shape == "quarter":
            parts.append(Part(r, c, "quarter", CORNERS[at], own))
            continue
        parts.append(Part(r, c, "triangle", CORNERS[at], own))
        others = sorted(around - {own})
        if others and rng.random() < 0.6:
            other = others[int(rng.integers(len(others)))]
            parts.append(Part(r, c, "triangle", CORNERS[(at + 2) % 4], other))
    return replace(design, cells=cells), tuple(parts)


def _outline(rng: Rng, cells: NDArray[np.int32]) -> list[tuple[Point, ...]]:
    """Runs along the borders between colours, from crossing to crossing."""
    runs: list[tuple[Point, ...]] = []
    for r, c in np.argwhere(cells[1:] != cells[:-1]):
        if rng.random() < 0.5:
            start = (float(c), float(r + 1))
            if runs and runs[-1][-1] == start:
                runs[-1] = (runs[-1][0], (float(c + 1), float(r + 1)))
            else:
                runs.append((start, (float(c + 1), float(r + 1))))
    for r, c in np.argwhere(cells[:, 1:] != cells[:, :-1]):
        if rng.random() < 0.35:
            runs.append(((float(c + 1), float(r)), (float(c + 1), float(r + 1))))
    order = rng.permutation(len(runs))[: 12 + len(runs) // 4]
    return [runs[int(i)] for i in order]


def _stray(rng: Rng, rows: int, columns: int) -> tuple[Point, ...]:
    """One run: straight, diagonal, long or bent, from crossing to crossing or half crossing."""
    step = 2 if rng.random() < 0.3 else 1
    start = (
        int(rng.integers(columns * step + 1)) / step,
        int(rng.integers(rows * step + 1)) / step,
    )
    kind = int(rng.integers(4))
    reach = int(rng.integers(1, 8))
    moves: Sequence[Point]
    if kind == 0:
        moves = [(reach, 0) if rng.random() < 0.5 else (0, reach)]
    elif kind == 1:
        moves = [(reach, reach if rng.random() < 0.5 else -reach)]
    elif kind == 2:
        moves = [(int(rng.integers(-7, 8)) / step, int(rng.integers(1, 7)) / step)]
    else:
        turn = int(rng.integers(1, 4))
        moves = [(turn, turn), (turn, -turn), (0, 2)][: int(rng.integers(2, 4))]
    points: list[Point] = [start]
    for dx, dy in moves:
        x, y = points[-1][0] + dx, points[-1][1] + dy
        if not (0 <= x <= columns and 0 <= y <= rows):
            break
        points.append((x, y))
    return tuple(points)


def _cover(taken: set[tuple[int, int]], points: Sequence[Point]) -> set[tuple[int, int]] | None:
    """Quarter-cell places under a run; None where more than a crossing is already taken."""
    places: set[tuple[int, int]] = set()
    for a, b in pairwise(points):
        n = int(np.ceil(4 * float(np.hypot(b[0] - a[0], b[1] - a[1])))) + 1
        for t in np.linspace(0, 1, n):
            x, y = a[0] + t * (b[0] - a[0]), a[1] + t * (b[1] - a[1])
            places.add((round(4 * x), round(4 * y)))
    return None if len(places & taken) > 1 else places


def invent_lines(rng: Rng, design: Design, colours: int, strays: int) -> tuple[Line, ...]:
    """Outlines and strays in ``colours`` classes; no run lies along another."""
    runs = _outline(rng, design.cells)
    runs += [_stray(rng, design.rows, design.columns) for _ in range(strays)]
    taken: set[tuple[int, int]] = set()
    lines: list[Line] = []
    for number in rng.permutation(len(runs)):
        points = runs[int(number)]
        places = _cover(taken, points) if len(points) > 1 else None
        if places is None:
            continue
        taken |= places
        lines.append(Line(design.classes + len(lines) % colours, points))
    return tuple(lines)


def invent_knots(
    rng: Rng, design: Design, first: int, classes: int, count: int, lines: Sequence[Line]
) -> tuple[Knot, ...]:
    """Knots at crossings, middles of edges and of cells, a cell apart and off the lines' ends."""
    ends = np.array([p for line in lines for p in line.points] or [(-9.0, -9.0)], float)
    spots: list[Point] = []
    for _ in range(count):
        x = int(rng.integers(2, 2 * design.columns - 1)) / 2
        y = int(rng.integers(2, 2 * design.rows - 1)) / 2
        away = min((abs(x - a) + abs(y - b) for a, b in spots), default=9.0)
        if away >= 1.5 and float(np.hypot(*(ends - (x, y)).T).min()) >= 0.4:
            spots.append((x, y))
    return tuple(Knot(first + i % classes, x, y) for i, (x, y) in enumerate(spots))


def invent(
    rng: Rng, design: Design, part_share: float, strays: int, knots: int
) -> tuple[Design, Marks]:
    """Marks of all kinds that are asked for, in colours apart from the design's and each other."""
    design, parts = invent_parts(rng, design, part_share)
    kinds = int(rng.integers(1, 4)) if strays else 0
    lines = invent_lines(rng, design, kinds, strays) if strays else ()
    kinds = len({line.class_index for line in lines})
    dots = int(rng.integers(1, 3)) if knots else 0
    first = design.classes + kinds
    places = invent_knots(rng, design, first, dots, knots, lines) if knots else ()
    dots = len({k.class_index for k in places})
    colours = _mark_colours(rng, design, kinds + dots)
    named = [("line" if i < kinds else "knot", c) for i, c in enumerate(colours)]
    return design, Marks(
        parts,
        lines,
        places,
        tuple(named),
        width=rng.uniform(0.14, 0.28),
        dot=rng.uniform(0.4, 0.65),
        round_ends=bool(rng.random() < 0.7),
    )


def _mark_colours(rng: Rng, design: Design, count: int) -> list[RGB]:
    """Colours that stand out from every fill, from bold lines and from each other."""
    fills = lab(np.vstack([design.colours, np.array([[0, 0, 0], [90, 90, 90]], np.uint8)]))
    kept: list[RGB] = []
    apart = 30.0
    while len(kept) < count:
        for colour in colours_apart(rng, 30, 25.0):
            place = lab(colour)
            others = np.vstack([fills, *(lab(np.array([k], np.uint8)) for k in kept)])
            far = np.linalg.norm(others - place, axis=1).min() >= apart
            if far and place[0] < 70 and len(kept) < count:
                kept.append((int(colour[0]), int(colour[1]), int(colour[2])))
        apart *= 0.85
    return kept
