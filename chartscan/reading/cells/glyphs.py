"""Whether symbols are printed in the cells, and where."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from chartscan.reading.cells.sampling import Cells, CellSettings, luma, rim_places, sample
from chartscan.reading.lattice.model import Lattice
from chartscan.reading.page.page import Page
from chartscan.reading.scale import LINES

BLANK = -1
LEAST_INK = 0.02  # part of a cell, or of a piece of one, that a glyph inks at least; less is dust
REPEATED = 12  # cells that show the same from which on it is a glyph; lines lie over few alike


@dataclass(frozen=True)
class GlyphSettings:
    """What counts as a glyph.

    Attributes:
        contrast: luma difference (0..255) from the ground from which on a place is inked.
        bare: part of the cells of the commonest ground that carry ink only where it is symbols.
        whole: part of the cells of one ground that carry ink where that ground has a symbol;
            backstitch and knots cross only some of them.
        common: part of all inked cells that such grounds must make up for a page of symbols.
        disc: part of the box around it that a disc fills at least; exactly it would be π/4.
        places: places along a cell at which it is seen whether ink keeps clear of the sides.
        speck: scatter within a cell, as a multiple of the usual one and in levels, that nothing
            but a glyph, mark or speck makes.
        shades: levels that grounds taken together may differ by.
        faint: levels, and standard deviations of the mean, by which its places may then differ.
    """

    contrast: float = 40.0
    bare: float = 0.25
    whole: float = 0.85
    common: float = 0.3
    disc: float = 0.7
    places: int = 16
    speck: tuple[float, float] = (4.0, 14.0)
    shades: int = 24
    faint: tuple[float, float] = (3.0, 6.0)


def inked_cells(cells: Cells, settings: GlyphSettings = GlyphSettings()) -> NDArray[np.bool_]:
    """Cells with something printed on their ground, shape (rows, columns)."""
    if cells.ink.shape[2] <= CellSettings.per_side[0]:  # so few places show no glyph
        return np.zeros(cells.ink.shape[:2], dtype=bool)
    inside = cells.ink[:, :, 1:-1, 1:-1]  # soft edges of the neighbours reach the rim
    inked = (np.abs(inside) >= settings.contrast).mean(axis=(2, 3))
    return np.asarray(inked > LEAST_INK, dtype=np.bool_)


def has_symbols(
    grounds: NDArray[np.intp],
    inked: NDArray[np.bool_],
    settings: GlyphSettings = GlyphSettings(),
) -> bool:
    """Whether ink is symbols, which stand in every cell of a kind, and not marks, which don't.

    Args:
        grounds: number of each cell's ground colour, shape (rows, columns).
        inked: cells with something printed on them, same shape.
        settings: what counts as a glyph.
    """
    if not inked.any():
        return False
    number = np.bincount(grounds.ravel())
    filled = np.bincount(grounds.ravel(), weights=inked.ravel())
    if len(number) == 1:
        return True
    if filled[number.argmax()] >= settings.bare * number.max():
        return True
    whole = filled >= settings.whole * number
    coloured = np.delete(number, number.argmax()).sum()
    if coloured < LEAST_INK * grounds.size:
        return True  # one ink on bare paper
    return bool(filled[whole].sum() >= settings.common * filled.sum())


def is_bare(cells: Cells, settings: GlyphSettings = GlyphSettings()) -> bool:
    """Whether no cell of a noisy page shows anything but its ground.

    A glyph makes its cell stand out by its own scatter; a faint one the mean of the cells of one
    ground, in which noise goes under.
    """
    if cells.ink.shape[2] <= CellSettings.per_side[0]:
        return False
    inner = cells.ink[:, :, 1:-1, 1:-1].reshape(cells.ink.shape[0] * cells.ink.shape[1], -1)
    scatter = inner.std(axis=1)
    usual = float(np.median(scatter))
    part, least = settings.speck
    if scatter.max() > max(part * usual, least):
        return False
    shade = cells.ground.reshape(-1, 3) // settings.shades
    number = np.unique(shade @ (1, 256, 256**2), return_inverse=True)[1]
    count = np.bincount(number)
    means = np.stack([np.bincount(number, weights=place) / count for place in inner.T], axis=1)
    least, part = settings.faint
    told = count >= REPEATED
    return bool((np.ptp(means, axis=1) <= least + part * usual / np.sqrt(count))[told].all())


def stands_free(
    page: Page,
    lattice: Lattice,
    inked: NDArray[np.bool_],
    settings: GlyphSettings = GlyphSettings(),
) -> bool:
    """Whether the ink in most ``inked`` cells (rows, columns) keeps clear of their sides.

    Glyphs do, however few cells have any; backstitch and part stitches reach the sides, and knots
    are discs. Beside bold lines they don't seem to: some two of five cells.
    """
    if np.count_nonzero(inked) < REPEATED:
        return False
    side = settings.places
    shades = luma(sample(page, lattice, side, LINES)[inked])
    ring = rim_places(side)
    ground = np.median(shades[:, ring], axis=1)
    ink = np.abs(shades - ground[:, None, None]) >= settings.contrast
    free = ink[~ink[:, ring].any(axis=1) & ink.any(axis=(1, 2))]
    glyphs = sum(not is_disc(shape, settings.disc) for shape in free)
    return glyphs >= max(REPEATED, np.count_nonzero(inked) / 2)


def is_disc(shape: NDArray[np.bool_], most: float = GlyphSettings.disc) -> bool:
    """Whether a shape fills the box around it as a disc does, more than ``most`` and gapless.

    So does a French knot, drawn in the middle of a cell.
    """
    rows, columns = np.flatnonzero(shape.any(axis=1)), np.flatnonzero(shape.any(axis=0))
    box = shape[rows[0] : rows[-1] + 1, columns[0] : columns[-1] + 1]
    starts = [np.diff(np.pad(way.astype(np.int8), ((0, 0), (1, 0)))) > 0 for way in (box, box.T)]
    gapless = all((start.sum(axis=1) == 1).all() for start in starts)
    return gapless and float(box.mean()) > most
