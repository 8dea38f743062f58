"""The colours that marks are drawn in, and how much of each covers every sample."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from chartscan.reading.filters import dilated
from chartscan.reading.marks.fills import PACKED, Mask, most_common, unpacked
from chartscan.reading.marks.ground import Ground
from chartscan.reading.marks.patches import CRISP, Patches, Samples, difference, worst

_BEYOND = 1.1
"""Cover from which on a sample lies beyond an ink: only in thin lines, which sharpening darkens."""

_TRACE = 0.02
"""Least cover that is any."""

_FULL, _OVER = 10.0, 40.0
"""Levels that full cover counts for an ink, and as much again beyond it against it."""

_STRAY = 8.0
"""Levels, 0..255, that samples of one ink stray by on any page, beside its tolerance."""

_HIDES = 1.5
"""Tolerances, and four levels, by which the ground may differ from an ink that is lost on it."""

_REACH = 2
"""Samples that the soft edge of a mark reaches from its body."""

_BITS = 24
"""Of a colour of three channels, 0..255 each, in one number."""


@dataclass(frozen=True)
class InkSettings:
    """When a colour over the cells is an ink.

    Attributes:
        apart: least difference (0..255, worst channel) between two inks, and the same on a page
            that was scaled or stored with loss: there one ink may have two colours.
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


@dataclass(frozen=True, eq=False)
class Left:
    """The samples that differ from the ground: n of them, of m pairs of seen and expected colours.

    Attributes:
        y, x: where they lie, shape (n,) each.
        pair: the pair that each is of, shape (n,).
        seen, below: the colours of the pairs, sRGB 0..255, shape (m, 3) each.
        solid: whether each lies in a 2×2 block of one colour, shape (n,).
        inside: whether each lies off the grid lines, shape (n,).
        shape: height and width of the page in samples.
    """

    y: NDArray[np.intp]
    x: NDArray[np.intp]
    pair: NDArray[np.intp]
    seen: NDArray[np.float32]
    below: NDArray[np.float32]
    solid: Mask
    inside: Mask
    shape: tuple[int, int]


def see_left(patches: Patches, ground: Ground, tolerance: float) -> Left:
    """The samples that differ from the ``ground``."""
    height, width = ground.left.shape
    y, x = np.nonzero(ground.left)
    seen, below = (v[y, x].astype(np.int64) @ PACKED for v in (patches.pixels, ground.expected))
    both, pair = np.unique(seen << _BITS | below, return_inverse=True)
    solid = _solid(patches.pixels, ground.left, tolerance)[y, x]
    pairs = unpacked(both >> _BITS), unpacked(both & (1 << _BITS) - 1)
    return Left(y, x, pair, *pairs, solid, ground.open[y, x], (height, width))


def find_colours(
    patches: Patches,
    left: Left,
    tolerance: float,
    settings: InkSettings,
    banned: NDArray[np.float64],
) -> NDArray[np.float64]:
    """The fewest colours that account for the samples ``left``, the most telling first: (n, 3).

    A colour accounts for a sample that it covers nearly, or thinly at the edge of its own body.
    So the soft edge of a line is no ink, but a light line is, though it blends another into white.
    None of the ``banned`` colours (m, 3) is among them.
    """
    crisp = _is_crisp(patches, tolerance)
    least = max(settings.least * patches.side**2, settings.share * len(left.y))
    apart = settings.apart[0 if crisp else 1]
    peaks = _peaks(left, settings.pure * least, apart, tolerance, settings, banned)
    thin = ~left.solid
    outside = thin | ~(left.inside & crisp)
    told = np.zeros((len(peaks), len(left.y)), dtype=np.bool_)
    for i, peak in enumerate(peaks):
        cover, rest = (v[0] for v in _cover(left, peak[None], settings.over))
        fits = rest <= tolerance + 3
        blend = (fits & (cover < _BEYOND))[left.pair] | fits[left.pair] & thin
        blend &= (cover > settings.full)[left.pair] | outside
        near = _beside(left, blend & (cover >= settings.body)[left.pair])
        told[i] = blend & near & (cover > _TRACE)[left.pair]
    return peaks[_most_telling(peaks, told, least, apart, settings)]


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
    ground: Ground,
    left: Left,
    colours: NDArray[np.float64],
    tolerance: float,
    settings: InkSettings,
) -> tuple[Ink, ...]:
    """Where each of the ``colours`` (n, 3) covers the page."""
    if not len(left.y) or not len(colours):
        return ()
    cover, rest = _cover(left, colours, settings.over)
    fit = (rest - _FULL * np.minimum(cover, 1) + _OVER * np.maximum(cover - 1, 0))[:, left.pair]
    # A soft edge is that of the mark it lies beside, though it be the colour of another.
    for i in range(len(colours)):
        body = (rest[i] <= tolerance + 3) & (np.abs(cover[i] - 1) <= 1 - settings.full)
        fit[i][~_beside(left, body[left.pair])] += settings.beside
    best = np.argmin(fit, axis=0)
    part = np.clip(cover[best, left.pair], 0, 1)
    part[rest[best, left.pair] > 2 * tolerance + _STRAY] = 0
    return tuple(
        _ink(i, colour, left, best, part, ground, tolerance) for i, colour in enumerate(colours)
    )


