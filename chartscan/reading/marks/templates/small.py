"""Small glyphs in the pieces of split cells: they tell which of several classes of one ground."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cache

import numpy as np
from numpy.typing import NDArray

from chartscan.chart import Corner
from chartscan.reading.cells.glyphs import LEAST_INK
from chartscan.reading.marks.fills import Mask
from chartscan.reading.marks.parts import Piece, piece_regions
from chartscan.reading.marks.patches import INKED, Samples, difference
from chartscan.reading.marks.templates.flat import Cells, Flat
from chartscan.reading.marks.templates.shrunk import Small, likeness, made_small, together
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
        alike: least correlation with a glyph made small for it to be that one.
        ahead: how much more it must correlate than any other glyph for that to be sure.
        both: least correlation of either half of a cell, all of one ground, for it to be split.
        few: cells that a class was made of up to which they may be split, and alike by chance.
    """

    scales: tuple[float, ...] = (0.45, 0.5, 0.55, 0.6, 0.65)
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
    shrunk = _Shrunk(flat, templates, settings)
    told = []
    for piece in pieces:
        rivals = _rivals(grounds, piece.fill, same)
        if len(rivals) < 2:
            told.append(piece)
            continue
        cell = piece.row * flat.shape[1] + piece.column
        region = regions[piece.shape, piece.corner] & open_to[cell]
        seen = _seen(flat, cell, grounds[piece.fill], region)
        alike = likeness(seen, shrunk.of(rivals))
        best = int(alike.argmax())
        second = float(np.delete(alike, best).max())
        sure = alike[best] >= max(settings.alike, second + settings.ahead)
        unsure[cell] |= not sure
        shown = alike[best] >= settings.alike
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
    shrunk = _Shrunk(flat, templates, settings)
    found: list[Piece] = []
    for cell in np.flatnonzero(odd | few[which]):
        ground = ground_of(flat, flat.cells[cell])
        near = np.abs(grounds - ground).max(axis=1) <= same
        near[which[cell]] &= not few[which[cell]]
        rivals = [int(k) for k in np.flatnonzero(near)]
        if len(rivals) < 2:
            continue
        glyphs = shrunk.of(rivals)
        found += _halves(flat, int(cell), ground, rivals, glyphs, open_to[cell], settings)
    return tuple(found)


def _halves(
    flat: Flat,
    cell: int,
    ground: Samples,
    rivals: list[int],
    glyphs: Small,
    open_to: Mask,
    settings: SmallSettings,
) -> list[Piece]:
    """The halves of a ``cell`` that small ``glyphs`` of the ``rivals`` tell; none if none do."""
    regions = piece_regions(flat.side)
    row, column = divmod(cell, flat.shape[1])
    best = settings.both
    halves: list[Piece] = []
    for pair in _DIAGONALS:
        told: list[tuple[float, int]] = []
        for corner in pair:
            seen = _seen(flat, cell, ground, regions["triangle", corner] & open_to)
            told.append(max(zip(likeness(seen, glyphs).tolist(), rivals, strict=True)))
            if told[-1][0] <= best:
                break  # whatever the other half is like
        least = min(alike for alike, _ in told)
        if len(told) == len(pair) and told[0][1] != told[1][1] and least > best:
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


def _ink(flat: Flat, picture: Samples) -> Floats:
    """How far each sample of a cell is off its ground, nought for what is none, (side, side)."""
    off = difference(picture, ground_of(flat, picture)).astype(np.float64)
    return np.where(flat.inner & (off > INKED * flat.tolerance), off, 0.0)


def _seen(flat: Flat, cell: int, ground: Samples, region: Mask) -> Floats:
    """The same of what is seen in the ``region`` of a cell."""
    off = difference(flat.cells[cell], ground).astype(np.float64)
    inked = region & (off > INKED * flat.tolerance)
    if inked.sum() < LEAST_INK * region.sum():
        return np.zeros_like(off)
    return np.where(inked, off, 0.0)


class _Shrunk:
    """Small glyphs of classes as they are asked for, each made once."""

    def __init__(self, flat: Flat, templates: list[Template], settings: SmallSettings) -> None:
        @cache
        def one(k: int) -> Small:
            return made_small(_ink(flat, templates[k].picture), settings.scales)

        @cache
        def several(numbers: tuple[int, ...]) -> Small:
            return together([one(k) for k in numbers])

        self._several = several

    def of(self, numbers: list[int]) -> Small:
        """Those of some classes, by their numbers."""
        return self._several(tuple(numbers))
