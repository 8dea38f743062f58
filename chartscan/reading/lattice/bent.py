"""The lattice of a scan or photograph that seems to lie straight, as it really lies."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache, partial

import numpy as np

from chartscan.reading.lattice.extent import Extent
from chartscan.reading.lattice.fine import fine
from chartscan.reading.lattice.grown import GrownSettings, locate_grown
from chartscan.reading.lattice.located import Located, NotFound
from chartscan.reading.lattice.model import Lattice
from chartscan.reading.lattice.rectified import Grey, line_evidence, sides_of
from chartscan.reading.lattice.settle import settled, strays
from chartscan.reading.lattice.views import Views
from chartscan.reading.page.page import Page


@dataclass(frozen=True)
class BentSettings:
    """When a lattice that lies straight is not believed.

    Attributes:
        least_cells: fewest cells along a side; fewer are no chart, but may be part of one.
        strays: how far beside its lines, in cells, a row of a straight lattice may lie.
        bent: part of the line evidence by which more must come into step for the lattice to be
            bent, and to be anything but straight.
        in_step: the same where its rows lie on their lines once it is moved, as they didn't before.
        all_over: part of the page's width and height that a lattice over all of it spans.
        drawn: part of the sides of its outer cells that must then stand out for it to be a chart
            cut close, and not a page on a rug.
        part: part of such a lattice that a gridded chart within it takes up at most.
    """

    least_cells: int = 5
    strays: float = 0.08
    bent: tuple[float, float] = (0.02, 0.1)
    in_step: float = 0.0
    all_over: float = 0.9
    drawn: float = 0.5
    part: float = 0.6


def bent(
    page: Page,
    lattice: Lattice,
    growth: GrownSettings = GrownSettings(),
    settings: BentSettings = BentSettings(),
) -> Located:
    """The lattice of a scan or photograph that seems to lie straight, as it really lies.

    A flatbed scan may lie straight and yet bend near a fold. Where much more comes into step, the
    page may not lie straight at all, and a lattice is grown in its stead; likewise where the whole
    page seems gridded, no lines or few cells were seen, as in a photograph of a page on a rug.
    """
    grown = cache(partial(locate_grown, page, growth))  # takes long, and may be asked for twice
    if min(lattice.columns, lattice.rows) < settings.least_cells:
        small = grown()
        return small if isinstance(small, Located) else Located(lattice)
    factor = fine(lattice)
    luma = Views.at(page, "luma").grey
    grey = luma(factor)
    if not lattice.drawn or _all_over(grey, lattice.scaled(1 / factor), settings):
        small = grown()
        if isinstance(small, Located) and _part(small.lattice, lattice) <= settings.part:
            return small
    if not lattice.drawn:
        return Located(lattice)
    if strays(grey, lattice.scaled(1 / factor)) <= settings.strays:
        return Located(lattice)
    moved = settled(luma, factor, lattice)
    lies_now = strays(grey, moved.lattice.scaled(1 / factor)) <= settings.strays
    if moved.gain >= settings.bent[1]:
        other = grown()
        if isinstance(other, NotFound):
            return Located(lattice)
        if settings.part < _part(other.lattice, lattice) < 1:  # outer rows were lost
            return Located(lattice)
        return other
    better = moved.gain >= (settings.in_step if lies_now else settings.bent[0])
    return Located(moved.lattice if better else lattice)


def _all_over(grey: Grey, lattice: Lattice, settings: BentSettings) -> bool:
    """Whether the lattice spans the whole page, and its outer lines are not clearly drawn."""
    spans = np.multiply((lattice.columns, lattice.rows), lattice.pitch) / grey.shape[::-1]
    if spans.min() < settings.all_over:
        return False
    whole = Extent(0, lattice.columns, 0, lattice.rows)
    sides = sides_of(line_evidence(grey, lattice, whole), rug=True)
    outer = [side[[0, 1, -2, -1], 1:-1].mean() for side in (sides.upright, sides.level.T)]
    return bool(np.mean(outer) < settings.drawn)


def _part(grown: Lattice, lattice: Lattice) -> float:
    """Cells of ``grown`` as a part of those of ``lattice``."""
    return grown.columns * grown.rows / (lattice.columns * lattice.rows)
