"""A grid drawn without the corpus: soft lines on paper, turned, with marks in some cells."""

from __future__ import annotations

import numpy as np

from chartscan.reading.lattice.model import FLAT, Lattice
from chartscan.reading.page.page import Page

PITCH = 14.0


def drawn(columns: int, rows: int, degrees: float = 2.0, margin: int = 60) -> tuple[Page, Lattice]:
    """A page with a grid in its middle, a disc in every third cell, and where the grid lies."""
    turn = np.radians(degrees)
    width, height = (int(n * PITCH) + 2 * margin for n in (columns, rows))
    c, s = PITCH * np.cos(turn), PITCH * np.sin(turn)
    middle = np.array([[c, -s], [s, c]]) @ (columns / 2, rows / 2)
    left, top = np.array([width / 2, height / 2]) - middle
    lattice = Lattice(columns, rows, np.array([[c, -s, left], [s, c, top], [0, 0, 1]]), FLAT, True)
    y, x = np.mgrid[0:height, 0:width] + 0.5
    cells = lattice.to_cells(np.stack([x, y], axis=-1))
    u, v = cells[..., 0], cells[..., 1]
    edge = 0.06
    on = (u > -edge) & (u < columns + edge) & (v > -edge) & (v < rows + edge)
    off = np.minimum(np.abs(u - np.round(u)), np.abs(v - np.round(v))) * PITCH
    grey = 240 - 170 * np.clip(1.5 - off, 0, 1) * on
    third = (np.floor(u) + 2 * np.floor(v)) % 3 == 0
    disc = np.hypot(u - np.floor(u) - 0.5, v - np.floor(v) - 0.5) < 0.25
    inside = (u > 0) & (u < columns) & (v > 0) & (v < rows)
    grey[third & disc & inside] = 90
    grey += np.random.default_rng(2).normal(0, 4, grey.shape)
    pixels = np.clip(grey, 0, 255).astype(np.uint8)[..., None].repeat(3, axis=2)
    return Page(pixels, lossless=False), lattice
