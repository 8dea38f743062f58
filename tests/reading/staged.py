"""What a stage takes, made by hand: straight lattices, pages of one picture a cell, evidence."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from chartscan.chart import Chart, ChartClass
from chartscan.reading.clues import Clues
from chartscan.reading.evidence import Evidence
from chartscan.reading.lattice.model import FLAT, Lattice
from chartscan.reading.page.page import Page

Pixels = NDArray[np.uint8]
Rgb = tuple[int, int, int]

WHITE: Rgb = (255, 255, 255)
RED: Rgb = (200, 40, 60)
BLUE: Rgb = (30, 90, 160)
YELLOW: Rgb = (240, 210, 120)


def straight(
    columns: int,
    rows: int,
    pitch: float = 12.0,
    left: float = 0.0,
    top: float = 0.0,
    drawn: bool = True,
) -> Lattice:
    """A lattice along the pixels, its first cell at (``left``, ``top``)."""
    homography = np.array([[pitch, 0, left], [0, pitch, top], [0, 0, 1.0]])
    return Lattice(columns, rows, homography, FLAT, drawn)


def tiled(cells: NDArray[np.integer], pictures: Sequence[Pixels]) -> Pixels:
    """The picture of each cell laid side by side: (rows × height, columns × width, 3)."""
    rows = [np.concatenate([pictures[k] for k in row], axis=1) for row in cells]
    return np.concatenate(rows, axis=0)


def fill(colour: Rgb, side: int = 12) -> Pixels:
    """A cell in one colour."""
    return np.full((side, side, 3), colour, np.uint8)


def turned(lattice: Lattice, page: Page) -> tuple[Lattice, Page]:
    """Both as if the sheet had been turned a quarter to the left: columns become rows."""
    width = page.pixels.shape[1]
    rows_first = np.array([[0.0, 1, 0], [-1, 0, width], [0, 0, 1]])
    from_new = np.array([[0.0, -1, lattice.columns], [1, 0, 0], [0, 0, 1]])
    homography = rows_first @ lattice.homography @ from_new
    pixels = np.ascontiguousarray(np.rot90(page.pixels))
    found = Lattice(lattice.rows, lattice.columns, homography, FLAT, lattice.drawn)
    return found, Page(pixels, page.lossless)


def classes(*colours: Rgb | None) -> tuple[ChartClass, ...]:
    """The first class empty, all others stitches."""
    return tuple(
        ChartClass(k, "stitch" if k else "empty", colour) for k, colour in enumerate(colours)
    )


def evidence(
    chart: Chart,
    pixels: Pixels | None = None,
    pitch: float = 12.0,
    lossless: bool = True,
    clues: Clues | None = None,
    origin: tuple[int, int] = (0, 0),
) -> Evidence:
    """A page that was read as ``chart``; blank where no pixels are given."""
    if pixels is None:
        pixels = np.full(
            (round(chart.rows * pitch), round(chart.columns * pitch), 3), 255, np.uint8
        )
    lattice = straight(chart.columns, chart.rows, pitch)
    return Evidence(Page(pixels, lossless=lossless), lattice, chart, {}, origin, clues)
