"""Lattices by what the whole page repeats by, whether or not lines are seen along its cells.

Crosses that fill their cells hide the lines, and threads of a finely ruled ground are lines that
no cell ends at. But whatever is drawn, the page is as dark again a cell farther on. Where it lies
nearly flat, its spectrum shows that over all cells at once. On pages held aslant it shows nothing.
"""

from __future__ import annotations

import itertools
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from chartscan.reading.lattice.axis import PITCH_RATIO
from chartscan.reading.lattice.model import FLAT, Lattice
from chartscan.reading.lattice.rectified import Grey
from chartscan.reading.lattice.sight import sight_of
from chartscan.reading.lattice.weights import VerifySettings

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class PeriodSettings:
    """How periods of the whole page are looked for.

    Attributes:
        most_side: px, at most, of the longer side of the page made smaller.
        least, most: px of that page per cell.
        tilt: greatest angle between a grid direction and the page's, in degrees.
        clear: how many times stronger than the usual one a wave must be; those of cells were 13 to
            154 on seven drawn plates, others up to 8.
        apart: bins of the spectrum by which waves differ at least; the window blurs two.
        peaks: waves tried each way, and pairs of them that are proposed, strongest first.
        idle: octaves by which less than in most rows may change in a row of the chart.
        verify: how a lattice is looked at.
    """

    most_side: int = 1600
    least: float = 7.0
    most: float = 60.0
    tilt: float = 2.5
    clear: float = 10.0
    apart: int = 4
    peaks: int = 4
    idle: float = 1.5
    verify: VerifySettings = VerifySettings()

    @property
    def steep(self) -> float:
        """The tangent of ``tilt``."""
        return float(np.tan(np.radians(self.tilt)))


@dataclass(frozen=True)
class Wave:
    """A wave over the page: cycles per px across and down, and how strong it is beside others."""

    frequency: tuple[float, float]
    strength: float

    @property
    def pitch(self) -> float:
        """Its length in px."""
        return float(1 / np.hypot(*self.frequency))


@dataclass(frozen=True, eq=False)
class Repeats:
    """What a whole page repeats by.

    Attributes:
        factor: how many times smaller the page is looked at.
        page: that, in one channel.
        swing: what is dark on it less its mean, weighed so that the page's ends don't show.
        across, down: its clear waves, strongest first.
    """

    factor: int
    page: Grey
    swing: NDArray[np.float32]
    across: list[Wave]
    down: list[Wave]


