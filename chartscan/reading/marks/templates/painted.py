"""The page painted with the pictures of its cells, and what is left over it."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from chartscan.reading.marks.fills import Fills, Mask
from chartscan.reading.marks.ground import Ground, lay_ground
from chartscan.reading.marks.patches import MIDDLE, Samples, difference
from chartscan.reading.marks.rims import RimSettings, find_rims
from chartscan.reading.marks.templates.flat import Flat
from chartscan.reading.marks.templates.labels import Labels
from chartscan.reading.marks.templates.pieces import Pieces, PieceSettings, find_pieces
from chartscan.reading.marks.templates.template import Template, grounds_of


@dataclass(frozen=True)
class PaintSettings:
    """How the grid lines are told from the pictures.

    Attributes:
        like: part of a column of samples that must have the colour of its cells' grounds; below
            it, a grid line is drawn there.
        rims, pieces: settings of the steps.
    """

    like: float = 0.85
    rims: RimSettings = RimSettings()
    pieces: PieceSettings = PieceSettings()


@dataclass(frozen=True, eq=False)
class Painted:
    """The page less its marks: the ground that marks are looked for on, and split cells.

    Attributes:
        fills: the ground colours as fills, of which part stitches are made.
        ground: the page as expected, and what is left.
        pieces: split cells.
    """

    fills: Fills
    ground: Ground
    pieces: Pieces


def paint_templates(
    flat: Flat, templates: list[Template], labels: Labels, settings: PaintSettings = PaintSettings()
) -> Painted:
    """Paint each cell with its template, its sides in the ground's colour; lay the grid over it.

    What the templates explain is taken away before the lines are fitted: lines and glyphs on them
    together would make a bold line an ink.
    """
    patches, side = flat.patches, flat.side
    which = labels.which.reshape(flat.shape)
    grounds = grounds_of(flat, templates)
    bare = np.repeat(np.repeat(grounds[which], side, axis=0), side, axis=1)
    pictures, spreads = _framed(flat, templates, grounds)
    painted = np.asarray(flat.whole(pictures[labels.which]), dtype=np.int16)
    spread = np.asarray(flat.whole(spreads[labels.which]), dtype=np.int16)
    rim_x, rim_y = _rims(flat, bare, settings)
    number = np.arange(len(templates))
    fills = Fills(
        grounds.astype(np.float64), number, number, which, rim_x, rim_y, flat.tolerance, False
    )
    off_lines = ~(rim_y[:, None] | rim_x)
    told = (difference(patches.pixels, painted) <= flat.tolerance + spread) & off_lines
    erased = replace(patches, pixels=np.where(told[..., None], bare, patches.pixels))
    rims = find_rims(erased, fills, bare, settings.rims)
    pieces = find_pieces(flat, fills, templates, labels, painted, settings.pieces)
    ground = lay_ground(patches, fills, pieces.painted, rims)
    if flat.soft:
        beyond = difference(patches.pixels, ground.expected) > flat.tolerance + spread
        ground = replace(ground, left=ground.left & beyond)
    return Painted(fills, ground, pieces)


def _framed(flat: Flat, templates: list[Template], grounds: Samples) -> tuple[Samples, Samples]:
    """The pictures with their sides in the ground's colour, and their spreads without them."""
    pictures = np.array([t.picture for t in templates], dtype=np.int16)
    spreads = np.array([t.spread for t in templates], dtype=np.int16)
    sides = ~flat.inner
    pictures[:, sides] = grounds[:, None]
    spreads[:, sides] = 0
    return pictures, spreads


def _rims(flat: Flat, bare: Samples, settings: PaintSettings) -> tuple[Mask, Mask]:
    """Columns and rows of samples that grid lines change: along the sides of cells only."""
    side = flat.side
    like = difference(flat.patches.pixels, bare) <= flat.tolerance
    grid = like.reshape(flat.shape[0], side, flat.shape[1], side)
    middle = flat.patches.offsets(*MIDDLE)
    at_side = np.minimum(np.arange(side), side - 1 - np.arange(side)) < flat.depth
    rim_x = (grid[:, middle].mean(axis=(0, 1)) < settings.like) & at_side
    rim_y = (grid[:, :, :, middle].mean(axis=(2, 3)) < settings.like) & at_side
    if flat.wide_x is None or flat.wide_y is None:
        return rim_x.ravel(), rim_y.ravel()
    return rim_x.ravel() | flat.wide_x, rim_y.ravel() | flat.wide_y
