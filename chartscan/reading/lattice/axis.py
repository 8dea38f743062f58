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
    """Pitch near ``guess`` and origin at which most weight falls on lines; whole positions only."""
    profile = np.zeros(int(position.max()) + 1)
    profile[position.astype(np.intp)] = weight
    size = 4 * 2 ** int(np.ceil(np.log2(profile.size)))
    first, last = int(np.ceil(size / (guess * ratio))), int(size * ratio / guess)
    if last < first:
        first = last = max(1, round(size / guess))
    spectrum = np.fft.rfft(profile, size)[first : last + 1]
    best = int(np.argmax(np.abs(spectrum)))
    pitch = size / (first + best)
    return pitch, float(-np.angle(spectrum[best]) / (2 * np.pi) * pitch)


def evenly_spaced(index: Profile, position: Profile, weight: Profile) -> tuple[float, float]:
    """Weighted least squares ``position = origin + pitch * index``; returns (pitch, origin)."""
    total = weight.sum()
    mean_i = (index * weight).sum() / total
    mean_x = (position * weight).sum() / total
    off = index - mean_i
    spread = (off**2 * weight).sum() / total
    pitch = float((off * (position - mean_x) * weight).sum() / total / spread)
    return pitch, float(mean_x - pitch * mean_i)
