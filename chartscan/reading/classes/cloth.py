"""What there is on a page to tell bare fabric by: the paper beside the grid, and the key on it."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from chartscan.chart import Chart
from chartscan.colour import srgb_to_lab
from chartscan.reading.cells.light import Light, balanced
from chartscan.reading.cells.sampling import take
from chartscan.reading.classes.sorting import Sorted
from chartscan.reading.lattice.content import margin_of
from chartscan.reading.lattice.model import Lattice
from chartscan.reading.page.page import Page

Colours = NDArray[np.float64]
Flags = NDArray[np.bool_]
Labels = NDArray[np.intp]

WHITE = np.full(3, 255.0)
LIT = np.full(3, 250.0)  # sRGB of paper once light is balanced
INK = 30.0  # CIELAB lightness over the cell that symbols usually have
BESIDE = 1.0  # cells from the grid at which paper is looked at: clear of frames, before numbers


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
        classes: fewest classes of which swatches are seen, for them to be a key.
        part: part of all classes of which they must be seen: letters and titles have colours too.
        clear: cells around the grid where no swatch lies, but its outermost cells may show.
    """

    fine: float = 0.2
    like: float = 7.0
    exact: float = 1.0
    paper: tuple[float, float] = (10.0, 2.0)
    classes: int = 2
    part: float = 0.6
    clear: float = 0.5


@dataclass(frozen=True, eq=False)
class Cloth:
    """What there is to tell bare fabric by.

    Attributes:
        labels: class of each cell, shape (rows, columns).
        colours: sRGB of the ground of each class, shape (n, 3).
        ink: CIELAB lightness printed inside the cells of each class, the mean over the cell: (n,).
        paper: sRGB of the paper around the grid; None where none is seen.
        exact: whether equal fills are equal to the last bit on this page.
        drawn: whether grid lines are drawn.
        part: whether this is one of several pages, whose outermost cells tell nothing.
        swatch: chance that the key beside the grid has a swatch of each class, shape (n,): 1 where
            it is seen, 0 where it isn't, ½ where it can't be told from paper; None where no key is
            seen, or none was looked for.
    """

    labels: Labels
    colours: Colours
    ink: NDArray[np.float64]
    paper: Colours | None
    exact: bool = False
    drawn: bool = True
    part: bool = False
    swatch: NDArray[np.float64] | None = None

    def with_key(self, swatch: NDArray[np.float64] | None) -> Cloth:
        """The same, and which classes the key has a swatch of."""
        return replace(self, swatch=swatch)


def lay_cloth(page: Page, lattice: Lattice, found: Sorted, *, exact: bool, part: bool) -> Cloth:
    """What tells bare fabric on a page whose cells are ``found`` sorted.

    Args:
        page: the page.
        lattice: where its grid lies.
        found: its cells, sorted.
        exact: whether equal fills are equal to the last bit.
        part: whether it is one of several pages.
    """
    light = found.sight.light if found.sight is not None else None
    paper = _seen_paper(page, lattice) if light is None else _lit_paper(page, lattice, light)
    ink = np.zeros(len(found.colours)) if found.ink is None else found.ink
    return Cloth(found.labels, found.colours, ink, paper, exact, lattice.drawn, part)


def cloth_of_chart(chart: Chart, paper: Colours | None, *, drawn: bool) -> Cloth:
    """What tells bare fabric in a chart that was read, wherever its pages are.

    Args:
        chart: the chart; marks over its cells are no rivals.
        paper: sRGB of the paper around it; None where none is seen.
        drawn: whether grid lines are drawn.
    """
    white = WHITE if paper is None else paper
    colours = np.array([c.rgb or white for c in chart.classes], dtype=np.float64)
    printed = [c.symbol is not None or c.kind in ("line", "knot") for c in chart.classes]
    return Cloth(chart.cells.astype(np.intp), colours, INK * np.array(printed), paper, drawn=drawn)


def _seen_paper(page: Page, lattice: Lattice) -> Colours | None:
    """The colour of the paper, where a cell's width of it is on the page all around the grid.

    A page cropped closer shows a line, a number or a shadow there.
    """
    width, height = page.size
    ends = lattice.to_pixels(
        np.array(
            [[0.0, 0], [lattice.columns, 0], [lattice.columns, lattice.rows], [0, lattice.rows]]
        )
    )
    room = np.concatenate([ends.min(axis=0), np.array([width, height]) - ends.max(axis=0)])
    return margin_of(page, lattice) if room.min() >= min(lattice.pitch) else None


