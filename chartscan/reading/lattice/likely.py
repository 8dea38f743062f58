"""Whether a page may hold a chart, by a look of some hundredths of a second.

The evidence is that of the seeds: edges that repeat both ways by nearly the same step. First the
page is made small and looked at tile by tile without a gap, so that a small chart in a page of text
isn't passed over; then larger, at some places, and what several tiles show is summed before peaks
are looked for: over a grid the same peaks add up. Where the grid lies, and whether there is one at
all, is left to the reader.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import cache

import numpy as np
from numpy.lib.stride_tricks import sliding_window_view
from numpy.typing import NDArray
from PIL import Image

from chartscan.reading.lattice.rectified import Grey, jumps
from chartscan.reading.lattice.seeds import SKEW, SeedSettings, Waves, peaks
from chartscan.reading.page.glance import JPEG_BLOCK
from chartscan.reading.page.page import Page
from chartscan.reading.page.smaller import luma_of

Tiles = NDArray[np.float32]

COARSE_PX, FINE_PX = 1600, 4800  # longer side of a page that is looked at, about


@dataclass(frozen=True)
class Look:
    """One look at a page.

    Attributes:
        longest: px of its longer side, about, to which it is made smaller.
        tiles: how many lie along its longer and shorter side at most; None for as many as cover it.
        window: tiles, along the longer and the shorter side, whose evidence is summed.
        enough: score from which on a page may hold a chart.
    """

    longest: int
    tiles: tuple[int, int] | None
    window: tuple[int, int]
    enough: float


NEAR = Look(900, None, (1, 1), 9.5)
ACROSS = Look(1600, (6, 4), (3, 2), 10.0)
FINE = (Look(2400, (6, 4), (3, 2), 10.0), Look(4800, (6, 4), (3, 2), 10.0))


@dataclass(frozen=True)
class LikelySettings:
    """How a page is looked at quickly, and what it must show.

    Attributes:
        looks: one after the other, until one shows enough. On 132 drawn pages of charts, every
            group but `large` and `pdf` (seeds 61001 to 61005), and on 12 charts in pages of text
            the first gives 9.6 and more, but for one of 6.2, covered and worn; on text 3 to 7, on
            photographs and music 5 to 11, on adverts and calendars 7 to 12; tables, forms and
            ruled paper reach 27; puzzles of squares and squared paper, which are grids, 20 and
            more. The second is for charts of over 200 cells along the longer side.
        apart: px between tiles at least.
        tried: windows of a look that are gone into, the most promising first.
        strong: mean edges above which a pixel counts no more, so that bold strokes don't outshout
            thin lines.
        stretch: greatest ratio of the two steps.
        squareness: power by which the score falls with that ratio: on prints it is near 1.
        blocks: by how much a step differs, as a natural logarithm, from the blocks of a JPEG, or
            half of them, to be none of theirs; and the part of the score that such a pair keeps.
        full: the score of a page that repeats exactly; on a small one there is little to stand out
            from.
        hopeless: score below which a page on which nothing took hold in one light is given up, in
            all below what the first look asks for. Above are all of those charts, and half of the
            text is below.
    """

    looks: tuple[Look, ...] = (NEAR, ACROSS)
    apart: int = 64
    tried: int = 8
    strong: float = 3.0
    stretch: float = 1.2
    squareness: float = 4.0
    blocks: tuple[float, float] = (0.03, 0.3)
    full: float = 25.0
    hopeless: float = 6.0


def may_hold_chart(
    grey: Grey, blocks_px: float = 0.0, settings: LikelySettings = LikelySettings()
) -> bool:
    """Whether a page may hold a chart; yes for one too small to tell.

    Args:
        grey: the page in one channel, about 1600 px along its longer side if it has so many.
        blocks_px: side of the blocks that a JPEG's coding has on ``grey``; nought for none.
        settings: how it is looked at.
    """
    scores = tuple(look_scores(grey, blocks_px, settings, least=None))
    return not scores or scores[-1][0] >= scores[-1][1].enough


def is_hopeless(
    page: Page, settings: LikelySettings = LikelySettings(), *, in_all: bool = False
) -> bool:
    """Whether a page that is there whole holds no chart, as surely as a quick look can tell.

    More is asked of one on which nothing took hold ``in_all`` lights.

    An export may have tiny cells, and is looked at finely, too.
    """
    ways = [(COARSE_PX, settings)]
    if not page.coded[0]:
        ways.append((FINE_PX, replace(settings, looks=FINE)))
    least = NEAR.enough if in_all else settings.hopeless
    for longest, way in ways:
        factor = max(1, round(max(page.size) / longest))
        blocks_px = JPEG_BLOCK / factor if page.coded[0] else 0.0
        luma = luma_of(page.pixels, factor)
        scores = [score for score, _ in look_scores(luma, blocks_px, way, least=least)]
        if not scores or max(scores) >= least:
            return False
    return True


def look_scores(
    grey: Grey, blocks_px: float, settings: LikelySettings, *, least: float | None
) -> Iterator[tuple[float, Look]]:
    """How much the page looks like a grid, look by look until one is enough.

    There is none where it is smaller than a tile. Scores below ``least`` (None: what is enough)
    may be given as lower ones still, down to nought.
    """
    picture = Image.fromarray(grey)
    side = SeedSettings().tile
    for look in settings.looks:
        factor = max(1, round(max(grey.shape) / look.longest))
        small = np.asarray(picture.reduce(factor) if factor > 1 else picture)
        if min(small.shape) <= side:
            continue
        upright = small if small.shape[0] >= small.shape[1] else small.T
        reach = look.enough if least is None else min(least, look.enough)
        score = _grid_score(upright, look, blocks_px / factor, settings, reach)
        yield score, look
        if score >= look.enough:
            return


@dataclass(frozen=True, eq=False)
class RealWaves:
    """The waves that a tile may repeat by, as real numbers with the tile's window in them.

    A product with each side of a tile then weighs it and tells its waves at once; falling waves
    are made of the same four products as rising ones.

    Attributes:
        waves: those of the seeds.
        down: cosines, then sines of the frequencies down from nought on, shape (2·fy, side).
        across: cosines, then sines of the frequencies across, shape (side, 2·fx).
        flat: what they tell of a tile that is all alike, shape (2·fy, 2·fx).
    """

    waves: Waves
    down: Tiles
    across: Tiles
    flat: Tiles

    def strengths(self, edges: Tiles) -> Tiles:
        """How strongly each of ``edges`` (n, side, side) repeats by each wave: (n, fy, fx).

        As :meth:`Waves.spectrum`, in a third of the time.
        """
        parts = (self.down @ edges) @ self.across
        total = parts[:, :1, :1].copy()
        parts -= total / self.flat[0, 0] * self.flat
        fy, fx = self.down.shape[0] // 2, self.across.shape[1] // 2
        (cc, cs), (sc, ss) = (
            (half[..., :fx], half[..., fx:]) for half in (parts[:, :fy], parts[:, fy:])
        )
        rising, falling = (cc - ss) ** 2 + (cs + sc) ** 2, (cc + ss) ** 2 + (cs - sc) ** 2
        both = np.sqrt(np.concatenate([falling[:, :0:-1], rising], axis=1))
        return np.asarray(both / (total + 1e-9), dtype=np.float32)


@cache
def _waves() -> RealWaves:
    """The waves over a tile."""
    waves = Waves.of(SeedSettings().tile, SeedSettings())
    place = np.arange(SeedSettings().tile)
    down, across = (
        2 * np.pi * np.outer(frequencies, place)
        for frequencies in (waves.fy[waves.fy >= 0], waves.fx)
    )
    aside = np.hanning(len(place))
    left = (np.concatenate([np.cos(down), np.sin(down)]) * aside).astype(np.float32)
    right = (np.concatenate([np.cos(across), np.sin(across)]) * aside).astype(np.float32).T.copy()
    return RealWaves(waves, left, right, np.outer(left.sum(axis=1), right.sum(axis=0)))


def _grid_score(
    grey: Grey, look: Look, blocks_px: float, settings: LikelySettings, least: float
) -> float:
    """The best score of any window of tiles of a page that is higher than wide; see above."""
    side = SeedSettings().tile
    tops, lefts = (
        _starts(n - 1, side, most, settings.apart)
        for n, most in zip(grey.shape, look.tiles or (None, None), strict=True)
    )
    boxes = [(slice(y, y + side + 1), slice(x, x + side + 1)) for y in tops for x in lefts]
    tiles: Grey = np.empty((len(boxes), side + 1, side + 1), dtype=grey.dtype)
    for tile, box in zip(tiles, boxes, strict=True):
        tile[...] = grey[box]
    across = jumps(tiles[:, :-1, 1:], tiles[:, :-1, :-1])
    down = jumps(tiles[:, 1:, :-1], tiles[:, :-1, :-1]).swapaxes(1, 2)
    edges = np.stack([across, down]).astype(np.float32)
    means = edges.mean(axis=(2, 3))
    inked = (means >= 0.5).all(axis=0)  # levels of 255: of a blank tile none
    if not inked.any():
        return 0.0
    shape = (len(tops), len(lefts))
    spectra = np.zeros((2, len(tiles), *_waves().waves.allowed.shape), dtype=np.float32)
    for way in range(2):
        top = settings.strong * means[way, inked, None, None] + 1
        spectra[way, inked] = _waves().strengths(np.minimum(edges[way, inked], top))
    window = (min(shape[0], look.window[0]), min(shape[1], look.window[1]))
    counts = _over_windows(inked.reshape(1, *shape).astype(np.float32), window)[0]
    summed = _over_windows(spectra.reshape(2, *shape, *spectra.shape[2:]), window)
    told = counts >= max(1, window[0] * window[1] // 2)
    together = summed[:, told] / counts[told][:, None, None]
    return _best_pair(together, (least, look.enough), blocks_px, settings)


def _starts(length: int, side: int, most: int | None, apart: int) -> list[int]:
    """Where tiles begin: without a gap, or at most so many, and not too close."""
    step = side if most is None else apart
    count = -(-(length - side) // step) + 1
    count = count if most is None else min(count, most)
    return [int(start) for start in np.linspace(0, length - side, max(count, 1))]


def _best_pair(
    means: Tiles, bounds: tuple[float, float], blocks_px: float, settings: LikelySettings
) -> float:
    """The best score of any of some windows, (2, windows, fy, fx).

    Windows that can't reach the lower of ``bounds`` aren't gone into, and none is after one that
    has reached the upper.
    """
    waves = _waves().waves
    strengths = means[:, :, waves.allowed]
    tops, noise = strengths.max(axis=2), np.median(strengths, axis=2)
    stands_out = (tops / noise).min(axis=0)
    most = np.maximum(stands_out, settings.full * np.sqrt(tops.prod(axis=0)))
    (least, enough), best = bounds, 0.0
    for window in np.argsort(-most)[: settings.tried]:
        if most[window] < least or most[window] <= best or best >= enough:
            break
        score = _pair_score(means[:, window], noise[:, window], blocks_px, settings)
        best = max(best, score)
    return best


def _over_windows(values: Tiles, window: tuple[int, ...]) -> Tiles:
    """Sums over every window of tiles: (kinds, windows, …) of (kinds, rows, columns, …)."""
    seen = sliding_window_view(values, window, axis=(1, 2)).sum(axis=(-2, -1))
    return np.asarray(seen.reshape(len(values), -1, *values.shape[3:]), dtype=np.float32)


def _pair_score(spectra: Tiles, noise: Tiles, blocks_px: float, settings: LikelySettings) -> float:
    """How far the best pair of waves, one each way, stands out from all others there are.

    Args:
        spectra: strengths across and down the page, (2, fy, fx).
        noise: the median of each.
        blocks_px: see :func:`may_hold_chart`.
        settings: how the page is looked at.
    """
    (fx, sx), (fy, sy) = (peaks(each, _waves().waves, SeedSettings()) for each in spectra)
    if not len(fx) or not len(fy):
        return 0.0
    long, short = np.linalg.norm(fx, axis=1)[:, None], np.linalg.norm(fy, axis=1)[None, :]
    square = np.minimum(long / short, short / long)
    skew = np.abs(fx @ fy[:, ::-1].T) / (long * short)
    fits = (square * settings.stretch >= 1) & (skew <= SKEW)
    stands_out = np.minimum.outer(sx / noise[0], sy / noise[1])
    coded = _of_blocks(long, blocks_px, settings) & _of_blocks(short, blocks_px, settings)
    score = np.where(coded, settings.blocks[1] * stands_out, stands_out)
    score = np.maximum(score, np.where(coded, 0.0, settings.full * np.sqrt(np.outer(sx, sy))))
    return float((np.where(fits, score, 0.0) * square**settings.squareness).max())


def _of_blocks(
    frequency: NDArray[np.float64], blocks_px: float, settings: LikelySettings
) -> NDArray[np.bool_]:
    """Whether waves repeat by the blocks of a JPEG's coding, or by half of them."""
    if not blocks_px:
        return np.zeros(frequency.shape, dtype=bool)
    steps = np.stack([frequency * blocks_px, frequency * blocks_px / 2])
    return np.asarray((np.abs(np.log(steps)) < settings.blocks[0]).any(axis=0))
