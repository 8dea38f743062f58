"""The full search for what lies over cells that aren't bare."""

from __future__ import annotations

from dataclasses import dataclass, field, replace

import numpy as np
from numpy.typing import NDArray

from chartscan.chart import ChartClass, Part
from chartscan.colour import round_rgb
from chartscan.colour.contrast import WHITE
from chartscan.reading.cells.glyphs import REPEATED
from chartscan.reading.classes.classify import Told, name_classes
from chartscan.reading.lattice.model import Lattice
from chartscan.reading.marks.drawn import Drawn, DrawSettings, draw_all, in_chart_terms
from chartscan.reading.marks.fills import Fills, FillSettings, Mask, find_fills, paint
from chartscan.reading.marks.ground import Ground, lay_ground
from chartscan.reading.marks.marks import Marks
from chartscan.reading.marks.parts import PartSettings, Piece, find_parts, with_bare_ground
from chartscan.reading.marks.patches import OFF, Patches, cut_patches
from chartscan.reading.marks.plain import hang_together, reach_out, sort_fills
from chartscan.reading.marks.repeats import repeated_glyphs
from chartscan.reading.marks.rims import RimSettings, find_rims
from chartscan.reading.marks.templates.flat import lay_flat
from chartscan.reading.marks.templates.glyphs import shows_glyphs
from chartscan.reading.page.page import Page


@dataclass(frozen=True)
class MarkSettings:
    """How marks are looked for.

    Attributes:
        side: least and greatest number of samples along a cell; in between it is the pitch
            rounded up, so that no pixel is lost and whole-pixel pitches are taken as they are. The
            least will do for a look at how classes hang together.
        over: share of a cell's samples that differ from its fill, off the grid, from which on
            something lies over it.
        untold: cells with something over them that isn't accounted for, per cell length of lines,
            up to which what seems to be symbols is lines.
        fills, rims, parts, drawn: settings of the steps.
    """

    side: tuple[int, int] = (8, 24)
    over: float = 0.04
    untold: float = 0.02
    fills: FillSettings = field(default_factory=FillSettings)
    rims: RimSettings = field(default_factory=RimSettings)
    parts: PartSettings = field(default_factory=PartSettings)
    drawn: DrawSettings = field(default_factory=DrawSettings)


def search(
    page: Page,
    lattice: Lattice,
    given: Marks,
    tolerance: float,
    told: Told,
    settings: MarkSettings = MarkSettings(),
) -> Marks:
    """The marks over ``given`` cells; ``given`` itself where none are found, or symbols are.

    Args:
        page: the page.
        lattice: where its cells lie, of the same pitch both ways.
        given: the cells and classes as they were sorted, without marks.
        tolerance: difference (0..255) up to which two samples are one colour.
        told: what the stitcher says of the classes, should cells be sorted anew.
        settings: how marks are looked for.
    """
    cells, classes = given.cells, given.classes
    low, high = settings.side
    side = int(np.clip(np.ceil(max(lattice.pitch) - OFF), low, high))
    coarse = cut_patches(page, lattice, low)
    at_odds = not hang_together(coarse, cells, classes, tolerance, settings.fills)
    symbols = _is_symbol_chart(cells, classes)
    anew = at_odds or reach_out(coarse, cells, classes, tolerance)
    if symbols and not anew:
        return given
    if not symbols and any(entry.symbol is not None for entry in classes):
        symbols = shows_glyphs(lay_flat(page, lattice), given)
    if symbols and not anew:
        return given
    patches = cut_patches(page, lattice, side)
    if anew:
        found = sort_fills(patches, tolerance, settings.fills)
        named = None if found is None else name_classes(page, lattice, found, told)
        marks = named and _search(patches, named.cells, named.classes, tolerance, settings)
        sure = at_odds or (marks and _only_lines(marks, settings))
        if marks and sure and _keeps_glyphs(patches, given, marks, tolerance):
            everywhere = _places(np.ones(cells.shape, dtype=np.bool_))
            return replace(marks, settled=everywhere, anew=named)
    if symbols:
        return given
    marks = _search(patches, cells, classes, tolerance, settings)
    return marks if marks and _keeps_glyphs(patches, given, marks, tolerance) else given


def _search(
    patches: Patches,
    cells: NDArray[np.int32],
    classes: tuple[ChartClass, ...],
    tolerance: float,
    settings: MarkSettings,
) -> Marks | None:
    """The marks over ``cells``; None where they don't account for what lies over them."""
    fills = find_fills(patches, cells, tolerance, settings.fills)
    if fills is None:
        return None
    painted = paint(fills, patches.side)
    rims = find_rims(patches, fills, painted, settings.rims)
    if not any(classes[c].kind == "empty" for c in fills.classes):
        fills = with_bare_ground(patches, fills, painted, settings.parts)
    pieces, painted = find_parts(patches, fills, painted, settings.parts)
    ground = lay_ground(patches, fills, painted, rims)
    drawn = draw_all(patches, ground, fills.tolerance, settings.drawn)
    told, untold = _told(cells.shape, fills, ground, pieces, drawn, settings.over)
    least = settings.drawn.accounted * (told | untold).sum()  # else it was something else
    if told.sum() < least or not (pieces or drawn):
        return None
    return _assemble(cells, classes, fills, pieces, drawn, (told, untold))


