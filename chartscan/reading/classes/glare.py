"""Paper in more light than was fitted: nothing that is printed is brighter than the paper."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from chartscan.colour import srgb_to_lab
from chartscan.reading.cells.light import LIT
from chartscan.reading.classes.cluster import by_size, means_of
from chartscan.reading.classes.looks import Looks
from chartscan.reading.classes.usual import GLYPH, GREY

Labels = NDArray[np.intp]


@dataclass(frozen=True)
class GlareSettings:
    """What is paper in glare.

    Attributes:
        brighter: CIELAB lightness above that of lit paper from which on a group is.
        paper: CIELAB difference from lit paper up to which another group is paper.
    """

    brighter: float = 4.0
    paper: float = 5.0


def without_glare(
    looks: Looks, labels: Labels, settings: GlareSettings = GlareSettings()
) -> Labels:
    """The labels, groups brighter than paper taken for the group that is paper.

    Args:
        looks: what the cells look like once the light is even.
        labels: group per cell, commonest first, shape (rows, columns).
        settings: what glare is.
    """
    flat = labels.ravel()
    means = means_of(looks.points, flat) / looks.side
    bare = np.linalg.norm(means[:, : looks.inked], axis=1) <= GLYPH
    ground, lit = means[:, looks.inked :], srgb_to_lab(np.full(3, LIT))
    chroma = np.hypot(ground[:, 1], ground[:, 2])
    glare = bare & (ground[:, 0] >= lit[0] + settings.brighter) & (chroma <= GREY)
    off = np.where(bare & ~glare, np.linalg.norm(ground - lit, axis=1), np.inf)
    if not glare.any() or off.min() > settings.paper:
        return labels
    return by_size(np.where(glare[flat], off.argmin(), flat)).reshape(labels.shape)
