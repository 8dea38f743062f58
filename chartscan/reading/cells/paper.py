"""The light on the page, told by its paper: what is bare around the grid and in its cells."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from chartscan.reading.cells.light import DARK, FINE, Fold, Light
from chartscan.reading.cells.sampling import take
from chartscan.reading.lattice.model import Lattice
from chartscan.reading.page.page import Page

WIDTHS = (3, 3, 3, 1.5, 1.5)  # × how close paper lies to the surface, round by round; then once
MOST_CELLS = 60  # a side along which the margin is looked at, in quarters
TURNS = 5  # places along a side of the page at which the cast of the light is worked out
OUTSIDE = 0.3  # weight of all places outside the grid beside all within it
NEARLY_WHITE = 0.25  # ln of brightness below the middle from which on a place isn't paper
INSIDE = (0.3, 0.5, 0.7)  # of a cell, between its lines
LEAST_PLACES = 8  # that tell how deep a shadow is
FAINT_FOLD = 0.1  # of the depth of a shadow, from which on a fold is steep


@dataclass(frozen=True)
class PaperSettings:
    """How the light is estimated.

    Attributes:
        margin: distances from the grid, in cells, at which paper is looked for.
        close: how far a place may lie from the fitted light to count as paper, as a ratio.
        tinge: how much more it may be off in one channel than in another, as a log ratio. Light
            makes paper dimmer from place to place; what is only pinker is stitched. Of 28 drawn
            scans and photographs (seeds 830001 to 830005) it changed the light of one, stitched
            all over, in which cells of one class then lay 2.2 instead of 3.8 CIELAB apart.
        rounds: rounds of fitting.
        support: part of all places looked at that must be paper.
        shadow: how much darker, as a log ratio, paper is in a fold at least and at most.
        lean: how far a fold may lean, sideways for each cell along it.
        cast: how much the cast of the light may change over the page, as a log ratio; two lamps
            make some, another colour of stitches all over one side makes more.
        darkest: least luma of paper, 0..255.
        told: places in the margin from which on it can tell where paper is.
        even: part of them that must be of one light for that; stitches in a pale colour may be
            more than the bare cells, and would pass for paper.
        outshone: how much brighter than paper, as a log ratio in all channels, cells must be, and
            what part of them, for it not to be paper. Of 47 drawn scans, photographs, plates and
            small grids (seeds 1220001 to 1220006) glare made up to 0.06 of the cells of one so
            bright, of all others 0.02 at most; on three boards with a grey rim it is half of them.
        brightest: quantile of the cells' brightness that is paper's then.
    """

    margin: tuple[float, ...] = (0.6, 1.3, 2.0)
    close: float = 0.07
    tinge: float = 0.08
    rounds: int = 8
    support: float = 0.08
    shadow: tuple[float, float] = (0.06, 1.2)
    lean: float = 0.14
    cast: float = 0.2
    darkest: float = 60.0
    told: int = 100
    even: float = 0.6
    outshone: tuple[float, float] = (0.14, 0.2)
    brightest: float = 0.9


def paper_light(
    page: Page,
    lattice: Lattice,
    ground: NDArray[np.float64],
    settings: PaperSettings = PaperSettings(),
) -> Light | None:
    """The light on the page's grid; None where no paper is seen.

    Args:
        page: the page.
        lattice: its grid.
        ground: sRGB of the ground of every cell, shape (rows, columns, 3).
        settings: how the light is estimated.
    """
    rows, columns = ground.shape[:2]
    v, u = np.mgrid[0:rows, 0:columns] + 0.5
    inner = np.stack([u, v], axis=-1).reshape(-1, 2)
    outer, seen = _margin(page, lattice, settings)
    places = np.concatenate([inner, outer]) / (columns, rows) - 0.5
    colours = np.log(np.concatenate([ground.reshape(-1, 3), seen]) + DARK)
    weight = np.concatenate(
        [
            np.ones(len(inner)),
            np.full(len(outer), max(1.0, OUTSIDE * len(inner) / max(1, len(outer)))),
        ]
    )
    terms = _terms(places)
    surface, outshone = _paper(terms, colours, weight, len(inner), settings)
    if surface is None:
        return None
    if np.exp((terms @ surface).mean()) < settings.darkest or _turns(surface) > settings.cast:
        return None
    light = Light(surface, (columns, rows))
    if outshone:  # folds are told by the paper around
        return light
    for fold in _folds(page, lattice, light, settings):
        light = _refined(page, lattice, light, fold, settings)
    return light


def _paper(
    terms: NDArray[np.float64],
    colours: NDArray[np.float64],
    weight: NDArray[np.float64],
    inner: int,
    settings: PaperSettings,
) -> tuple[NDArray[np.float64] | None, bool]:
    """The surface through the paper, None without; and whether only cells could tell it.

    Args:
        terms: of the surface at places in the first ``inner`` cells, then in the margin.
        colours: there, as logarithms.
        weight: of each.
        inner: number of cells.
        settings: how the light is estimated.
    """
    paper = _first_paper(terms, colours, inner, settings)
    surface = _fitted(terms, colours, weight, paper, settings.support, settings)
    within = terms[:inner], colours[:inner], weight[:inner]
    if surface is None or not _is_outshone(within[1] - within[0] @ surface, settings):
        return surface, False
    paper = _nearly_white(within[1], settings.brightest)
    return _fitted(*within, paper, settings.support, settings), True


def _first_paper(
    terms: NDArray[np.float64],
    colours: NDArray[np.float64],
    inner: int,
    settings: PaperSettings,
) -> NDArray[np.bool_]:
    """Where paper is thought to be at first: like the margin, if that is even, or not much darker.

    Args:
        terms: of the surface at places in the first ``inner`` cells, then in the margin.
        colours: there, as logarithms.
        inner: number of cells.
        settings: how the light is estimated.
    """
    outer = len(terms) - inner
    if outer >= settings.told:
        every = np.ones(outer, dtype=np.bool_)
        weight = np.ones(outer)
        margin = _fitted(terms[inner:], colours[inner:], weight, every, settings.even, settings)
        if margin is not None:
            return _is_paper(colours - terms @ margin, 3 * settings.close, settings)
    return _nearly_white(colours, 0.5, of=slice(inner if outer else 0, None))


def _nearly_white(
    colours: NDArray[np.float64], quantile: float, of: slice = slice(None)
) -> NDArray[np.bool_]:
    """Which places are about as bright as that quantile ``of`` them, or brighter; logarithms."""
    bright = colours.mean(axis=1)
    return np.asarray(bright >= np.quantile(bright[of], quantile) - NEARLY_WHITE, dtype=np.bool_)


def _is_outshone(off: NDArray[np.float64], settings: PaperSettings) -> bool:
    """Whether what was taken for paper lies around the grid only, and cells are brighter.

    Such is a board's rim, or the table that a page lies on. ``off``: log ratios of cells to it.
    """
    brighter, part = settings.outshone
    return bool((off.min(axis=1) > brighter).mean() > part)


def _is_paper(off: NDArray[np.float64], close: float, settings: PaperSettings) -> NDArray[np.bool_]:
    """Which places lie ``close`` to the light in all channels (n, 3), and alike in each."""
    # Channel by channel: so short an axis is slow to go along.
    red, green, blue = off.T
    highest = np.maximum(np.maximum(red, green), blue)
    lowest = np.minimum(np.minimum(red, green), blue)
    near = (highest <= close) & (lowest >= -close)
    return np.asarray(near & (highest - lowest <= settings.tinge), dtype=np.bool_)


def _fitted(
    terms: NDArray[np.float64],
    colours: NDArray[np.float64],
    weight: NDArray[np.float64],
    paper: NDArray[np.bool_],
    support: float,
    settings: PaperSettings,
) -> NDArray[np.float64] | None:
    """The surface through the paper, from where it is thought to be at first; None without."""
    surface = np.zeros((terms.shape[1], 3))
    for step in range(settings.rounds):
        used = terms[:, : terms.shape[1] if step >= 2 else 3]
        weighted = (used * (weight * paper)[:, None]).T
        # By normal equations: the terms are few, and none is nearly what others come to.
        told = np.linalg.lstsq(weighted @ used, weighted @ colours, rcond=None)[0]
        surface[: len(told)] = told
        off = colours - terms @ surface
        wide = settings.close * (WIDTHS[step] if step < len(WIDTHS) else 1)
        paper = _is_paper(off, wide, settings)
        if paper.mean() < support:
            return None
    return surface


def _margin(
    page: Page, lattice: Lattice, settings: PaperSettings
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Places just outside the grid that are on the page, in cells, and their colours."""
    places: list[NDArray[np.float64]] = []
    colours: list[NDArray[np.float64]] = []
    width, height = page.size
    along_u = np.linspace(0, lattice.columns, 4 * min(lattice.columns, MOST_CELLS) + 1)
    along_v = np.linspace(0, lattice.rows, 4 * min(lattice.rows, MOST_CELLS) + 1)
    for far in settings.margin:
        for u, v in (
            (along_u, np.array([-far, lattice.rows + far])),
            (np.array([-far, lattice.columns + far]), along_v),
        ):
            points = np.stack(np.meshgrid(u, v), axis=-1)
            where = lattice.to_pixels(points)
            on = (where >= 0).all(axis=-1) & (where < (width, height)).all(axis=-1)
            places.append(points[on])
            colours.append(take(page, lattice, u, v)[on].astype(np.float64))
    return np.concatenate(places), np.concatenate(colours)