def _keeps_glyphs(patches: Patches, before: Marks, after: Marks, tolerance: float) -> bool:
    """Whether no symbol was lost in cells that show a glyph which repeats.

    Told by their fills alone, the stitches of a chart in one ink are all bare ground.
    """
    signed, kept = _signed(before), _signed(after)
    lost = signed & ~kept
    return not (lost.any() and (lost & repeated_glyphs(patches, tolerance)).any())


def _signed(marks: Marks) -> Mask:
    """Cells whose class has a symbol, shape (rows, columns)."""
    symbol = np.array([entry.symbol is not None for entry in marks.classes], dtype=np.bool_)
    return np.asarray(symbol[marks.cells], dtype=np.bool_)


def _only_lines(marks: Marks, settings: MarkSettings) -> bool:
    """Whether lines account for all but a few of the cells with anything over them."""
    told = sum(line.length for line in marks.lines)
    return not marks.parts and len(marks.doubtful) <= settings.untold * told


def _is_symbol_chart(cells: NDArray[np.int32], classes: tuple[ChartClass, ...]) -> bool:
    """Whether most stitches are shown by a symbol that many cells share.

    Then what is drawn inside a cell is that, and no mark. Marks taken for symbols all differ.
    """
    counts = np.bincount(cells.ravel(), minlength=len(classes))
    stitches = [(int(counts[c.index]), c.symbol) for c in classes if c.kind == "stitch"]
    shared = sum(n for n, symbol in stitches if symbol is not None and n >= REPEATED)
    return 2 * shared > sum(n for n, _ in stitches)


def _told(
    shape: tuple[int, ...],
    fills: Fills,
    ground: Ground,
    pieces: tuple[Piece, ...],
    drawn: list[Drawn],
    least: float,
) -> tuple[Mask, Mask]:
    """Cells that a mark lies over, and cells with something else over them."""
    rows, columns = shape
    side = ground.left.shape[0] // rows
    by_cell = (rows, side, columns, side)
    told = np.zeros((rows, columns), dtype=np.bool_)
    body = np.zeros(ground.left.shape, dtype=np.bool_)
    for d in drawn:
        body |= d.body
    told |= body.reshape(by_cell).any(axis=(1, 3))
    for piece in pieces:
        told[piece.row, piece.column] = True
    inside = ~(fills.rim_y[:, None] | fills.rim_x)
    rest = (ground.left & inside & ~body).reshape(by_cell).sum(axis=(1, 3))
    return told, (rest > least * side**2) & ~told


def _assemble(
    cells: NDArray[np.int32],
    classes: tuple[ChartClass, ...],
    fills: Fills,
    pieces: tuple[Piece, ...],
    drawn: list[Drawn],
    told: tuple[Mask, Mask],
) -> Marks:
    """Number the classes anew and put everything in chart terms."""
    kept = list(classes)
    empty = next((c.index for c in classes if c.kind == "empty"), len(kept))
    if pieces and empty == len(kept):
        bare = fills.colours[fills.classes == -1]
        kept.append(ChartClass(empty, "empty", round_rgb(bare[0]) if len(bare) else WHITE))
    named = _freed(cells, fills, told[0] | told[1])
    for piece in pieces:
        named[piece.row, piece.column] = empty
    shown = [(p, int(fills.classes[p.fill])) for p in pieces]
    shown = [(p, c) for p, c in shown if c >= 0 and kept[c].kind != "empty"]
    used = sorted(set(np.unique(named).tolist()) | {c for _, c in shown})
    index = np.zeros(len(kept), dtype=np.int32)
    index[used] = np.arange(len(used))
    inked, lines, knots = in_chart_terms(drawn, len(used))
    return Marks(
        index[named],
        (*(replace(c, index=i) for i, c in enumerate(_named(kept, used, fills, drawn))), *inked),
        tuple(Part(p.row, p.column, p.shape, p.corner, int(index[c])) for p, c in shown),
        lines,
        knots,
        _places(told[1]),
        _places(told[0] & ~told[1]),
    )


def _places(cells: Mask) -> tuple[tuple[int, int], ...]:
    """(row, column) of each of the ``cells``."""
    return tuple((int(row), int(column)) for row, column in np.argwhere(cells))


def _named(
    classes: list[ChartClass], used: list[int], fills: Fills, drawn: list[Drawn]
) -> list[ChartClass]:
    """The classes in use; one named after the ink over most of its cells gets its fill's colour."""
    inks = [d.ink.colour for d in drawn]
    named = []
    for entry in (classes[c] for c in used):
        fill = fills.colours[fills.classes == entry.index]
        if entry.rgb is not None and len(fill):
            rgb = np.array(entry.rgb, dtype=np.float64)
            wrong = np.abs(rgb - fill[0]).max() > 2 * fills.tolerance
            if wrong and any(np.abs(rgb - ink).max() <= fills.tolerance for ink in inks):
                entry = replace(entry, rgb=round_rgb(fill[0]))
        named.append(entry)
    return named


def _freed(cells: NDArray[np.int32], fills: Fills, over: Mask) -> NDArray[np.int32]:
    """The cells, those with something ``over`` them in the class of their fill.

    A class that has no cell free of marks, and the colour of another, is that other one.
    """
    free = np.bincount(cells[~over], minlength=len(fills.given)) > 0
    settled = free[cells] & (fills.given[cells] == fills.cells)
    named = np.where(over & ~settled, fills.classes[fills.cells], cells)
    return named.astype(np.int32)
