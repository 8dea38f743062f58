"""The light on a page: what white paper would look like in every cell, and colours without it.

Scanner lamps, lenses, gutters and tinted paper change the colours of a page smoothly.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from chartscan.colour.srgb import MOST

Field = NDArray[np.float32]

FINE = 4  # places per cell along a margin
BRIGHTEST = MOST  # sRGB of paper in full light is 250
LIT = 250.0  # sRGB of paper once light is balanced
DARK = 4.0  # added to sRGB before logarithms are taken, so that black has one


@dataclass(frozen=True, eq=False)
class Fold:
    """The shadow of a fold or gutter: how dark it is across, and how it leans on its way along.

    Attributes:
        depth: log ratio to the smooth light, at ``FINE`` places per cell across.
        lean: cells that it moves across for each cell along.
        down: whether it runs down the grid (else across).
    """

    depth: NDArray[np.float64]
    lean: float
    down: bool

    def at(self, u: NDArray[np.float64], v: NDArray[np.float64]) -> NDArray[np.float64]:
        """Log ratio at every pair of grid coordinates, shape (v, u)."""
        return self._across(u - self.lean * v[:, None] if self.down else v[:, None] - self.lean * u)

    def at_each(self, points: NDArray[np.float64]) -> NDArray[np.float64]:
        """The same at each of ``points`` (n, 2), x first: shape (n,)."""
        u, v = points.T
        return self._across(u - self.lean * v if self.down else v - self.lean * u)

    def _across(self, cells: NDArray[np.float64]) -> NDArray[np.float64]:
        """Log ratio so many cells across the fold."""
        return np.interp(cells * FINE - 0.5, np.arange(len(self.depth)), self.depth)


@dataclass(frozen=True, eq=False)
class Light:
    """SRGB of bare paper all over a grid: a smooth surface, and the shadows of folds on it.

    Attributes:
        surface: coefficients of its logarithm, shape (terms, 3).
        size: columns and rows of the grid.
        folds: shadows on it.
    """

    surface: NDArray[np.float64]
    size: tuple[int, int]
    folds: tuple[Fold, ...] = ()

    def at(self, u: NDArray[np.float64], v: NDArray[np.float64]) -> Field:
        """The colour of paper at every pair of grid coordinates: shape (v, u, 3)."""
        return np.moveaxis(self.planes_at(u, v), 0, -1)

    def planes_at(self, u: NDArray[np.float64], v: NDArray[np.float64]) -> Field:
        """The same with its channels one after the other: shape (3, v, u)."""
        x, y = u / self.size[0] - 0.5, v / self.size[1] - 0.5
        one, by_x, by_y, by_xx, by_xy, by_yy = self.surface[:, :, None]
        # A parabola down the grid at every place across, as one product.
        down = np.stack([np.ones_like(y), y, y**2], axis=1).astype(np.float32)
        steep = np.stack([one + by_x * x + by_xx * x**2, by_y + by_xy * x, by_yy + 0 * x], axis=1)
        shade = down @ steep.astype(np.float32)
        field: Field = np.exp(shade, out=shade)
        field -= np.float32(DARK)
        for fold in self.folds:
            field *= np.exp(fold.at(u, v).astype(np.float32))
        return field

    def at_each(self, points: NDArray[np.float64]) -> Field:
        """The colour of paper at each of ``points`` (n, 2), x first, in cells: shape (n, 3)."""
        x, y = (points / self.size - 0.5).T
        terms = np.stack([np.ones_like(x), x, y, x**2, x * y, y**2], axis=1)
        field = np.exp(terms @ self.surface) - DARK
        for fold in self.folds:
            field *= np.exp(fold.at_each(points))[:, None]
        return np.asarray(field, dtype=np.float32)


def balanced(colours: NDArray[np.floating], light: Field, white: float = LIT) -> Field:
    """Colours as they would be if the light were even and the paper white, 0..``BRIGHTEST``.

    Noise, and inks brighter than paper in one channel, reach over 255; cut there they'd lose hue.
    """
    # Clipped on both sides, as numpy does that faster than on one.
    ratio = np.float32(white) / np.clip(light, np.float32(1), np.float32(np.inf))
    even = np.clip(np.asarray(colours, dtype=np.float32) * ratio, 0, BRIGHTEST)
    return np.asarray(even, dtype=np.float32)
