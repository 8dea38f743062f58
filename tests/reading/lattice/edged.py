"""Pages whose edges are known: lines, fills and strokes along the pixels."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from chartscan.reading.lattice.edges import Edges, find_edges
from tests.reading.staged import BLUE, RED, WHITE, YELLOW, Pixels

FILLS = np.array([WHITE, RED, BLUE, YELLOW], np.uint8)
Cells = NDArray[np.intp]
SAMPLED = 2000  # rows: all of them


def places(count: int, pitch: float, start: float) -> NDArray[np.intp]:
    """First pixel of every cell, and of what comes after the last."""
    return np.round(start + pitch * np.arange(count + 1)).astype(np.intp)


def filled(cells: Cells, pitch: float, left: float, top: float, room: int = 20) -> Pixels:
    """Cells in fills, without lines, on white."""
    x, y = places(cells.shape[1], pitch, left), places(cells.shape[0], pitch, top)
    page = np.full((y[-1] + room, x[-1] + room, 3), 255, np.uint8)
    for (row, column), fill in np.ndenumerate(cells):
        page[y[row] : y[row + 1], x[column] : x[column + 1]] = FILLS[fill]
    return page


def ruled(page: Pixels, shape: tuple[int, int], pitch: float, left: float, top: float,
          every: int = 1, dash: int = 0) -> Pixels:  # fmt: skip
    """The page with a grey line a pixel wide at every so many cells' sides; dashed if so told."""
    rows, columns = shape
    x, y = places(columns, pitch, left), places(rows, pitch, top)
    done = page.copy()
    for at in x[::every]:
        done[y[0] : y[-1] + 1, at] = 100
        if dash:
            for k in range(dash):
                done[y[0] + k : y[-1] + 1 : 2 * dash, at] = page[
                    y[0] + k : y[-1] + 1 : 2 * dash, at
                ]
    for at in y[::every]:
        done[at, x[0] : x[-1] + 1] = 100
        if dash:
            for k in range(dash):
                done[at, x[0] + k : x[-1] + 1 : 2 * dash] = page[
                    at, x[0] + k : x[-1] + 1 : 2 * dash
                ]
    return done


def cells_of(rows: int, columns: int, seed: int = 3) -> Cells:
    return np.random.default_rng(seed).integers(0, 4, (rows, columns))


def edges_of(page: Pixels, lossless: bool = True) -> tuple[Edges, Edges]:
    """Edges across x, and across y."""
    turned = np.ascontiguousarray(page.swapaxes(0, 1))
    return (
        find_edges(page, SAMPLED, lossless=lossless),
        find_edges(turned, SAMPLED, lossless=lossless),
    )
