"""Find a grid that doesn't lie straight: grow a lattice from wherever the page repeats."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from PIL import Image

from chartscan.reading.blocks import in_step
from chartscan.reading.extent import Extent, ExtentSettings, gridded
from chartscan.reading.grow import grow
from chartscan.reading.lattice import Lattice
from chartscan.reading.page import Page
from chartscan.reading.rectified import Grey, line_evidence, sides_of
from chartscan.reading.seeds import find_seeds
from chartscan.reading.settle import settle


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
        in_step: part of the line evidence that may get out of step when a lattice settles; it is
            as much as chance makes.
        fine_pitch: px per cell, at most, of the reduced page that the lattice settles on.
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
    in_step: float = 0.01
    fine_pitch: float = 14.0


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
            return settled(page, best.scaled(factor), -settings.in_step, settings)
    return None


def settled(
    page: Page, lattice: Lattice, least: float, settings: GrownSettings = GrownSettings()
) -> Lattice:
    """The lattice moved onto the lines more finely, where that brings them more in step.

    Args:
        page: the page.
        lattice: its grid, as far as it is known.
        least: by how much more of the line evidence must lie in step, −1 to 1.
        settings: how it settles.
    """
    factor = 1
    while min(lattice.pitch) / factor > settings.fine_pitch:
        factor *= 2
    grey, coarse = reduced(page, factor), lattice.scaled(1 / factor)
    fine = settle(grey, coarse)
    whole = Extent(0, lattice.columns, 0, lattice.rows)
    before, after = (in_step(line_evidence(grey, each, whole)) for each in (coarse, fine))
    return fine.scaled(factor) if after >= before + least else lattice


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
    region = Extent(-beyond, columns + beyond, -beyond, rows + beyond)
    extent = gridded(sides_of(line_evidence(grey, lattice, region)), ExtentSettings(side=0.35))
    if extent is None:
        return None
    left, top = extent.left - beyond, extent.top - beyond
    return lattice.cut(left, top, extent.columns, extent.rows)


def reduced(page: Page, factor: int) -> Grey:
    """Luma of the page, ``factor`` times smaller."""
    picture = Image.fromarray(page.pixels).convert("L")
    return np.asarray(picture.reduce(factor) if factor > 1 else picture, dtype=np.float32)