def _terms(places: NDArray[np.float64]) -> NDArray[np.float64]:
    x, y = places.T
    return np.stack([np.ones(len(x)), x, y, x * x, x * y, y * y], axis=1)


def _folds(page: Page, lattice: Lattice, smooth: Light, settings: PaperSettings) -> Iterator[Fold]:
    """Shadows of folds and gutters, from the margins alone.

    A fold runs across the whole page, so it shows in two opposite margins; between them it is
    followed along the straight line that joins the two shadows.
    """
    for down, along in ((True, lattice.rows), (False, lattice.columns)):
        ends = [_shadow(page, lattice, smooth, at_end, down, settings) for at_end in (False, True)]
        first, last = ends
        if first is None or last is None:
            continue
        if min(-first.min(), -last.min()) < settings.shadow[0]:
            continue
        shift = _shift(first, last, int(FINE * along * settings.lean))
        places = np.arange(len(first))
        depth = np.minimum(first, np.interp(places + shift, places, last))
        yield Fold(depth, shift / (FINE * along), down)


def _shadow(
    page: Page,
    lattice: Lattice,
    smooth: Light,
    at_end: bool,
    down: bool,
    settings: PaperSettings,
) -> NDArray[np.float64] | None:
    """How much darker than the smooth light one margin is along its length; None off the page."""
    across, length = lattice.columns, lattice.rows
    if not down:
        across, length = length, across
    along = (np.arange(across * FINE) + 0.5) / FINE
    far = np.array(settings.margin)
    outwards = length + far if at_end else -far
    u, v = (along, outwards) if down else (outwards, along)
    where = lattice.to_pixels(np.stack(np.meshgrid(u, v), axis=-1))
    if (where < 0).any() or (where >= page.size).any():
        return None
    seen = take(page, lattice, u, v).astype(np.float64).mean(axis=2)
    paper = smooth.at(u, v).mean(axis=2)
    ratio = np.log((seen + DARK) / (paper + DARK))
    ratio = ratio.max(axis=0) if down else ratio.max(axis=1)
    wide = np.pad(ratio, FINE, mode="edge")
    ratio = np.median(np.lib.stride_tricks.sliding_window_view(wide, 2 * FINE + 1), axis=1)
    depth: NDArray[np.float64] = np.clip(ratio - np.median(ratio), -settings.shadow[1], 0)
    return depth


