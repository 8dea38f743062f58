"""A lattice that was found, made to fit the size that the stitcher tells.

What is found may be every second line or every block of ten, halves of cells, or a row too many or
too few. The size tells which of these it was, the lines on the page where it lies.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from chartscan.reading.lattice.axis import Axis
from chartscan.reading.lattice.edges import find_edges
from chartscan.reading.lattice.extent import Extent, Sides
from chartscan.reading.lattice.fine import fine
from chartscan.reading.lattice.model import Lattice
from chartscan.reading.lattice.rectified import line_evidence, sides_of
from chartscan.reading.lattice.refine import refined
from chartscan.reading.lattice.straight import StraightSettings, side_cover
from chartscan.reading.lattice.views import Views
from chartscan.reading.page.page import Page
from chartscan.reading.scale import BOLD, LEAST_PITCH

Look = Callable[[Lattice, Extent], Sides]
"""How much of the sides of a lattice's cells, within it or beyond, a page shows."""


@dataclass(frozen=True)
class SizedSettings:
    """How far what was found may lie from what is told.

    Attributes:
        aside: how many rows or columns farther on, at either end, it is looked for.
        drawn: part of the outermost sides that must be drawn, as a part of what typical lines show.
        beyond: what lies beyond may show of that at most; where it shows more, the grid goes on.
        between: what lines between those of the coarser of two grids show, as a part of what those
            show: at least, for the grid to be the finer one, or at most for it to be the coarser.
    """

    aside: int = 2
    drawn: float = 0.3
    beyond: float = 0.6
    between: float = 0.8


def sized(
    page: Page,
    lattice: Lattice,
    size: tuple[int, int],
    settings: SizedSettings = SizedSettings(),
) -> Lattice | None:
    """The lattice of ``size`` (columns, rows) that ``lattice`` is part of; None where none is.

    Args:
        page: the page.
        lattice: what was found on it.
        size: what is told.
        settings: how far the two may lie apart.
    """
    look = _by_edges(page) if lattice.straight else _by_lines(page)
    places = [
        (place, scaled)
        for scaled in _scales(look, lattice, size, settings)
        if (place := _place(look, scaled, size, settings)) is not None
    ]
    if not places:
        return None
    place, scaled = max(places, key=lambda found: found[0].shown)
    fitted = scaled.cut(place.left, place.top, *size)
    return fitted if lattice.straight else refined(Views.at(page, "luma").grey, fitted).lattice


# ---------------------------------------------------------------------------- looking


def _by_edges(page: Page) -> Look:
    """Sides as a page shows them that lies straight: what runs along them as an edge."""
    most = StraightSettings().rows_sampled[-1]
    across = find_edges(page.pixels, most, lossless=page.lossless)
    down = find_edges(page.pixels.swapaxes(0, 1), most, lossless=page.lossless)

    def look(lattice: Lattice, region: Extent) -> Sides:
        h = lattice.homography
        x, y = (Axis(float(h[k, 2]), float(h[k, k]), 1.0, 1.0, 1.0) for k in (0, 1))
        upright = side_cover(across, x, y)
        level = side_cover(down, y, x).T
        left = round((x.lines(across.length)[0] - x.origin) / x.pitch)
        top = round((y.lines(down.length)[0] - y.origin) / y.pitch)
        moved = Extent(
            region.left - left, region.right - left, region.top - top, region.bottom - top
        )
        return Sides(
            _part(upright, (moved.top, moved.bottom), (moved.left, moved.right + 1)),
            _part(level, (moved.top, moved.bottom + 1), (moved.left, moved.right)),
        )

    return look


def _part(
    values: NDArray[np.float64], rows: tuple[int, int], columns: tuple[int, int]
) -> NDArray[np.float64]:
    """The values of some rows and columns; nought for those that there aren't."""
    wide = [
        (max(0, -first), max(0, end - n))
        for (first, end), n in zip((rows, columns), values.shape, strict=True)
    ]
    padded = np.pad(values, wide)
    (top, bottom), (left, right) = (
        (first + before, end + before)
        for (first, end), (before, _) in zip((rows, columns), wide, strict=True)
    )
    return padded[top:bottom, left:right]


def _by_lines(page: Page) -> Look:
    """Sides as any other page shows them: how line-like it is along them."""
    views = Views.at(page, "luma")

    def look(lattice: Lattice, region: Extent) -> Sides:
        factor = fine(lattice)
        return sides_of(line_evidence(views.grey(factor), lattice.scaled(1 / factor), region))

    return look


# ---------------------------------------------------------------------------- scales


