"""What each cell holds: pixels taken at the same places inside every cell of the lattice."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from chartscan.reading.lattice import Lattice
from chartscan.reading.page import Page

Samples = NDArray[np.uint8]


def sample(page: Page, lattice: Lattice, per_side: int, inset: float) -> Samples:
    """Pixels of every cell on an even grid of ``per_side`` × ``per_side`` places inside it.

    Args:
        page: the page.
        lattice: where its cells lie.
        per_side: places along each side of a cell.
        inset: part of the cell left out along each side, where lines are; may be negative to
            look over the sides.

    Returns:
        uint8, shape (rows, columns, per_side, per_side, 3); places off the page repeat its edge.
    """
    offset = inset + (np.arange(per_side) + 0.5) * (1 - 2 * inset) / per_side
    u = (np.arange(lattice.columns)[:, None] + offset).ravel()
    v = (np.arange(lattice.rows)[:, None] + offset).ravel()
    taken = take(page, lattice, u, v)
    shape = (lattice.rows, per_side, lattice.columns, per_side, 3)
    return taken.reshape(shape).swapaxes(1, 2)


def take(
    page: Page, lattice: Lattice, u: NDArray[np.float64], v: NDArray[np.float64]
) -> NDArray[np.uint8]:
    """Nearest pixels at every pair of grid coordinates (``u`` across, ``v`` down): (v, u, 3)."""
    width, height = page.size
    if lattice.straight:
        pitch_x, left = lattice.homography[0, 0], lattice.homography[0, 2]
        pitch_y, top = lattice.homography[1, 1], lattice.homography[1, 2]
        x = np.clip((u * pitch_x + left).astype(np.intp), 0, width - 1)
        y = np.clip((v * pitch_y + top).astype(np.intp), 0, height - 1)
        return page.pixels[y[:, None], x]
    points = np.stack(np.meshgrid(u, v), axis=-1)
    where = lattice.to_pixels(points)
    x = np.clip(where[..., 0].astype(np.intp), 0, width - 1)
    y = np.clip(where[..., 1].astype(np.intp), 0, height - 1)
    return page.pixels[y, x]


@dataclass(frozen=True)
class CellSettings:
    """How the inside of a cell is looked at.

    Attributes:
        per_side: least and greatest number of places along each side.
        density: places per pixel of the page, between those bounds.
        inset: part of the cell left out along each side; grid lines reach that far.
        line_px: pixels left out at least, for small cells.
        even: part of a cell's rim that must be one colour for the cell to be evenly filled.
        exact: part of the cells that must be evenly filled for the page to be an exact one.
    """

    per_side: tuple[int, int] = (3, 16)
    density: float = 0.75
    inset: float = 0.13
    line_px: float = 1.2
    even: float = 0.6
    exact: float = 0.75


@dataclass(frozen=True)
class Cells:
    """What each cell holds: the colour of its ground and what is printed on it.

    Attributes:
        ground: sRGB 0..255 beside the glyph, shape (rows, columns, 3).
        ink: luma of each place less that of the ground, −255..255, shape (rows, columns, n, n).
        even: part of the rim that has the ground's colour, shape (rows, columns).
        exact: whether equal fills are equal to the last bit on this page.
    """

    ground: NDArray[np.float64]
    ink: NDArray[np.float32]
    even: NDArray[np.float64]
    exact: bool


def look_into(page: Page, lattice: Lattice, settings: CellSettings = CellSettings()) -> Cells:
    """Look at every cell: the colour along its rim is its ground, what differs is ink."""
    pitch = min(lattice.pitch)
    inset = min(0.32, max(settings.inset, settings.line_px / pitch))
    side = int(np.clip(round(pitch * (1 - 2 * inset) * settings.density), *settings.per_side))
    values = sample(page, lattice, side, inset)
    rim = _rim(values)
    mode, share = _mode(rim)
    exact = page.lossless and bool((share >= settings.even).mean() >= settings.exact)
    ground = mode.astype(np.float64) if exact else np.median(rim, axis=2).astype(np.float64)
    ink = luma(values) - luma(ground)[:, :, None, None]
    return Cells(ground, ink.astype(np.float32), share, exact)


def luma(rgb: NDArray[Any]) -> NDArray[np.float32]:
    """Rec. 601 luma of sRGB 0..255, shape (..., 3) → (...)."""
    weights = np.array([0.299, 0.587, 0.114], dtype=np.float32)
    return np.asarray(rgb, dtype=np.float32) @ weights


def _rim(values: Samples) -> Samples:
    """The outermost places of every cell, shape (rows, columns, 4n − 4, 3)."""
    edge = np.zeros(values.shape[2:4], dtype=bool)
    edge[[0, -1]] = edge[:, [0, -1]] = True
    return values[:, :, edge]


def _mode(values: Samples) -> tuple[Samples, NDArray[np.float64]]:
    """The commonest colour of each cell's places and the part of them that has it."""
    wide = values.astype(np.uint32)
    packed = np.sort((wide[..., 0] << 16) | (wide[..., 1] << 8) | wide[..., 2], axis=2)
    places = packed.shape[2]
    best = np.ones(packed.shape[:2], dtype=np.int64)
    colour = packed[..., 0].copy()
    length = np.ones(packed.shape[:2], dtype=np.int64)
    for k in range(1, places):
        length = np.where(packed[..., k] == packed[..., k - 1], length + 1, 1)
        longer = length > best
        best = np.where(longer, length, best)
        colour = np.where(longer, packed[..., k], colour)
    rgb = np.stack([colour >> 16, (colour >> 8) & 255, colour & 255], axis=-1)
    return rgb.astype(np.uint8), best / places
