"""Whether the chart on one page goes on on another, told by the two charts alone.

Two things speak for it: columns that both pages print, as most charts on several pages do, or a
design that runs on across the seam. No page is opened for it.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from chartscan.chart import Chart
from chartscan.reading.join.overlap import WORN, OverlapSettings, Sheet, find_overlap, is_telling
from chartscan.reading.join.signs import number_pictures

Way = Literal["right", "below"]


@dataclass(frozen=True)
class FitSettings:
    """What two charts must show to be proposed as one.

    Attributes:
        pitch: greatest ratio of the two pages' pitches: one print, scanned or photographed alike.
        repeated: how columns that both pages print are found.
        agree: share of repeated cells that must agree.
        own: columns that a page repeats of itself are a border or a pattern, and tell nothing, if
            so large a share of them agrees.
        stitched: stitched cells along the seam, on either page, that must be there to compare.
        run_on: share of those that must go on across a seam without repeats. Of 41 drawn designs of
            patches and specks, cut in two, 28 are found so, and of 840 pairs of halves that don't
            belong together 2 are taken for one (seeds 62 with 0 to 40, `tests/archive`).
        lead: by how much that must be more than at any other height of the second page.
        apart: rows that count as another height at least: what lies closer is much alike.
    """

    pitch: float = 1.06
    repeated: OverlapSettings = OverlapSettings()
    agree: float = 0.9
    own: float = 0.85
    stitched: int = 12
    run_on: float = 0.6
    lead: float = 0.15
    apart: int = 4


@dataclass(frozen=True)
class Fit:
    """How the second of two charts goes on from the first.

    Attributes:
        way: on which side of the first the second lies.
        repeated: columns (``right``) or rows (``below``) that both print; 0 edge to edge.
        agreed, compared: cells that are alike, and that could be.
    """

    way: Way
    repeated: int
    agreed: int
    compared: int


def fits(first: Chart, second: Chart, settings: FitSettings = FitSettings()) -> Iterator[Fit]:
    """How ``second`` may go on from ``first``, read left to right and downwards."""
    numbers = number_pictures([first, second])
    ways: tuple[tuple[Way, bool], ...] = (
        ("right", first.rows == second.rows),
        ("below", first.columns == second.columns),
    )
    for axis, (way, same) in enumerate(ways):
        if same:
            before, after = (
                Half(Sheet.of(chart, signs, axis), _stitched(chart, axis))
                for chart, signs in zip((first, second), numbers, strict=True)
            )
            fit = _repeats(before.sheet, after.sheet, way, settings)
            fit = fit or _runs_on(before, after, way, settings)
            if fit is not None:
                yield fit


@dataclass(frozen=True, eq=False)
class Half:
    """One side of a seam: a chart as it is compared, and which of its cells are stitched."""

    sheet: Sheet
    stitched: NDArray[np.bool_]


def _stitched(chart: Chart, axis: int) -> NDArray[np.bool_]:
    kinds = np.array([entry.kind == "stitch" for entry in chart.classes])
    stitched = kinds[chart.cells]
    return np.asarray(stitched if axis == 0 else stitched.T)


def _repeats(before: Sheet, after: Sheet, way: Way, settings: FitSettings) -> Fit | None:
    """The columns that both sheets hold, if they tell anything."""
    pair = [(before, after)]
    found = find_overlap(pair, settings.repeated)
    if not found.columns or found.share < settings.agree:
        return None
    if not is_telling(pair, found.columns, settings.repeated):
        return None
    for sheet in (before, after):  # a frame, or a pattern of so many columns
        alike = _alike(sheet, sheet, slice(-found.columns, None), slice(found.columns))
        if alike.mean() >= settings.own:
            return None
    return Fit(way, found.columns, found.agreed, found.compared)


def _runs_on(before: Half, after: Half, way: Way, settings: FitSettings) -> Fit | None:
    """Whether a design runs on from the last column of ``before`` into the first of ``after``."""
    rows = len(before.stitched)
    at_home = _along_seam(before, after, 0)
    if len(at_home) < settings.stitched or at_home.mean() < settings.run_on:
        return None
    for height in range(-rows // 2, rows // 2 + 1):
        if abs(height) < settings.apart:
            continue
        other = _along_seam(before, after, height)
        if len(other) >= settings.stitched and (other.mean() > at_home.mean() - settings.lead):
            return None
    return Fit(way, 0, int(at_home.sum()), len(at_home))


def _along_seam(before: Half, after: Half, height: int) -> NDArray[np.bool_]:
    """For rows with a stitch at the seam, whether both sides are alike, ``after`` being shifted."""
    rows = len(before.stitched)
    mine = slice(max(0, height), rows + min(0, height))
    yours = slice(max(0, -height), rows - max(0, height))
    sheets = (before.sheet, after.sheet)
    alike = _alike(*sheets, slice(-1, None), slice(1), mine, yours)[:, 0]
    stitched = before.stitched[mine, -1] | after.stitched[yours, 0]
    return alike[stitched]


def _alike(
    before: Sheet,
    after: Sheet,
    last: slice,
    first: slice,
    mine: slice = slice(None),
    yours: slice = slice(None),
) -> NDArray[np.bool_]:
    """Which cells of some columns of two sheets are of one colour and one symbol."""
    off = np.abs(before.colour[mine, last] - after.colour[yours, first]).max(axis=-1)
    same = before.sign[mine, last] == after.sign[yours, first]
    return np.asarray(same & (off <= WORN))
