"""Whether symbols are printed in the cells, and where."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from chartscan.reading.cells import Cells

BLANK = -1


@dataclass(frozen=True)
class GlyphSettings:
    """What counts as a glyph.

    Attributes:
        contrast: luma difference (0..255) from the ground from which on a place is inked.
        inked: part of a cell's places that must be inked for a glyph; dust is smaller.
        least_side: places along a cell below which no glyph can be made out.
        bare: part of the cells of the commonest ground that carry ink only where it is symbols.
        whole: part of the cells of one ground that carry ink where that ground has a symbol;
            backstitch and knots cross only some of them.
        common: part of all inked cells that such grounds must make up for a page of symbols.
    """

    contrast: float = 40.0
    inked: float = 0.025
    least_side: int = 4
    bare: float = 0.25
    whole: float = 0.85
    common: float = 0.3


def inked_cells(cells: Cells, settings: GlyphSettings = GlyphSettings()) -> NDArray[np.bool_]:
    """Cells with something printed on their ground, shape (rows, columns)."""
    if cells.ink.shape[2] < settings.least_side:
        return np.zeros(cells.ink.shape[:2], dtype=bool)
    inside = cells.ink[:, :, 1:-1, 1:-1]  # soft edges of the neighbours reach the rim
    result: NDArray[np.bool_] = (np.abs(inside) >= settings.contrast).mean(
        axis=(2, 3)
    ) >= settings.inked
    return result


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
    if coloured < settings.inked * grounds.size:
        return True  # one ink on bare paper
    return bool(filled[whole].sum() >= settings.common * filled.sum())
