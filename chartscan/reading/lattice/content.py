"""How far a chart without lines reaches: the box around everything that fills whole cells."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from chartscan.reading.cells.sampling import MOST_INSET, ONE_COLOUR, sample, take
from chartscan.reading.filters import median
from chartscan.reading.lattice.extent import Extent, Sides
from chartscan.reading.lattice.model import Lattice
from chartscan.reading.page.page import Page


@dataclass(frozen=True)
class ContentSettings:
    """What counts as a stitched cell where no line is drawn.

    Attributes:
        per_side: places looked at along each side of a cell.
        filled: part of an island's cells that must be filled for it to be part of the chart;
            letters and legends lie across cells and fail.
        looked_at: columns and rows at most that are looked at for drawn lines.
        frame: part of a line that must be drawn for it to be one side of a frame.
    """

    per_side: int = 3
    filled: float = 0.8
    frame: float = 0.95
    looked_at: int = 250


def stitched(
    page: Page, lattice: Lattice, sides: Sides, settings: ContentSettings = ContentSettings()
) -> Extent | None:
    """The box of filled cells that differ from the page's ground; None where there is none.

    Args:
        page: the page.
        lattice: cells over the whole page, larger than the chart.
        sides: how much of their sides is an edge; a frame around all stitches is taken in.
        settings: tolerances.
    """
    from scipy.ndimage import find_objects, label

    values = sample(page, lattice, settings.per_side, MOST_INSET).astype(np.int16)
    values = values.reshape(lattice.rows, lattice.columns, -1, 3)
    middle = median(values, axis=2)
    even = (np.abs(values - middle[:, :, None]).max(axis=3) <= ONE_COLOUR).all(axis=2)
    ground = ground_of(page)
    if ground is None:
        return Extent(0, lattice.columns, 0, lattice.rows)
    inked = np.abs(values - ground).max(axis=3) > ONE_COLOUR
    stitch = inked.mean(axis=2) >= 0.5
    islands, _ = label(inked.any(axis=2), np.ones((3, 3), bool))
    kept: list[tuple[slice, slice]] = []
    for number, box in enumerate(find_objects(islands), start=1):
        here = (islands[box] == number) & stitch[box]
        if here.any() and even[box][here].mean() >= settings.filled:
            kept.append(_box(here, box))
    if not kept:
        return None
    box = Extent(
        min(b[1].start for b in kept),
        max(b[1].stop for b in kept),
        min(b[0].start for b in kept),
        max(b[0].stop for b in kept),
    )
    return _framed(sides, box, settings.frame)


def margin_of(page: Page, lattice: Lattice) -> NDArray[np.float64] | None:
    """The colour of the paper just around the grid; None where the grid fills the page."""
    u = np.arange(lattice.columns, dtype=np.float64) + 0.5
    v = np.arange(lattice.rows, dtype=np.float64) + 0.5
    rings = [
        take(page, lattice, u, np.array([-1.0, lattice.rows + 1.0])),
        take(page, lattice, np.array([-1.0, lattice.columns + 1.0]), v),
    ]
    width, height = page.size
    corners = lattice.to_pixels(np.array([[-1.0, -1], [lattice.columns + 1, lattice.rows + 1]]))
    if (corners[0] < 0).any() or (corners[1] > (width, height)).any():
        ground = None if lattice.drawn else ground_of(page)
        return None if ground is None else ground.astype(np.float64)
    around = np.concatenate([ring.reshape(-1, 3) for ring in rings])
    middle: NDArray[np.float64] = median(around, axis=0)
    return middle


def _framed(sides: Sides, box: Extent, least: float) -> Extent:
    """The frame drawn around ``box``, if one is: four long lines, as long as the others tell."""
    level = (sides.level[:, box.left : box.right] >= 0.5).mean(axis=1) >= least
    upright = (sides.upright[box.top : box.bottom] >= 0.5).mean(axis=0) >= least
    above, below = np.flatnonzero(level[: box.top + 1]), np.flatnonzero(level[box.bottom :])
    before, after = np.flatnonzero(upright[: box.left + 1]), np.flatnonzero(upright[box.right :])
    if not (above.size and below.size and before.size and after.size):
        return box
    return Extent(
        int(before[0]), box.right + int(after[-1]), int(above[0]), box.bottom + int(below[-1])
    )


def ruled(
    page: Page, lattice: Lattice, sides: Sides, settings: ContentSettings = ContentSettings()
) -> bool:
    """Whether lines are drawn: most sides between cells of one colour are edges all the same."""
    # The middle of a large chart tells as much as all of it.
    columns, rows = min(lattice.columns, settings.looked_at), min(lattice.rows, settings.looked_at)
    left, top = (lattice.columns - columns) // 2, (lattice.rows - rows) // 2
    part = lattice.cut(left, top, columns, rows)
    sides = sides.within(Extent(left, left + columns, top, top + rows))
    values = sample(page, part, settings.per_side, MOST_INSET).astype(np.int16)
    middle = median(values.reshape(rows, columns, -1, 3), axis=2)
    upright = np.abs(np.diff(middle, axis=1)).max(axis=2) <= ONE_COLOUR
    level = np.abs(np.diff(middle, axis=0)).max(axis=2) <= ONE_COLOUR
    between = np.concatenate([sides.upright[:, 1:-1][upright], sides.level[1:-1][level]])
    return bool(between.size) and float((between >= 0.5).mean()) >= 0.5


def ground_of(page: Page) -> NDArray[np.int16] | None:
    """The colour most of the page's rim has, or None where the rim has no such colour."""
    pixels = page.pixels
    rim = np.concatenate([pixels[0], pixels[-1], pixels[:, 0], pixels[:, -1]]).astype(np.int16)
    middle = median(rim, axis=0)
    alike = np.abs(rim - middle).max(axis=1) <= ONE_COLOUR
    return middle.astype(np.int16) if alike.mean() >= 0.5 else None


def _box(here: NDArray[np.bool_], box: tuple[slice, slice]) -> tuple[slice, slice]:
    rows, columns = np.flatnonzero(here.any(axis=1)), np.flatnonzero(here.any(axis=0))
    top, left = box[0].start, box[1].start
    return (
        slice(top + int(rows[0]), top + int(rows[-1]) + 1),
        slice(left + int(columns[0]), left + int(columns[-1]) + 1),
    )
