"""Groups of cells that look alike, round by round, and without those that no thread made."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from chartscan.progress import untold
from chartscan.reading.classes.appearance import Patches
from chartscan.reading.classes.bleed import without_bleeding
from chartscan.reading.classes.borders import without_drift
from chartscan.reading.classes.cluster import cluster, regroup
from chartscan.reading.classes.dust import without_dust
from chartscan.reading.classes.looks import Looks
from chartscan.reading.classes.spread import Spread

Labels = NDArray[np.intp]
Points = NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class Grouped:
    """Cells grouped by what they look like.

    Attributes:
        labels: group per cell, commonest first, shape (rows, columns).
        spread: what the cells look like, and how that scatters.
    """

    labels: Labels
    spread: Spread

    @property
    def looks(self) -> Looks:
        """What the cells look like."""
        return self.spread.looks

    @property
    def ground(self) -> Points:
        """CIELAB of the ground of each cell, shape (rows, columns, 3)."""
        ground = self.looks.points[:, self.looks.inked :] / self.looks.side
        return ground.reshape(*self.labels.shape, 3)


def cut_small(spread: Spread, wanted: int | None = None) -> Labels:
    """Groups of cells that look alike, cut too small rather than too large.

    Noise isn't known yet: two classes taken for one would pass for it.

    Args:
        spread: what the cells look like.
        wanted: how many groups there are, where that is known.
    """
    settings = spread.settings
    groups = replace(settings.groups, separation=settings.apart[0])
    return cluster(spread.whitened(spread.noise), groups, wanted=wanted, looks=spread.looks)


def grown_together(
    spread: Spread,
    labels: Labels,
    wanted: int | None = None,
    tried: Callable[[], None] = untold,
) -> Labels:
    """Groups joined round by round, as the noise within them tells what is alike.

    Args:
        spread: what the cells look like.
        labels: groups that were :func:`cut_small`; the lattice may have moved a little since.
        wanted: how many groups there are, where that is known.
        tried: called before every round.
    """
    settings, looks = spread.settings, spread.looks
    for apart in settings.apart[1:]:
        tried()
        white = spread.whitened(spread.within(labels))
        groups = replace(settings.groups, separation=apart)
        before, labels = labels, regroup(white, labels, groups, wanted, looks)
        if np.array_equal(before, labels):
            break
        if labels.max() < settings.halved * before.max():
            narrow = replace(groups, widest=settings.widest)
            labels = regroup(white, before, narrow, wanted, looks)
    return labels


def cleared(lab: Patches, grouped: Grouped, *, free: bool) -> Grouped:
    """The groups but for those that specks of dust, bold lines, and uneven light made.

    Args:
        lab: CIELAB of places all over every cell, shape (rows, columns, n, n, 3).
        grouped: the groups.
        free: whether the number of groups isn't told.
    """
    shape = grouped.labels.shape
    labels = without_dust(lab, grouped.labels.ravel(), grouped.spread.settings.dust)
    if free:
        labels = without_bleeding(lab, labels)
        ground = grouped.ground.reshape(-1, 3)
        labels = without_drift(grouped.looks.points, ground, labels.reshape(shape))
    return replace(grouped, labels=labels.reshape(shape))
