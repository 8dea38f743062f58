"""What cells look like on a page that isn't exact, as points that noise scatters evenly.

A point holds the lightness of places all over the inside of a cell and the hue of its ground. It
is scaled so that cells of one class scatter alike in all directions, by one unit.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from chartscan.colour import many_to_lab, srgb_to_lab
from chartscan.progress import untold
from chartscan.reading.cells.exported import mean_places
from chartscan.reading.cells.light import Light, balanced
from chartscan.reading.cells.sampling import between, rim_places
from chartscan.reading.classes.bleed import without_bleeding
from chartscan.reading.classes.borders import without_drift
from chartscan.reading.classes.cluster import (
    ClusterSettings,
    cluster,
    means_of,
    principal_axes,
    regroup,
)
from chartscan.reading.classes.dust import DustSettings, without_dust
from chartscan.reading.classes.looks import Looks
from chartscan.reading.classes.slivers import without_slivers
from chartscan.reading.filters import smoothing
from chartscan.reading.lattice.model import Lattice
from chartscan.reading.page.page import Page
from chartscan.reading.page.smaller import smaller

BAND = 16  # rows of cells looked at in one go
PAPER = 220.0  # luma of paper
USUAL = 0.9  # part of the cells that differ by noise alone; the rest may be of another class
LIT_AT = 9  # places along each side of a chart that tell how dark it is
YCC_TO_RGB = np.array([[1, 0, 1.402], [1, -0.344136, -0.714136], [1, 1.772, 0]])  # JFIF (T.871)

Labels = NDArray[np.intp]
Points = NDArray[np.float64]
Patches = NDArray[np.floating]


@dataclass(frozen=True)
class AppearanceSettings:
    """How cells are looked at and grouped.

    Attributes:
        inset: part of the cell left out along each side, for lines and what bleeds over them.
        places: least and greatest number of places along a side of the rest.
        density: places per pixel of the page, between those bounds.
        dimensions: principal components kept.
        looked_at: number of cells that the first idea of the noise comes from.
        nearer: how much more cells of a class scatter, squared, than the likest two differ.
        blur: standard deviation, in places, of the smoothing that makes up for glyphs that sit a
            fraction of a pixel apart.
        shaken: how far beside the cells the lattice usually lies, in cells.
        quiet: least standard deviation that noise is taken to have, in CIELAB units times places.
        groups: how points are grouped.
        halved: part of the groups that is left, below which a later round took in one class after
            the other: it is done again with the next.
        widest: standard deviation that a group is then taken to have at most.
        dust: what counts as dust.
        apart: separation of two groups, in standard deviations, round by round. Noise is first
            told by groups cut too small: two classes taken for one would pass for noise.
    """

    inset: float = 0.17
    places: tuple[int, int] = (4, 12)
    density: float = 0.75
    dimensions: int = 32
    looked_at: int = 2500
    nearer: float = 1.7
    blur: float = 0.6
    shaken: float = 0.04
    quiet: float = 3.0
    groups: ClusterSettings = ClusterSettings(
        rare=1.2, floor=0.8, least=2.5, most=160, sample=12_000
    )
    apart: tuple[float, ...] = (2.0, 3.0, 4.0, 5.0)
    halved: float = 0.5
    widest: float = 2.5
    dust: DustSettings = DustSettings()


def patches(
    page: Page, lattice: Lattice, light: Light | None, settings: AppearanceSettings
) -> Patches:
    """CIELAB of even places inside every cell, light balanced: (rows, columns, n, n, 3)."""
    inside = min(lattice.pitch) * (1 - 2 * settings.inset)
    side = int(np.clip(round(inside * settings.density), *settings.places))
    if light is None and lattice.straight:
        return srgb_to_lab(mean_places(page, lattice, side, settings.inset)).astype(np.float32)
    page, lattice = _smaller(page, lattice, int(inside / side))
    lab = np.empty((lattice.rows, lattice.columns, side, side, 3), dtype=np.float32)
    for top in range(0, lattice.rows, BAND):
        rows = min(BAND, lattice.rows - top)
        band = lattice.cut(0, top, lattice.columns, rows)
        shape = (rows, side, lattice.columns, side, 3)
        u, v = (_places(cells, side, settings) for cells in (lattice.columns, rows))
        seen = between(page, band, u, v)
        if light is not None:
            seen = balanced(seen, light.at(u, top + v))
        lab[top : top + rows] = many_to_lab(seen).reshape(shape).swapaxes(1, 2)
    return lab


def _smaller(page: Page, lattice: Lattice, factor: int) -> tuple[Page, Lattice]:
    """The page seen ``factor`` times smaller, and its lattice there."""
    if factor <= 1:
        return page, lattice
    return replace(page, pixels=smaller(page.pixels, factor)), lattice.scaled(1 / factor)


def _places(cells: int, side: int, settings: AppearanceSettings) -> Points:
    """The middles of ``side`` even places inside each of ``cells``, in cells."""
    inset = settings.inset
    inside = inset + (np.arange(side) + 0.5) * (1 - 2 * inset) / side
    return np.asarray((np.arange(cells)[:, None] + inside).ravel(), dtype=np.float64)


def looks_of(lab: Patches, blur: float, coded: float = 0.0) -> Looks:
    """Ink and ground of each cell: lightness less that of the ground, then the ground's Lab.

    The ground weighs as much as if every place of the cell had its colour; ``coded`` is how far
    the file's coding may have moved it.
    """
    rows, columns, side = lab.shape[:3]
    ground = np.median(lab[:, :, rim_places(side)], axis=2).reshape(-1, 3)
    ink = lab[..., 0] - ground[:, 0].reshape(rows, columns, 1, 1)
    blurring = smoothing(side, blur)
    ink = ink.reshape(rows * columns, -1) @ (np.kron(blurring, blurring).T @ _without_sides(side))
    points = np.concatenate([ink, ground * side], axis=1).astype(np.float64)
    return Looks(points, side * side, coded=coded)


@dataclass(frozen=True, eq=False)
class Grouped:
    """Cells grouped by what they look like.

    Attributes:
        labels: group per cell, commonest first, shape (rows, columns).
        looks: what the cells look like.
    """

    labels: Labels
    looks: Looks

    @property
    def ground(self) -> Points:
        """CIELAB of the ground of each cell, shape (rows, columns, 3)."""
        ground = self.looks.points[:, self.looks.inked :] / self.looks.side
        return ground.reshape(*self.labels.shape, 3)


def coded_step(page: Page, light: Light | None = None) -> float:
    """CIELAB difference on pale paper of one step of the page's coding in luma and both chromas.

    Channels are rounded to whole levels besides: two cells that fell on either side of a step may
    have been rounded apart, too. Where paper is dark, and was made light, all that grew with it.
    """
    luma, chroma = page.coded
    if not luma:
        return 0.0
    paper = np.full(3, PAPER)
    coded = YCC_TO_RGB.T * [[luma], [chroma], [chroma]]
    step = sum(
        float(np.linalg.norm(srgb_to_lab(np.minimum(paper + change, 255)) - srgb_to_lab(paper)))
        for change in (coded, np.eye(3))
    )
    if light is None:
        return step
    u, v = (np.linspace(0, side, LIT_AT) for side in light.size)
    return step * PAPER / float(np.clip(light.at(u, v).mean(axis=2).min(), 1, PAPER))


def group(
    lab: Patches,
    settings: AppearanceSettings,
    wanted: int | None = None,
    coded: float = 0.0,
    tried: Callable[[], None] = untold,
) -> Grouped:
    """Group cells by what they look like.

    Args:
        lab: CIELAB of places all over every cell, shape (rows, columns, n, n, 3).
        settings: how cells are looked at.
        wanted: how many groups there are, where that is known.
        coded: CIELAB difference of grounds that the file's coding makes by itself.
        tried: called before every round of grouping.
    """
    rows, columns, side = lab.shape[:3]
    looks = looks_of(lab, settings.blur, coded)
    labels = by_looks(looks, settings, wanted, tried)
    labels = without_dust(lab, labels, settings.dust)
    ground = looks.points[:, looks.inked :] / side
    if wanted is None:
        labels = without_slivers(lab, without_bleeding(lab, labels))
        labels = without_drift(looks.points, ground, labels.reshape(rows, columns)).ravel()
    return Grouped(labels.reshape(rows, columns), looks)


def by_looks(
    looks: Looks,
    settings: AppearanceSettings,
    wanted: int | None = None,
    tried: Callable[[], None] = untold,
) -> Labels:
    """Group cells by their looks, scaled so that noise is even."""
    axes = principal_axes(looks.points, settings.dimensions)
    points = (looks.points - looks.points.mean(axis=0)) @ axes
    scatter = _noise(points, settings)
    labels = np.zeros(len(points), dtype=np.intp)
    for apart in settings.apart:
        tried()
        white = points @ _whitening(scatter, settings)
        groups = replace(settings.groups, separation=apart)
        if not labels.any():
            labels = cluster(white, groups, wanted=wanted, looks=looks)
        else:
            before, labels = labels, regroup(white, labels, groups, wanted, looks)
            if np.array_equal(before, labels):
                break
            if labels.max() < settings.halved * before.max():
                narrow = replace(groups, widest=settings.widest)
                labels = regroup(white, before, narrow, wanted, looks)
        shaken = _shaken(looks, labels, settings) @ axes
        scatter = _within(points, labels) + shaken.T @ shaken
    return labels


def whitened(
    looks: Looks, labels: Labels, settings: AppearanceSettings, *, apart: bool = False
) -> Points:
    """The cells as points that noise scatters by one unit each way, shape (n, d).

    The noise is what cells of one group differ by; where groups might be two classes, ``apart``
    takes it from what cells most like each other differ by.
    """
    axes = principal_axes(looks.points, settings.dimensions)
    points = (looks.points - looks.points.mean(axis=0)) @ axes
    shaken = _shaken(looks, labels, settings) @ axes
    scatter = _noise(points, settings) if apart else _within(points, labels)
    return np.asarray(points @ _whitening(scatter + shaken.T @ shaken, settings))


def _shaken(looks: Looks, labels: Labels, settings: AppearanceSettings) -> Points:
    """How looks change where the lattice lies a little beside the cells, for what each group holds.

    The scatter that makes is the product of the result, shape (2 · groups, d), with itself.
    """
    number = np.bincount(labels)
    means = means_of(looks.points, labels)[:, : looks.inked]
    side = round(np.sqrt(looks.inked))
    ink = means.reshape(-1, side, side) * np.sqrt(number / number.sum())[:, None, None]
    step = settings.shaken * side / (1 - 2 * settings.inset)
    slopes = np.concatenate([np.gradient(ink, axis=axis) for axis in (1, 2)]) * step
    change = np.zeros((len(slopes), looks.points.shape[1]))
    change[:, : looks.inked] = slopes.reshape(len(slopes), -1)
    return change


def _noise(points: Points, settings: AppearanceSettings) -> Points:
    """A first idea of the noise: how each point differs from the one most like it."""
    part = points[np.random.default_rng(0).permutation(len(points))[: settings.looked_at]]
    squares = (part**2).sum(axis=1)
    distance = (-2 * part).astype(np.float32) @ part.T.astype(np.float32)
    distance += squares.astype(np.float32)  # but for what is the same along each row
    np.fill_diagonal(distance, np.inf)
    step = part - part[distance.argmin(axis=1)]
    size = np.linalg.norm(step, axis=1)
    step = step[size <= np.quantile(size, USUAL)]
    return np.asarray(step.T @ step * (settings.nearer / (2 * len(step))), dtype=np.float64)


def _without_sides(side: int) -> Points:
    """Takes out of a patch what its four sides have in common: bold lines bleed into them."""
    sides = np.zeros((4, side, side))
    sides[0, 0] = sides[1, -1] = sides[2, :, 0] = sides[3, :, -1] = 1
    basis, _ = np.linalg.qr(sides.reshape(4, -1).T)
    return np.asarray(np.eye(side * side) - basis @ basis.T, dtype=np.float64)


def _whitening(scatter: Points, settings: AppearanceSettings) -> Points:
    values, axes = np.linalg.eigh(scatter)
    scale = 1 / np.sqrt(np.maximum(values, settings.quiet**2))
    return np.asarray(axes * scale, dtype=np.float64)


def _within(points: Points, labels: Labels) -> Points:
    """Covariance of the points about the means of their classes."""
    off = points - means_of(points, labels)[labels]
    size = np.linalg.norm(off, axis=1)
    near = off[size <= np.quantile(size, USUAL)]
    degrees = max(1, len(near) - int(labels.max()) - 1)
    return np.asarray(near.T @ near / degrees, dtype=np.float64)
