"""Shapes drawn in one cell of a vector chart: round dots, triangles, quarter squares, polygons."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from chartscan.chart import Corner, Shape
from chartscan.reading.vector.objects import Drawn

Floats = NDArray[np.float64]

SAME = 0.01  # cells between the first and the last point of an outline that is closed
ON_BOX = 0.02  # cells from the box around a square at which its points lie


@dataclass(frozen=True)
class ShapeSettings:
    """Tolerances in cells.

    Attributes:
        snap: how far a corner may lie from the crossing it means.
        dot: largest diameter of a knot.
    """

    snap: float = 0.1
    dot: float = 0.9


def inside(outlines: list[Floats], points: Floats) -> NDArray[np.bool_]:
    """Which of ``points``, shape (…, 2), lie inside by the even-odd rule; shape (…)."""
    flat = points.reshape(-1, 2)
    order = np.argsort(flat[:, 1], kind="stable")
    x, y = flat[order, 0], flat[order, 1]
    crossings = np.zeros(len(flat), dtype=np.int32)
    for outline in outlines:
        for (x0, y0), (x1, y1) in zip(outline, np.roll(outline, -1, axis=0), strict=True):
            if y0 == y1:
                continue
            # Only points between the two ends in height can have this side to their right.
            low, high = np.searchsorted(y, sorted((y0, y1)))
            at = x0 + (y[low:high] - y0) * (x1 - x0) / (y1 - y0)
            crossings[low:high] += x[low:high] < at
    hit = np.empty(len(flat), dtype=bool)
    hit[order] = crossings % 2 == 1
    return hit.reshape(points.shape[:-1])


def is_dot(path: Drawn, box: Floats, settings: ShapeSettings) -> bool:
    """Whether a curved path is round: one outline, as wide as high, no larger than a knot."""
    width, height = box[2] - box[0], box[3] - box[1]
    round_enough = abs(width - height) <= settings.snap * max(width, height)
    return bool(len(path.outlines) == 1 and round_enough and max(width, height) <= settings.dot)


def piece(outline: Floats, settings: ShapeSettings) -> tuple[int, int, Shape, Corner] | None:
    """The part stitch that a triangle or a quarter square is; None where it is neither.

    A triangle fills the half of a cell on the side of its right angle; a quarter square has its
    sides half as long as the cell's and shares a corner with it.
    """
    points = outline if not np.allclose(outline[0], outline[-1], atol=SAME) else outline[:-1]
    low, high = points.min(axis=0), points.max(axis=0)
    size = high - low
    column, row = (int(v) for v in np.floor((low + high) / 2))
    if len(points) == 3 and np.abs(size - 1).max() <= 2 * settings.snap:
        near = np.round(points)
        if np.abs(points - near).max() > settings.snap or len(np.unique(near, axis=0)) < 3:
            return None
        missing = [
            c
            for c in ((0, 0), (1, 0), (0, 1), (1, 1))
            if not (near == np.round(low) + c).all(axis=1).any()
        ]
        if len(missing) != 1:
            return None
        x, y = missing[0]
        return row, column, "triangle", _corner(1 - x, 1 - y)
    if len(points) == 4 and np.abs(size - 0.5).max() <= settings.snap:
        from_cell = (low - (column, row)) * 2
        x, y = (int(v) for v in np.round(from_cell))
        at_corner = np.abs(from_cell - (x, y)).max() <= 2 * settings.snap
        on_box = (
            np.isclose(points, low, atol=ON_BOX) | np.isclose(points, high, atol=ON_BOX)
        ).all()
        if at_corner and on_box and x in (0, 1) and y in (0, 1):
            return row, column, "quarter", _corner(x, y)
    return None


def _corner(x: int, y: int) -> Corner:
    corners: dict[tuple[int, int], Corner] = {
        (0, 0): "top left",
        (1, 0): "top right",
        (0, 1): "bottom left",
        (1, 1): "bottom right",
    }
    return corners[x, y]
