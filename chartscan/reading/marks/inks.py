"""The colours that marks are drawn in, and how much of each covers every sample."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from chartscan.reading.marks.fills import Mask, most_common
from chartscan.reading.marks.ground import Ground
from chartscan.reading.marks.patches import Patches, Samples, difference


@dataclass(frozen=True)
class InkSettings:
    """When a colour over the cells is an ink.

    Attributes:
        apart: least difference (0..255, worst channel) between two inks, and the same on a page
            that was scaled or stored with loss: there one ink may have two colours.
        exact: greatest tolerance of a page stored without loss.
        least: samples, in cells, that an ink must account for, its soft edges among them.
        share: the same as a share of all samples that differ from the ground.
        pure: share of those that must be pure ink; of a line two pixels wide, half are its edges.
        body: coverage, 0..1, from which on a sample is the body of a mark and not its edge.
        full: coverage, 0..1, that the inside of a mark has at least: where several samples off the
            grid together have less, they are of another ink, a blend of this one and the ground.
        over: how far (0..255, worst channel) a sample may lie beyond an ink, seen from the ground:
            sharpening and scaling leave a thin line darker in places than its usual colour.
        beside: what it counts (0..255) that a sample doesn't lie beside the body of an ink.
        fresh: share of the samples an ink accounts for that no other one does.
        near: least difference between two colours of thin lines that are looked at: their commonest
            colour may be a blend.
        peaks: most frequent colours looked at.
        inks: most inks looked for.
    """

    apart: tuple[float, float] = (15.0, 22.0)
    exact: float = 6.0
    least: float = 0.1
    share: float = 0.004
    pure: float = 0.35
    body: float = 0.6
    full: float = 0.9
    over: float = 32.0
    beside: float = 12.0
    fresh: float = 0.3
    near: float = 10.0
    peaks: int = 48
    inks: int = 16


@dataclass(frozen=True, eq=False)
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


def find_colours(
    patches: Patches,
    ground: Ground,
    tolerance: float,
    settings: InkSettings,
    banned: NDArray[np.float64],
) -> NDArray[np.float64]:
    """The fewest colours that account for the differing samples, the most telling first: (n, 3).

    A colour accounts for a sample that it covers nearly, or thinly at the edge of its own body.
    So the soft edge of a line is no ink, but a light line is, though it blends another into white.
    None of the ``banned`` colours (m, 3) is among them.
    """
    peaks = _peaks(patches, ground, tolerance, settings, banned)
    least = _least(patches, ground, settings)
    shape = ground.left.shape
    y, x = np.nonzero(ground.left)
    seen = patches.pixels[y, x].astype(np.float32)
    below = ground.expected[y, x].astype(np.float32)
    thin = ~_solid(patches.pixels, ground.left, tolerance)[y, x]
    crisp = _is_crisp(patches, tolerance, settings)
    inside = ground.open[y, x] & crisp
    told = np.zeros((len(peaks), len(y)), dtype=np.bool_)
    for i, peak in enumerate(peaks):
        cover, rest = (v[0] for v in _cover(seen, below, peak[None], settings.over))
        blend = (rest <= tolerance + 3) & ((cover < 1.1) | thin)
        blend &= (cover > settings.full) | thin | ~inside
        body = blend & (cover >= settings.body)
        near = _widened(y[body], x[body], shape)[y, x]
        told[i] = blend & near & (cover > 0.02)
    return peaks[_most_telling(peaks, told, least, settings.apart[0 if crisp else 1], settings)]


def _most_telling(
    peaks: NDArray[np.float64], told: Mask, least: float, apart: float, settings: InkSettings
) -> list[int]:
    """Numbers of the fewest ``peaks`` (n, 3) that account for the samples ``told`` (n, m)."""
    open_ = np.ones(told.shape[1], dtype=np.bool_)
    free = np.ones(len(peaks), dtype=np.bool_)
    every = told.sum(axis=1)
    kept: list[int] = []
    while len(kept) < settings.inks:
        gain = (told & open_).sum(axis=1)
        gain[~free | (gain < settings.fresh * every)] = 0
        if not len(gain) or gain.max() < least:
            break
        best = int(gain.argmax())
        kept.append(best)
        open_ &= ~told[best]
        free &= np.abs(peaks - peaks[best]).max(axis=1) > apart
    return kept


def lay_inks(
    patches: Patches,
    ground: Ground,
    colours: NDArray[np.float64],
    tolerance: float,
    settings: InkSettings,
) -> tuple[Ink, ...]:
    """Where each of the ``colours`` (n, 3) covers the page."""
    y, x = np.nonzero(ground.left)
    if not len(y) or not len(colours):
        return ()
    seen = patches.pixels[y, x].astype(np.float32)
    below = ground.expected[y, x].astype(np.float32)
    cover, rest = _cover(seen, below, colours, settings.over)
    fit = rest - 10 * np.minimum(cover, 1) + 40 * np.maximum(cover - 1, 0)
    # A soft edge is that of the mark it lies beside, though it be the colour of another.
    for i in range(len(colours)):
        body = (rest[i] <= tolerance + 3) & (np.abs(cover[i] - 1) <= 1 - settings.full)
        fit[i][~_widened(y[body], x[body], ground.left.shape)[y, x]] += settings.beside
    best = np.argmin(fit, axis=0)
    part = np.clip(cover[best, np.arange(len(y))], 0, 1)
    part[rest[best, np.arange(len(y))] > 2 * tolerance + 8] = 0
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
    seen: NDArray[np.float32],
    below: NDArray[np.float32],
    colours: NDArray[np.float64],
    over: float,
) -> tuple[NDArray[np.float32], NDArray[np.float32]]:
    """Coverage that best blends ``below`` into ``seen``, and what is left: (inks, n) each.

    Samples may lie up to ``over`` beyond the ink.
    """
    cover = np.empty((len(colours), len(seen)), dtype=np.float32)
    rest = np.empty_like(cover)
    for i, colour in enumerate(colours.astype(np.float32)):
        way = colour - below
        length = np.maximum((way * way).sum(axis=1), 1.0)
        cover[i] = ((seen - below) * way).sum(axis=1) / length
        most = 1 + over / np.maximum(np.abs(way).max(axis=1), 1.0)
        blend = below + np.clip(cover[i], 0, most)[:, None] * way
        rest[i] = np.abs(seen - blend).max(axis=1)
    return cover, rest


def _is_crisp(patches: Patches, tolerance: float, settings: InkSettings) -> bool:
    """Whether the page was neither scaled nor stored with loss."""
    return patches.whole and tolerance <= settings.exact


def _least(patches: Patches, ground: Ground, settings: InkSettings) -> float:
    """Samples that an ink must account for."""
    return max(settings.least * patches.side**2, settings.share * int(ground.left.sum()))


def _peaks(
    patches: Patches,
    ground: Ground,
    tolerance: float,
    settings: InkSettings,
    banned: NDArray[np.float64],
) -> NDArray[np.float64]:
    """The frequent colours among the differing samples, soft edges among them: (n, 3)."""
    least = settings.pure * _least(patches, ground, settings)
    solid = _solid(patches.pixels, ground.left, tolerance)
    taken = list(banned)
    peaks: list[NDArray[np.float64]] = []
    for samples, reach in (
        (solid, settings.apart[0 if _is_crisp(patches, tolerance, settings) else 1]),
        (ground.left & ~solid, settings.near),
    ):
        seen = patches.pixels[samples]
        for colour in taken:
            seen = seen[np.abs(seen - colour).max(axis=1) > max(8.0, tolerance)]
        for colour in peaks:
            seen = seen[np.abs(seen - colour).max(axis=1) > reach]
        while len(peaks) < settings.peaks and len(seen):
            colour = most_common(seen)
            apart = np.abs(seen - colour).max(axis=1)
            mine = apart <= max(8.0, tolerance)
            if mine.sum() < least:
                break
            peaks.append(np.median(seen[mine], axis=0))
            seen = seen[apart > reach]
    return np.array(peaks, dtype=np.float64).reshape(-1, 3)


def _widened(y: NDArray[np.intp], x: NDArray[np.intp], shape: tuple[int, ...]) -> Mask:
    """The samples within two of the given ones."""
    wide = np.zeros((shape[0] + 4, shape[1] + 4), dtype=np.bool_)
    for dy in range(5):
        for dx in range(5):
            wide[y + dy, x + dx] = True
    return wide[2:-2, 2:-2]


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
