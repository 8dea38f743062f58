"""How each class of a working chart is drawn: its sign, its colour, its kind of line."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from chartscan.chart import Chart
from chartscan.colour.contrast import BLACK, WHITE, Rgb, black_or_white
from chartscan.report.working.outline import trace_symbol
from chartscan.report.working.settings import WorkingSettings
from chartscan.report.working.signs import signs

PAGE_SIDE = 0.84  # of a cell: what the picture of a page's symbol shows of it
OWN_SIDE = 0.74  # of a cell: our own signs stay clear of the lines

# Lines told apart without colour, by dashes in cells: (stroke, gap, ...).
DASHES: tuple[tuple[float, ...], ...] = ((), (0.5, 0.25), (0.12, 0.2), (0.6, 0.2, 0.12, 0.2))


@dataclass(frozen=True)
class Look:
    """How one class is drawn.

    Attributes:
        index: the class in the chart.
        words: what it is called in the key.
        ground: colour of its cells; white where it is drawn in ink alone.
        ink: colour of its sign, line or knot.
        sign: SVG path data in a square of 100 × 100; "" where it has none.
        side: side of that square, in cells.
        dashes: strokes and gaps of a line, in cells; () for an unbroken one.
    """

    index: int
    words: str
    ground: Rgb
    ink: Rgb
    sign: str = ""
    side: float = OWN_SIDE
    dashes: tuple[float, ...] = ()


def class_looks(
    chart: Chart, names: Mapping[int, str], settings: WorkingSettings
) -> Mapping[int, Look]:
    """The look of every class that is worked, by index.

    The page's own symbols are used where every stitch class has one; else ours, all through, so
    that no two of them can be alike.

    Raises:
        ChartError: there are more classes than signs.
    """
    stitched = [c for c in chart.classes if c.kind == "stitch"]
    own = settings.own_signs or any(c.picture is None for c in stitched)
    drawn = dict(zip((c.index for c in stitched), signs(len(stitched)), strict=True)) if own else {}
    lines = [c.index for c in chart.classes if c.kind == "line"]
    looks: dict[int, Look] = {}
    for entry in chart.classes:
        if entry.kind == "empty":
            continue
        words = names.get(entry.index) or entry.name or ""
        colour = BLACK if settings.ink or entry.rgb is None else entry.rgb
        if entry.kind != "stitch":
            nth = lines.index(entry.index) if entry.index in lines else 0
            dashes = DASHES[nth % len(DASHES)] if settings.ink else ()
            looks[entry.index] = Look(entry.index, words, WHITE, colour, dashes=dashes)
            continue
        ground = WHITE if settings.ink or entry.rgb is None else entry.rgb
        ink = black_or_white(ground)
        sign = drawn[entry.index] if own else trace_symbol(entry.picture or b"")
        side = OWN_SIDE if own else PAGE_SIDE
        looks[entry.index] = Look(entry.index, words, ground, ink, sign, side)
    return looks