def _scales(
    look: Look, lattice: Lattice, size: tuple[int, int], settings: SizedSettings
) -> Iterator[Lattice]:
    """The lattice as it is, in finer and in coarser cells, where that makes it about as large.

    As it is, half of the rows, or columns, may have been left out, or as many taken in.
    """
    found = np.array([lattice.columns, lattice.rows])
    if (np.abs(found - size) <= 0.5 * np.array(size)).all():
        yield lattice
    for times in range(2, max(BOLD) + 1):
        # Of a block that is cut off by the end of the grid nothing may have been found.
        finer = lattice.in_cells(1 / times)
        near = (np.abs(found * times - size) <= times + settings.aside).all()
        if near and min(finer.pitch) >= LEAST_PITCH:
            phases = _phases(look, finer, times)
            if (phases >= settings.between * phases[:, :1]).all():
                yield finer
        if (np.abs(found // times - size) <= 1 + settings.aside).all():
            phases = _phases(look, lattice, times)
            if (phases.min(axis=1) <= settings.between * phases.max(axis=1)).all():
                left, top = (int(k) for k in phases.argmax(axis=1))
                columns, rows = (int(n) for n in (found - (left, top)) // times * times)
                yield lattice.cut(left, top, columns, rows).in_cells(times)


def _phases(look: Look, lattice: Lattice, times: int) -> NDArray[np.float64]:
    """What every ``times``-th line shows, from each of the first ones on: shape (2, times)."""
    sides = look(lattice, Extent(0, lattice.columns, 0, lattice.rows))
    lines = (sides.upright.mean(axis=0), sides.level.mean(axis=1))
    return np.array([[line[k::times].mean() for k in range(times)] for line in lines])


# ---------------------------------------------------------------------------- place


class _Place(NamedTuple):
    """Where on a lattice the rectangle lies: its first cell, and how much of its lines is shown."""

    left: int
    top: int
    shown: float


def _place(
    look: Look, lattice: Lattice, size: tuple[int, int], settings: SizedSettings
) -> _Place | None:
    """Where on the lattice the rectangle of ``size`` lies that shows most of its lines.

    None where its outer lines aren't drawn, or lines go on beyond them.
    """
    columns, rows = size
    x = max(columns - lattice.columns, 0) + settings.aside
    y = max(rows - lattice.rows, 0) + settings.aside
    region = Extent(-x - 1, lattice.columns + x + 1, -y - 1, lattice.rows + y + 1)
    sides = look(lattice, region)
    shown = _shown(sides, size)[1:-1, 1:-1]  # a row and a column beyond are looked at, too
    top, left = (int(k) for k in np.unravel_index(shown.argmax(), shown.shape))
    extent = Extent(left + 1, left + 1 + columns, top + 1, top + 1 + rows)
    if not _ends_there(sides, extent, settings):
        return None
    return _Place(left - x, top - y, float(shown[top, left]))


def _shown(sides: Sides, size: tuple[int, int]) -> NDArray[np.float64]:
    """Mean of the sides of each rectangle of ``size``, by its top row and left column."""
    columns, rows = size
    upright = _sums(sides.upright, rows, columns + 1)
    level = _sums(sides.level, rows + 1, columns)
    return (upright + level) / (rows * (columns + 1) + (rows + 1) * columns)


def _sums(values: NDArray[np.float64], rows: int, columns: int) -> NDArray[np.float64]:
    """Sum of every rectangle of ``rows`` × ``columns`` values."""
    total = np.pad(values, ((1, 0), (1, 0))).cumsum(axis=0).cumsum(axis=1)
    tall = total[rows:] - total[:-rows]
    whole: NDArray[np.float64] = tall[:, columns:] - tall[:, :-columns]
    return whole


def _ends_there(sides: Sides, extent: Extent, settings: SizedSettings) -> bool:
    """Whether the grid shows out to each side of ``extent``, and much less beyond."""
    columns, rows = slice(extent.left, extent.right), slice(extent.top, extent.bottom)
    ways = (
        (sides.level[:, columns].mean(axis=1), sides.upright[:, columns].mean(axis=1)),
        (sides.upright[rows].mean(axis=0), sides.level[rows].mean(axis=0)),
    )
    ends = ((extent.top, extent.bottom), (extent.left, extent.right))
    for (lines, across), (first, end) in zip(ways, ends, strict=True):
        for line, cell, out in ((first, first, -1), (end, end - 1, 1)):
            inside = (lines[line] + across[cell]) / 2
            beyond = max(lines[line + out], across[cell + out])
            if inside < settings.drawn or beyond > settings.beyond * inside:
                return False
    return True