def repeats_of(
    size: tuple[int, int],
    grey: Callable[[int], Grey],
    settings: PeriodSettings = PeriodSettings(),
) -> Repeats:
    """What a page of ``size`` (width, height in px) repeats by.

    ``grey`` gives it in one channel, a whole factor smaller.
    """
    factor = -(-max(size) // settings.most_side)
    page = grey(factor)
    dark = 255.0 - np.asarray(page, dtype=np.float32)
    window = [np.hanning(n).astype(np.float32) for n in dark.shape]
    swing = (dark - dark.mean()) * window[0][:, None] * window[1]
    down = [Wave(w.frequency[::-1], w.strength) for w in waves(swing.T, settings)]
    return Repeats(factor, page, swing, waves(swing, settings), down)


def periodic(
    repeats: Repeats, longer: float = 0.0, settings: PeriodSettings = PeriodSettings()
) -> Iterator[Lattice]:
    """Lattices, in px of the whole page, by pairs of waves, strongest first.

    Args:
        repeats: what the page repeats by.
        longer: px of the whole page that a cell must have at least.
        settings: how periods are looked for.
    """
    for pair in _pairs(repeats.across, repeats.down, longer / repeats.factor, settings):
        lattice = _bounded(repeats.page, _lattice(repeats.swing, pair), settings)
        yield lattice.scaled(repeats.factor)


def _pairs(
    across: Sequence[Wave], down: Sequence[Wave], longer: float, settings: PeriodSettings
) -> list[tuple[Wave, Wave]]:
    """Pairs of about one length, the strongest of each length first."""
    every = sorted(itertools.product(across, down), key=lambda p: -p[0].strength * p[1].strength)
    found: list[tuple[Wave, Wave]] = []
    for a, d in every:
        short, long = sorted((a.pitch, d.pitch))
        known = any(max(a.pitch / b.pitch, b.pitch / a.pitch) <= PITCH_RATIO for b, _ in found)
        if long <= PITCH_RATIO * short and short >= longer and not known:
            found.append((a, d))
    return found[: settings.peaks]


def waves(swing: NDArray[np.float32], settings: PeriodSettings) -> list[Wave]:
    """The clear waves that run across ``swing``, what is dark less its mean; strongest first."""
    fy, fx, spectrum = _spectrum(swing, settings)
    radius = np.hypot(fy[:, None], fx)
    allowed = (radius >= 1 / settings.most) & (radius <= 1 / settings.least)
    allowed &= np.abs(fy[:, None]) <= settings.steep * fx
    if not allowed.any():
        return []
    usual = float(np.median(spectrum[allowed]))
    left = np.where(allowed, spectrum, 0.0)
    found: list[Wave] = []
    reach = np.arange(-settings.apart, settings.apart + 1)
    while len(found) < settings.peaks:
        k, j = np.unravel_index(int(left.argmax()), left.shape)
        strength = float(left[k, j]) / (usual + 1e-9)
        if strength < settings.clear:
            break
        rows, columns = np.clip(k + reach, 0, len(fy) - 1), np.clip(j + reach, 0, len(fx) - 1)
        near = slice(k - 1, k + 2), np.clip(j + np.arange(-1, 2), 0, len(fx) - 1)
        around = spectrum[near] ** 2
        around /= around.sum()
        at = float(around.sum(axis=0) @ fx[near[1]]), float(around.sum(axis=1) @ fy[near[0]])
        found.append(Wave(at, strength))
        left[np.ix_(rows, columns)] = 0.0
    return found


def _spectrum(
    swing: NDArray[np.float32], settings: PeriodSettings
) -> tuple[Floats, Floats, NDArray[np.float32]]:
    """Frequencies down (n,) and across (m,) of waves that may be cells', and how strong: (n, m).

    They run nearly straight across, so that there are few down: a product of matrices gives those
    sooner than the fast transform gives all. One more is there on either side.
    """
    height, width = swing.shape
    aside = int(settings.steep / settings.least * height) + 1
    fy: Floats = np.arange(-aside, aside + 1) / height
    turns = 2 * np.pi * fy[:, None] * np.arange(height)
    wave = np.concatenate([np.cos(turns), -np.sin(turns)]).astype(np.float32)
    real, imaginary = np.split(wave @ swing, 2)
    strong = np.abs(np.fft.fft(real + np.complex64(1j) * imaginary, axis=1))
    fx: Floats = np.asarray(np.fft.rfftfreq(width), dtype=np.float64)
    return fy, fx, np.asarray(strong[:, : len(fx)], dtype=np.float32)


def _lattice(swing: NDArray[np.float32], pair: tuple[Wave, Wave]) -> Lattice:
    """A lattice whose lines lie where both waves are darkest; of one cell, at the page's corner."""
    height, width = swing.shape
    to_grid = np.eye(3)
    for k, wave in enumerate(pair):
        fx, fy = wave.frequency
        across = np.exp(-2j * np.pi * fx * (np.arange(width) + 0.5))
        turns = 2 * np.pi * fy * (np.arange(height) + 0.5)
        real, imaginary = np.stack([np.cos(turns), -np.sin(turns)]).astype(np.float32) @ swing
        phase = np.angle(real @ across + 1j * (imaginary @ across))
        to_grid[k] = fx, fy, phase / (2 * np.pi)
    to_pixels = np.asarray(np.linalg.inv(to_grid), dtype=np.float64)
    return Lattice(1, 1, to_pixels, FLAT, drawn=True)


def _bounded(page: Grey, lattice: Lattice, settings: PeriodSettings) -> Lattice:
    """The lattice cut to the longest run of rows and of columns in which much changes."""
    height, width = page.shape
    corners = np.array([[0.0, 0], [width, 0], [width, height], [0, height]])
    grid = np.column_stack([corners, np.ones(4)]) @ np.linalg.inv(lattice.homography).T
    left, top = np.floor(grid[:, :2].min(axis=0)).astype(int)
    right, bottom = np.ceil(grid[:, :2].max(axis=0)).astype(int)
    whole = lattice.cut(int(left), int(top), int(right - left), int(bottom - top))
    around = settings.verify.around
    way = sight_of(page, whole, settings.verify).upright
    changes = way.activity[around:-around, around:-around]
    rows, columns = slice(0, len(changes)), slice(0, changes.shape[1])
    for _ in range(2):
        rows = _busy(changes[:, columns].mean(axis=1), settings)
        columns = _busy(changes[rows].mean(axis=0), settings)
    return whole.cut(
        columns.start, rows.start, columns.stop - columns.start, rows.stop - rows.start
    )


def _busy(changes: Floats, settings: PeriodSettings) -> slice:
    """The longest run of entries in which not much less changes than in most."""
    busy = changes >= np.median(changes) - settings.idle
    edges = np.flatnonzero(np.diff(np.concatenate([[0], busy.astype(np.int8), [0]])))
    starts, ends = edges[::2], edges[1::2]
    longest = int(np.argmax(ends - starts))
    return slice(int(starts[longest]), int(ends[longest]))
