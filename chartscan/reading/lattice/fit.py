"""Fit a lattice to where blocks of cells were seen: a plane, and a smooth residual over it."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from chartscan.reading.filters import median
from chartscan.reading.lattice.blocks import Blocks
from chartscan.reading.lattice.extent import Extent
from chartscan.reading.lattice.model import FLAT, Lattice, project

SPREAD = 2.5  # blocks along a side from which on a bend can be told from noise
ROUNDS = 5  # of reweighting; the weights no longer change
AFFINE, PROJECTIVE = 6, 8  # unknowns of a map without perspective, and with
SUPPORT = 0.05  # weight of a flat residual beside what is seen near a node
SIGMA = 1.4826  # median of what is off to the standard deviation, for normal noise

SLIGHT = 1e-12  # keeps equations soluble where blocks lie on one line; else far below rounding


@dataclass(frozen=True)
class FitSettings:
    """How a lattice is fitted.

    Attributes:
        block: cells a side of a block.
        bend: reach of the smoothing of the residual, in blocks.
        plane: how much worse than a perspective an affine map must fit for it to be dropped;
            few cells tell perspective badly, and a wrong one leads growth astray.
        least_bent: cells a side from which on blocks tell a bend from noise.
    """

    block: int = 4
    bend: float = 1.5
    plane: float = 1.3
    least_bent: int = 16


def refit(
    lattice: Lattice,
    blocks: Blocks,
    fits: NDArray[np.bool_],
    box: Extent,
    settings: FitSettings,
) -> Lattice:
    """The lattice over ``box`` that the blocks ask for; its cell (0, 0) is the box's.

    Args:
        lattice: that the blocks were seen by.
        blocks: where lines were seen.
        fits: which blocks tell what is right and what is down, shape (rows, columns, 2).
        box: cells of the lattice made.
        settings: how a lattice is fitted.
    """
    rows, columns = fits.shape[:2]
    x = blocks.region.left + (np.arange(columns) + 0.5) * settings.block
    y = blocks.region.top + (np.arange(rows) + 0.5) * settings.block
    middles = np.stack(np.meshgrid(x, y), axis=-1)
    seen = lattice.to_pixels(middles + np.where(fits, blocks.shift, 0.0))
    grid = middles - (box.left, box.top)
    weight = np.where(fits, blocks.coherent, 0.0)
    size = (box.right - box.left, box.bottom - box.top)
    tells = fits.any(axis=2)
    plane = _fit_plane(grid[tells], seen[tells], weight[tells], settings)
    flat = Lattice(*size, plane, FLAT, lattice.drawn)
    if min(size) < settings.least_bent:
        return flat
    off = seen - project(plane, grid.reshape(-1, 2)).reshape(seen.shape)
    return replace(flat, residual=_residual(off, weight, grid, size, settings))


def _fit_plane(
    grid: NDArray[np.float64],
    pixels: NDArray[np.float64],
    weight: NDArray[np.float64],
    settings: FitSettings,
) -> NDArray[np.float64]:
    """An affine map where it fits nearly as well as a projective one, else that."""
    affine = fit_projective(grid, pixels, weight, affine=True)
    if np.ptp(grid, axis=0).min() < SPREAD * settings.block:
        return affine
    full = fit_projective(grid, pixels, weight, affine=False)
    far = [np.abs(project(h, grid) - pixels)[weight > 0] for h in (affine, full)]
    off = [float(median(each)) for each in far]
    return full if off[0] > settings.plane * off[1] else affine


def fit_projective(
    grid: NDArray[np.float64],
    pixels: NDArray[np.float64],
    weight: NDArray[np.float64],
    *,
    affine: bool,
) -> NDArray[np.float64]:
    """Least-squares 3×3 map from ``grid`` to ``pixels``, both (n, 2), outliers weighed down.

    ``weight``, likewise (n, 2), is that of each pixel's x and y.
    """
    centre, spread = grid.mean(axis=0), np.ptp(grid, axis=0).max() + 1e-9
    near, far = pixels.mean(axis=0), np.ptp(pixels, axis=0).max() + 1e-9
    g, p = (grid - centre) / spread, (pixels - near) / far
    robust = np.ones(len(g))
    rows = _rows(g, p, affine=affine)
    h = np.eye(3)
    for _ in range(ROUNDS):
        depth = g @ h[2, :2] + h[2, 2]
        h = _solve(rows, p, np.sqrt(weight * robust[:, None]) / depth[:, None])
        off = np.linalg.norm((project(h, g) - p) * (weight > 0), axis=1)
        scale = SIGMA * float(median(off)) + 1e-9
        robust = 1 / (1 + (off / (3 * scale)) ** 2)
    into = np.array(
        [[1 / spread, 0, -centre[0] / spread], [0, 1 / spread, -centre[1] / spread], [0, 0, 1]]
    )
    back = np.array([[far, 0, near[0]], [0, far, near[1]], [0, 0, 1]])
    whole = back @ h @ into
    if abs(np.linalg.det(whole)) < 1e-9 or abs(whole[2, 2]) < 1e-9:
        raise np.linalg.LinAlgError("the blocks lie on one line")
    result: NDArray[np.float64] = whole / whole[2, 2]
    return result


def _rows(g: NDArray[np.float64], p: NDArray[np.float64], *, affine: bool) -> NDArray[np.float64]:
    """What each point's x and y, one after the other, say of the map's unknowns: (2, n, 6 or 8)."""
    rows = np.zeros((2, len(g), AFFINE if affine else PROJECTIVE))
    for k, row in enumerate(rows):
        row[:, 3 * k : 3 * k + 2] = g
        row[:, 3 * k + 2] = 1.0
        row[:, AFFINE:] = (-g * p[:, k, None])[:, : row.shape[1] - AFFINE]
    return rows


def _solve(
    rows: NDArray[np.float64], p: NDArray[np.float64], root: NDArray[np.float64]
) -> NDArray[np.float64]:
    """One least-squares step for the map; each point's x and y weigh the square of ``root``."""
    a = (rows * root.T[:, :, None]).reshape(-1, rows.shape[2])
    b = (p * root).T.ravel()
    # Normal equations: coordinates are near one, and a tenth of the time of a decomposition.
    solution = np.linalg.solve(a.T @ a + SLIGHT * np.eye(a.shape[1]), a.T @ b)
    h = np.eye(3)
    h.flat[: len(solution)] = solution
    return h


def _residual(
    off: NDArray[np.float64],
    weight: NDArray[np.float64],
    grid: NDArray[np.float64],
    size: tuple[int, int],
    settings: FitSettings,
) -> NDArray[np.float64]:
    """What the plane leaves over, smoothed, at nodes a block apart; nought where none is known."""
    reach = settings.bend * settings.block
    pull = []
    for axis, middles in ((0, grid[0, :, 0]), (1, grid[:, 0, 1])):
        nodes = np.linspace(0, size[axis], int(np.ceil(size[axis] / settings.block)) + 1)
        pull.append(np.exp(-0.5 * ((nodes[:, None] - middles) / reach) ** 2))
    sums = [pull[1] @ (weight[..., k] * off[..., k]) @ pull[0].T for k in (0, 1)]
    amount = [pull[1] @ weight[..., k] @ pull[0].T + SUPPORT for k in (0, 1)]
    return np.stack(sums, axis=-1) / np.stack(amount, axis=-1)
