"""Colour that lossy coding smears over grid lines: the same wherever the same fills meet."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from chartscan.reading.marks.patches import Samples
from chartscan.reading.marks.rims import Rims


@dataclass(frozen=True)
class SmearSettings:
    """How smears are pooled.

    Attributes:
        least: places along grid lines where the same fills meet, from which on they tell.
        bold: levels (0..255) by which a bold line is darker than the usual one.
        own: levels by which a line may differ from all others where the same fills meet.
        middle: part of each cell, from where to where along the line, that is looked at.
    """

    least: int = 8
    bold: float = 30.0
    own: float = 90.0
    middle: tuple[float, float] = (0.2, 0.8)


def with_smear(
    expected: Samples,
    pixels: Samples,
    rims: Rims,
    cells: NDArray[np.intp],
    side: int,
    settings: SmearSettings = SmearSettings(),
) -> Samples:
    """``expected`` of upright lines (height, n, 3) and what coding usually adds to it there.

    Coding keeps colour more coarsely than light, so that a line between two fills takes on theirs,
    which no blend of line and fills describes. ``cells``: the fill of each cell.
    """
    rows, columns = cells.shape
    low, high = (int(part * side) for part in settings.middle)
    there = pixels[:, rims.where].reshape(rows, side, -1, 3)[:, low:high]
    seen = np.median(there, axis=1)
    off = np.median(there - expected.reshape(rows, side, -1, 3)[:, low:high], axis=1)
    left = cells[:, np.clip(rims.line - 1, 0, columns - 1)]
    right = cells[:, np.clip(rims.line, 0, columns - 1)]
    many = int(cells.max()) + 1
    kind = rims.where - rims.line * side
    key = ((kind - kind.min()) * many + left) * many + right
    lighter = (seen - _pooled(seen, key, 1)).mean(axis=2)
    bold = np.abs(np.median(lighter, axis=0)) > settings.bold
    added = _pooled(off, key * 2 + bold, settings.least)
    # Beyond that, how lines lie to the blocks of the coding; a long mark differs by more.
    lines = int(rims.line.max()) + 1
    own = _pooled(off, key * lines + rims.line, settings.least)
    little = np.minimum(np.abs(own).max(axis=2), np.abs(own - added).max(axis=2)) <= settings.own
    added = np.where((little & own.any(axis=2))[..., None], own, added)
    wide = np.repeat(np.rint(added), side, axis=0).astype(np.int16)
    return np.asarray(np.clip(expected + wide, 0, 255), dtype=np.int16)


def _pooled(values: NDArray[np.float64], key: NDArray[np.intp], least: int) -> NDArray[np.float64]:
    """The median of all values (rows, n, 3) of the same key (rows, n), 0 if under ``least``."""
    _, group, count = np.unique(key.ravel(), return_inverse=True, return_counts=True)
    first = np.cumsum(count) - count
    result = np.zeros_like(values)
    for channel in range(values.shape[2]):
        every = values[..., channel].ravel()
        ordered = every[np.lexsort((every, group))]  # those of a key together, the least first
        middle = (ordered[first + (count - 1) // 2] + ordered[first + count // 2]) / 2
        result[..., channel] = np.where(count >= least, middle, 0)[group].reshape(key.shape)
    return result
