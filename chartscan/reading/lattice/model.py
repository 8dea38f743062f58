"""Where the grid lies on the page: a projective map from cells to pixels and a smooth residual."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

Points = NDArray[np.float64]


SPACING = 8.0  # cells between nodes of the residual, at most


@dataclass(frozen=True, eq=False)
class Lattice:
    """The map from grid coordinates (column, row), in cells, to pixels (x, y).

    Pixel coordinates have (0, 0) at the outer corner of the first pixel, so a pixel's centre is at
    (column + 0.5, row + 0.5).

    Attributes:
        columns: number of columns of cells.
        rows: number of rows of cells.
        homography: 3×3, from (column, row, 1) to homogeneous pixels; ``[2, 2]`` is 1.
        residual: displacement in pixels at nodes spread evenly over the grid, shape (ny, nx, 2),
            added to the projective map by bilinear interpolation; shape (0, 0, 2) where flat.
        drawn: whether grid lines are drawn (else only colour edges told where cells end).
    """

    columns: int
    rows: int
    homography: NDArray[np.float64]
    residual: NDArray[np.float64]
    drawn: bool

    @property
    def pitch(self) -> tuple[float, float]:
        """Mean width and height of a cell in pixels, at the middle of the grid."""
        centre = np.array([self.columns / 2, self.rows / 2])
        ends = self.to_pixels(centre + np.array([[0, 0], [1, 0], [0, 1]]))
        return float(np.hypot(*(ends[1] - ends[0]))), float(np.hypot(*(ends[2] - ends[0])))

    @property
    def straight(self) -> bool:
        """Whether rows and columns run along those of the pixels, so that axes come apart."""
        h = self.homography
        off = (h[0, 1], h[1, 0], h[2, 0], h[2, 1])
        return not self.residual.size and not any(off)

    def cut(self, left: int, top: int, columns: int, rows: int) -> Lattice:
        """The lattice of the cells from (``left``, ``top``) on; they may lie beyond its own."""
        move = np.array([[1.0, 0, left], [0, 1, top], [0, 0, 1]])
        homography = self.homography @ move
        homography = homography / homography[2, 2]
        flat = Lattice(columns, rows, homography, FLAT, self.drawn)
        if not self.residual.size:
            return flat
        spacing = max(1.0, min(self.columns / self.residual.shape[1], SPACING))
        nodes = flat.nodes(spacing) + np.array([left, top])
        residual = self._residual_at(nodes.reshape(-1, 2)).reshape(nodes.shape)
        return replace(flat, residual=residual)

    def nodes(self, spacing: float) -> Points:
        """Grid coordinates spread evenly over all cells, ``spacing`` apart at most: (ny, nx, 2)."""
        nx, ny = (max(2, int(np.ceil(n / spacing)) + 1) for n in (self.columns, self.rows))
        across, down = np.linspace(0, self.columns, nx), np.linspace(0, self.rows, ny)
        return np.stack(np.meshgrid(across, down), axis=-1)

    def moved(self, nodes: Points, shift: Points) -> Lattice:
        """The lattice with its ``nodes`` (see :meth:`nodes`) moved by so many cells each."""
        seen = self.to_pixels(nodes + shift)
        flat = project(self.homography, nodes.reshape(-1, 2)).reshape(nodes.shape)
        return replace(self, residual=seen - flat)

    def in_cells(self, times: float) -> Lattice:
        """The same area in cells ``times`` as wide and high."""
        homography = self.homography @ np.diag([times, times, 1.0])
        columns, rows = round(self.columns / times), round(self.rows / times)
        return replace(self, columns=columns, rows=rows, homography=homography)

    def scaled(self, factor: float) -> Lattice:
        """The same lattice on a page enlarged by ``factor``."""
        enlarge = np.diag([factor, factor, 1.0])
        return replace(self, homography=enlarge @ self.homography, residual=self.residual * factor)

    def to_pixels(self, points: Points) -> Points:
        """Pixel positions of grid ``points``, shape (…, 2) → (…, 2)."""
        flat = np.asarray(points, dtype=np.float64).reshape(-1, 2)
        pixels = project(self.homography, flat)
        if self.residual.size:
            pixels = pixels + self._residual_at(flat)
        return pixels.reshape(np.shape(points))

    def grid_to_pixels(
        self, u: NDArray[np.float64], v: NDArray[np.float64]
    ) -> tuple[NDArray[np.float32], NDArray[np.float32]]:
        """X and y in pixels at every pair of ``u`` across and ``v`` down, each of shape (v, u).

        The same as ``to_pixels`` of all pairs to a hundredth of a pixel, without a list of them:
        what depends on u alone or on v alone is worked out once.
        """
        whole = slice(0, len(v))
        return next(self.grid_bands(u, v, [whole]))

    def grid_bands(
        self, u: NDArray[np.float64], v: NDArray[np.float64], bands: Iterable[slice]
    ) -> Iterator[tuple[NDArray[np.float32], NDArray[np.float32]]]:
        """The same for one part of ``v`` after the other, each small enough to be kept at hand."""
        h, bent = self.homography, self.residual.size > 0
        across = (h[:, :1] * u + h[:, 2:]).astype(np.float32)
        down = (h[:, 1:2] * v).astype(np.float32)[:, :, None]
        if bent:
            left = _hats(u / self.columns, self.residual.shape[1])
            top = _hats(v / self.rows, self.residual.shape[0]).astype(np.float32)
            aside = (np.moveaxis(self.residual, 2, 0) @ left.T).astype(np.float32)
        for band in bands:
            x, y = across[0] + down[0, band], across[1] + down[1, band]
            if h[2, 0] or h[2, 1]:
                depth = across[2] + down[2, band]
                with np.errstate(divide="ignore"):  # a map's horizon lies off every page
                    x /= depth
                    y /= depth
            if bent:
                here = top[band]
                first, last = np.flatnonzero(here.any(axis=0))[[0, -1]]
                near = slice(first, last + 1)  # the nodes that a band lies between
                x += here[:, near] @ aside[0, near]
                y += here[:, near] @ aside[1, near]
            yield x, y

    def inside(self, cells: NDArray[np.intp], along: Points) -> Points:
        """Pixel positions of places all over some ``cells`` (row, column): (n, m, m, 2), x first.

        ``along``, in parts of a cell, holds the places each way, shape (m,). Between the corners
        of a cell they lie evenly, to some hundredths of a pixel.
        """
        corners = cells[:, None, ::-1] + np.array([[0.0, 0], [1, 0], [0, 1], [1, 1]])
        right, down = np.meshgrid(along, along)
        parts = [(1 - right) * (1 - down), right * (1 - down), (1 - right) * down, right * down]
        pixels: Points = np.einsum(
            "nck,cij->nijk", self.to_pixels(corners), np.stack(parts), optimize=True
        )
        return pixels

    def to_cells(self, pixels: Points) -> Points:
        """Grid coordinates of ``pixels``, shape (…, 2) → (…, 2); three steps undo the residual."""
        flat = np.asarray(pixels, dtype=np.float64).reshape(-1, 2)
        inverse = np.asarray(np.linalg.inv(self.homography), dtype=np.float64)
        cells = project(inverse, flat)
        if self.residual.size:
            for _ in range(3):
                cells = project(inverse, flat - self._residual_at(cells))
        return cells.reshape(np.shape(pixels))

    def centres(self) -> Points:
        """Pixel positions of the middle of every cell, shape (rows, columns, 2)."""
        x, y = np.meshgrid(np.arange(self.columns) + 0.5, np.arange(self.rows) + 0.5)
        return self.to_pixels(np.stack([x, y], axis=-1))

    def _residual_at(self, points: Points) -> Points:
        ny, nx, _ = self.residual.shape
        u = np.clip(points[:, 0] / self.columns, 0, 1) * (nx - 1)
        v = np.clip(points[:, 1] / self.rows, 0, 1) * (ny - 1)
        i, j = np.minimum(u.astype(int), nx - 2), np.minimum(v.astype(int), ny - 2)
        s, t = (u - i)[:, None], (v - j)[:, None]
        r = self.residual
        top = r[j, i] * (1 - s) + r[j, i + 1] * s
        bottom = r[j + 1, i] * (1 - s) + r[j + 1, i + 1] * s
        result: Points = top * (1 - t) + bottom * t
        return result


def _hats(part: NDArray[np.float64], nodes: int) -> NDArray[np.float64]:
    """Weight of each of ``nodes`` even nodes at every place, as linear interpolation has it."""
    place = np.clip(part, 0, 1) * (nodes - 1)
    weights: NDArray[np.float64] = np.maximum(1 - np.abs(place[:, None] - np.arange(nodes)), 0)
    return weights


def project(homography: NDArray[np.float64], points: Points) -> Points:
    """Apply a 3×3 projective map to ``points``, shape (n, 2)."""
    mapped = np.asarray(points @ homography[:, :2].T + homography[:, 2], dtype=np.float64)
    with np.errstate(divide="ignore"):  # a map's horizon lies off every page
        result: Points = mapped[:, :2] / mapped[:, 2:]
    return result


FLAT = np.zeros((0, 0, 2))
