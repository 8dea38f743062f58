"""One axis of a lattice: equally spaced lines, and how they are fitted to edges."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Profile = NDArray[np.float64]

OFF_PAGE = 0.3  # how far off the page a line may lie, in cells: pages are cropped at the frame
PITCH_RATIO = 1.06  # by how much a pitch may differ from a guess, or those of the two axes


@dataclass(frozen=True)
class Axis:
    """Equally spaced lines on one axis: line ``j`` lies at ``origin + j * pitch`` pixels.

    ``agreement`` is the share of edges near a line, ``coherent`` the length of edges in phase
    with the lines in sampled rows, ``even`` how alike the lines are in length; ``drawn`` whether
    they are known to be drawn.
    """

    origin: float
    pitch: float
    agreement: float
    coherent: float
    even: float
    drawn: bool = False

    def lines(self, length: int) -> NDArray[np.float64]:
        """Positions of every line on a page ``length`` px long, those just off its ends too."""
        first = np.ceil(-OFF_PAGE - self.origin / self.pitch)
        last = np.floor((length - self.origin) / self.pitch + OFF_PAGE)
        return self.origin + self.pitch * np.arange(first, last + 1)


def phase(
    position: Profile, weight: Profile, guess: float, ratio: float = PITCH_RATIO
) -> tuple[float, float]:
    """Pitch near ``guess`` and origin at which most weight falls on lines."""
    span = max(float(np.ptp(position)), guess)
    steps = np.arange(-1.0, 1.0, 4 * guess / span) * (ratio - 1) * guess + guess
    phasor = np.exp(2j * np.pi * position[None, :] / steps[:, None]) @ weight
    best = int(np.argmax(np.abs(phasor)))
    pitch = float(steps[best])
    return pitch, float(np.angle(phasor[best]) / (2 * np.pi) * pitch)


def evenly_spaced(index: Profile, position: Profile, weight: Profile) -> tuple[float, float]:
    """Weighted least squares ``position = origin + pitch * index``; returns (pitch, origin)."""
    mean_i = np.average(index, weights=weight)
    mean_x = np.average(position, weights=weight)
    spread = np.average((index - mean_i) ** 2, weights=weight)
    pitch = float(np.average((index - mean_i) * (position - mean_x), weights=weight) / spread)
    return pitch, float(mean_x - pitch * mean_i)
