"""Find the grid on a page: straight exports by profiles, everything else by growing a lattice."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
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
from chartscan.reading.lattice.located import Located, NotFound
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
    from chartscan.reading.lattice.grown import GrownSettings


@dataclass(frozen=True)
class LocateSettings:
    """When what lies straight is believed at once.

    Attributes:
        straight: how lattices are found that lie straight.
        many: cells a side of a lattice that lies tight from which on chance can't have made it.
        sure: nats from which on a straight lattice needs no rival; right ones of drawn and of real
            pages had 2 to 17.
        behind: nats by which another end or pitch may be likelier.
        overruled: the same where nothing grows: from there on that is taken. Small exports (9 × 9
            cells of 8 to 14 px, JPEG) that were read at half their pitch were behind by 16 to 26.
        tight: what lies tight.
        grown: how lattices are grown where none lies straight; None for the usual way, which is
            loaded only where it is needed.
    """

    straight: StraightSettings = StraightSettings()
    many: int = 20
    sure: float = 5.0
    behind: float = 3.0
    overruled: float = 10.0
    tight: TightSettings = TightSettings()
    grown: GrownSettings | None = None


def locate(
    page: Page, progress: Progress = silent, settings: LocateSettings = LocateSettings()
) -> Located:
    """Where the grid of the chart lies on the page, and how sure its size is.

    Raises:
        GridError: no grid was found; it says what was seen, and what that lacked.
    """
    progress("looking for the grid", 0.0)
    straight = locate_straight(page, settings.straight)
    if straight is not None and (page.lossless or _is_plain(page, straight, settings)):
        return Located(straight)
    # Heavy: clean pages don't need it.
    from chartscan.reading.lattice.grown import GrownSettings, locate_grown

    located: Located | NotFound
    if straight is None:
        located = locate_grown(page, settings.grown or GrownSettings(), progress)
    else:
        located = _checked(page, straight, progress, settings)
    if isinstance(located, NotFound):
        raise GridError(
            f"{page.file}: no stitch grid was found: {located.reason}",
            Remedy.CROP,
            Remedy.SCAN_FLAT,
            Remedy.TELL_CORNERS,
            Remedy.TELL_SIZE,
        )
    return located


def _is_plain(page: Page, lattice: Lattice, settings: LocateSettings) -> bool:
    """Whether a lattice of many cells lies on the lines of a lossy page to the pixel."""
    return min(lattice.columns, lattice.rows) >= settings.many and lies_tight(
        page, lattice, settings.tight
    )


def _checked(
    page: Page, straight: Lattice, progress: Progress, settings: LocateSettings
) -> Located:
    """A straight lattice as it really lies, or what grows in its stead where that is likelier."""
    from chartscan.reading.lattice.bent import bent
    from chartscan.reading.lattice.contest import contest, odds_of
    from chartscan.reading.lattice.grown import GrownSettings, locate_grown
    from chartscan.reading.lattice.views import Views

    grown = settings.grown or GrownSettings()
    tight = lies_tight(page, straight, settings.tight)
    located = Located(straight) if tight else bent(page, straight, grown)
    if located.odds.log_odds is not None:  # grown, and judged already
        return located
    size = (located.lattice.columns, located.lattice.rows)
    judge = Views.at(page, "luma").judge(grown.contest)
    verdict = contest(judge, [located.lattice], grown.contest)
    if verdict is None:
        return located
    odds = odds_of(verdict, size)
    doubted = verdict.lead_over(size) > settings.behind or (odds.log_odds or 0) < settings.sure
    other = locate_grown(page, grown, progress) if doubted else NotFound("it lies straight")
    if isinstance(other, Located):
        if (other.lattice.columns, other.lattice.rows) == size:  # only its size was in doubt
            return replace(located, odds=other.odds)
        both = contest(judge, [located.lattice, other.lattice], grown.contest)
        if both is not None and both.lead_over(size) > settings.behind:
            return other
    best = verdict.winner
    lags = odds.log_odds is not None and verdict.lead_over(size) > settings.overruled
    if lags and best.log_odds >= settings.sure:
        return Located(replace(best.lattice, drawn=True), odds_of(verdict, best.size))
    return replace(located, odds=odds)


def locate_straight(page: Page, settings: StraightSettings = StraightSettings()) -> Lattice | None:
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
            return _bounded(page, across, down, *axes, settings)
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
    sides = Sides(side_cover(across, x, y, settings), side_cover(down, y, x, settings).T)
    extent = gridded(sides)
    if extent is not None and extent.rows > 1 and extent.columns > 1:
        lattice = _lattice(x, y, xs, ys, extent, drawn=True)
        if ruled(page, lattice, sides.within(extent)):
            lines = _lines_seen(sides.within(extent), settings)
            return lattice if min(lines) >= settings.drawn_lines else None
    extent = stitched(page, whole, sides)
    if extent is None:
        return None
    few = sum(_lines_seen(sides.within(extent), settings)) / 2 < settings.seen_lines
    if few and min(x.agreement, y.agreement) < settings.all_agree:
        return None
    return _lattice(x, y, xs, ys, extent, drawn=False)


def _lines_seen(sides: Sides, settings: StraightSettings) -> tuple[float, float]:
    """The part of the upright and of the level lines inside a chart at which any side is an edge.

    On a fraction of what repeats on the page, such as letters or swatches, most lines are empty.
    """
    upright = (sides.upright[:, 1:-1] >= settings.side).any(axis=0)
    level = (sides.level[1:-1] >= settings.side).any(axis=1)
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
