"""How one reading of a page lies over another: where each cell of the one is in the other."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from chartscan.chart.corrections.acts import Cell, Point
from chartscan.chart.model import Chart

Floats = NDArray[np.float64]
Ints = NDArray[np.intp]
TURNS = 4


@dataclass(frozen=True)
class OverlaySettings:
    """When two readings are believed to lie over each other.

    Attributes:
        centred: how far from the middle of a cell, in cells, the middle of another may fall and
            still be that cell; past 0.5 it would be the next one.
        scale: how far the size of cells may differ, as a factor.
        reach: how many rows or columns more than the sizes differ one reading may begin later.
        looked_at: cells that are compared for each way to lay one over the other.
        agree: least share of what one reading says that the other says too, chance taken off.
        ahead: how much better than any other way the best must be, on the same scale.
        overlap: least share of the cells of each that must lie over the other.
    """

    centred: float = 0.3
    scale: float = 1.2
    reach: int = 6
    looked_at: int = 4000
    agree: float = 0.5
    ahead: float = 0.05
    overlap: float = 0.5


@dataclass(frozen=True)
class Overlay:
    """Where the corners of every cell of one reading lie in another.

    Attributes:
        nodes: x and y, in cells of the other reading, of the corners of cells, shape
            (rows + 1, columns + 1, 2); NaN where that is off its pages.
        columns: columns of the other reading.
        rows: rows of the other reading.
    """

    nodes: Floats
    columns: int
    rows: int

    def point(self, point: Point) -> Point | None:
        """A point in the other reading; None where it isn't in it."""
        rows, columns = self.nodes.shape[0] - 1, self.nodes.shape[1] - 1
        x, y = point
        j, i = min(max(int(x), 0), columns - 1), min(max(int(y), 0), rows - 1)
        s, t = x - j, y - i
        n = self.nodes
        top = n[i, j] * (1 - s) + n[i, j + 1] * s
        bottom = n[i + 1, j] * (1 - s) + n[i + 1, j + 1] * s
        u, v = top * (1 - t) + bottom * t
        if not (-EDGE <= u <= self.columns + EDGE and -EDGE <= v <= self.rows + EDGE):
            return None
        return float(u), float(v)

    def middles(self) -> Floats:
        """The middle of every cell in the other reading, shape (rows, columns, 2)."""
        n = self.nodes
        return np.asarray((n[:-1, :-1] + n[:-1, 1:] + n[1:, :-1] + n[1:, 1:]) / 4)

    def cells(self) -> tuple[Ints, NDArray[np.bool_]]:
        """Row and column of the cell that each middle falls into, and where it is in the chart."""
        middles = self.middles()
        inside = (
            (middles[..., 0] >= 0)
            & (middles[..., 1] >= 0)
            & (middles[..., 0] < self.columns)
            & (middles[..., 1] < self.rows)
        )
        places = np.where(inside[..., None], middles, 0.0).astype(np.intp)
        return places[..., ::-1], inside

    def cell(self, cell: Cell, settings: OverlaySettings = OverlaySettings()) -> Cell | None:
        """The cell that a cell is in the other reading; None where that isn't sure."""
        row, column = cell
        corners = self.nodes[row : row + 2, column : column + 2].reshape(-1, 2)
        size = float(np.ptp(corners, axis=0).prod())
        if not 1 / settings.scale**2 < size < settings.scale**2:
            return None
        x, y = corners.mean(axis=0)
        if not (0 <= x < self.columns and 0 <= y < self.rows):
            return None
        if max(abs(x % 1 - MIDDLE), abs(y % 1 - MIDDLE)) > settings.centred:
            return None
        return int(y), int(x)


EDGE = 0.5  # cells: a line along the frame may come to lie a little beside it
MIDDLE = 0.5  # of a cell


def moved(old: Chart, new: Chart, down: int, right: int, turns: int = 0) -> Overlay:
    """The overlay of readings of which ``old``, turned clockwise, begins so much further on."""
    x, y = np.meshgrid(np.arange(old.columns + 1.0), np.arange(old.rows + 1.0))
    width, height = float(old.columns), float(old.rows)
    for _ in range(turns):
        x, y = height - y, x
        width, height = height, width
    return Overlay(np.stack([x + right, y + down], axis=-1), new.columns, new.rows)


def overlay_by_cells(
    old: Chart, new: Chart, settings: OverlaySettings = OverlaySettings()
) -> Overlay | None:
    """How two readings lie over each other by what their cells say, whatever the classes' numbers.

    None where no way to lay them is clearly the best: a chart of one colour lies anyhow.
    """
    if old.cells.shape == new.cells.shape and _agreement(old.cells, new.cells) > NEARLY_ALL:
        return moved(old, new, 0, 0)
    tried: list[tuple[float, int, int, int]] = []
    for turns in range(TURNS):
        turned = np.rot90(old.cells, -turns)
        tried += [(*way, turns) for way in _ways(turned, new.cells, settings)]
    tried.sort(reverse=True)
    if not tried or tried[0][0] < settings.agree:
        return None
    if len(tried) > 1 and tried[1][0] > tried[0][0] - settings.ahead:
        return None
    _, down, right, turns = tried[0]
    return moved(old, new, down, right, turns)


NEARLY_ALL = 0.95  # agreement at which readings of one size are taken to lie cell on cell


def _ways(
    old: NDArray[np.int32], new: NDArray[np.int32], settings: OverlaySettings
) -> list[tuple[float, int, int]]:
    """Agreement, rows down and columns right of every way to lay ``old`` over ``new``."""
    reach = settings.reach
    spans = [
        range(min(0, b - a) - reach, max(0, b - a) + reach + 1)
        for a, b in zip(old.shape, new.shape, strict=True)
    ]
    found = []
    for down in spans[0]:
        for right in spans[1]:
            top, left = max(0, down), max(0, right)
            bottom = min(new.shape[0], old.shape[0] + down)
            end = min(new.shape[1], old.shape[1] + right)
            most = min(old.size, new.size)
            if (bottom - top) * (end - left) < settings.overlap * most or end <= left:
                continue
            here = new[top:bottom, left:end]
            there = old[top - down : bottom - down, left - right : end - right]
            step = max(1, round((here.size / settings.looked_at) ** 0.5))
            score = _agreement(there[::step, ::step], here[::step, ::step])
            found.append((score * here.size / most, down, right))
    return found


def _agreement(old: NDArray[np.int32], new: NDArray[np.int32]) -> float:
    """Share of cells that go with their class's commonest partner, above what chance gives, 0 to 1.

    Goodman and Kruskal's lambda, both ways (Measures of Association for Cross Classifications,
    Journal of the American Statistical Association 49, 1954).
    """
    width = int(new.max()) + 1
    table = np.bincount(
        (old.astype(np.int64) * width + new).ravel(), minlength=(int(old.max()) + 1) * width
    ).reshape(-1, width)
    n = old.size
    known = table.max(axis=1).sum() + table.max(axis=0).sum()
    chance = table.sum(axis=1).max() + table.sum(axis=0).max()
    return float((known - chance) / (2 * n - chance)) if chance < 2 * n else 0.0
