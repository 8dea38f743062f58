"""Where to begin: tiles of the page that repeat both ways, with the steps they repeat by."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from chartscan.reading.lattice.rectified import Grey, jumps

SKEW = 0.3  # greatest cosine of the angle between the two steps of a grid
STRONG = 0.9  # quantile of edges that stands for a strong one


@dataclass(frozen=True)
class SeedSettings:
    """How seeds are looked for.

    Attributes:
        tile: side of a tile in px of the reduced page.
        tilt: greatest angle between a grid direction and the page's, in degrees; a page held in
            the hand reaches 17, and at 27 lies what repeats two cells across and one down.
        least_pitch: px per cell of the reduced page.
        periods: fewest cells in a tile.
        stretch: greatest ratio of the two pitches.
        peaks: waves tried each way.
        apart: bins of the spectrum by which they differ at least; a tile's window blurs two.
        faint: part of the strongest that they must have.
        fundamental: part of the strongest peak that a lower frequency must have to be preferred.
        tiles: most tiles along each side of the page.
        alike: by how much pitches differ, as a natural logarithm, that are one.
        twice: seeds of one pitch that come before others.
        most: number of seeds returned.
        few: seeds of which agreement tells nothing yet.
        about: by how much pitches differ at most, as a natural logarithm, that agree; perspective
            makes as much over a page.
        first: how many of the strongest all must.
    """

    tile: int = 128
    tilt: float = 20.0
    least_pitch: float = 4.2
    periods: float = 4.0
    stretch: float = 1.35
    peaks: int = 6
    apart: int = 5
    faint: float = 0.2
    fundamental: float = 0.45
    tiles: int = 8
    alike: float = 0.04
    twice: int = 2
    most: int = 5
    few: int = 6
    about: float = 0.2
    first: int = 3


@dataclass(frozen=True, eq=False)
class Seed:
    """A place and the two steps by which the page repeats there.

    Attributes:
        centre: x, y in px.
        steps: 2×2; the columns are the steps (px) to the next cell across and down.
        strength: how strongly it repeats, 0 to 1.
    """

    centre: tuple[float, float]
    steps: NDArray[np.float64]
    strength: float

    @property
    def pitch(self) -> float:
        """The shorter of the two steps in px."""
        return float(np.linalg.norm(self.steps, axis=0).min())

    @cached_property
    def twice(self) -> Seed:
        """The same place and steps on the page seen twice as large."""
        x, y = self.centre
        return Seed((2 * x, 2 * y), 2 * self.steps, self.strength)


@dataclass(frozen=True, eq=False)
class Waves:
    """The waves that a tile may repeat by: nearly upright ones, not too short.

    There are few of them, so that two products of matrices give their strengths sooner than the
    fast transform gives those of all.

    Attributes:
        fx, fy: frequencies across and down, cycles per px; half as far apart as the tile tells.
        allowed: the pairs that may be a step of the grid, shape (fy, fx); none at the border.
        window: weight of every px of the tile.
        across, down: the waves themselves, shapes (side, fx) and (fy, side).
    """

    fx: NDArray[np.float64]
    fy: NDArray[np.float64]
    allowed: NDArray[np.bool_]
    window: NDArray[np.float32]
    across: NDArray[np.complex64]
    down: NDArray[np.complex64]

    @staticmethod
    def of(side: int, settings: SeedSettings) -> Waves:
        """The waves over a tile of ``side`` px."""
        steep = np.tan(np.radians(settings.tilt))
        size = 2 * side
        most = int(size / settings.least_pitch) + 2
        aside = int(steep * most) + 2
        fx, fy = np.arange(most) / size, np.arange(-aside, aside + 1) / size
        radius = np.hypot(fx, fy[:, None])
        allowed = (radius <= 1 / settings.least_pitch) & (radius >= settings.periods / side)
        allowed &= np.abs(fy[:, None]) <= steep * fx
        window = np.hanning(side)[:, None] * np.hanning(side)[None, :]
        place = np.arange(side)
        across = np.exp(-2j * np.pi * place[:, None] * fx).astype(np.complex64)
        down = np.exp(-2j * np.pi * fy[:, None] * place).astype(np.complex64)
        return Waves(fx, fy, allowed, window.astype(np.float32), across, down)

    def spectrum(self, edges: NDArray[np.float32]) -> NDArray[np.float32]:
        """How strongly ``edges`` of a tile repeat by each pair of frequencies: (fy, fx)."""
        weighed = edges * self.window
        total = weighed.sum()
        flat = weighed - total / self.window.sum() * self.window
        # Real and imaginary parts side by side: the tile needn't be made complex.
        by_row = (flat @ self.across.view(np.float32)).view(np.complex64)
        strength = np.abs(self.down @ by_row) / (total + 1e-9)
        return np.asarray(strength, dtype=np.float32)


def find_seeds(grey: Grey, settings: SeedSettings = SeedSettings()) -> list[Seed]:
    """The tiles of ``grey`` that repeat most strongly both ways, strongest first."""
    across = jumps(grey[:-1, 1:], grey[:-1, :-1])
    down = jumps(grey[1:, :-1], grey[:-1, :-1])
    side = min(settings.tile, *across.shape)
    waves = Waves.of(side, settings)
    seeds: list[Seed] = []
    for tiles in _rounds(*(_starts(length, side, settings) for length in across.shape)):
        for top, left in tiles:
            box = (slice(top, top + side), slice(left, left + side))
            found = _steps(across[box], down[box], waves, settings)
            if found is not None:
                steps, strength = found
                seeds.append(Seed((left + side / 2, top + side / 2), steps, strength))
        seeds.sort(key=lambda seed: -seed.strength)
        if _agree(seeds, settings):
            break
    return _varied(seeds, settings)


def _rounds(tops: list[int], lefts: list[int]) -> Iterator[list[tuple[int, int]]]:
    """The corners of every other tile each way, then those of all others."""
    some = [(top, left) for top in tops[1::2] for left in lefts[1::2]]
    yield some
    yield [(top, left) for top in tops for left in lefts if (top, left) not in some]


def _agree(seeds: list[Seed], settings: SeedSettings) -> bool:
    """Whether most seeds, strongest first, have about one pitch, and the first ones among them."""
    if len(seeds) < settings.few:
        return False
    pitch = np.log([np.linalg.norm(seed.steps, axis=0) for seed in seeds])
    middle = np.median(pitch[: len(pitch) // 2], axis=0)
    alike = np.abs(pitch - middle).max(axis=1) < settings.about
    return bool(alike.mean() >= 0.5 and alike[: settings.first].all())


def _starts(length: int, side: int, settings: SeedSettings) -> list[int]:
    count = max(1, int(np.ceil(2 * (length - side) / side)) + 1)
    return [int(start) for start in np.linspace(0, length - side, min(count, settings.tiles))]


def _varied(seeds: list[Seed], settings: SeedSettings) -> list[Seed]:
    """The strongest seeds, those of a pitch that came twice before put last."""
    first: list[Seed] = []
    last: list[Seed] = []
    pitches: list[NDArray[np.float64]] = []
    for seed in seeds:
        pitch = np.log(np.linalg.norm(seed.steps, axis=0))
        alike = sum(np.abs(other - pitch).max() < settings.alike for other in pitches)
        if alike >= settings.twice:
            last.append(seed)
            continue
        first.append(seed)
        pitches.append(pitch)
        if len(first) == settings.most:
            break
    return (first + last)[: settings.most]


def _steps(
    across: Grey, down: Grey, waves: Waves, settings: SeedSettings
) -> tuple[NDArray[np.float64], float] | None:
    """The steps and the strength of one tile; None where it doesn't repeat both ways."""
    fx, sx = peaks(waves.spectrum(_compress(across)), waves, settings)
    fy, sy = peaks(waves.spectrum(_compress(down.T)), waves, settings)
    fy = fy[:, ::-1]
    long, short = np.linalg.norm(fx, axis=1)[:, None], np.linalg.norm(fy, axis=1)
    square = np.minimum(long / short, short / long)
    skew = np.abs(fx @ fy.T) / (long * short)
    fits = (square * settings.stretch >= 1) & (skew <= SKEW)
    if not fits.any():
        return None
    strength = np.where(fits, np.sqrt(np.outer(sx, sy)) * square, 0.0)
    fits &= strength >= settings.fundamental * strength.max()
    i, j = np.unravel_index(int(np.where(fits, long, np.inf).argmin()), fits.shape)
    steps = np.linalg.inv(np.stack([fx[i], fy[j]]))
    return np.asarray(steps, dtype=np.float64), float(strength[i, j])


