"""From the painted cells of a vector page to a chart: symbols, classes, part stitches, marks."""

from __future__ import annotations

from collections import Counter, defaultdict
from dataclasses import dataclass, field, replace

import numpy as np
from numpy.typing import NDArray

from chartscan.chart import Chart, ChartClass, Corner, Kind, Knot, Line, Part, Shape
from chartscan.reading.cells.sampling import rim_places
from chartscan.reading.vector.cells import Cells, CellSettings, Floats, Misfit, Place
from chartscan.reading.vector.objects import Rgb

OPPOSITE: dict[Corner, Corner] = {
    "top left": "bottom right",
    "top right": "bottom left",
    "bottom left": "top right",
    "bottom right": "top left",
}
GREYISH = 24  # largest difference between channels of an ink that counts as black or grey
RED, GREEN = 16, 8  # bits by which these are moved in a colour as one number
RING_SHARE = 0.5  # share of the outermost cells that a painted ground fills


@dataclass
class _Classes:
    """Classes as they come up; numbered in the order of their first use."""

    listed: list[ChartClass] = field(default_factory=list)

    def add(self, kind: Kind, rgb: Rgb | None, symbol: str | None = None) -> int:
        self.listed.append(ChartClass(len(self.listed), kind, rgb, symbol))
        return len(self.listed) - 1

    def of_colour(self, kind: Kind, rgb: Rgb) -> int:
        """The one class of that kind and colour; a new one where there is none, or several."""
        same = [c.index for c in self.listed if c.kind == kind and c.rgb == rgb]
        plain = [i for i in same if self.listed[i].symbol is None] or same
        return plain[0] if len(plain) == 1 else self.add(kind, rgb)


def to_chart(
    cells: Cells,
    empty: Rgb | None,
    no_empty: bool,
    settings: CellSettings = CellSettings(),
) -> Chart:
    """Turn painted cells into a chart.

    Args:
        cells: as painted; their strokes and dots are sorted into symbols and marks here.
        empty: sRGB of the ground that isn't stitched; None to find it.
        no_empty: every cell is stitched.
        settings: tolerances.

    Raises:
        Misfit: a dot lies between places where knots can be.
    """
    runs = _outlines(cells, settings)
    knots = _knots(cells, settings)
    symbols, names = _name_symbols(cells, settings)
    ground = None if no_empty else (empty or _find_empty(cells, symbols))
    classes = _Classes()
    indices = _classify(cells, symbols, names, ground, classes)
    parts = _parts(cells, indices, classes, ground)
    lines = tuple(
        Line(classes.of_colour("line", style[0]), tuple((float(x), float(y)) for x, y in run))
        for style, style_runs in runs.items()
        for run in style_runs
    )
    marks = tuple(Knot(classes.of_colour("knot", fill), x, y) for x, y, fill in knots)
    return Chart(indices, tuple(classes.listed), parts, lines, marks)


# --------------------------------------------------------------- symbols and marks


def _outlines(cells: Cells, settings: CellSettings) -> dict[tuple[Rgb, float], list[Floats]]:
    """Strokes that are backstitch; those repeated alike inside cells become symbols."""
    runs: dict[tuple[Rgb, float], list[Floats]] = {}
    for style, style_runs in cells.strokes.items():
        homes = [_home_of_run(run) for run in style_runs]
        if all(homes):
            alike = Counter(
                tuple(map(tuple, (run - (home[1], home[0])).tolist()))
                for run, home in zip(style_runs, homes, strict=True)
                if home
            )
            if min(alike.values()) >= settings.common:
                for run, home in zip(style_runs, homes, strict=True):
                    if home:
                        shape = tuple(map(tuple, (run - (home[1], home[0])).tolist()))
                        cells.symbols[home].append(("stroke", shape))
                        cells.inks[home].append(style[0])
                continue
        runs[style] = style_runs
    return _without_casings(runs)


