"""Find the grid on a page: straight exports by profiles, everything else by growing a lattice."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from chartscan.errors import GridError
from chartscan.progress import Progress, silent
from chartscan.reading.lattice.aslant import is_aslant
from chartscan.reading.lattice.axis import Axis
from chartscan.reading.lattice.content import ruled, stitched
from chartscan.reading.lattice.edges import Edges, find_edges
from chartscan.reading.lattice.extent import Extent, Sides, gridded
from chartscan.reading.lattice.located import Located, NotFound, SizeOdds
from chartscan.reading.lattice.model import FLAT, Lattice
from chartscan.reading.lattice.straight import (
    StraightSettings,
    fit_axes,
    plain,
    side_cover,
)
from chartscan.reading.lattice.tight import TightSettings, lies_tight
from chartscan.reading.page.page import Page
from chartscan.remedies import Remedy

if TYPE_CHECKING:
    from chartscan.reading.lattice.checked import CheckSettings
    from chartscan.reading.lattice.grown import GrownSettings


@dataclass(frozen=True)
class LocateSettings:
    """When what lies straight is believed at once.

    Attributes:
        straight: how lattices are found that lie straight.
        many: cells a side of a lattice that lies tight from which on chance can't have made it.
        tight: what lies tight.
        grown: how lattices are grown where none lies straight; None for the usual way, which is
            loaded only where it is needed.
        checked: when one that lies straight on a lossy page is doubted; None likewise.
    """

    straight: StraightSettings = StraightSettings()
    many: int = 20
    tight: TightSettings = TightSettings()
    grown: GrownSettings | None = None
    checked: CheckSettings | None = None


def locate(
    page: Page, progress: Progress = silent, settings: LocateSettings = LocateSettings()
) -> Located:
    """Where the grid of the chart lies on the page, and how sure its size is.

    Raises:
        GridError: no grid was found; it says what was seen, and what that lacked.
    """
    progress("looking for the grid", 0.0)
    straight = locate_straight(page, settings.straight)
    if straight is not None and page.lossless:
        return Located(straight.lattice, SizeOdds(exact=True))
    tight = straight is not None and lies_tight(
        straight.lattice, straight.across, straight.down, settings.tight
    )
    if straight is not None and tight and straight.fewest >= settings.many:
        return Located(straight.lattice, SizeOdds(exact=True))
    # Heavy: clean pages don't need it.
    from chartscan.reading.lattice.checked import CheckSettings, checked
    from chartscan.reading.lattice.grown import GrownSettings, locate_grown

    grown = settings.grown or GrownSettings()
    located: Located | NotFound
    if straight is None:
        located = locate_grown(page, grown, progress)
    else:
        doubts = settings.checked or CheckSettings()
        located = checked(page, straight.lattice, grown, progress, doubts, tight=tight)
    if isinstance(located, NotFound):
        raise GridError(
            f"{page.file}: no stitch grid was found: {located.reason}",
            Remedy.CROP,
            Remedy.SCAN_FLAT,
            Remedy.TELL_CORNERS,
            Remedy.TELL_SIZE,
        )
    return located


@dataclass(frozen=True, eq=False)
class Straight:
    """A lattice along rows and columns of pixels, and the edges that it was found by."""

    lattice: Lattice
    across: Edges
    down: Edges

    @property
    def fewest(self) -> int:
        """Cells along its shorter side."""
        return min(self.lattice.columns, self.lattice.rows)


def locate_straight(page: Page, settings: StraightSettings = StraightSettings()) -> Straight | None:
    """The lattice of a page whose grid lies straight; None where edges agree on none.

    A few rows of pixels tell a large page whose lines are all drawn; else more are looked at. On a
    page of lossy coding that tells only of cells too small for those few rows.
    """
    most = math.inf
    for sampled in settings.rows_sampled:
        across = find_edges(page.pixels, sampled, lossless=page.lossless)
        if not page.lossless and is_aslant(across):
            return None
        down = find_edges(page.pixels.swapaxes(0, 1), sampled, lossless=page.lossless)
        axes = fit_axes(across, down, settings, most)
        stride = max(across.stride, down.stride)
        last = stride == 1 or sampled == settings.rows_sampled[-1]
        if axes is not None and (last or plain(*axes, stride, settings)):
            lattice = _bounded(page, across, down, *axes, settings)
            return None if lattice is None else Straight(lattice, across, down)
        if last:
            break
        if axes is None and not page.lossless:
            most = settings.seen * stride
    return None


def _bounded(
    page: Page, across: Edges, down: Edges, x: Axis, y: Axis, settings: StraightSettings
) -> Lattice | None:
    """The lattice cut to the chart: the ruled rectangle, or the box of stitches without lines."""
    xs, ys = x.lines(across.length), y.lines(down.length)
    whole = _lattice(x, y, xs, ys, Extent(0, len(xs) - 1, 0, len(ys) - 1), drawn=False)
    sides = Sides(side_cover(across, x, y), side_cover(down, y, x).T)
    extent = gridded(sides)
    if extent is not None and extent.rows > 1 and extent.columns > 1:
        lattice = _lattice(x, y, xs, ys, extent, drawn=True)
        if ruled(page, lattice, sides.within(extent)):
            lines = _lines_seen(sides.within(extent))
            return lattice if min(lines) >= settings.ruled else None
    extent = stitched(page, whole, sides)
    if extent is None:
        return None
    few = sum(_lines_seen(sides.within(extent))) < 1  # half of all; letters and swatches reach 0.3
    if few and min(x.agreement, y.agreement) < settings.plain:
        return None
    return _lattice(x, y, xs, ys, extent, drawn=False)


def _lines_seen(sides: Sides) -> tuple[float, float]:
    """The part of the upright and of the level lines inside a chart at which any side is an edge.

    On a fraction of what repeats on the page, such as letters or swatches, most lines are empty.
    """
    upright = (sides.upright[:, 1:-1] >= 0.5).any(axis=0)
    level = (sides.level[1:-1] >= 0.5).any(axis=1)
    whole = 1.0  # a single row has no lines inside
    return (
        float(upright.mean()) if upright.size else whole,
        float(level.mean()) if level.size else whole,
    )


def _lattice(
    x: Axis,
    y: Axis,
    xs: NDArray[np.float64],
    ys: NDArray[np.float64],
    extent: Extent,
    *,
    drawn: bool,
) -> Lattice:
    left, top = xs[extent.left], ys[extent.top]
    homography = np.array([[x.pitch, 0, left], [0, y.pitch, top], [0, 0, 1.0]])
    return Lattice(extent.columns, extent.rows, homography, FLAT, drawn)