def _ink(
    number: int,
    colour: NDArray[np.float64],
    left: Left,
    best: NDArray[np.intp],
    part: NDArray[np.float32],
    ground: Ground,
    tolerance: float,
) -> Ink:
    """The ink of that ``number``, where it is the ``best`` of all and covers a ``part``: (n,)."""
    y, x = left.y, left.x
    cover = np.zeros(left.shape, dtype=np.float32)
    mine = best == number
    cover[y[mine], x[mine]] = part[mine]
    hidden = difference(ground.expected, np.rint(colour).astype(np.int16)) <= _HIDES * tolerance + 4
    hidden[y, x] = np.where(mine, False, hidden[y, x] | (part > 0.5))
    return Ink(colour, cover, hidden)


def _cover(
    left: Left, colours: NDArray[np.float64], over: float
) -> tuple[NDArray[np.float32], NDArray[np.float32]]:
    """Coverage that best blends what is below into what is seen, and the rest: (inks, m) each.

    Samples may lie up to ``over`` beyond the ink.
    """
    # Channels first: loops of three are slow.
    seen, below = (np.ascontiguousarray(shades.T) for shades in (left.seen, left.below))
    cover = np.empty((len(colours), seen.shape[1]), dtype=np.float32)
    rest = np.empty_like(cover)
    for i, colour in enumerate(colours.astype(np.float32)):
        way = colour[:, None] - below
        length = np.maximum((way * way).sum(axis=0), 1.0)
        cover[i] = ((seen - below) * way).sum(axis=0) / length
        most = 1 + over / np.maximum(worst(*way), 1.0)
        blend = below + np.clip(cover[i], 0, most) * way
        rest[i] = worst(*(seen - blend))
    return cover, rest


def _is_crisp(patches: Patches, tolerance: float) -> bool:
    """Whether the page was neither scaled nor stored with loss."""
    return patches.whole and tolerance <= CRISP


def _peaks(
    left: Left,
    least: float,
    apart: float,
    tolerance: float,
    settings: InkSettings,
    banned: NDArray[np.float64],
) -> NDArray[np.float64]:
    """The frequent colours among the samples ``left``, soft edges among them: (n, 3)."""
    taken = list(banned)
    peaks: list[NDArray[np.float64]] = []
    alike = max(_STRAY, tolerance)
    for samples, reach in ((left.solid, apart), (~left.solid, settings.near)):
        seen = left.seen[left.pair[samples]].astype(np.float64)
        for colour in taken:
            seen = seen[worst(*(seen - colour).T) > alike]
        for colour in peaks:
            seen = seen[worst(*(seen - colour).T) > reach]
        while len(peaks) < settings.peaks and len(seen):
            colour = most_common(seen)
            off = worst(*(seen - colour).T)
            mine = off <= alike
            if mine.sum() < least:
                break
            peaks.append(np.median(seen[mine], axis=0))
            seen = seen[off > reach]
    return np.array(peaks, dtype=np.float64).reshape(-1, 3)


def _beside(left: Left, body: Mask) -> Mask:
    """Which of the samples ``left`` lie within reach of those of the ``body`` (n,)."""
    there = np.zeros(left.shape, dtype=np.bool_)
    there[left.y[body], left.x[body]] = True
    return np.asarray(dilated(there, _REACH)[left.y, left.x])


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
