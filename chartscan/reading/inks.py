"""The colours that marks are drawn in, and how much of each covers every sample."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from chartscan.reading.ground import Ground, Mask, most_common
from chartscan.reading.patches import Patches, Samples, difference


@dataclass(frozen=True)
class InkSettings:
    """When a colour over the cells is an ink.

    Attributes:
        apart: least difference (0..255, worst channel) between two inks.
        least: samples of pure ink, in cells, before a colour counts.
        share: the same as a share of all samples that differ from the ground.
        halo: share of a colour's samples that another ink, thinly laid, explains, from which on it
            may be the soft edge of that ink,
        touching: if that share of them touches that ink,
        strong: or if it covers them at least so much.
        inks: most inks looked for.
    """

    apart: float = 24.0
    least: float = 0.1
    share: float = 0.004
    halo: float = 0.85
    touching: float = 0.6
    strong: float = 0.7
    inks: int = 16


@dataclass(frozen=True)
class Ink:
    """One ink over the page.

    Attributes:
        colour: sRGB 0..255, shape (3,).
        cover: how much of each sample it covers, 0..1, shape (height, width).
        hidden: samples where it could lie unseen: under another ink, or on its own colour.
    """

    colour: NDArray[np.float64]
    cover: NDArray[np.float32]
    hidden: Mask


def find_inks(
    patches: Patches, ground: Ground, tolerance: float, settings: InkSettings
) -> tuple[Ink, ...]:
    """The inks of the samples that differ from the ground, the most used first."""
    y, x = np.nonzero(ground.left)
    if not len(y):
        return ()
    seen = patches.pixels[y, x].astype(np.float32)
    colours = _ink_colours(patches, ground, tolerance, settings)
    if not len(colours):
        return ()
    below = ground.expected[y, x].astype(np.float32)
    cover, rest = _cover(seen, below, colours)
    best = np.argmin(rest - 10 * np.minimum(cover, 1), axis=0)
    part = np.clip(cover[best, np.arange(len(y))], 0, 1)
    part[rest[best, np.arange(len(y))] > 40] = 0
    return tuple(
        _ink(i, colour, (y, x, best, part), ground, tolerance) for i, colour in enumerate(colours)
    )


def _ink(
    number: int,
    colour: NDArray[np.float64],
    found: tuple[NDArray[np.intp], NDArray[np.intp], NDArray[np.intp], NDArray[np.float32]],
    ground: Ground,
    tolerance: float,
) -> Ink:
    y, x, best, part = found
    cover = np.zeros(ground.left.shape, dtype=np.float32)
    mine = best == number
    cover[y[mine], x[mine]] = part[mine]
    hidden = difference(ground.expected, np.rint(colour).astype(np.int16)) <= 1.5 * tolerance + 4
    hidden[y[mine], x[mine]] = False
    hidden[y[~mine], x[~mine]] |= part[~mine] > 0.5
    return Ink(colour, cover, hidden)


def _cover(
    seen: NDArray[np.float32], below: NDArray[np.float32], colours: NDArray[np.float64]
) -> tuple[NDArray[np.float32], NDArray[np.float32]]:
    """Coverage by each ink that best blends ``below`` into ``seen``, and what is left: (inks, n)."""
    cover = np.empty((len(colours), len(seen)), dtype=np.float32)
    rest = np.empty_like(cover)
    for i, colour in enumerate(colours.astype(np.float32)):
        way = colour - below
        length = np.maximum((way * way).sum(axis=1), 1.0)
        cover[i] = ((seen - below) * way).sum(axis=1) / length
        blend = below + np.clip(cover[i], 0, 1)[:, None] * way
        rest[i] = np.abs(seen - blend).max(axis=1)
    return cover, rest


def _ink_colours(
    patches: Patches, ground: Ground, tolerance: float, settings: InkSettings
) -> NDArray[np.float64]:
    """Peaks among the colours of the differing samples, soft edges left out: (n, 3)."""
    pure = _solid(patches.pixels, ground.left, tolerance)
    least = max(settings.least * patches.side**2, settings.share * int(ground.left.sum()))
    if pure.sum() < 0.2 * ground.left.sum():
        pure = ground.left
    y, x = np.nonzero(pure)
    seen = patches.pixels[y, x]
    open_ = np.ones(len(y), dtype=np.bool_)
    peaks: list[_Peak] = []
    while len(peaks) < 2 * settings.inks and open_.any():
        colour = most_common(seen[open_])
        apart = np.abs(seen - colour).max(axis=1)
        mine = open_ & (apart <= max(8.0, tolerance))
        if mine.sum() < least:
            break
        open_ &= apart > settings.apart
        peaks.append(_Peak(np.median(seen[mine], axis=0), y[mine], x[mine]))
    kept = [p for p in peaks if not _is_soft(p, peaks, patches, ground, tolerance, settings)]
    return np.array([p.colour for p in kept[: settings.inks]], dtype=np.float64).reshape(-1, 3)


@dataclass(frozen=True)
class _Peak:
    """A frequent colour and the samples that show it."""

    colour: NDArray[np.float64]
    y: NDArray[np.intp]
    x: NDArray[np.intp]


def _is_soft(
    peak: _Peak,
    peaks: list[_Peak],
    patches: Patches,
    ground: Ground,
    tolerance: float,
    settings: InkSettings,
) -> bool:
    """Whether a colour is but another ink thinly laid over the ground, at that ink's edge."""
    seen = patches.pixels[peak.y, peak.x].astype(np.float32)
    below = ground.expected[peak.y, peak.x].astype(np.float32)
    others = [p for p in peaks if p is not peak]
    if not others:
        return False
    cover, rest = _cover(seen, below, np.array([p.colour for p in others]))
    thin = (rest <= tolerance + 3) & (cover > 0.02) & (cover < 0.97)
    for other, share, strength in zip(others, thin.mean(axis=1), cover, strict=True):
        if share < settings.halo:
            continue
        if np.median(strength) >= settings.strong:
            return True
        if _touching(peak, other, ground.left.shape) >= settings.touching:
            return True
    return False


def _touching(peak: _Peak, other: _Peak, shape: tuple[int, ...]) -> float:
    """Share of the samples of ``peak`` that lie within two samples of one of ``other``."""
    wide = np.zeros((shape[0] + 4, shape[1] + 4), dtype=np.bool_)
    for dy in range(5):
        for dx in range(5):
            wide[other.y + dy, other.x + dx] = True
    return float(wide[peak.y + 2, peak.x + 2].mean())


def _solid(pixels: Samples, left: Mask, tolerance: float) -> Mask:
    """Samples in a 2×2 block of one colour: the body of a mark, not its soft edge."""
    height, width = left.shape
    a, b = pixels[:-1, :-1], pixels[1:, 1:]
    c, d = pixels[:-1, 1:], pixels[1:, :-1]
    alike = left[:-1, :-1] & left[1:, 1:] & left[:-1, 1:] & left[1:, :-1]
    at = np.nonzero(alike)
    spread = np.maximum(
        np.abs(a[at] - b[at]), np.maximum(np.abs(a[at] - c[at]), np.abs(a[at] - d[at]))
    ).max(axis=-1)
    block = np.zeros((height + 1, width + 1), dtype=np.bool_)
    inner = block[1:-1, 1:-1]
    inner[at] = spread <= tolerance
    return block[:-1, :-1] | block[1:, :-1] | block[:-1, 1:] | block[1:, 1:]
