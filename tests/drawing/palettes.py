"""Colours for designs: spread out, near shades, or a single level apart."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from tests.drawing.style import RGB, WHITE

Rng = np.random.Generator

# sRGB (linear) to XYZ, IEC 61966-2-1, and the D65 white.
_TO_XYZ = np.array([[0.4124, 0.3576, 0.1805], [0.2126, 0.7152, 0.0722], [0.0193, 0.1192, 0.9505]])
_WHITE = _TO_XYZ.sum(axis=1)


def lab(rgb: NDArray[np.uint8]) -> NDArray[np.float64]:
    """CIE Lab (D65) of sRGB triples along the last axis."""
    value = np.asarray(rgb, float) / 255
    linear = np.where(value <= 0.04045, value / 12.92, ((value + 0.055) / 1.055) ** 2.4)
    share = linear @ _TO_XYZ.T / _WHITE
    root = np.where(share > 216 / 24389, np.cbrt(share), (24389 / 27 * share + 16) / 116)
    x, y, z = np.moveaxis(root, -1, 0)
    return np.stack([116 * y - 16, 500 * (x - y), 200 * (y - z)], axis=-1)


def _shades(rng: Rng, count: int) -> NDArray[np.uint8]:
    """``count`` candidates: families of shades round a few hues, and strays."""
    hues = rng.uniform(0, 255, size=(max(2, count // 40), 3))
    base = hues[rng.integers(len(hues), size=count)]
    near = base + rng.normal(0, 45, size=(count, 3)) + rng.normal(0, 50, size=(count, 1))
    stray = rng.uniform(0, 255, size=(count, 3))
    kept = np.where(rng.random((count, 1)) < 0.6, near, stray)
    return np.clip(kept, 0, 255).astype(np.uint8)


def colours_apart(rng: Rng, count: int, apart: float, ground: RGB = WHITE) -> NDArray[np.uint8]:
    """``count`` colours at least ``apart`` (ΔE76) from each other and from the ground.

    Where so many don't fit at that distance, the distance is lowered until they do.
    """
    while True:
        candidates = _shades(rng, 400 + 60 * count)
        places = lab(candidates)
        taken = [lab(np.array(ground, np.uint8))]
        kept: list[NDArray[np.uint8]] = []
        for colour, place in zip(candidates, places, strict=True):
            if np.min(np.linalg.norm(np.array(taken) - place, axis=1)) >= apart:
                kept.append(colour)
                taken.append(place)
                if len(kept) == count:
                    return np.array(kept, np.uint8)
        apart *= 0.8


def one_level_apart(rng: Rng, count: int) -> NDArray[np.uint8]:
    """Colours of which each differs from the one before by a single level of one channel."""
    colour = rng.integers(40, 200, size=3)
    rows = []
    for _ in range(count):
        rows.append(colour.copy())
        colour[int(rng.integers(3))] += 1
    return np.array(rows, np.uint8)
