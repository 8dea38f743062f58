"""The light on the page: what white paper would look like in every cell.

Scanner lamps, lenses, gutters and tinted paper change the colours of a page smoothly. The bare
paper, around the grid and in its unstitched cells, shows by how much.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.ndimage import median_filter

from chartscan.reading.cells import take
from chartscan.reading.lattice import Lattice
from chartscan.reading.page import Page

Field = NDArray[np.float64]


@dataclass(frozen=True)
class LightSettings:
    """How the light is estimated.

    Attributes:
        margin: distances from the grid, in cells, at which paper is looked for.
        close: how far a place may lie from the fitted light to count as paper, as a ratio.
        rounds: rounds of fitting.
        support: part of all places looked at that must be paper.
        shadow: how much darker, as a log ratio, paper is in a fold at least and at most.
        lean: how far a fold may lean, sideways for each cell along it.
        white: sRGB that paper is brought to.
        darkest: least luma of paper, 0..255.
    """

    margin: tuple[float, ...] = (0.6, 1.3, 2.0)
    close: float = 0.07
    rounds: int = 8
    support: float = 0.08
    shadow: tuple[float, float] = (0.06, 1.2)
    lean: float = 0.14
    white: float = 250.0
    darkest: float = 60.0


def paper_light(
    page: Page,
    lattice: Lattice,
    ground: NDArray[np.float64],
    settings: LightSettings = LightSettings(),
) -> Field | None:
    """SRGB of bare paper in every cell, shape (rows, columns, 3); None where no paper is seen.

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
    colours = np.log(np.concatenate([ground.reshape(-1, 3), seen]) + 4)
    weight = np.concatenate(
        [np.ones(len(inner)), np.full(len(outer), max(1.0, 0.3 * len(inner) / max(1, len(outer))))]
    )
    bright = colours.mean(axis=1)
    paper = bright >= np.quantile(bright[len(inner) :] if len(outer) else bright, 0.5) - 0.25
    for step in range(settings.rounds):
        terms = _terms(places, quadratic=step >= 2)
        root = np.sqrt(weight * paper)[:, None]
        fit = terms @ np.linalg.lstsq(terms * root, colours * root, rcond=None)[0]
        off = colours - fit
        wide = settings.close * (3 if step < 3 else 1.5 if step < 5 else 1)
        paper = (np.abs(off) <= wide).all(axis=1)
        if paper.mean() < settings.support:
            return None
    if np.exp(fit.mean()) < settings.darkest:
        return None
    field: Field = np.exp(fit[: len(inner)].reshape(rows, columns, 3)) - 4
    shadowed: Field = field * np.exp(_folds(page, lattice, field, settings))
    return shadowed


def balanced(ground: NDArray[np.float64], light: Field, white: float = 250.0) -> Field:
    """Colours as they would be if the light were even and the paper white, clipped to 0..255."""
    result: Field = np.clip(ground * (white / np.maximum(light, 1)), 0, 255)
    return result


def _margin(
    page: Page, lattice: Lattice, settings: LightSettings
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Places just outside the grid that are on the page, in cells, and their colours."""
    places: list[NDArray[np.float64]] = []
    colours: list[NDArray[np.float64]] = []
    width, height = page.size
    along_u = np.linspace(0, lattice.columns, 4 * min(lattice.columns, 60) + 1)
    along_v = np.linspace(0, lattice.rows, 4 * min(lattice.rows, 60) + 1)
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


def _terms(places: NDArray[np.float64], *, quadratic: bool) -> NDArray[np.float64]:
    x, y = places.T
    terms = [np.ones(len(x)), x, y]
    if quadratic:
        terms += [x * x, x * y, y * y]
    return np.stack(terms, axis=1)


def _folds(
    page: Page, lattice: Lattice, smooth: Field, settings: LightSettings
) -> NDArray[np.float64]:
    """Shadows of folds and gutters, as log ratios to the ``smooth`` light, from the margins alone.

    A fold runs across the whole page, so it shows in two opposite margins; between them it is
    followed along the straight line that joins the two shadows.
    """
    rows, columns = lattice.rows, lattice.columns
    bend = np.zeros((rows, columns))
    for across, along, far in ((columns, rows, 1), (rows, columns, 0)):
        ends = [
            _shadow(page, lattice, across, side, smooth, far, settings)
            for side in (-1.0, float(along))
        ]
        if any(end is None for end in ends):
            continue
        first, last = (end for end in ends if end is not None)
        if min(-first.min(), -last.min()) < settings.shadow[0]:
            continue
        shift = _shift(first, last, int(FINE * along * settings.lean))
        depth = np.minimum(
            first, np.interp(np.arange(len(first)) + shift, np.arange(len(last)), last)
        )
        step = shift * (np.arange(along) + 0.5)[:, None] / along
        place = (np.arange(across) + 0.5) * FINE - step
        here = np.interp(place, np.arange(len(depth)), depth)
        bend += here if far else here.T
    return bend[..., None]


FINE = 4  # places per cell along a margin


def _shadow(
    page: Page,
    lattice: Lattice,
    across: int,
    side: float,
    smooth: Field,
    down: int,
    settings: LightSettings,
) -> NDArray[np.float64] | None:
    """How much darker than the smooth light one margin is along its length; None off the page."""
    along = (np.arange(across * FINE) + 0.5) / FINE
    outwards = np.array([f if side > 0 else -f + 1 for f in settings.margin]) + side
    u, v = (along, outwards) if down else (outwards, along)
    where = lattice.to_pixels(np.stack(np.meshgrid(u, v), axis=-1))
    if (where < 0).any() or (where >= page.size).any():
        return None
    seen = take(page, lattice, u, v).astype(np.float64).mean(axis=2)
    seen = seen.max(axis=0) if down else seen.max(axis=1)
    edge = smooth[0 if side < 0 else -1] if down else smooth[:, 0 if side < 0 else -1]
    paper = np.interp(along, np.arange(across) + 0.5, edge.mean(axis=1))
    ratio = median_filter(np.log((seen + 4) / (paper + 4)), 2 * FINE + 1, mode="nearest")
    depth: NDArray[np.float64] = np.clip(ratio - np.median(ratio), -settings.shadow[1], 0)
    return depth


def _shift(first: NDArray[np.float64], last: NDArray[np.float64], most: int) -> int:
    """By how many places the shadow in ``last`` lies beside that in ``first``."""
    shifts = range(-min(most, len(first) - 1), min(most, len(first) - 1) + 1)
    place = np.arange(len(first))
    inside = [np.interp(place + s, place, last, left=0, right=0) for s in shifts]
    return list(shifts)[int(np.argmax([float(first @ moved) for moved in inside]))]
