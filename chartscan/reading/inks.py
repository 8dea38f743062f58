"""The colours that marks are drawn in, and how much of each covers every sample."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from chartscan.reading.ground import Ground, Mask
from chartscan.reading.patches import Patches, Samples, difference


@dataclass(frozen=True)
class InkSettings:
    """When a colour over the cells is an ink.

    Attributes:
        apart: least difference (0..255, worst channel) between two inks.
        least: samples of pure ink, in cells, before a colour counts.
        share: the same as a share of all samples that differ from the ground.
        halo: share of a colour's samples that touch a stronger ink's, from which on it is the soft
            edge of that ink.
        inks: most inks looked for.
    """

    apart: float = 24.0
    least: float = 0.1
    share: float = 0.004
    halo: float = 0.85
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
    best = np.argmin(rest - 30 * np.minimum(cover, 1), axis=0)
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
    if pure.sum() < 2 * least:
        pure = ground.left
    y, x = np.nonzero(pure)
    seen = patches.pixels[y, x]
    found: list[NDArray[np.float64]] = []
    taken = np.zeros(pure.shape, dtype=np.bool_)
    open_ = np.ones(len(y), dtype=np.bool_)
    while len(found) < settings.inks and open_.any():
        pool = seen[open_]
        coarse = (pool >> 3) @ np.array([1 << 10, 1 << 5, 1])
        values, counts = np.unique(coarse, return_counts=True)
        core = np.median(pool[coarse == values[counts.argmax()]], axis=0)
        apart = np.abs(seen - core).max(axis=1)
        mine = open_ & (apart <= max(8.0, tolerance))
        if mine.sum() < least:
            break
        open_ &= apart > settings.apart
        core = np.median(seen[mine], axis=0)
        body = y[mine], x[mine]
        if not _is_halo(*body, taken, settings.halo) and not _is_blend(
            seen[mine], ground.expected[body], found, settings, tolerance
        ):
            found.append(core)
            taken[body] = True
    return np.array(found, dtype=np.float64).reshape(-1, 3)


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


def _is_halo(y: NDArray[np.intp], x: NDArray[np.intp], taken: Mask, share: float) -> bool:
    """Whether nearly all these samples touch the body of an ink that is already found."""
    if not taken.any():
        return False
    wide = np.pad(taken, 1)
    near = np.zeros(len(y), dtype=np.bool_)
    for dy in range(3):
        for dx in range(3):
            near |= wide[y + dy, x + dx]
    return bool(near.mean() >= share)


def _is_blend(
    seen: Samples,
    below: Samples,
    found: list[NDArray[np.float64]],
    settings: InkSettings,
    tolerance: float,
) -> bool:
    """Whether nearly all these samples are an ink found before, thinly laid over what is below."""
    if not found:
        return False
    cover, rest = _cover(seen.astype(np.float32), below.astype(np.float32), np.array(found))
    thin = (rest <= tolerance + 3) & (cover > 0.3) & (cover < 0.97)
    return bool(thin.mean(axis=1).max() >= settings.halo)
