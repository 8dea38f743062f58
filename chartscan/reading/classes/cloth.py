"""What there is on a page to tell bare fabric by: the paper beside the grid, and its ink."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from chartscan.chart import Chart
from chartscan.reading.cells.light import LIT, Light, balanced
from chartscan.reading.cells.sampling import ONE_COLOUR, take
from chartscan.reading.classes.sorting import Sorted
from chartscan.reading.lattice.content import margin_of
from chartscan.reading.lattice.model import Lattice
from chartscan.reading.page.page import Page

Colours = NDArray[np.float64]
Labels = NDArray[np.intp]

WHITE = np.full(3, 255.0)
INK = 30.0  # CIELAB lightness over the cell that symbols usually have
BESIDE = 1.0  # cells from the grid at which paper is looked at: clear of frames, before numbers


@dataclass(frozen=True)
class BesideSettings:
    """Where paper is seen on a page that is cropped to less than a cell's width of it.

    Attributes:
        room: cells beside the grid from which on a side is looked at: less is the frame.
        depth: how far out in that room, as a part of it.
        even: part of the places along a side that must have its colour.
        sides: sides that must tell: one may be what is left of a key, or of the next cells.
    """

    room: float = 0.4
    depth: float = 0.75
    even: float = 0.9
    sides: int = 2


@dataclass(frozen=True, eq=False)
class Cloth:
    """What there is to tell bare fabric by.

    Attributes:
        labels: class of each cell, shape (rows, columns).
        colours: sRGB of the ground of each class, shape (n, 3).
        ink: CIELAB lightness printed inside the cells of each class, the mean over the cell: (n,).
        paper: sRGB of the paper around the grid; None where none is seen.
        exact: whether equal fills are equal to the last bit on this page.
        drawn: whether grid lines are drawn.
        part: whether this is one of several pages, whose outermost cells tell nothing.
        swatch: chance that the key beside the grid has a swatch of each class, shape (n,): 1 where
            it is seen, 0 where it isn't, ½ where it can't be told from paper; None where no key is
            seen, or none was looked for.
    """

    labels: Labels
    colours: Colours
    ink: NDArray[np.float64]
    paper: Colours | None
    exact: bool = False
    drawn: bool = True
    part: bool = False
    swatch: NDArray[np.float64] | None = None

    def with_key(self, swatch: NDArray[np.float64] | None) -> Cloth:
        """The same, and which classes the key has a swatch of."""
        return replace(self, swatch=swatch)


def lay_cloth(
    page: Page,
    lattice: Lattice,
    found: Sorted,
    settings: BesideSettings = BesideSettings(),
    *,
    exact: bool,
    part: bool,
) -> Cloth:
    """What tells bare fabric on a page whose cells are ``found`` sorted.

    Args:
        page: the page.
        lattice: where its grid lies.
        found: its cells, sorted.
        settings: where paper is seen on a page that is cropped close.
        exact: whether equal fills are equal to the last bit.
        part: whether it is one of several pages.
    """
    light = found.sight.light if found.sight is not None else None
    if light is None:
        paper = _seen_paper(page, lattice, settings)
    else:
        paper = _lit_paper(page, lattice, light)
    ink = np.zeros(len(found.colours)) if found.ink is None else found.ink
    return Cloth(found.labels, found.colours, ink, paper, exact, lattice.drawn, part)


def cloth_of_chart(chart: Chart, paper: Colours | None, *, drawn: bool) -> Cloth:
    """What tells bare fabric in a chart that was read, wherever its pages are.

    Args:
        chart: the chart; marks over its cells are no rivals.
        paper: sRGB of the paper around it; None where none is seen.
        drawn: whether grid lines are drawn.
    """
    white = WHITE if paper is None else paper
    colours = np.array([c.rgb or white for c in chart.classes], dtype=np.float64)
    printed = [c.symbol is not None or c.kind in ("line", "knot") for c in chart.classes]
    return Cloth(chart.cells.astype(np.intp), colours, INK * np.array(printed), paper, drawn=drawn)


def _seen_paper(page: Page, lattice: Lattice, settings: BesideSettings) -> Colours | None:
    """The colour of the paper around the grid; None where too little of it is on the page.

    With a cell's width of it all around it is what most of that has. On a page cropped closer a
    line, a number or a shadow lies there: such a side tells only where it is of one colour, and
    only if all that tell agree.
    """
    columns, rows = lattice.columns, lattice.rows
    corners = np.array([[0.0, 0], [columns, 0], [columns, rows], [0, rows]])
    ends = lattice.to_pixels(corners)
    far = np.array(page.size) - ends.max(axis=0)
    room = np.concatenate([ends.min(axis=0), far]) / np.tile(lattice.pitch, 2)
    if room.min() >= BESIDE:
        return margin_of(page, lattice)
    out = np.minimum(BESIDE, settings.depth * room)
    u, v = (np.arange(side, dtype=np.float64) + 0.5 for side in (columns, rows))
    sides = ((-out[:1], v), (u, -out[1:2]), (columns + out[2:3], v), (u, rows + out[3:]))
    strips = [
        take(page, lattice, across, down).reshape(-1, 3)
        for (across, down), cells in zip(sides, room, strict=True)
        if cells >= settings.room
    ]
    middles = [np.median(strip, axis=0) for strip in strips if _is_even(strip, settings)]
    if len(middles) < settings.sides or np.ptp(middles, axis=0).max() > ONE_COLOUR:
        return None
    return np.asarray(np.median(middles, axis=0), dtype=np.float64)


def _is_even(strip: NDArray[np.uint8], settings: BesideSettings) -> bool:
    """Whether nearly all of a strip (n, 3) has one colour."""
    off = np.abs(strip.astype(np.float64) - np.median(strip, axis=0)).max(axis=1)
    return bool((off <= ONE_COLOUR).mean() >= settings.even)


def _lit_paper(page: Page, lattice: Lattice, light: Light) -> Colours:
    """The colour of the paper around the grid once light is balanced.

    White, unless light was told by a pale stitch that covers much of the grid: then paper is more.
    """
    columns, rows = lattice.columns, lattice.rows
    u, v = (np.arange(side, dtype=np.float64) + 0.5 for side in (columns, rows))
    seen = []
    for beside, edge in ((-BESIDE, 0), (BESIDE, 1)):
        for across, down, on_grid in (
            (u, np.array([edge * rows + beside]), (u, np.array([float(edge * rows)]))),
            (np.array([edge * columns + beside]), v, (np.array([float(edge * columns)]), v)),
        ):
            places = lattice.to_pixels(np.stack(np.meshgrid(across, down), axis=-1))
            on = ((places >= 0) & (places < np.array(page.size))).all(axis=-1)
            shown = take(page, lattice, across, down).astype(np.float64)
            seen.append(balanced(shown, light.at(*on_grid))[on])
    paper = np.concatenate(seen)
    return np.median(paper, axis=0) if len(paper) > columns + rows else np.full(3, LIT)
