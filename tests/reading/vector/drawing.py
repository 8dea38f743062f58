"""Paths and letters of a page as values, by their corners."""

from __future__ import annotations

from itertools import count

import numpy as np

from chartscan.reading.vector.grid import Grid
from chartscan.reading.vector.objects import Drawn, Rgb

GRID = Grid(50.0, 60.0, 10.0, 10.0, 6, 5, drawn=True)  # six columns, five rows of 10 points
RED: Rgb = (200, 40, 60)
BLUE: Rgb = (30, 90, 160)
BLACK: Rgb = (0, 0, 0)
_order = count()


def path(
    *points: tuple[float, float],
    fill: Rgb | None = None,
    stroke: Rgb | None = None,
    closed: bool = True,
    curved: bool = False,
    opaque: bool = True,
    width: float = 0.5,
) -> Drawn:
    """A path through (x, y) in points."""
    outline = np.array(points, np.float64)
    if closed:
        outline = np.concatenate([outline, outline[:1]])
    return Drawn(next(_order), (outline,), curved, closed, fill, stroke, width, opaque)


def line(x0: float, y0: float, x1: float, y1: float, width: float = 0.5) -> Drawn:
    return path((x0, y0), (x1, y1), stroke=BLACK, closed=False, width=width)


def box(left: float, top: float, right: float, bottom: float, fill: Rgb = RED) -> Drawn:
    return path((left, top), (right, top), (right, bottom), (left, bottom), fill=fill)


def ruled(
    left: float, top: float, wide: float, high: float, columns: int, rows: int, over: float = 0.0
) -> list[Drawn]:
    """All lines of a grid, each ``over`` points longer at both ends."""
    right, bottom = left + wide * columns, top + high * rows
    uprights = [
        line(left + wide * k, top - over, left + wide * k, bottom + over)
        for k in range(columns + 1)
    ]
    levels = [
        line(left - over, top + high * k, right + over, top + high * k) for k in range(rows + 1)
    ]
    return uprights + levels
