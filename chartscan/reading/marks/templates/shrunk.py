"""Glyphs made small, and how like them is what is seen of a piece of a cell."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from chartscan.reading.marks.fills import Mask

Floats = NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class Small:
    """The glyphs of some classes, each made small by every scale; nought where a class has none.

    Attributes:
        spectra: of each in a square of as many samples as a cell, conjugate: (classes, scales,
            side, waves).
        norms: the root of the sum of its squares, shape (classes, scales).
        room: where its first sample may lie for all of it to be inside, likewise (..., side, side).
    """

    spectra: NDArray[np.complex128]
    norms: Floats
    room: Mask


def made_small(ink: Floats, scales: tuple[float, ...]) -> Small:
    """The glyph of one class, cut to what is inked, made small by each of the ``scales``.

    ``ink`` is how far each sample of a cell is off its ground, nought for what is none, shape
    (side, side).
    """
    from scipy import ndimage

    side = len(ink)
    rows, columns = np.flatnonzero(ink.any(axis=1)), np.flatnonzero(ink.any(axis=0))
    placed = np.zeros((len(scales), side, side))
    room = np.zeros(placed.shape, dtype=np.bool_)
    for k, scale in enumerate(scales if len(rows) else ()):
        glyph = ink[rows[0] : rows[-1] + 1, columns[0] : columns[-1] + 1]
        small = ndimage.zoom(glyph, scale, order=1, grid_mode=True, mode="nearest")
        height, width = small.shape
        placed[k, :height, :width] = small
        room[k, : side - height + 1, : side - width + 1] = small.any()
    norms = np.sqrt((placed**2).sum(axis=(1, 2)))
    return Small(np.fft.rfft2(placed).conj()[None], norms[None], room[None])


def likeness(seen: Floats, glyphs: Small) -> Floats:
    """The best correlation of what is ``seen`` with the glyph of each class, wherever it lies.

    From 0 to 1, shape (classes,). All that is seen counts; what a glyph leaves unexplained makes
    it less alike. Products of spectra give the fit at all places at once: where a glyph has room,
    nothing comes in again from the other side.
    """
    size = float(np.linalg.norm(seen))
    if not size:
        return np.zeros(len(glyphs.norms))
    fit = np.fft.irfft2(np.fft.rfft2(seen) * glyphs.spectra, s=seen.shape)
    most = np.where(glyphs.room, fit, 0.0).max(axis=(2, 3))
    alike = most / np.maximum(glyphs.norms * size, np.finfo(float).tiny)
    return np.asarray(alike.max(axis=1))


def together(each: Sequence[Small]) -> Small:
    """The small glyphs of several classes."""
    return Small(
        np.concatenate([small.spectra for small in each]),
        np.concatenate([small.norms for small in each]),
        np.concatenate([small.room for small in each]),
    )
