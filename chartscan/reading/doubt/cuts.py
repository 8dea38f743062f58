"""How steadily a grid ends where it was cut: the same page looked at otherwise, and cut anew."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass

from chartscan.reading.lattice.extent import Extent, ExtentSettings, gridded
from chartscan.reading.lattice.model import Lattice
from chartscan.reading.page.page import Page


@dataclass(frozen=True)
class CutSettings:
    """How a page is looked at again.

    Attributes:
        smaller: how many times smaller than lines need it the page is looked at.
        pitch: least px per cell then.
        sides: how much of a cell's side must be an edge for it to be seen.
        beyond: cells around the grid that are looked at, too.
    """

    smaller: tuple[int, ...] = (1, 2)
    pitch: float = 4.0
    sides: tuple[float, ...] = (0.2, 0.35, 0.5)
    beyond: int = 4


@dataclass(frozen=True)
class Cuts:
    """Where the grid ends by other looks at the page.

    Attributes:
        looks: how many there were.
        others: columns and rows by those that differ, and how many say so; None: no grid at all.
    """

    looks: int
    others: Counter[tuple[int, int] | None]

    @property
    def unsteady(self) -> float:
        """The part of the looks by which the grid ends elsewhere, 0 to 1; 0 without a look."""
        return sum(self.others.values()) / self.looks if self.looks else 0.0

    @property
    def agreed(self) -> float:
        """The part of the looks by which it ends where most of those end, 0 to 1."""
        sizes = [times for size, times in self.others.items() if size is not None]
        return max(sizes, default=0) / self.looks if self.looks else 0.0


def cut_anew(page: Page, lattice: Lattice, settings: CutSettings = CutSettings()) -> Cuts:
    """Cut the grid anew, as seen larger and smaller, with more and less of its lines, on a rug."""
    beyond = settings.beyond
    here = Extent(beyond, lattice.columns + beyond, beyond, lattice.rows + beyond)
    others: Counter[tuple[int, int] | None] = Counter()
    looks = 0
    for cut in _all_cuts(page, lattice, settings):
        looks += 1
        if cut != here:
            others[None if cut is None else (cut.columns, cut.rows)] += 1
    return Cuts(looks, others)


def _all_cuts(page: Page, lattice: Lattice, settings: CutSettings) -> Iterator[Extent | None]:
    from chartscan.reading.lattice.rectified import line_evidence, sides_of  # exports need none
    from chartscan.reading.lattice.views import fine
    from chartscan.reading.page.smaller import luma_of, smaller

    luma = luma_of(page.pixels)
    beyond = settings.beyond
    region = Extent(-beyond, lattice.columns + beyond, -beyond, lattice.rows + beyond)
    for times in settings.smaller:
        factor = fine(lattice) * times
        small = lattice.scaled(1 / factor)
        if min(small.pitch) < settings.pitch:
            continue
        seen = line_evidence(smaller(luma, factor), small, region)
        for rug in (False, True):
            sides = sides_of(seen, rug=rug)
            for side in settings.sides:
                yield gridded(sides, ExtentSettings(side=side))
