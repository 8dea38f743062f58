"""How far the grid reaches: the rectangle of cells whose sides are drawn."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from chartscan.reading.filters import median, quantile

TYPICAL = 0.75  # quantile of what lines show that stands for a line of the chart


@dataclass(frozen=True)
class ExtentSettings:
    """What counts as a gridded cell.

    Attributes:
        side: part of a cell side that must be an edge for the side to count as drawn.
        ends: part of the usual share of drawn sides that the outermost rows must have.
        frame: part of an outermost line that must be drawn to take in rows up to it.
        reach: how many rows such an outermost line may lie away; farther only where both outermost
            lines of the other direction go on to it as clearly.
        inner: part of the lines between those two that must be drawn within reach: whole cells
            show some, while those cut narrow by the edge of a board show none.
    """

    side: float = 0.6
    ends: float = 0.6
    frame: float = 0.7
    reach: int = 4
    inner: float = 0.05


@dataclass(frozen=True, eq=False)
class Sides:
    """How much of every cell side is an edge, 0 to 1.

    Attributes:
        upright: left and right sides, shape (rows, columns + 1).
        level: upper and lower sides, shape (rows + 1, columns).
    """

    upright: NDArray[np.float64]
    level: NDArray[np.float64]

    def within(self, extent: Extent) -> Sides:
        """The sides of the cells of ``extent`` alone."""
        rows, columns = slice(extent.top, extent.bottom), slice(extent.left, extent.right)
        return Sides(
            self.upright[rows, extent.left : extent.right + 1],
            self.level[extent.top : extent.bottom + 1, columns],
        )


@dataclass(frozen=True)
class Extent:
    """Cells [``top``, ``bottom``) × [``left``, ``right``) of a lattice, or beyond it."""

    left: int
    right: int
    top: int
    bottom: int

    @property
    def columns(self) -> int:
        """Number of columns."""
        return self.right - self.left

    @property
    def rows(self) -> int:
        """Number of rows."""
        return self.bottom - self.top


def gridded(sides: Sides, settings: ExtentSettings = ExtentSettings()) -> Extent | None:
    """The largest rectangle of gridded cells; None where no cell has three sides drawn."""
    upright, level = sides.upright >= settings.side, sides.level >= settings.side
    count = upright[:, :-1].astype(int) + upright[:, 1:] + level[:-1] + level[1:]
    mask = _in_squares(_closed(count >= 3))
    if not mask.any():
        return None
    left, right = _span(mask.mean(axis=0))
    top, bottom = _span(mask[:, left:right].mean(axis=1))
    left, right = _span(mask[top:bottom].mean(axis=0))
    # Where do the lines of the other direction stop?
    left, right = _ends(level[top : bottom + 1].mean(axis=0), left, right, settings)
    top, bottom = _ends(upright[:, left : right + 1].mean(axis=1), top, bottom, settings)
    left, right = _ends(level[top : bottom + 1].mean(axis=0), left, right, settings)
    top, bottom = _reach(level, upright, (left, right), (top, bottom), settings)
    left, right = _reach(upright.T, level.T, (top, bottom), (left, right), settings)
    return Extent(left, right, top, bottom)


def _closed(mask: NDArray[np.bool_]) -> NDArray[np.bool_]:
    """The mask with gaps of one or two cells closed (binary closing by 3 × 3)."""
    wide = np.pad(mask, 2)
    wide[1:-1] = wide[:-2] | wide[1:-1] | wide[2:]
    wide[:, 1:-1] = wide[:, :-2] | wide[:, 1:-1] | wide[:, 2:]
    narrow = wide[1:-3] & wide[2:-2] & wide[3:-1]
    return narrow[:, 1:-3] & narrow[:, 2:-2] & narrow[:, 3:-1]


def _in_squares(mask: NDArray[np.bool_]) -> NDArray[np.bool_]:
    """The cells that lie in a square of four (binary opening by 2 × 2)."""
    square = mask[:-1, :-1] & mask[1:, :-1] & mask[:-1, 1:] & mask[1:, 1:]
    found = np.zeros_like(mask)
    for rows in (slice(None, -1), slice(1, None)):
        for columns in (slice(None, -1), slice(1, None)):
            found[rows, columns] |= square
    return found


def _span(share: NDArray[np.float64]) -> tuple[int, int]:
    """First and end index of the entries that reach half of the upper quartile."""
    typical = quantile(share[share > 0], TYPICAL)
    where = np.flatnonzero(share >= typical / 2)
    return int(where[0]), int(where[-1]) + 1


def _ends(
    cover: NDArray[np.float64], first: int, end: int, settings: ExtentSettings
) -> tuple[int, int]:
    """Move ``first`` and ``end`` to where the lines along rows (or columns) of cells stop."""
    least = settings.ends * float(median(cover[first:end]))
    while end - first > 2 and cover[first] < least:
        first += 1
    while first > 0 and cover[first - 1] >= least:
        first -= 1
    while end - first > 2 and cover[end - 1] < least:
        end -= 1
    while end < len(cover) and cover[end] >= least:
        end += 1
    return first, end


def _reach(
    lines: NDArray[np.bool_],
    across: NDArray[np.bool_],
    sides: tuple[int, int],
    ends: tuple[int, int],
    settings: ExtentSettings,
) -> tuple[int, int]:
    """Move ``ends`` (line numbers) out to a frame line some rows away.

    A frame ends where the grid does; the edge of the paper or of a box around all runs on. Within
    reach half of the two lines across that lead there is drawn, or of the lines up to it: nothing
    leads to the edge of the paper.

    Args:
        lines: where lines along rows are drawn, shape (rows + 1, columns).
        across: where lines across rows are drawn, shape (rows, columns + 1).
        sides: first and last of those across.
        ends: first and last of those along.
        settings: what counts as a frame.
    """
    start, stop = sides
    first, end = ends
    cover = lines[:, start:stop].mean(axis=1)
    beyond = np.concatenate(
        [lines[:, max(0, start - 3) : start], lines[:, stop : stop + 3]], axis=1
    )
    stops = beyond.mean(axis=1) < 0.5 if beyond.shape[1] else np.ones(len(lines), bool)
    frame = [int(line) for line in np.flatnonzero((cover >= settings.frame) & stops)]
    framed = across[:, [start, stop]]

    def reached(line: int, near: int) -> bool:
        low, high = sorted((line, near))
        shown = framed[low:high].mean(axis=0)
        if high - low > settings.reach:
            return bool(shown.min() >= settings.frame)
        between = across[low:high, start + 1 : stop]
        if between.size and between.mean() < settings.inner:
            return False
        led = cover[line:near] if line < near else cover[near + 1 : line + 1]
        return max(float(shown.mean()), float(led.mean())) >= 0.5

    first = next((line for line in frame if line < first and reached(line, first)), first)
    end = next((line for line in frame[::-1] if line > end and reached(line, end)), end)
    return first, end