def _lit_paper(page: Page, lattice: Lattice, light: Light) -> Colours:
    """The colour of the paper around the grid once light is balanced.

    White, unless light was told by a pale stitch that covers much of the grid: then paper is more.
    """
    columns, rows = lattice.columns, lattice.rows
    u, v = (np.arange(side, dtype=np.float64) + 0.5 for side in (columns, rows))
    seen = []
    for beside, edge in ((-BESIDE, 0), (BESIDE, 1)):
        for across, down, on_grid in (
            (u, np.array([edge * rows + beside]), (u, np.array([float(edge * rows)]))),
            (np.array([edge * columns + beside]), v, (np.array([float(edge * columns)]), v)),
        ):
            places = lattice.to_pixels(np.stack(np.meshgrid(across, down), axis=-1))
            on = ((places >= 0) & (places < np.array(page.size))).all(axis=-1)
            shown = take(page, lattice, across, down).astype(np.float64)
            seen.append(balanced(shown, light.at(*on_grid))[on])
    paper = np.concatenate(seen)
    return np.median(paper, axis=0) if len(paper) > columns + rows else LIT


def find_key(
    page: Page,
    lattice: Lattice,
    light: Light | None,
    cloth: Cloth,
    settings: KeySettings = KeySettings(),
) -> NDArray[np.float64] | None:
    """Which classes have a swatch in a key beside the grid, 0 to 1; None where no key is seen.

    Of a class near the paper's colour none can be seen, whether there is one or not.
    """
    places = _beside(page, lattice, light, settings)
    paper = srgb_to_lab(WHITE if cloth.paper is None else cloth.paper)
    classes = srgb_to_lab(cloth.colours)
    told = np.linalg.norm(classes - paper, axis=1) > settings.paper[cloth.exact]
    known = np.vstack([classes, paper])
    off = np.linalg.norm(places[:, :, None] - known.astype(np.float32), axis=3)
    nearest = off.argmin(axis=2)
    like = settings.exact if cloth.exact else settings.like
    nearest[~(off.min(axis=2) <= like)] = -1  # nan inside the grid
    square = (nearest[:-1, :-1] == nearest[1:, :-1]) & (nearest[:-1, 1:] == nearest[1:, 1:])
    square &= nearest[:-1, :-1] == nearest[:-1, 1:]
    seen = np.bincount(nearest[:-1, :-1][square & (nearest[:-1, :-1] >= 0)], minlength=len(known))
    shown: Flags = (seen[: len(classes)] > 0) & told
    enough = max(settings.classes, settings.part * told.sum())
    return np.where(told, shown, 0.5) if shown.sum() >= enough else None


def _beside(
    page: Page, lattice: Lattice, light: Light | None, settings: KeySettings
) -> NDArray[np.float32]:
    """CIELAB of the page in places of ``fine`` cells, nan inside the grid: (height, width, 3)."""
    step = max(1, int(settings.fine * min(lattice.pitch)))
    height, width = (side // step for side in page.pixels.shape[:2])
    whole = page.pixels[: height * step, : width * step]
    middle = slice(step // 4, step - step // 4) if step > 1 else slice(0, 1)
    parts = whole.reshape(height, step, width, step, 3)[:, middle, :, middle]
    colours: NDArray[np.floating] = parts.mean(axis=(1, 3), dtype=np.float32)
    y, x = (np.mgrid[0:height, 0:width] + 0.5) * step
    if light is not None:
        u, v = (np.linspace(0, side, 5) for side in light.size)
        colours = balanced(colours, light.at(u, v).mean(axis=(0, 1)))
    lab = srgb_to_lab(colours).astype(np.float32)
    lab[_inside(lattice, x, y, settings.clear)] = np.nan
    return np.asarray(lab)


def _inside(lattice: Lattice, x: Colours, y: Colours, clear: float) -> Flags:
    """Whether points of the page lie in a grid, or within ``clear`` cells of it."""
    right, bottom = lattice.columns + clear, lattice.rows + clear
    ends = lattice.to_pixels(
        np.array([[-clear, -clear], [right, -clear], [right, bottom], [-clear, bottom]])
    )
    inside = np.ones(x.shape, dtype=np.bool_)
    for (ax, ay), (bx, by) in zip(ends, np.roll(ends, -1, axis=0), strict=True):
        inside &= (bx - ax) * (y - ay) - (by - ay) * (x - ax) >= 0
    return inside
