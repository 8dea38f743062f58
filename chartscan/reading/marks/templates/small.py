"""Small glyphs in the pieces of split cells: they tell which of several classes of one ground."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from chartscan.chart import Corner
from chartscan.reading.marks.fills import Mask
from chartscan.reading.marks.parts import Piece, piece_regions
from chartscan.reading.marks.patches import Samples, difference
from chartscan.reading.marks.templates.flat import Cells, Flat
from chartscan.reading.marks.templates.template import Template, ground_of, grounds_of

Floats = NDArray[np.float64]

_DIAGONALS: tuple[tuple[Corner, Corner], ...] = (
    ("top right", "bottom left"),
    ("top left", "bottom right"),
)


@dataclass(frozen=True)
class SmallSettings:
    """How the small glyph of a piece is told.

    Attributes:
        scales: how large it is beside the whole one; half a cell has no room for more.
        ink: tolerances by which a sample differs from the ground where it is inked.
        least: part of a piece that is inked at least for there to be a glyph.
        alike: least correlation with a glyph made small for it to be that one.
        ahead: how much more it must correlate than any other glyph for that to be sure.
        both: least correlation of either half of a cell, all of one ground, for it to be split.
        few: cells that a class was made of up to which they may be split, and alike by chance.
    """

    scales: tuple[float, ...] = (0.45, 0.5, 0.55, 0.6, 0.65)
    ink: float = 2.0
    least: float = 0.02
    alike: float = 0.5
    ahead: float = 0.06
    both: float = 0.65
    few: int = 12


def told_by_glyphs(
    flat: Flat,
    templates: list[Template],
    pieces: Sequence[Piece],
    open_to: Mask,
    same: float,
    settings: SmallSettings = SmallSettings(),
) -> tuple[tuple[Piece, ...], Mask]:
    """The pieces, each of the class whose glyph it shows, and the cells (n,) where that is open.

    Args:
        flat: the page laid flat.
        templates: the classes.
        pieces: of split cells, of any one class that has their ground.
        open_to: samples (n, side, side) off the grid lines.
        same: difference (0..255) up to which two grounds are one.
        settings: how a small glyph is told.
    """
    unsure = np.zeros(len(flat.cells), dtype=np.bool_)
    grounds = grounds_of(flat, templates)
    regions = piece_regions(flat.side)
    shrunk: dict[int, list[Floats]] = {}
    told = []
    for piece in pieces:
        rivals = _rivals(grounds, piece.fill, same)
        if len(rivals) < 2:
            told.append(piece)
            continue
        for k in rivals:
            if k not in shrunk:
                shrunk[k] = _made_small(_ink(flat, templates[k].picture, settings), settings)
        cell = piece.row * flat.shape[1] + piece.column
        region = regions[piece.shape, piece.corner] & open_to[cell]
        seen = _seen(flat, cell, grounds[piece.fill], region, settings)
        likeness = np.array([_likeness(seen, shrunk[k]) for k in rivals])
        best = int(likeness.argmax())
        second = float(np.delete(likeness, best).max())
        sure = likeness[best] >= max(settings.alike, second + settings.ahead)
        unsure[cell] |= not sure
        shown = likeness[best] >= settings.alike
        told.append(replace(piece, fill=rivals[best]) if shown else piece)
    return tuple(told), unsure


def split_on_one_ground(
    flat: Flat,
    templates: list[Template],
    which: Cells,
    odd: Mask,
    open_to: Mask,
    same: float,
    settings: SmallSettings = SmallSettings(),
) -> tuple[Piece, ...]:
    """The halves of cells that two classes of one ground share: two small glyphs tell them.

    ``which`` (n,) of the templates each cell is; the ``odd`` cells (n,) and those of small classes
    are looked at. For the rest see :func:`told_by_glyphs`.
    """
    grounds = grounds_of(flat, templates)
    few = np.array([template.count <= settings.few for template in templates], dtype=np.bool_)
    shrunk: dict[int, list[Floats]] = {}
    found: list[Piece] = []
    for cell in np.flatnonzero(odd | few[which]):
        ground = ground_of(flat, flat.cells[cell])
        near = np.abs(grounds - ground).max(axis=1) <= same
        near[which[cell]] &= not few[which[cell]]
        rivals = [int(k) for k in np.flatnonzero(near)]
        if len(rivals) < 2:
            continue
        for k in rivals:
            if k not in shrunk:
                shrunk[k] = _made_small(_ink(flat, templates[k].picture, settings), settings)
        glyphs = {k: shrunk[k] for k in rivals}
        found += _halves(flat, int(cell), ground, glyphs, open_to[cell], settings)
    return tuple(found)


def _halves(
    flat: Flat,
    cell: int,
    ground: Samples,
    glyphs: dict[int, list[Floats]],
    open_to: Mask,
    settings: SmallSettings,
) -> list[Piece]:
    """The two halves of a ``cell`` whose small ``glyphs`` (by class) tell them; none if none do."""
    regions = piece_regions(flat.side)
    row, column = divmod(cell, flat.shape[1])
    best = settings.both
    halves: list[Piece] = []
    for pair in _DIAGONALS:
        told: list[tuple[float, int]] = []
        for corner in pair:
            seen = _seen(flat, cell, ground, regions["triangle", corner] & open_to, settings)
            told.append(max((_likeness(seen, glyph), k) for k, glyph in glyphs.items()))
        least = min(likeness for likeness, _ in told)
        if told[0][1] != told[1][1] and least > best:
            best = least
            halves = [
                Piece(row, column, "triangle", corner, k)
                for corner, (_, k) in zip(pair, told, strict=True)
            ]
    return halves


def _rivals(grounds: Samples, fill: int, same: float) -> list[int]:
    """The numbers of the classes that have the ground of class ``fill``; none for bare ground."""
    if fill < 0:
        return []
    near = np.abs(grounds - grounds[fill]).max(axis=1) <= same
    return [int(k) for k in np.flatnonzero(near)]


def _ink(flat: Flat, picture: Samples, settings: SmallSettings) -> Floats:
    """How far each sample of a cell is off its ground, nought for what is none, (side, side)."""
    off = difference(picture, ground_of(flat, picture)).astype(np.float64)
    return np.where(flat.inner & (off > settings.ink * flat.tolerance), off, 0.0)


def _seen(flat: Flat, cell: int, ground: Samples, region: Mask, settings: SmallSettings) -> Floats:
    """The same of what is seen in the ``region`` of a cell."""
    off = difference(flat.cells[cell], ground).astype(np.float64)
    inked = region & (off > settings.ink * flat.tolerance)
    if inked.sum() < settings.least * region.sum():
        return np.zeros_like(off)
    return np.where(inked, off, 0.0)


def _made_small(ink: Floats, settings: SmallSettings) -> list[Floats]:
    """The glyph made small by each scale, cut to what is inked; none where it has no glyph."""
    from scipy import ndimage

    rows, columns = np.flatnonzero(ink.any(axis=1)), np.flatnonzero(ink.any(axis=0))
    if not len(rows):
        return []
    glyph = ink[rows[0] : rows[-1] + 1, columns[0] : columns[-1] + 1]
    return [
        ndimage.zoom(glyph, scale, order=1, grid_mode=True, mode="nearest")
        for scale in settings.scales
    ]


def _likeness(seen: Floats, glyphs: list[Floats]) -> float:
    """The best correlation of what is ``seen`` with one of the glyphs, wherever it lies: 0 to 1.

    All that is seen counts; what a glyph leaves unexplained makes it less alike.
    """
    from scipy import signal

    size = float(np.linalg.norm(seen))
    if not size:
        return 0.0
    best = 0.0
    for glyph in glyphs:
        norm = float(np.linalg.norm(glyph))
        if norm and min(np.subtract(seen.shape, glyph.shape)) >= 0:
            fit = signal.correlate(seen, glyph, mode="valid", method="direct")
            best = max(best, float(fit.max()) / (size * norm))
    return best
