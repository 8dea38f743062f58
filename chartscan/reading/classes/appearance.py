"""What cells look like on a page that isn't exact, as points that noise scatters evenly.

A point holds the lightness of places all over the inside of a cell and the hue of its ground. It
is scaled so that cells of one class scatter alike in all directions, by one unit.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from chartscan.colour import planes_to_lab, srgb_to_lab
from chartscan.cores import mapped
from chartscan.reading.cells.exported import mean_places
from chartscan.reading.cells.light import Light, balanced
from chartscan.reading.cells.sampling import DENSITY, between, blended, rim_places
from chartscan.reading.classes.cluster import ClusterSettings
from chartscan.reading.classes.dust import DustSettings
from chartscan.reading.classes.looks import Looks
from chartscan.reading.filters import median, smoothing
from chartscan.reading.lattice.model import Lattice
from chartscan.reading.lattice.rectified import AT_HAND, parts
from chartscan.reading.page.page import QUARTER, Page

BAND = 16  # rows of cells looked at in one go
PAPER = 220.0  # luma of paper
LIT_AT = 9  # places along each side of a chart that tell how dark it is
YCC_TO_RGB = np.array([[1, 0, 1.402], [1, -0.344136, -0.714136], [1, 1.772, 0]])  # JFIF (T.871)

Points = NDArray[np.float64]
Patches = NDArray[np.floating]


@dataclass(frozen=True)
class AppearanceSettings:
    """How cells are looked at and grouped.

    Attributes:
        inset: part of the cell left out along each side, for lines and what bleeds over them.
        places: least and greatest number of places along a side of the rest.
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
    side = int(np.clip(round(inside * DENSITY), *settings.places))
    if light is None and lattice.straight:
        return _drawn_patches(mean_places(page, lattice, side, settings.inset))
    page, lattice = _smaller(page, lattice, int(inside / side))
    places = _places(side, settings.inset)
    return patches_at(page, lattice, light, places, places)


def _drawn_patches(values: Points) -> Patches:
    """CIELAB of sRGB (rows, ...), some rows at a time: what that takes is many times as large."""
    lab = np.empty(values.shape, dtype=np.float32)
    for top in range(0, len(values), BAND):
        lab[top : top + BAND] = srgb_to_lab(values[top : top + BAND])
    return lab


def patches_at(
    page: Page, lattice: Lattice, light: Light | None, across: Points, down: Points
) -> Patches:
    """CIELAB of every pair of m places ``across`` and n ``down`` every cell, light balanced.

    Places are in cells, from the cell's left and top.

    Returns:
        Shape (rows, columns, n, m, 3).
    """
    lab = np.empty((lattice.rows, lattice.columns, len(down), len(across), 3), dtype=np.float32)
    u = (np.arange(lattice.columns)[:, None] + across).ravel()

    def look(top: int) -> None:
        rows = min(BAND, lattice.rows - top)
        band = lattice.cut(0, top, lattice.columns, rows)
        v = (np.arange(rows)[:, None] + down).ravel()
        found = np.empty((3, len(v), len(u)), dtype=np.float32)
        for some in parts(len(v), AT_HAND // len(u)):
            seen = between(page, band, u, v[some])
            if light is not None:
                seen = balanced(seen, light.planes_at(u, top + v[some]))
            found[:, some] = planes_to_lab(seen)
        planes = found.reshape(3, rows, len(down), lattice.columns, len(across))
        for channel, plane in enumerate(planes):
            lab[top : top + rows, ..., channel] = plane.swapaxes(1, 2)

    mapped(look, range(0, lattice.rows, BAND))
    return lab


def colours_at(page: Page, lattice: Lattice, light: Light | None, points: Points) -> Patches:
    """CIELAB at grid coordinates, x first, shape (..., 2) → (..., 3), light balanced."""
    x, y = np.moveaxis(lattice.to_pixels(points), -1, 0).astype(np.float32)
    seen = blended(page, x, y)
    if light is not None:
        shades = light.at_each(points.reshape(-1, 2)).T
        seen = balanced(seen, shades.reshape(seen.shape))
    return np.moveaxis(planes_to_lab(seen), 0, -1)


def _smaller(page: Page, lattice: Lattice, factor: int) -> tuple[Page, Lattice]:
    """The page seen up to ``factor`` times smaller, and its lattice there.

    Multiples of four cost next to nothing: its lattice was looked for on those.
    """
    if factor > QUARTER:
        factor -= factor % QUARTER
    if factor <= 1:
        return page, lattice
    return replace(page, pixels=page.smaller(factor)), lattice.scaled(1 / factor)


def _places(side: int, inset: float) -> Points:
    """The middles of ``side`` even places inside a cell, in cells."""
    return np.asarray(inset + (np.arange(side) + 0.5) * (1 - 2 * inset) / side, dtype=np.float64)


def looks_of(lab: Patches, blur: float, coded: float = 0.0) -> Looks:
    """Ink and ground of each cell: lightness less that of the ground, then the ground's Lab.

    The ground weighs as much as if every place of the cell had its colour; ``coded`` is how far
    the file's coding may have moved it.
    """
    rows, columns, side = lab.shape[:3]
    ground = median(lab[:, :, rim_places(side)], axis=2).reshape(-1, 3)
    ink = lab[..., 0] - ground[:, 0].reshape(rows, columns, 1, 1)
    blurring = smoothing(side, blur)
    filtering = np.kron(blurring, blurring).T @ _without_sides(side)
    ink = ink.reshape(rows * columns, -1) @ filtering.astype(lab.dtype)
    points = np.concatenate([ink, ground * side], axis=1).astype(np.float64)
    return Looks(points, side * side, coded=coded)


def _without_sides(side: int) -> Points:
    """Takes out of a patch what its four sides have in common: bold lines bleed into them."""
    sides = np.zeros((4, side, side))
    sides[0, 0] = sides[1, -1] = sides[2, :, 0] = sides[3, :, -1] = 1
    basis, _ = np.linalg.qr(sides.reshape(4, -1).T)
    return np.asarray(np.eye(side * side) - basis @ basis.T, dtype=np.float64)


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
