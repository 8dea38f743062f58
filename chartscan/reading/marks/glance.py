"""A first look at a page: whether anything at all could lie over its cells."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from chartscan.reading.cells.sampling import meshed
from chartscan.reading.lattice.model import Lattice
from chartscan.reading.marks.fills import FillSettings, Mask, plain_cells
from chartscan.reading.marks.patches import (
    MIDDLE,
    Patches,
    Samples,
    cut_patches,
    difference,
    is_square,
    pixel_columns,
    pixel_rows,
)
from chartscan.reading.page.page import Page

_SIDE = 7
"""Samples along a cell, one of them in its middle, where a line may run; lines along its sides are
looked for apart."""

_RINGING = 40.0
"""Levels by which lossy coding changes a sample beside a line, at most; marks change theirs more,
except in cells smaller than a block of the coding."""

_LARGE = 16.0
"""Pixels per cell from which on cells are larger than such a block."""

_SMEARED = 4.0
"""Tolerances by which samples along the sides of a cell may be off its colour on a page that was
scaled: up to 16 levels were, the tolerance being 5. An ink that differs less is no ink of marks."""

_ALONG = (0.2, 0.4, 0.6, 0.8)
"""Where along each edge of a cell the grid line is looked at."""


def is_bare(
    page: Page,
    lattice: Lattice,
    cells: NDArray[np.int32],
    tolerance: float,
    settings: FillSettings = FillSettings(),
) -> bool:
    """Whether every cell is one colour and every grid line runs on unchanged, as without marks.

    Costs a tenth of the full search. False is no proof of marks: any unevenness makes it so.
    """
    if not is_square(lattice):
        return False
    if not page.lossless and min(lattice.pitch) >= _LARGE:
        tolerance = max(tolerance, _RINGING)
    patches = cut_patches(page, lattice, _SIDE)
    middle = patches.by_cell(patches.offsets(*MIDDLE))[:, :, 0]
    if not _plain(patches, middle, tolerance, page.lossless, settings).all():
        return False
    along_x = pixel_columns(page, lattice, _between(lattice.columns))
    along_y = pixel_rows(page, lattice, _between(lattice.rows))
    line_x = _beside(pixel_columns(page, lattice, np.arange(lattice.columns + 1.0)), page.size[0])
    line_y = _beside(pixel_rows(page, lattice, np.arange(lattice.rows + 1.0)), page.size[1])
    amid_x = pixel_columns(page, lattice, np.arange(0.5, lattice.columns))
    amid_y = pixel_rows(page, lattice, np.arange(0.5, lattice.rows))
    upright, between_x = (meshed(page, along_y, x).astype(np.int16) for x in (line_x, amid_x))
    level, between_y = (
        meshed(page, y, along_x).astype(np.int16).swapaxes(0, 1) for y in (line_y, amid_y)
    )
    return _unchanged(upright, between_x, cells, tolerance) and _unchanged(
        level, between_y, cells.T, tolerance
    )


def _plain(
    patches: Patches, middle: Samples, tolerance: float, lossless: bool, settings: FillSettings
) -> Mask:
    """Which cells are of one colour, what scaling leaves along their sides aside: (rows, columns).

    A mark that lies there lies on the line as well, or fills a corner.
    """
    rim_x, rim_y, plain = plain_cells(patches, middle, tolerance, settings)
    row, column = np.nonzero(~plain)
    if not lossless or not len(row):
        return plain
    allowed = np.full((_SIDE, _SIDE), _SMEARED * tolerance)
    allowed[1:-1, 1:-1] = tolerance
    seen = patches.pixels.reshape(patches.rows, _SIDE, patches.columns, _SIDE, 3)[row, :, column]
    off = difference(seen, np.broadcast_to(middle[row, column][:, None, None], seen.shape))
    lines = rim_y.reshape(-1, _SIDE)[row][:, :, None] | rim_x.reshape(-1, _SIDE)[column][:, None]
    plain[row, column] = ((off <= allowed) | lines).all(axis=(1, 2))
    return plain


def _between(cells: int) -> NDArray[np.float64]:
    """The places along a grid line that are looked at, in cells."""
    places: NDArray[np.float64] = (np.arange(cells)[:, None] + np.array(_ALONG)).ravel()
    return places


def _beside(pixels: NDArray[np.intp], size: int) -> NDArray[np.intp]:
    """The pixels on a grid line and next to it, three a line."""
    near = pixels[:, None] + np.array([-1, 0, 1])
    inside: NDArray[np.intp] = np.clip(near, 0, size - 1).ravel()
    return inside


def _crossed(
    seen: NDArray[np.int16], amid: NDArray[np.int16], tolerance: float
) -> NDArray[np.bool_]:
    """Places where a frame or a bold line lies across all vertical lines: (places,).

    There the page is of one colour all the way over, on the lines and ``amid`` the cells, but for
    the outer lines, which may be of another.
    """
    if amid.shape[1] <= 1:
        return np.zeros(len(seen), dtype=np.bool_)
    over = np.concatenate([seen[:, 3:-3], amid], axis=1)
    return np.asarray((difference(over, over[:, :1]) <= tolerance).all(axis=1), dtype=np.bool_)


def _unchanged(
    seen: NDArray[np.int16],
    amid: NDArray[np.int16],
    cells: NDArray[np.int32],
    tolerance: float,
) -> bool:
    """Whether vertical lines look the same wherever the cells on both sides stay the same.

    ``seen`` is (places along the line, three a line, 3), ``amid`` the same of one in each cell.
    """
    open_ = ~_crossed(seen, amid, tolerance)
    row = np.flatnonzero(open_) // len(_ALONG)
    seen = seen[open_]
    apart = difference(seen[1:], seen[:-1]) > tolerance
    padded = np.pad(cells, ((0, 0), (1, 1)), constant_values=-1)
    sides = np.stack([padded[:, :-1], padded[:, 1:]], axis=-1)
    same = (sides[row[1:]] == sides[row[:-1]]).all(axis=-1)
    return not bool((apart & np.repeat(same, 3, axis=1)).any())