def _home_of_run(run: Floats) -> Place | None:
    """The cell that a run lies inside of; None where it runs along its edge or beyond."""
    low, high = run.min(axis=0), run.max(axis=0)
    column, row = (int(v) for v in np.floor((low + high) / 2))
    within = (low >= (column, row)).all() and (high <= (column + 1, row + 1)).all()
    return (row, column) if within and (high > low).all() else None


def _without_casings(
    runs: dict[tuple[Rgb, float], list[Floats]],
) -> dict[tuple[Rgb, float], list[Floats]]:
    """Leave out lines that only lie broader below others to set them off."""
    keys = {style: {run.tobytes() for run in style_runs} for style, style_runs in runs.items()}
    return {
        style: style_runs
        for style, style_runs in runs.items()
        if not any(
            other != style and other[1] < style[1] and keys[style] <= keys[other] for other in runs
        )
    }


def _knots(cells: Cells, settings: CellSettings) -> list[tuple[float, float, Rgb]]:
    """Dots that lie at crossings and edges; a kind of dot that is only in middles is a symbol."""
    styles = defaultdict(list)
    for dot in cells.dots:
        styles[dot.fill, round(dot.across, 1)].append(dot)
    knots: list[tuple[float, float, Rgb]] = []
    for (fill, across), dots in styles.items():
        at = np.array([(dot.x, dot.y) for dot in dots])
        halves = np.round(2 * at) / 2
        if np.abs(at - halves).max() > settings.shapes.snap:
            raise Misfit("a dot lies neither at a crossing nor in the middle of an edge or cell")
        middle = (halves % 1 == 0.5).all(axis=1)
        if middle.all():
            for x, y in np.floor(halves).astype(int):
                cells.symbols[int(y), int(x)].append(("dot", across))
                cells.inks[int(y), int(x)].append(fill)
        else:
            knots += [(float(x), float(y), fill) for x, y in halves]
    return knots


def _name_symbols(cells: Cells, settings: CellSettings) -> tuple[NDArray[np.int32], list[str]]:
    """A number per cell for what is printed in it (0 for nothing), and a name per number."""
    numbers = np.zeros(cells.painted.shape, dtype=np.int32)
    exact: dict[tuple[object, ...], int] = {}
    known: list[tuple[object, ...]] = []
    names: list[str] = []
    for place, printed in sorted(cells.symbols.items()):
        signature = tuple(printed)
        if signature not in exact:
            like = next((i for i, k in enumerate(known) if _alike(k, signature, settings)), None)
            if like is None:
                like = len(known)
                known.append(signature)
                names.append(_name(printed, names))
            exact[signature] = like
        numbers[place] = exact[signature] + 1
    return numbers, names


def _alike(a: object, b: object, settings: CellSettings) -> bool:
    """Whether two signatures are the same but for the rounding of the file's numbers."""
    if isinstance(a, float) and isinstance(b, float):
        return abs(a - b) <= settings.same
    if isinstance(a, tuple) and isinstance(b, tuple):
        return len(a) == len(b) and all(_alike(x, y, settings) for x, y in zip(a, b, strict=True))
    return a == b


def _name(printed: list[tuple[object, ...]], names: list[str]) -> str:
    """The letters of a symbol, or a number for a drawn one; never the same name twice."""
    letters = [str(mark[1]) for mark in printed if mark[0] == "letter"]
    name = "".join(letters) if len(letters) == len(printed) else f"drawn {len(names) + 1}"
    return name if name not in names else f"{name} ({len(names) + 1})"


# ------------------------------------------------------------------------ classes


def _find_empty(cells: Cells, symbols: NDArray[np.int32]) -> Rgb | None:
    """The ground that isn't stitched: bare or tinted paper, else what the outermost cells hold."""
    bare = (symbols == 0) & (~cells.painted | (cells.ground == cells.tint).all(axis=-1))
    for place in cells.pieces:
        bare[place] = False
    if bare.any():
        return cells.tint
    ring = rim_places(*symbols.shape)
    outer = Counter(map(tuple, cells.ground[ring & (symbols == 0)].tolist()))
    if outer:
        colour, count = outer.most_common(1)[0]
        if count >= RING_SHARE * ring.sum():
            return colour
    return None


