"""Frames and bold lines that reach farther into their cells than other grid lines do."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from chartscan.reading.marks.fills import Mask
from chartscan.reading.marks.templates.flat import Flat


@dataclass(frozen=True)
class WideSettings:
    """What is a wide line.

    Attributes:
        reach: part of the cell that a line may cover from its side.
        off: part of the samples along the side of a cell that are off the cell's class there.
        cells: part of the cells along the line in which they must be; a mark that runs along so
            much of a line would be taken for it.
        least: cells along it that must be of a sure class.
    """

    reach: float = 0.3
    off: float = 0.8
    cells: float = 0.8
    least: int = 4


def without_wide_lines(
    flat: Flat, off: Mask, sure: Mask, settings: WideSettings = WideSettings()
) -> Flat:
    """The page with wide lines taken out of what is compared.

    Args:
        flat: the page laid flat.
        off: samples that are off the picture of their class, shape (n, side, side).
        sure: cells whose class is sure, shape (n,).
        settings: what is a wide line.
    """
    rows, columns = flat.shape
    grid = off.reshape(rows, columns, flat.side, flat.side)
    known = sure.reshape(rows, columns)
    wide_y = _wide(grid, known, flat.depth, settings)
    wide_x = _wide(grid.transpose(1, 0, 3, 2), known.T, flat.depth, settings)
    if not wide_x.any() and not wide_y.any():
        return flat
    return replace(flat, wide_x=wide_x.ravel(), wide_y=wide_y.ravel())


def _wide(grid: Mask, known: Mask, depth: int, settings: WideSettings) -> Mask:
    """Which rows of samples are off in nearly all cells of a row: (rows, side).

    From the depth of other lines on inwards, without a gap.
    """
    side = grid.shape[2]
    along: Mask = grid[..., depth : side - depth].mean(axis=3) >= settings.off
    number = known.sum(axis=1)
    share = (along & known[..., None]).sum(axis=1) / np.maximum(number, 1).reshape(-1, 1)
    off: Mask = (share >= settings.cells) & (number >= settings.least)[:, None]
    reach = max(depth, int(settings.reach * side))
    wide = np.zeros_like(off)
    wide[:, depth:reach] = np.logical_and.accumulate(off[:, depth:reach], axis=1)
    back = off[:, ::-1][:, depth:reach]
    wide[:, ::-1][:, depth:reach] |= np.logical_and.accumulate(back, axis=1)
    return wide
