"""Swatches of a key beside the grid: which classes are stitches is told by what the key shows."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from chartscan.colour import many_to_lab, srgb_to_lab
from chartscan.reading.cells.light import Light, balanced
from chartscan.reading.classes.cloth import WHITE, Cloth
from chartscan.reading.lattice.model import Lattice
from chartscan.reading.page.page import Page

Flags = NDArray[np.bool_]
Lab = NDArray[np.float32]

AT_ONCE = 50_000  # places held against all classes at a time: some 20 MB
CLEAR = 0.5  # cells around the grid where no swatch lies, but its outermost cells may show
MIDDLE = 3  # px along each side of the middle of a square that tell its colour, at most
TURNS = 5  # places along a side of the grid that its mean light is taken from


@dataclass(frozen=True)
class KeySettings:
    """How swatches of a key are looked for beside the grid.

    Attributes:
        fine: px of the page that are made one, as a part of a cell; swatches are about a cell
            wide, and hold two by two of those beside their frames.
        like: CIELAB difference up to which such a place shows a class's colour: as far as light
            and coding move it between the grid and the key.
        exact: the same where equal fills are equal to the last bit.
        paper: CIELAB difference from the paper up to which a swatch can't be told from it; the
            second on an exact page.
    """

    fine: float = 0.2
    like: float = 7.0
    exact: float = 1.0
    paper: tuple[float, float] = (10.0, 2.0)


def find_key(
    page: Page,
    lattice: Lattice,
    light: Light | None,
    cloth: Cloth,
    settings: KeySettings = KeySettings(),
) -> NDArray[np.float64] | None:
    """Which classes have a swatch in a key beside the grid, 0 to 1; None where no key is seen.

    Of a class near the paper's colour none can be seen, whether there is one or not. A key has
    swatches of two classes at least, and of most: letters and titles have colours, too.
    """
    step = max(1, int(settings.fine * min(lattice.pitch)))
    width = page.size[0] // step
    every = _beside(page, lattice, step, CLEAR)
    paper = srgb_to_lab(WHITE if cloth.paper is None else cloth.paper)
    classes = srgb_to_lab(cloth.colours)
    like_paper = settings.paper[cloth.exact]
    told = np.linalg.norm(classes - paper, axis=1) > like_paper
    known = np.vstack([classes, paper]).astype(np.float32)
    like = settings.exact if cloth.exact else settings.like
    where, shown = [], []
    if not every.size:
        return None
    for start in range(0, len(every), AT_ONCE):
        places = every[start : start + AT_ONCE]
        lab = _lab_of(page, places, width, step, light)
        # Within half of that a place is nearer to paper than to any class that is told from it.
        inked = np.linalg.norm(lab - known[-1], axis=1) > like_paper / 2
        where.append(places[inked])
        shown.append(_nearest(lab[inked], known, like))
    seen = _squares(np.concatenate(where), np.concatenate(shown), width, len(classes))
    swatches: Flags = (seen > 0) & told
    enough = max(2, told.sum() / 2)
    return np.where(told, swatches, 0.5) if swatches.sum() >= enough else None


def _beside(page: Page, lattice: Lattice, step: int, clear: float) -> NDArray[np.intp]:
    """Which squares of ``step`` px lie beside the grid, and ``clear`` cells from it at least.

    Returns:
        their places, counted row by row, in order.
    """
    height, width = (side // step for side in page.pixels.shape[:2])
    right, bottom = lattice.columns + clear, lattice.rows + clear
    ends = lattice.to_pixels(
        np.array([[-clear, -clear], [right, -clear], [right, bottom], [-clear, bottom]])
    )
    y = (np.arange(height) + 0.5) * step
    first, last = np.full(height, -np.inf), np.full(height, np.inf)
    inside = np.ones(height, dtype=np.bool_)
    for (ax, ay), (bx, by) in zip(ends, np.roll(ends, -1, axis=0), strict=True):
        # The grid lies where (bx − ax)·(y − ay) ≥ (by − ay)·(x − ax), for each of its sides.
        if by == ay:
            inside &= (bx - ax) * (y - ay) >= 0
            continue
        bound = ax + (bx - ax) / (by - ay) * (y - ay)
        first, last = (
            (first, np.minimum(last, bound)) if by > ay else (np.maximum(first, bound), last)
        )
    # On each row the grid covers the squares from ``start`` to ``stop``, or none.
    start = np.clip(np.ceil(first / step - 0.5), 0, width)
    stop = np.clip(np.floor(last / step - 0.5) + 1, start, width)
    start[~inside], stop[~inside] = width, width
    row = width * np.arange(height)
    begin = np.stack([row, row + stop], axis=1).ravel().astype(np.intp)
    length = np.stack([start, width - stop], axis=1).ravel().astype(np.intp)
    return np.repeat(begin - (np.cumsum(length) - length), length) + np.arange(length.sum())


def _lab_of(
    page: Page, places: NDArray[np.intp], width: int, step: int, light: Light | None
) -> Lab:
    """CIELAB of the middles of squares of ``step`` px, of which ``width`` lie in a row: (n, 3)."""
    whole = np.ascontiguousarray(page.pixels).view("V3").ravel()
    first = places // width * (step * page.size[0]) + places % width * step
    middle = range(step // 4, step - step // 4) if step > 1 else range(1)
    middle = middle[:: -(-len(middle) // MIDDLE)]
    colours = np.zeros((len(places), 3), dtype=np.float32)
    for down in middle:
        for across in middle:
            there = first + (down * page.size[0] + across)
            colours += whole.take(there)[:, None].view(np.uint8)
    colours /= len(middle) ** 2
    if light is not None:
        u, v = (np.linspace(0, side, TURNS) for side in light.size)
        colours = balanced(colours, light.at(u, v).mean(axis=(0, 1)))
    return many_to_lab(colours)


def _nearest(lab: Lab, known: Lab, like: float) -> NDArray[np.intp]:
    """Which of the ``known`` colours each of ``lab`` (n, 3) shows; −1 where none is ``like`` it."""
    squares = (known**2).sum(axis=1) - 2 * lab @ known.T  # but for the square of each of ``lab``
    nearest = squares.argmin(axis=1)
    off = np.linalg.norm(lab - known[nearest], axis=1)
    return np.where(off <= like, nearest, -1)


def _squares(
    places: NDArray[np.intp], shown: NDArray[np.intp], width: int, classes: int
) -> NDArray[np.intp]:
    """How many squares of two by two places show each class, paper left aside: (classes,).

    ``places`` are counted row by row, ``width`` to a row, and stand in order.
    """
    chosen = (shown >= 0) & (shown < classes)
    places, shown = places[chosen], shown[chosen]
    if not places.size:
        return np.zeros(classes, dtype=np.intp)
    whole = places % width < width - 1
    for step in (1, width, width + 1):
        there = np.searchsorted(places, places + step)
        there[there == len(places)] = 0
        whole &= (places[there] == places + step) & (shown[there] == shown)
    return np.bincount(shown[whole], minlength=classes)
