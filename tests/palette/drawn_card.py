"""Cards of wound threads, drawn with a known truth: thread, shine, gaps, light, cast, noise."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from chartscan.colour import lab_to_linear, linear_to_srgb
from chartscan.palette.card import corner_lattice
from chartscan.reading.lattice.model import Lattice

Array = NDArray[np.float64]
Corners = tuple[tuple[float, float], ...]

PAPER_LAB = (95.0, 0.0, -2.0)
SQUARE: Corners = ((40.0, 30.0), (0.0, 0.0), (0.0, 0.0), (0.0, 0.0))


@dataclass(frozen=True)
class Look:
    """How a card is drawn.

    Attributes:
        pitch: distance of fields in pixels, before the card is tilted.
        fill: part of the pitch that thread covers, each way; 1 for fields that touch.
        texture: how much light the strands take and give, as a share.
        shine: share of the thread that shines, whitish.
        gaps: share of the thread that is a dark gap.
        noise: standard deviation in 8-bit steps.
        cast: what the camera makes of linear r, g, b; a 3 × 3 mix.
        slope: light lost from the left to the right of the card, as a share.
        tilt: how far the corners lean in, in pixels.
    """

    pitch: float = 40.0
    fill: float = 0.8
    texture: float = 0.15
    shine: float = 0.08
    gaps: float = 0.08
    noise: float = 2.0
    cast: tuple[tuple[float, ...], ...] = ((0.90, 0, 0), (0, 0.80, 0), (0, 0, 0.62))
    slope: float = 0.0
    tilt: float = 0.0


@dataclass(frozen=True)
class DrawnCard:
    """A drawn card: pixels, where its corners are, and its lattice."""

    pixels: NDArray[np.uint8]
    corners: Corners
    lattice: Lattice


def draw_card(
    lab: Array, columns: int, look: Look = Look(), seed: int = 1, paper: Array | None = None
) -> DrawnCard:
    """Draw fields of ``lab`` (n, 3), row by row, ``columns`` across, on paper."""
    rng = np.random.default_rng(seed)
    rows = -(-len(lab) // columns)
    corners = _corners(columns, rows, look)
    lattice = corner_lattice(corners, columns, rows)
    height = int(max(y for _, y in corners) + 40)
    width = int(max(x for x, _ in corners) + 40)
    y, x = np.mgrid[:height, :width] + 0.5
    cell = lattice.to_cells(np.stack([x, y], axis=-1))
    column, row = np.floor(cell[..., 0]).astype(int), np.floor(cell[..., 1]).astype(int)
    index = row * columns + column
    edge = np.abs(cell - np.floor(cell) - 0.5).max(axis=-1)
    inside = (column >= 0) & (column < columns) & (row >= 0) & (index < len(lab))
    on_thread = inside & (edge < look.fill / 2)
    ground = lab_to_linear(PAPER_LAB if paper is None else paper)
    colours = lab_to_linear(lab)[np.clip(index, 0, len(lab) - 1)]
    linear = np.where(on_thread[..., None], _wound(colours, x, y, look, rng), ground)
    linear = linear @ np.array(look.cast).T
    linear *= (1 - look.slope * np.clip(cell[..., 0] / columns, -0.2, 1.2))[..., None]
    encoded = linear_to_srgb(np.clip(linear, 0, 1)) + rng.normal(0, look.noise, linear.shape)
    pixels = np.clip(np.rint(encoded), 0, 255).astype(np.uint8)
    return DrawnCard(pixels, corners, lattice)


def _corners(columns: int, rows: int, look: Look) -> Corners:
    wide, high, lean = columns * look.pitch, rows * look.pitch, look.tilt
    left, top = 40.0, 30.0
    return (
        (left + lean, top + lean / 3),
        (left + wide - lean / 2, top),
        (left + wide, top + high - lean / 4),
        (left, top + high),
    )


def _wound(colours: Array, x: Array, y: Array, look: Look, rng: np.random.Generator) -> Array:
    """Strands across the field, each rounded: light falls off to its sides; some of it shines."""
    strand = (y + 0.15 * x) / 5.0
    rounded = look.texture * np.sin(2 * np.pi * strand)
    fuzz = 0.3 * look.texture * rng.normal(size=x.shape)
    linear = colours * (1 + rounded + fuzz)[..., None]
    shining = rng.random(x.shape) < look.shine
    linear[shining] += 0.25 * rng.random((int(shining.sum()), 1))
    gap = rng.random(x.shape) < look.gaps
    linear[gap] *= 0.25
    return linear