def _classify(
    cells: Cells,
    symbols: NDArray[np.int32],
    names: list[str],
    ground: Rgb | None,
    classes: _Classes,
) -> NDArray[np.int32]:
    """Class per cell: by ground colour, symbol and ink; the empty class, if any, is 0."""
    inks = np.full(symbols.shape, -1, dtype=np.int32)
    for place, colours in cells.inks.items():
        red, green, blue = colours[0]
        inks[place] = red << RED | green << GREEN | blue
    packed = cells.ground.astype(np.int32) @ np.array([1 << RED, 1 << GREEN, 1])
    keys = np.stack([packed, symbols, inks], axis=-1).reshape(-1, 3)
    found, first, inverse = np.unique(keys, axis=0, return_index=True, return_inverse=True)
    if ground is not None or cells.pieces:
        classes.add("empty", ground or cells.tint)
    of_key = np.zeros(len(found), dtype=np.int32)
    for key in np.argsort(first):
        colour, symbol, ink = (int(v) for v in found[key])
        rgb = _unpack(colour)
        if symbol == 0 and rgb == ground:
            of_key[key] = 0
            continue
        if symbol and (rgb == ground or (ground is None and rgb == cells.tint)):
            of_key[key] = classes.add("stitch", _coloured(_unpack(ink)), names[symbol - 1])
        else:
            of_key[key] = classes.add("stitch", rgb, names[symbol - 1] if symbol else None)
    return of_key[inverse.ravel()].reshape(symbols.shape)


def _unpack(packed: int) -> Rgb:
    return packed >> RED & 255, packed >> GREEN & 255, packed & 255


def _coloured(ink: Rgb) -> Rgb | None:
    """The ink of a symbol on bare ground; None for black and grey, which say no colour."""
    return ink if max(ink) - min(ink) > GREYISH else None


def _parts(
    cells: Cells, indices: NDArray[np.int32], classes: _Classes, ground: Rgb | None
) -> tuple[Part, ...]:
    """The part stitches; their cells become empty, a colour below them its own pieces."""
    parts: list[Part] = []
    for (row, column), pieces in sorted(cells.pieces.items()):
        corners = [corner for _, corner, _ in pieces]
        below: Rgb = tuple(cells.ground[row, column].tolist())
        if below != (ground or cells.tint) or cells.symbols.get((row, column)):
            pieces = [*pieces, *((s, c, below) for s, c in _rest(pieces[0][0], corners))]
        parts += [
            Part(row, column, shape, corner, classes.of_colour("stitch", colour))
            for shape, corner, colour in pieces
        ]
        indices[row, column] = 0
    return tuple(parts)


def _rest(shape: Shape, corners: list[Corner]) -> list[tuple[Shape, Corner]]:
    """What the pieces leave of a cell: the other half, or the other quarters."""
    if shape == "triangle":
        return [("triangle", OPPOSITE[corners[0]])] if len(corners) == 1 else []
    return [("quarter", corner) for corner in OPPOSITE if corner not in corners]


def cropped(chart: Chart) -> tuple[Chart, int, int]:
    """The box of everything stitched, and its top row and left column in ``chart``."""
    kinds = np.array([c.kind == "stitch" for c in chart.classes])
    stitched = kinds[chart.cells]
    for part in chart.parts:
        stitched[part.row, part.column] = True
    if not stitched.any():
        return chart, 0, 0
    rows, columns = np.flatnonzero(stitched.any(axis=1)), np.flatnonzero(stitched.any(axis=0))
    top, left = int(rows[0]), int(columns[0])
    small = replace(
        chart,
        cells=chart.cells[top : rows[-1] + 1, left : columns[-1] + 1],
        parts=tuple(replace(p, row=p.row - top, column=p.column - left) for p in chart.parts),
        lines=tuple(
            replace(n, points=tuple((x - left, y - top) for x, y in n.points)) for n in chart.lines
        ),
        knots=tuple(replace(k, x=k.x - left, y=k.y - top) for k in chart.knots),
    )
    return small, top, left
