"""What there is on a page to tell bare fabric by: the paper beside the grid, and its ink."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from chartscan.chart import Chart
from chartscan.reading.cells.light import Light, balanced
from chartscan.reading.cells.sampling import take
from chartscan.reading.classes.sorting import Sorted
from chartscan.reading.lattice.content import margin_of
from chartscan.reading.lattice.model import Lattice
from chartscan.reading.page.page import Page

Colours = NDArray[np.float64]
Labels = NDArray[np.intp]

WHITE = np.full(3, 255.0)
LIT = np.full(3, 250.0)  # sRGB of paper once light is balanced
INK = 30.0  # CIELAB lightness over the cell that symbols usually have
BESIDE = 1.0  # cells from the grid at which paper is looked at: clear of frames, before numbers


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


def lay_cloth(page: Page, lattice: Lattice, found: Sorted, *, exact: bool, part: bool) -> Cloth:
    """What tells bare fabric on a page whose cells are ``found`` sorted.

    Args:
        page: the page.
        lattice: where its grid lies.
        found: its cells, sorted.
        exact: whether equal fills are equal to the last bit.
        part: whether it is one of several pages.
    """
    light = found.sight.light if found.sight is not None else None
    paper = _seen_paper(page, lattice) if light is None else _lit_paper(page, lattice, light)
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


def _seen_paper(page: Page, lattice: Lattice) -> Colours | None:
    """The colour of the paper, where a cell's width of it is on the page all around the grid.

    A page cropped closer shows a line, a number or a shadow there.
    """
    width, height = page.size
    ends = lattice.to_pixels(
        np.array(
            [[0.0, 0], [lattice.columns, 0], [lattice.columns, lattice.rows], [0, lattice.rows]]
        )
    )
    room = np.concatenate([ends.min(axis=0), np.array([width, height]) - ends.max(axis=0)])
    return margin_of(page, lattice) if room.min() >= min(lattice.pitch) else None


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
    return np.median(paper, axis=0) if len(paper) > columns + rows else LIT
