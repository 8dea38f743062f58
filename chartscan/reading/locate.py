"""Find the grid on a page: straight exports by profiles, everything else by growing a lattice."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from PIL import Image

from chartscan.errors import GridError
from chartscan.reading.content import ruled, stitched
from chartscan.reading.extent import Extent, ExtentSettings, Sides, gridded
from chartscan.reading.grow import grow
from chartscan.reading.lattice import FLAT, Lattice
from chartscan.reading.page import Page
from chartscan.reading.rectified import Grey, Region, line_evidence, sides_of
from chartscan.reading.seeds import find_seeds
from chartscan.reading.straight import (
    Axis,
    Edges,
    StraightSettings,
    find_edges,
    fit_axes,
    plain,
    side_cover,
)


@dataclass(frozen=True)
class GrownSettings:
    """How lattices are grown on pages that don't lie straight.

    Attributes:
        reductions: how many times smaller the page is looked at, largest last.
        least_side, most_side: px that the reduced page must have at least and at most.
        least_pitch: px per cell that the reduced page must have at least.
        seeds: number of seeds tried at each size.
        enough: part of the page that a lattice must cover for no other seed to be tried.
        bend: step of the residual, in cells, from which on a lattice is thought to have slipped.
        quality: how far lines must stand out, 0 to 1.
        least_cells: fewest cells along a side.
    """

    reductions: tuple[int, ...] = (1, 2, 4)
    least_side: int = 200
    most_side: int = 4000
    least_pitch: float = 9.0
    seeds: int = 5
    enough: float = 0.35
    bend: float = 0.1
    quality: float = 0.2
    least_cells: int = 5


def locate(page: Page) -> Lattice:
    """Where the grid of the chart lies on the page.

    Raises:
        GridError: no grid was found.
    """
    lattice = locate_straight(page) or locate_grown(page)
    if lattice is None:
        raise GridError(
            f"{page.file}: no stitch grid was found; crop the page to the chart, scan it flat, "
            "or tell the grid with --size and --corners"
        )
    return lattice


def locate_grown(page: Page, settings: GrownSettings = GrownSettings()) -> Lattice | None:
    """The lattice grown from the best seeds; None where none takes hold.

    The page is looked at small first: where that shows a lattice, more pixels only cost time.
    """
    for factor in reversed(settings.reductions):
        grey = reduced(page, factor)
        if min(grey.shape) < settings.least_side or max(grey.shape) > settings.most_side:
            continue
        best = _best_grown(grey, factor, settings)
        if best is not None:
            return best.scaled(factor)
    return None


def _best_grown(grey: Grey, factor: int, settings: GrownSettings) -> Lattice | None:
    """The best lattice that grows on the reduced page; the first that covers much of it."""
    best: Lattice | None = None
    most = 0.0
    for seed in find_seeds(grey)[: settings.seeds]:
        if np.linalg.norm(seed.steps, axis=0).min() < settings.least_pitch and factor > 1:
            continue
        for boldly in (False, True):
            grown = grow(grey, seed, boldly=boldly)
            if grown is None or grown.quality < settings.quality:
                continue
            lattice = bounded(grey, grown.lattice)
            if lattice is None or min(lattice.columns, lattice.rows) < settings.least_cells:
                continue
            pitch = lattice.pitch
            area = lattice.columns * lattice.rows * pitch[0] * pitch[1] / grey.size
            straight = grown.bend < settings.bend
            score = area * grown.quality * min(1.0, settings.bend / max(grown.bend, 1e-6))
            if score > most:
                best, most = lattice, score
            if area >= settings.enough and straight:
                return best
    return best


def bounded(grey: Grey, lattice: Lattice, beyond: int = 3) -> Lattice | None:
    """The lattice cut to the gridded rectangle, looked for a few cells beyond it too."""
    columns, rows = lattice.columns, lattice.rows
    region = Region(-beyond, columns + beyond, -beyond, rows + beyond)
    extent = gridded(sides_of(line_evidence(grey, lattice, region)), ExtentSettings(side=0.35))
    if extent is None:
        return None
    left, top = extent.left - beyond, extent.top - beyond
    return lattice.cut(left, top, extent.columns, extent.rows)


def reduced(page: Page, factor: int) -> Grey:
    """Luma of the page, ``factor`` times smaller."""
    picture = Image.fromarray(page.pixels).convert("L")
    return np.asarray(picture.reduce(factor) if factor > 1 else picture, dtype=np.float32)


def locate_straight(page: Page, settings: StraightSettings = StraightSettings()) -> Lattice | None:
    """The lattice of a page whose grid lies straight; None where edges agree on none.

    A few rows of pixels tell a large page whose lines are all drawn; else more are looked at.
    """
    for sampled in settings.rows_sampled:
        across = find_edges(page.pixels, sampled)
        down = find_edges(page.pixels.swapaxes(0, 1), sampled)
        axes = fit_axes(across, down, settings)
        stride = max(across.stride, down.stride)
        last = stride == 1 or sampled == settings.rows_sampled[-1]
        if axes is not None and (last or plain(*axes, stride, settings)):
            return _bounded(page, across, down, *axes, settings)
        if last:
            break
    return None


def _bounded(
    page: Page, across: Edges, down: Edges, x: Axis, y: Axis, settings: StraightSettings
) -> Lattice | None:
    """The lattice cut to the chart: the ruled rectangle, or the box of stitches without lines."""
    xs, ys = x.lines(across.length), y.lines(down.length)
    whole = _lattice(x, y, xs, ys, Extent(0, len(xs) - 1, 0, len(ys) - 1), drawn=False)
    sides = Sides(side_cover(across, x, y, settings), side_cover(down, y, x, settings).T)
    extent = gridded(sides)
    if extent is not None and extent.rows > 1 and extent.columns > 1:
        lattice = _lattice(x, y, xs, ys, extent, drawn=True)
        if ruled(page, lattice, sides.within(extent)):
            return lattice
    extent = stitched(page, whole, sides)
    return None if extent is None else _lattice(x, y, xs, ys, extent, drawn=False)


def _lattice(
    x: Axis,
    y: Axis,
    xs: NDArray[np.float64],
    ys: NDArray[np.float64],
    extent: Extent,
    *,
    drawn: bool,
) -> Lattice:
    left, top = xs[extent.left], ys[extent.top]
    homography = np.array([[x.pitch, 0, left], [0, y.pitch, top], [0, 0, 1.0]])
    return Lattice(extent.columns, extent.rows, homography, FLAT, drawn)
