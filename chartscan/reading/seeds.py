"""Where to begin: tiles of the page that repeat both ways, with the steps they repeat by."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from chartscan.reading.rectified import Grey


@dataclass(frozen=True)
class SeedSettings:
    """How seeds are looked for.

    Attributes:
        tile: side of a tile in px of the reduced page.
        tilt: greatest angle between a grid direction and the page's, in degrees.
        least_pitch: px per cell of the reduced page.
        periods: fewest cells in a tile.
        stretch: greatest ratio of the two pitches.
        fundamental: part of the strongest peak that a lower frequency must have to be preferred.
        tiles: most tiles along each side of the page.
        most: number of seeds returned.
    """

    tile: int = 128
    tilt: float = 14.0
    least_pitch: float = 4.2
    periods: float = 4.0
    stretch: float = 1.35
    fundamental: float = 0.45
    tiles: int = 8
    most: int = 6


@dataclass(frozen=True)
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


def find_seeds(grey: Grey, settings: SeedSettings = SeedSettings()) -> list[Seed]:
    """The tiles of ``grey`` that repeat most strongly both ways, strongest first."""
    across = np.abs(np.diff(grey, axis=1))[:-1]
    down = np.abs(np.diff(grey, axis=0))[:, :-1]
    side = min(settings.tile, *across.shape)
    window = np.hanning(side)[:, None] * np.hanning(side)[None, :]
    seeds: list[Seed] = []
    for top in _starts(across.shape[0], side, settings):
        for left in _starts(across.shape[1], side, settings):
            box = (slice(top, top + side), slice(left, left + side))
            found = _steps(_compress(across[box]), _compress(down[box]), window, settings)
            if found is not None:
                steps, strength = found
                seeds.append(Seed((left + side / 2, top + side / 2), steps, strength))
    return _varied(sorted(seeds, key=lambda seed: -seed.strength))[: settings.most]


def _starts(length: int, side: int, settings: SeedSettings) -> list[int]:
    count = max(1, int(np.ceil(2 * (length - side) / side)) + 1)
    return [int(start) for start in np.linspace(0, length - side, min(count, settings.tiles))]


def _varied(seeds: list[Seed]) -> list[Seed]:
    """The strongest seeds, those of a pitch that came twice before put last."""
    first: list[Seed] = []
    last: list[Seed] = []
    for seed in seeds:
        pitch = np.linalg.norm(seed.steps, axis=0)
        alike = sum(
            np.abs(np.log(np.linalg.norm(s.steps, axis=0) / pitch)).max() < 0.04 for s in first
        )
        (first if alike < 2 else last).append(seed)
    return first + last


def _compress(edges: Grey) -> Grey:
    """Edges with strong ones cut down, so that bold strokes don't outshout thin lines."""
    typical = float(np.quantile(edges, 0.9)) + 1.0
    return np.minimum(edges, typical)


def _steps(
    across: Grey, down: Grey, window: NDArray[np.float64], settings: SeedSettings
) -> tuple[NDArray[np.float64], float] | None:
    """The steps and the strength of one tile; None where it doesn't repeat both ways."""
    peaks_x = _peaks(across, window, settings)
    peaks_y = [(f[::-1], s) for f, s in _peaks(down.T, window, settings)]
    pairs: list[tuple[float, float, NDArray[np.float64]]] = []
    for fx, sx in peaks_x:
        for fy, sy in peaks_y:
            long, short = np.linalg.norm(fx), np.linalg.norm(fy)
            bend = abs(float(fx @ fy)) / (long * short)
            if max(long / short, short / long) <= settings.stretch and bend <= 0.3:
                square = min(long / short, short / long)
                pairs.append((float(np.sqrt(sx * sy) * square), float(long), np.stack([fx, fy])))
    if not pairs:
        return None
    strongest = max(p[0] for p in pairs)
    low = min((p for p in pairs if p[0] >= settings.fundamental * strongest), key=lambda p: p[1])
    return np.asarray(np.linalg.inv(low[2]), dtype=np.float64), low[0]


def _peaks(
    edges: Grey, window: NDArray[np.float64], settings: SeedSettings
) -> list[tuple[NDArray[np.float64], float]]:
    """Frequencies (cycles per px, x first) near the x axis at which edges repeat, with strength."""
    side = edges.shape[0]
    size = 2 * side
    flat = (edges - np.average(edges, weights=window)) * window
    total = float((edges * window).sum()) + 1e-9
    spectrum = np.abs(np.fft.rfft2(flat, (size, size))) / total
    fy = np.fft.fftfreq(size)[:, None]
    fx = np.fft.rfftfreq(size)[None, :]
    radius = np.hypot(fx, fy)
    allowed = (radius <= 1 / settings.least_pitch) & (radius >= settings.periods / side)
    allowed &= np.abs(fy) <= np.tan(np.radians(settings.tilt)) * fx
    strength = np.where(allowed, spectrum, 0)
    found: list[tuple[NDArray[np.float64], float]] = []
    for _ in range(6):
        k, j = (int(i) for i in np.unravel_index(int(strength.argmax()), strength.shape))
        top = float(strength[k, j])
        if top <= 0 or (found and top < 0.2 * found[0][1]):
            break
        found.append((_refined(spectrum, k, j) / size, top))
        rows = (np.arange(k - 5, k + 6)) % size
        strength[rows[:, None], np.arange(max(0, j - 5), min(j + 6, strength.shape[1]))] = 0
    return found


def _refined(spectrum: NDArray[np.float64], k: int, j: int) -> NDArray[np.float64]:
    """The peak's place between the bins, by the centroid of its neighbours; x first."""
    size, width = spectrum.shape
    rows = np.arange(k - 1, k + 2)
    columns = np.clip(np.arange(j - 1, j + 2), 0, width - 1)
    around = spectrum[(rows % size)[:, None], columns] ** 2
    y = float((around.sum(axis=1) * rows).sum() / around.sum())
    x = float((around.sum(axis=0) * np.arange(j - 1, j + 2)).sum() / around.sum())
    return np.array([x, y - size if y > size / 2 else y])
