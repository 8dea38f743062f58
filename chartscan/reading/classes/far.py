"""A few cells among many that keep together far off the rest of their group.

They don't make the group wider, so that no gap is seen along its widest direction. They are found
from the cells that lie farthest off, in the group's own scatter.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from chartscan.reading.classes.cluster import means_of_both
from chartscan.reading.classes.usual import ROUNDS

Patches = NDArray[np.floating]
Labels = NDArray[np.intp]
Points = NDArray[np.float64]


@dataclass(frozen=True)
class FarSettings:
    """How such cells are looked for.

    Attributes:
        axes: directions looked at, those in which a group is widest; others are noise alone.
        quiet: least standard deviation along one of them, in units of the page's noise.
        seeds: cells that they are looked for around, the farthest off.
        apart: how far from the rest they lie at least, in standard deviations of both.
        differ: CIELAB difference from them, place by place, on the mean at least. Of 74 drawn scans
            and photographs (seeds 99201, 99202, 720001 to 721004, 811001 to 811005) three parts
            that were a class were at 9 to 26; what a lens or a scanner lets run into bare cells at
            1 to 2, glyphs beside themselves where paper is bent at 2 to 5.
        rim: part of them that lie in the outermost rows and columns, at most: a frame does that.
        least: how many they are.
    """

    axes: int = 6
    quiet: float = 0.5
    seeds: int = 12
    apart: float = 4.5
    differ: float = 6.0
    rim: float = 0.5
    least: int = 3


def far_off(
    lab: Patches, white: Points, labels: Labels, settings: FarSettings = FarSettings()
) -> Iterator[tuple[int, Labels]]:
    """The groups some of whose cells lie together far off the rest, and which cells, flat.

    Two middles, that of the rest and one that begins at a cell far off, are moved to the means of
    the cells nearest to each (S. Lloyd, Least squares quantization in PCM, 1982).

    Args:
        lab: CIELAB of places all over every cell, shape (rows, columns, n, n, 3).
        white: the cells as points that noise scatters alike, shape (rows · columns, d).
        labels: group per cell, shape (rows, columns).
        settings: how they are looked for.
    """
    flat = labels.ravel()
    for group in np.flatnonzero(np.bincount(flat) >= 2 * settings.least):
        here = np.flatnonzero(flat == group)
        points = _in_own_scatter(white[here], settings)
        done = np.zeros(len(here), dtype=np.bool_)
        for seed in np.argsort(-np.vecdot(points, points))[: settings.seeds]:
            if done[seed]:
                continue
            far = _around(points, points[seed])
            done |= far
            smaller = far if 2 * far.sum() <= len(far) else ~far
            if smaller.sum() < settings.least or _apart(points, smaller) < settings.apart:
                continue
            cells, rest = here[smaller], here[~smaller]
            if (
                differ(lab, cells, rest) >= settings.differ
                and _at_rim(cells, labels.shape) <= settings.rim
            ):
                yield int(group), cells


def _in_own_scatter(points: Points, settings: FarSettings) -> Points:
    """Points (n, d) about their mean along their widest axes, each scaled to its own scatter."""
    off = points - points.mean(axis=0)
    variances, axes = np.linalg.eigh(off.T @ off / len(off))
    widest = slice(-settings.axes, None)
    scale = np.sqrt(np.maximum(variances[widest], settings.quiet**2))
    return np.asarray(off @ (axes[:, widest] / scale))


def _around(points: Points, seed: Points) -> NDArray[np.bool_]:
    """Which points lie nearer to the middle of those about ``seed`` than to that of the rest."""
    far, rest = seed, np.zeros_like(seed)
    near = np.zeros(len(points), dtype=np.bool_)
    whole = points.sum(axis=0)
    for _ in range(ROUNDS):
        before = near
        near = points @ (far - rest) > (far @ far - rest @ rest) / 2
        if np.array_equal(near, before) or not near.any() or near.all():
            break
        far, rest = means_of_both(points, near, whole)
    return near


def _apart(points: Points, some: NDArray[np.bool_]) -> float:
    """How far ``some`` points lie from the rest, in standard deviations of both along that way."""
    step = points[some].mean(axis=0) - points[~some].mean(axis=0)
    along = points @ step
    scatter = along[some].var() * some.sum() + along[~some].var() * (~some).sum()
    return float(step @ step / max(np.sqrt(scatter / len(points)), np.finfo(float).tiny))


def differ(lab: Patches, some: Labels, rest: Labels) -> float:
    """The mean CIELAB difference of some cells and the rest, place by place of their mean cells.

    What a glyph that lies a little beside itself differs by is left out: the part of the difference
    in lightness that the slopes of the one's lightness explain.
    """
    every = lab.reshape(lab.shape[0] * lab.shape[1], *lab.shape[2:])
    usual = every[rest].mean(axis=0, dtype=np.float64)
    step = every[some].mean(axis=0, dtype=np.float64) - usual
    slopes = np.stack([slope.ravel() for slope in np.gradient(usual[..., 0])], axis=1)
    beside = slopes @ np.linalg.lstsq(slopes, step[..., 0].ravel(), rcond=None)[0]
    step[..., 0] -= beside.reshape(step.shape[:2])
    return float(np.linalg.norm(step, axis=2).mean())


def _at_rim(cells: Labels, shape: tuple[int, ...]) -> float:
    """The part of the cells that lie in the outermost rows and columns of a chart."""
    rows, columns = shape
    row, column = np.divmod(cells, columns)
    rim = (row == 0) | (row == rows - 1) | (column == 0) | (column == columns - 1)
    return float(rim.mean())
