"""What was found, in the terms of a chart: classes named anew, marks over them."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from chartscan.chart import ChartClass, Part
from chartscan.colour import srgb_to_lab
from chartscan.colour.contrast import WHITE
from chartscan.reading.cells.glyphs import BLANK, LEAST_INK
from chartscan.reading.classes.classify import Told, name_classes
from chartscan.reading.classes.sorting import Sight, Sorted
from chartscan.reading.lattice.model import Lattice
from chartscan.reading.marks.drawn import Drawn, in_chart_terms
from chartscan.reading.marks.fills import Mask
from chartscan.reading.marks.marks import Marks
from chartscan.reading.marks.patches import INKED, difference
from chartscan.reading.marks.templates.flat import Flat
from chartscan.reading.marks.templates.labels import Labels
from chartscan.reading.marks.templates.pieces import Pieces
from chartscan.reading.marks.templates.template import Template, grounds_of
from chartscan.reading.page.page import Page


@dataclass(frozen=True, eq=False)
class Found:
    """What the road found.

    Attributes:
        templates: the classes.
        labels: which of them each cell is.
        drawn: knots and runs, by ink.
        pieces: split cells.
        unread: cells that nothing explains, shape (n,).
    """

    templates: list[Template]
    labels: Labels
    drawn: list[Drawn]
    pieces: Pieces
    unread: Mask

    def over(self, flat: Flat) -> Mask:
        """Cells that a mark lies over, shape (n,)."""
        over = self.pieces.cells.copy()
        for drawn in self.drawn:
            over |= np.asarray(flat.by_cell(drawn.body), dtype=np.bool_).any(axis=(1, 2))
        return over

    @property
    def count(self) -> int:
        """How many lines, knots and split cells there are."""
        drawn = sum(len(one.runs.ends) + len(one.dots.places) for one in self.drawn)
        return drawn + int(self.pieces.cells.sum())


def as_marks(
    page: Page,
    lattice: Lattice,
    flat: Flat,
    found: Found,
    told: Told,
    sight: Sight | None,
) -> Marks:
    """Name the classes, the empty one among them, and number the marks' classes after them."""
    filled = sorted({p.fill for p in found.pieces.pieces if p.fill >= 0})
    which = _of_whole_cells(found, flat.shape[1], set(filled))
    count = np.bincount(which, minlength=len(found.templates))
    used = [k for k in range(len(count)) if count[k] or k in filled]
    order = sorted(used, key=lambda k: -count[k])
    rank = np.zeros(len(count), dtype=np.intp)
    rank[order] = np.arange(len(order))
    templates = [found.templates[k] for k in order]
    tied = found.labels.tied(flat) & ~found.pieces.cells
    unsure = found.unread | tied | found.pieces.open
    sorted_ = Sorted(
        rank[which].reshape(flat.shape),
        grounds_of(flat, templates).astype(np.float64),
        _symbols(flat, templates),
        unsure.reshape(flat.shape),
        _ink(flat, templates),
        sight=sight,
    )
    named = name_classes(page, lattice, sorted_, told)
    cells = named.cells.copy()
    index = {}
    for k in order:
        at = np.flatnonzero(which == k)
        if len(at):
            index[k] = int(named.cells.ravel()[at[0]])
    classes = named.classes
    empty = next((c.index for c in classes if c.kind == "empty"), len(classes))
    if found.pieces.pieces and empty == len(classes):  # no cell is bare but those that are split
        classes = (*classes, ChartClass(empty, "empty", WHITE))
    parts: list[Part] = []
    for p in found.pieces.pieces:
        cells[p.row, p.column] = empty
        if index.get(p.fill, empty) != empty:
            parts.append(Part(p.row, p.column, p.shape, p.corner, index[p.fill]))
    inked, lines, knots = in_chart_terms(found.drawn, len(classes))
    settled = tuple((int(r), int(c)) for r, c in np.ndindex(*flat.shape))
    return Marks(
        cells, (*classes, *inked), tuple(parts), lines, knots, named.doubtful, settled, named
    )


def _of_whole_cells(found: Found, columns: int, filled: set[int]) -> NDArray[np.intp]:
    """The class of each cell; one that only split cells are of is none, but that of a piece."""
    which = found.labels.which.copy()
    whole = np.bincount(which[~found.pieces.cells], minlength=len(found.templates)) > 0
    for piece in found.pieces.pieces:
        cell = piece.row * columns + piece.column
        if not whole[which[cell]] and which[cell] not in filled and piece.fill >= 0:
            which[cell] = piece.fill
    return which


def _ink(flat: Flat, templates: list[Template]) -> NDArray[np.float64]:
    """CIELAB lightness printed inside the cells of each, the root mean square over them: (n,)."""
    inside = srgb_to_lab(np.array([t.picture[flat.inner] for t in templates], dtype=np.float64))[
        ..., 0
    ]
    ground = srgb_to_lab(grounds_of(flat, templates).astype(np.float64))[:, :1]
    return np.asarray(np.sqrt(((inside - ground) ** 2).mean(axis=1)), dtype=np.float64)


def _symbols(flat: Flat, templates: list[Template]) -> NDArray[np.intp]:
    """A number for each template with a glyph, BLANK for the others."""
    symbols = np.full(len(templates), BLANK, dtype=np.intp)
    for k, (template, ground) in enumerate(
        zip(templates, grounds_of(flat, templates), strict=True)
    ):
        ink = difference(template.picture, ground) > INKED * flat.tolerance
        if ink[flat.inner].mean() > LEAST_INK:
            symbols[k] = symbols.max() + 1
    return symbols