def _turns(surface: NDArray[np.float64]) -> float:
    """How much the cast of the light changes over the page, as a log ratio; stitches make it."""
    x, y = np.meshgrid(*2 * [np.linspace(-0.5, 0.5, TURNS)])
    shade = _terms(np.stack([x.ravel(), y.ravel()], axis=1)) @ surface
    cast = shade - shade.mean(axis=1, keepdims=True)
    return float(np.ptp(cast, axis=0).max())


def _refined(
    page: Page, lattice: Lattice, light: Light, fold: Fold, settings: PaperSettings
) -> Light:
    """The light with ``fold`` as deep as the bare cells that it crosses show.

    The margins tell only roughly: letters and noise must be kept out of them.
    """
    light = replace(light, folds=(*light.folds, fold))
    inside = np.array(INSIDE)
    u = (np.arange(lattice.columns)[:, None] + inside).ravel()
    v = (np.arange(lattice.rows)[:, None] + inside).ravel()
    seen, paper = take(page, lattice, u, v).astype(np.float64), light.at(u, v)
    off = np.log((seen + DARK) / (paper + DARK))
    bare = (np.abs(off) <= 2 * settings.close).all(axis=2)
    if not bare.any():
        return light
    across = u - fold.lean * v[:, None] if fold.down else v[:, None] - fold.lean * u
    place = np.round(across * 3 - 0.5).astype(np.intp)[bare]
    amount = off.mean(axis=2)[bare]
    order = np.argsort(place, kind="stable")
    found, starts = np.unique(place[order], return_index=True)
    groups = np.split(amount[order], starts[1:])
    known = [
        (p, float(np.median(g)))
        for p, g in zip(found, groups, strict=True)
        if len(g) >= LEAST_PLACES
    ]
    if len(known) < 3:
        return light
    places, medians = np.array(known).T
    # Far from the fold this would be the smooth surface's business.
    steep = np.interp(np.arange(len(fold.depth)), (places + 0.5) / 3 * FINE - 0.5, medians)
    more = np.where(fold.depth < -FAINT_FOLD * settings.shadow[0], steep, 0.0)
    return replace(light, folds=(*light.folds[:-1], replace(fold, depth=fold.depth + more)))


def _shift(first: NDArray[np.float64], last: NDArray[np.float64], most: int) -> int:
    """By how many places the shadow in ``last`` lies beside that in ``first``."""
    shifts = range(-min(most, len(first) - 1), min(most, len(first) - 1) + 1)
    place = np.arange(len(first))
    inside = [np.interp(place + s, place, last, left=0, right=0) for s in shifts]
    return list(shifts)[int(np.argmax([float(first @ moved) for moved in inside]))]
