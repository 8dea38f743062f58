"""The light on the page: what white paper would look like in every cell.

Scanner lamps, lenses, gutters and tinted paper change the colours of a page smoothly. The bare
paper, around the grid and in its unstitched cells, shows by how much.
"""

from __future__ import annotations

import warnings
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

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
        shadow: how much darker, as a log ratio, paper may be in a fold.
        seen: part of a row or column that must be bare paper to tell a fold along it.
        white: sRGB that paper is brought to.
        darkest: least luma of paper, 0..255.
    """

    margin: tuple[float, ...] = (0.6, 1.3, 2.0)
    close: float = 0.07
    rounds: int = 8
    support: float = 0.08
    shadow: float = 0.35
    seen: float = 0.25
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
    bend = _folds(off[: len(inner)].reshape(rows, columns, 3), settings)
    field: Field = np.exp(fit[: len(inner)].reshape(rows, columns, 3) + bend) - 4
    return field


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


def _folds(off: NDArray[np.float64], settings: LightSettings) -> NDArray[np.float64]:
    """What the smooth light leaves over in whole rows and columns: shadows of folds and gutters."""
    left = off.copy()
    paper = np.abs(off - off.mean(axis=2, keepdims=True)).max(axis=2) <= settings.close
    paper &= np.abs(off.mean(axis=2)) <= settings.shadow
    for axis in (0, 1):
        enough = paper.sum(axis=axis) >= np.maximum(3, settings.seen * paper.shape[axis])
        masked = np.where(paper[..., None], left, np.nan)
        with warnings.catch_warnings():
            warnings.simplefilter(
                "ignore", RuntimeWarning
            )  # rows without any paper stay as they are
            along = np.nan_to_num(np.nanmedian(masked, axis=axis, keepdims=True))
        left = left - np.where(np.expand_dims(enough, axis)[..., None], along, 0)
    return off - left
