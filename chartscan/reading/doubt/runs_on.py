"""Ink that runs on from one cell into the next: a symbol keeps to its cell, a line doesn't.

Seen on the page itself, whatever the cells were sorted into. Lines that weren't read are mostly
taken for symbols, a class for each way they cross a cell; each such class agrees with itself, and
only their ends tell that they are none.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from chartscan.chart import Chart
from chartscan.reading.cells.sampling import sample
from chartscan.reading.filters import median
from chartscan.reading.lattice.model import Lattice
from chartscan.reading.marks.sight import SightSettings
from chartscan.reading.page.page import Page
from chartscan.reading.scale import LINES

Mask = NDArray[np.bool_]
Shades = NDArray[np.uint8]

Cut = tuple[slice, slice]
Corner = tuple[int, int]


@dataclass(frozen=True)
class RunSettings:
    """When ink runs on.

    Attributes:
        sight: where marks are seen.
        places: places along each side of a cell, just inside its grid lines, that are looked at.
        corner: places along each side that belong to a corner.
        clear: times what samples of one colour stray, or the page's noise, by which ink must
            stand out.
        goes_on: part of the ends of a class, at cells of others, that must go on beyond its cells.
            Symbols that reach the sides of their cells end there.
        ends: places of a page where ink must run on for any of it to be believed.
    """

    sight: SightSettings = SightSettings()
    places: int = 10
    corner: int = 2
    clear: float = 3.0
    goes_on: float = 0.35
    ends: int = 4

    @property
    def aslant(self) -> int:
        """Places that a line may move along a side on its way from cell to cell.

        At 45° it moves by twice the inset; so many a line through a corner may cover besides it.
        """
        return round(2 * LINES / (1 - 2 * LINES) * self.places)


@dataclass(frozen=True, eq=False)
class _Rim:
    """What is seen just inside the sides of every cell.

    Attributes:
        sides: colours along the top, bottom, left and right side: (rows, columns, places, 3).
        ink: which of these are ink, (rows, columns, places); the corners aren't.
        corners: colours at the corners, by (bottom?, right?): (rows, columns, places, 3).
        inked: which of these are ink.
        alike: difference up to which two places of ink have one colour.
    """

    sides: dict[str, Shades]
    ink: dict[str, Mask]
    corners: dict[Corner, Shades]
    inked: dict[Corner, Mask]
    alike: float


def runs_on(
    page: Page, lattice: Lattice, chart: Chart, known: Mask, settings: RunSettings = RunSettings()
) -> Mask:
    """The cells out of which ink runs on into another, shape (rows, columns).

    Args:
        page: the page.
        lattice: where its cells lie.
        chart: its own cells, as read.
        known: cells over which lies a mark that was read; nothing is looked for there.
        settings: when ink runs on.
    """
    shape = (lattice.rows, lattice.columns)
    found = np.zeros(shape, dtype=np.bool_)
    if min(lattice.pitch) < settings.sight.pitch:
        return found
    rim = _rim_of(page, lattice, settings)
    cells = chart.cells
    ends = np.zeros(len(chart.classes))
    going = np.zeros(len(chart.classes))
    met = list(_meetings(rim, settings))
    for two in met:
        free = ~known[two.one] & ~known[two.other]
        differ = free & (cells[two.one] != cells[two.other])
        for cut, touch in ((two.one, two.here), (two.other, two.there)):
            ends += np.bincount(cells[cut][differ & touch], minlength=len(ends))
            going += np.bincount(cells[cut][differ & two.runs], minlength=len(ends))
    lines = np.asarray((going > 0) & (going >= settings.goes_on * ends), dtype=np.bool_)
    number = 0
    for two in met:
        free = ~known[two.one] & ~known[two.other]
        believed = two.runs & free & (lines[cells[two.one]] | lines[cells[two.other]])
        number += int((believed & (cells[two.one] != cells[two.other])).sum())
        found[two.one] |= believed
        found[two.other] |= believed
    return found if number >= settings.ends else np.zeros(shape, dtype=np.bool_)


def _rim_of(page: Page, lattice: Lattice, settings: RunSettings) -> _Rim:
    seen = sample(page, lattice, settings.places, LINES)
    sides = {
        "top": seen[:, :, 0],
        "bottom": seen[:, :, -1],
        "left": seen[:, :, :, 0],
        "right": seen[:, :, :, -1],
    }
    ring = np.concatenate(list(sides.values()), axis=2)
    ground = median(ring, axis=2).astype(np.uint8)[:, :, None]
    noise = float(np.median(_apart(ring, ground)))
    level = settings.clear * max(settings.sight.tolerance(lossless=page.lossless), noise)
    k = settings.corner
    ink, full = {}, {}
    for name, colours in sides.items():
        off = _apart(colours, ground) > level
        full[name] = off.mean(axis=-1) > 0.5  # a fill or a grid line, whatever runs on
        off[..., : settings.aslant] = off[..., -settings.aslant :] = False
        ink[name] = off & ~full[name][..., None]
    corners, inked = {}, {}
    for bottom, right in ((0, 0), (0, 1), (1, 0), (1, 1)):
        rows = slice(-k, None) if bottom else slice(None, k)
        columns = slice(-k, None) if right else slice(None, k)
        block = seen[:, :, rows, columns].reshape(*seen.shape[:2], k * k, 3)
        bounded = full["bottom" if bottom else "top"] | full["right" if right else "left"]
        corners[bottom, right] = block
        inked[bottom, right] = (_apart(block, ground) > level) & ~bounded[..., None]
    return _Rim(sides, ink, corners, inked, level)


@dataclass(frozen=True, eq=False)
class _Meeting:
    """Where cells touch those beside, below or aslant of them.

    Attributes:
        one, other: the cells on either side, as cuts of the chart.
        here, there: where these have ink on that side, of the shape of the cuts.
        runs: where it runs on from one into the other.
    """

    one: Cut
    other: Cut
    here: Mask
    there: Mask
    runs: Mask


def _apart(colours: Shades, others: Shades) -> NDArray[np.uint8]:
    """By how many levels colours (..., 3) differ, in the channel in which they do most: (...)."""
    off = np.maximum(colours, others) - np.minimum(colours, others)
    return np.asarray(np.maximum(np.maximum(off[..., 0], off[..., 1]), off[..., 2]))


def _any(mask: Mask) -> Mask:
    """Whether any place of each cell is set: (rows, columns, …) to (rows, columns)."""
    return np.asarray(mask.reshape(*mask.shape[:2], -1).any(axis=2), dtype=np.bool_)


def _meetings(rim: _Rim, settings: RunSettings) -> Iterator[_Meeting]:
    """Every two cells that touch, and whether ink runs on between them."""
    all_, before, after = slice(None), slice(None, -1), slice(1, None)
    sides: list[tuple[str, str, Cut, Cut]] = [
        ("right", "left", (all_, before), (all_, after)),
        ("bottom", "top", (before, all_), (after, all_)),
    ]
    for near, far, one, other in sides:
        here, there = rim.ink[near][one], rim.ink[far][other]
        meets = np.zeros(here.shape[:2], dtype=np.bool_)
        for step in range(-settings.aslant, settings.aslant + 1):
            a = slice(max(0, -step), min(settings.places, settings.places - step))
            b = slice(max(0, step), min(settings.places, settings.places + step))
            both = here[..., a] & there[..., b]
            some = _any(both)  # in few cells is ink at both sides
            apart = _apart(rim.sides[near][one][some][:, a], rim.sides[far][other][some][:, b])
            meets[some] |= (both[some] & (apart <= rim.alike)).any(axis=1)
        yield _Meeting(one, other, _any(here), _any(there), meets)
    corners: list[tuple[Corner, Corner, Cut, Cut]] = [
        ((1, 1), (0, 0), (before, before), (after, after)),
        ((1, 0), (0, 1), (before, after), (after, before)),
    ]
    for near_corner, far_corner, one, other in corners:
        here, there = rim.inked[near_corner][one], rim.inked[far_corner][other]
        some = _any(here) & _any(there)
        apart = _apart(
            rim.corners[near_corner][one][some][:, :, None],
            rim.corners[far_corner][other][some][:, None],
        )
        both = here[some][:, :, None] & there[some][:, None]
        meets = np.zeros(some.shape, dtype=np.bool_)
        meets[some] = (both & (apart <= rim.alike)).any(axis=(1, 2))
        yield _Meeting(one, other, _any(here), _any(there), meets)