def _compress(edges: Grey) -> NDArray[np.float32]:
    """Edges with strong ones cut down, so that bold strokes don't outshout thin lines."""
    strong = edges.astype(np.float32)  # sooner parted than whole numbers
    rank = int(STRONG * edges.size)
    return np.asarray(np.minimum(strong, np.partition(strong, rank, axis=None)[rank] + 1))


def peaks(
    spectrum: NDArray[np.float32], waves: Waves, settings: SeedSettings
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Frequencies (cycles per px, x first) near the x axis at which edges repeat, and how strongly.

    Shapes (n, 2) and (n,), strongest first. What is strong at the border alone is the foot of a
    wave too long to be told.
    """
    tops = waves.allowed & (spectrum > 0)
    down = np.maximum(np.maximum(spectrum[:-2], spectrum[1:-1]), spectrum[2:])
    around = np.maximum(np.maximum(down[:, :-2], down[:, 1:-1]), down[:, 2:])
    tops[1:-1, 1:-1] &= spectrum[1:-1, 1:-1] >= around
    tops &= spectrum >= settings.faint * spectrum.max(where=tops, initial=0.0)
    places = np.argwhere(tops)
    strength = spectrum[tops]
    found: list[int] = []
    taken = np.zeros(len(places), bool)
    for n in np.argsort(-strength):
        if len(found) == settings.peaks:
            break
        if not taken[n]:
            found.append(int(n))
            taken |= np.abs(places - places[n]).max(axis=1) <= settings.apart
    frequencies = _refined(spectrum, places[found], waves)
    return frequencies, strength[found].astype(np.float64)


def _refined(
    spectrum: NDArray[np.float32], places: NDArray[np.intp], waves: Waves
) -> NDArray[np.float64]:
    """Frequencies of peaks between those of the bins, by the centroid of their neighbours."""
    near = np.arange(-1, 2)
    k, j = places[:, :1] + near, places[:, 1:] + near
    around = spectrum[k[:, :, None], j[:, None, :]].astype(np.float64) ** 2
    around /= around.sum(axis=(1, 2), keepdims=True)
    x = (around.sum(axis=1) * waves.fx[j]).sum(axis=1)
    y = (around.sum(axis=2) * waves.fy[k]).sum(axis=1)
    return np.stack([x, y], axis=1)
