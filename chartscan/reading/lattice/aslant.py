"""Told early: a scan or photograph whose grid doesn't run along the rows and columns of pixels.

On such a page the straight road finds nothing, after having tried every pitch. But the edges seen
in one band of rows lie a little aside of those in the next; those of a straight grid stay.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from chartscan.reading.lattice.edges import Edges


@dataclass(frozen=True)
class AslantSettings:
    """When edges move aside.

    Attributes:
        parts: bands of rows, and segments of each band; under perspective the edges of one half
            move left and those of the other right, so that whole rows would hide it. So many rows
            has each at least.
        most: px that edges are looked for aside; a segment is twice as wide at least.
        alike: correlation of two segments from which on they show the same edges, as a multiple of
            what noise makes, 1 / √px: the best of so many places reaches 3.
        told: pairs of segments that must do so.
        moving: the correlation of segments where they lie as a part of the best one aside, below
            which edges move: over 0.9 on straight pages, less than 0.5 on pages turned by a degree.
    """

    parts: int = 8
    most: int = 40
    alike: float = 5.0
    told: int = 20
    moving: float = 0.6


def is_aslant(edges: Edges, settings: AslantSettings = AslantSettings()) -> bool:
    """Whether edges move aside from each band of rows to the next.

    Straight lines never do; they waver by a pixel at most.
    """
    parts, most = settings.parts, settings.most
    rows, width = len(edges.on) // parts, (edges.length - 1) // parts
    if rows < parts or width < 2 * most:
        return False
    bands = (edges.on[k * rows : (k + 1) * rows] for k in range(parts))
    cover = np.stack([edges.cover(band)[: width * parts].reshape(parts, width) for band in bands])
    beside = _correlations(cover, most)
    stays = beside[..., most - 1 : most + 2].max(axis=2)
    best = beside.max(axis=2)
    told = best > settings.alike / np.sqrt(width)
    if np.count_nonzero(told) < settings.told:
        return False
    return bool(np.median(stays[told] / best[told]) < settings.moving)


def _correlations(cover: NDArray[np.float64], most: int) -> NDArray[np.float64]:
    """Correlation of each segment with the one below it, moved by −``most`` to ``most`` px.

    Of segments (bands, segments, px): shape (bands − 1, segments, 2 · most + 1).
    """
    flat = cover - cover.mean(axis=2, keepdims=True)
    norm = np.linalg.norm(flat, axis=2)
    size = 2 ** int(np.ceil(np.log2(cover.shape[2] + most)))
    spectrum = np.fft.rfft(flat, size)
    alike = np.fft.irfft(spectrum[1:] * spectrum[:-1].conj(), size)
    beside = np.concatenate([alike[..., -most:], alike[..., : most + 1]], axis=2)
    return np.asarray(beside / np.maximum(norm[1:] * norm[:-1], 1e-9)[..., None])
