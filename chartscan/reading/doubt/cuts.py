"""How steadily a grid ends where it was cut: the same page looked at otherwise, and cut anew."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from chartscan.reading.lattice.extent import Extent, ExtentSettings, gridded
from chartscan.reading.lattice.fine import fine
from chartscan.reading.lattice.model import Lattice
from chartscan.reading.page.page import Page
from chartscan.reading.scale import LEAST_PITCH

Grey = NDArray[np.uint8]

RUGS = (False, True)  # whether lines are to stand out from what a rug shows besides


@dataclass(frozen=True)
class CutSettings:
    """How a page is looked at again.

    Attributes:
        smaller: how many times smaller than lines need it the page is looked at.
        sides: how much of a cell's side must be an edge for it to be seen.
        beyond: cells around the grid that are looked at, too.
    """

    smaller: tuple[int, ...] = (1, 2)
    sides: tuple[float, ...] = (0.2, 0.35, 0.5)
    beyond: int = 4


@dataclass(frozen=True)
class Cuts:
    """Where the grid ends by other looks at the page.

    Attributes:
        looks: how many there are.
        others: columns and rows by those that differ, and how many say so; None: no grid at all.
        left: how many of the looks weren't taken yet.
    """

    looks: int
    others: Counter[tuple[int, int] | None]
    left: int = 0

    @property
    def unsteady(self) -> float:
        """The part of the looks by which the grid ends elsewhere, 0 to 1; 0 without a look."""
        return sum(self.others.values()) / self.looks if self.looks else 0.0

    @property
    def agreed(self) -> float:
        """The part of the looks by which it ends where most of those end, 0 to 1."""
        sizes = [times for size, times in self.others.items() if size is not None]
        return max(sizes, default=0) / self.looks if self.looks else 0.0

    def at_worst(self) -> Cuts:
        """What all looks can come to: those that are left agree on the size that most agree on."""
        sizes = Counter({size: times for size, times in self.others.items() if size is not None})
        ((most, _),) = sizes.most_common(1) or [((0, 0), 0)]
        return Cuts(self.looks, self.others + Counter({most: self.left}))


def cut_anew(page: Page, lattice: Lattice, settings: CutSettings = CutSettings()) -> Iterator[Cuts]:
    """Cut the grid anew, as seen smaller and larger, with more and less of its lines, on a rug.

    After each size that the page is seen at comes what is known so far; the smallest is the
    cheapest, and mostly tells enough.
    """
    factors = [fine(lattice) * times for times in sorted(settings.smaller, reverse=True)]
    factors = [n for n in factors if min(lattice.scaled(1 / n).pitch) >= LEAST_PITCH]
    beyond, each = settings.beyond, len(RUGS) * len(settings.sides)
    here = Extent(beyond, lattice.columns + beyond, beyond, lattice.rows + beyond)
    others: Counter[tuple[int, int] | None] = Counter()
    looks = left = each * len(factors)
    for factor in factors:
        cuts = _cuts(page.luma(factor), lattice.scaled(1 / factor), settings)
        others += Counter(
            None if cut is None else (cut.columns, cut.rows) for cut in cuts if cut != here
        )
        left -= each
        yield Cuts(looks, others, left)
    if not factors:
        yield Cuts(0, others)


def _cuts(luma: Grey, lattice: Lattice, settings: CutSettings) -> Iterator[Extent | None]:
    """Where the grid ends as it is seen at one size."""
    from chartscan.reading.lattice.rectified import line_evidence, sides_of

    beyond = settings.beyond
    region = Extent(-beyond, lattice.columns + beyond, -beyond, lattice.rows + beyond)
    seen = line_evidence(luma, lattice, region)
    for rug in RUGS:
        sides = sides_of(seen, rug=rug)
        for side in settings.sides:
            yield gridded(sides, ExtentSettings(side=side))
