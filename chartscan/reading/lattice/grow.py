"""Grow a lattice from a seed over everything that repeats in step with it.

Around the part already known, the lattice is carried on a little way; there the page, straightened
by it, shows how far its lines lie beside the lattice's (the phase of the line evidence over a
block of cells). Blocks that fit are taken in and the map is fitted anew: a projective map for
the page as a plane, and a smooth residual for paper that isn't flat.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from chartscan.reading.lattice.blocks import (
    Blocks,
    lined,
    main_piece,
    measure,
    phases_of,
    pieces_of,
    quality,
)
from chartscan.reading.lattice.drift import DriftSettings, followed
from chartscan.reading.lattice.extent import Extent
from chartscan.reading.lattice.fit import FitSettings, refit
from chartscan.reading.lattice.model import FLAT, Lattice
from chartscan.reading.lattice.rectified import Grey, line_evidence
from chartscan.reading.lattice.seeds import Seed
from chartscan.reading.scale import EXPECTED

FINER = 4  # waves looked at for each that a stretch of cells tells apart
OF_BEST = 0.25  # of what the best line shows, that a line of what grew shows at least


@dataclass(frozen=True)
class Boldness:
    """What growth dares.

    Attributes:
        in_step: part of the best agreement that a wider reach must keep at the beginning. Little
            is right for a flat page on which dark areas hide the lines, wrong for perspective.
        coherent: how much of a block's line evidence must be in step with itself, 0 to 1, to be
            taken in; chance alone brings up to 0.1.
        lined: part of its lines that a block must meet, each for itself, to be taken in by one
            direction alone; None where both must be met.
    """

    in_step: float = 0.7
    coherent: float = 0.3
    lined: float | None = None


CAREFUL = Boldness()


@dataclass(frozen=True)
class GrowSettings:
    """How a lattice grows.

    Attributes:
        fit: how the lattice is fitted to blocks of cells.
        drift: how lines may drift off the lattice and be taken in.
        reaches: how far from the seed, in cells, an affine map is tried, one after the other.
        one_way: weight of a block that tells one direction alone, beside one that tells both.
        step: least and relative growth a round, in cells and as part of the size.
        few: cells that may have room along the page for smaller blocks and steps to be taken.
        clear: how far their lines must then stand out, 0 to 1; a few cells may be chance.
        rounds: most rounds.
        back: times that growth comes to the same rectangle before it ends; twice for few cells,
            whose map still turns there, as hardly before do they tell perspective.
    """

    fit: FitSettings = FitSettings()
    drift: DriftSettings = DriftSettings()
    reaches: tuple[int, ...] = (5, 8, 12, 20, 32, 52, 84, 136, 220)
    one_way: float = 0.2
    step: tuple[int, float] = (8, 0.5)
    few: int = 24
    clear: float = 0.7
    rounds: int = 16
    back: int = 1


@dataclass(frozen=True)
class Grown:
    """A lattice and how far its lines stand out from the middles of cells, 0 to 1."""

    lattice: Lattice
    quality: float


def grow(
    grey: Grey,
    seed: Seed,
    lattice: Lattice,
    dare: Boldness = CAREFUL,
    settings: GrowSettings = GrowSettings(),
) -> Grown | None:
    """Grow ``lattice``, begun at ``seed``, over ``grey``; None where it doesn't take hold."""
    small = _is_small(grey, seed, settings)
    settings = _careful(settings) if small else settings
    left = top = 0
    seen = Counter[Extent]()  # where growth came to; at last it would go round in circles
    for _ in range(settings.rounds):
        wide = _widened(grey, lattice, settings)
        blocks = measure(line_evidence(grey, lattice, wide), settings.fit.block)
        size = (lattice.columns, lattice.rows)
        blocks = followed(blocks, size, dare.coherent, settings.drift)
        fits = taken(blocks, dare.coherent, settings)
        if fits is None:
            return None
        tells = _telling(blocks, fits, dare, settings)
        blocks = _weighed(blocks, fits, settings)
        box = _box(blocks, tells, settings)
        try:
            lattice = refit(lattice, blocks, tells, box, settings.fit)
        except np.linalg.LinAlgError:
            return None
        left, top = left + box.left, top + box.top
        reached = Extent(left, left + box.columns, top, top + box.rows)
        if seen[reached] == settings.back:
            break
        seen[reached] += 1
    whole = Extent(0, lattice.columns, 0, lattice.rows)
    found = Grown(lattice, quality(line_evidence(grey, lattice, whole)))
    return None if small and found.quality < settings.clear else found


def _is_small(grey: Grey, seed: Seed, settings: GrowSettings) -> bool:
    """Whether few cells may have room along the page."""
    return bool(max(grey.shape) <= settings.few * np.linalg.norm(seed.steps, axis=0).max())


def _careful(settings: GrowSettings) -> GrowSettings:
    """How a lattice grows where few cells have room: by smaller blocks and steps."""
    fit = replace(settings.fit, block=2)
    return replace(settings, fit=fit, step=(2, 0.5), reaches=(3,), back=2)


@dataclass(frozen=True, eq=False)
class Reach:
    """What is seen so far around a seed.

    Attributes:
        cells: how far; nought before anything was seen.
        in_step: part of the line evidence there that drifts alike.
        lattice: turned by that drift, still of one cell.
    """

    cells: int
    in_step: float
    lattice: Lattice


def reaches(grey: Grey, seed: Seed, settings: GrowSettings = GrowSettings()) -> Iterator[Reach]:
    """An affine lattice around the seed, turned by what is seen wider and wider.

    Over the whole of a region the phases of the line evidence turn evenly where the steps are a
    little wrong; the Fourier transform of the phases shows by how much.
    """
    settings = _careful(settings) if _is_small(grey, seed, settings) else settings
    homography = np.eye(3)
    homography[:2, :2] = seed.steps
    homography[:2, 2] = seed.centre
    lattice = Lattice(1, 1, homography, FLAT, drawn=True)
    yield Reach(0, 0.0, lattice)
    before = None
    for cells in settings.reaches:
        region = _around(grey, lattice, cells)
        if region == before:
            return
        before = region
        phases = phases_of(line_evidence(grey, lattice, region, lower=0.0))
        drift_x, in_step_x = _drift(phases.turned[..., 0], phases.amount[..., 0])
        drift_y, in_step_y = _drift(phases.turned[..., 1], phases.amount[..., 1])
        turn = np.eye(3)
        turn[0, :2] += drift_x
        turn[1, :2] += drift_y
        lattice = replace(lattice, homography=lattice.homography @ turn)
        yield Reach(cells, min(in_step_x, in_step_y), lattice)


def begin(
    grey: Grey,
    seed: Seed,
    wider: Iterable[Reach],
    keep: float,
    settings: GrowSettings = GrowSettings(),
) -> Lattice:
    """An affine lattice around the seed, made as large as an affine map stays in step.

    Args:
        grey: the page in one channel.
        seed: where it begins.
        wider: what :func:`reaches` sees around it; the first one is where it begins.
        keep: part of the best agreement that a wider reach must keep.
        settings: how a lattice grows.
    """
    settings = _careful(settings) if _is_small(grey, seed, settings) else settings
    best = 0.0
    for reach in wider:
        if reach.in_step < keep * best:
            break
        lattice, cells, best = reach.lattice, reach.cells, max(best, reach.in_step)
    region = _around(grey, lattice, max(cells, settings.fit.block))
    start = lattice.cut(region.left, region.top, region.columns, region.rows)
    return _in_phase(grey, start)


def _around(grey: Grey, lattice: Lattice, cells: int) -> Extent:
    """The cells within ``cells`` of the lattice's (0, 0), as far as the page reaches."""
    low, high = _page_span(grey, lattice)
    low, high = np.maximum(low, -cells), np.minimum(high, cells)
    return Extent(int(low[0]), int(high[0]), int(low[1]), int(high[1]))


def _page_span(grey: Grey, lattice: Lattice) -> tuple[NDArray[np.intp], NDArray[np.intp]]:
    """The least and greatest (column, row) that the page's corners have in the lattice."""
    height, width = grey.shape
    corners = lattice.to_cells(np.array([[0.0, 0], [width, 0], [width, height], [0, height]]))
    low, high = np.floor(corners.min(axis=0)), np.ceil(corners.max(axis=0))
    return low.astype(np.intp), high.astype(np.intp)


def _drift(
    turned: NDArray[np.complex64], amounts: NDArray[np.float32], most: float = 0.06
) -> tuple[NDArray[np.float64], float]:
    """By how many cells the lines drift a column and a row, and the part that drifts alike."""
    rows, columns = turned.shape
    down, across = _slow(rows, most), _slow(columns, most)
    # Few waves are so slow: products of matrices give them sooner than the transform gives all.
    spectrum = np.pad(np.abs(down @ turned @ across.T), 1)
    k, j = np.unravel_index(int(spectrum.argmax()), spectrum.shape)
    row = (_vertex(spectrum[:, j], int(k)) - 1 - len(down) // 2) / (FINER * rows)
    column = (_vertex(spectrum[k], int(j)) - 1 - len(across) // 2) / (FINER * columns)
    return np.array([column, row]), float(spectrum[k, j] / (amounts.sum() + 1e-9))


def _slow(length: int, most: float) -> NDArray[np.complex64]:
    """The waves over ``length`` cells of up to ``most`` turns a cell, those turning back first."""
    number = int(most * FINER * length)
    turns = np.arange(-number, number + 1)[:, None] * (np.arange(length) / (FINER * length))
    return np.asarray(np.exp(-2j * np.pi * turns), dtype=np.complex64)


def _vertex(values: NDArray[np.float32], k: int) -> float:
    """The top of the parabola through a peak and its two neighbours, as a place."""
    before, top, after = values[k - 1], values[k], values[k + 1]
    bend = before - 2 * top + after
    return k + (0.5 * (before - after) / bend if bend < 0 else 0.0)


def _in_phase(grey: Grey, lattice: Lattice) -> Lattice:
    """The lattice moved so that unbroken lines, taken all together, lie on its own.

    Only strokes that run along a whole side count here: symbols repeat in step with the cells too,
    but don't touch.
    """
    whole = Extent(0, lattice.columns, 0, lattice.rows)
    evidence = line_evidence(grey, lattice, whole, lower=0.0)
    shift = np.angle(phases_of(evidence).turned.sum(axis=(0, 1))) / (2 * np.pi)
    homography = lattice.homography.copy()
    homography[:2, 2] += homography[:2, :2] @ shift
    return replace(lattice, homography=homography)


def _widened(grey: Grey, lattice: Lattice, settings: GrowSettings) -> Extent:
    """The lattice's cells and some more all round, whole blocks, as far as the page reaches."""
    (least, part), block = settings.step, settings.fit.block
    size = np.array([lattice.columns, lattice.rows])
    more = (np.ceil(np.maximum(least, part * size) / block) * block).astype(np.intp)
    low, high = _page_span(grey, lattice)
    low = np.minimum(np.maximum(low, -more), 0)
    high = np.maximum(np.minimum(high, size + more), size)
    return Extent(int(low[0]), int(high[0]), int(low[1]), int(high[1]))


def taken(blocks: Blocks, coherent: float, settings: GrowSettings) -> NDArray[np.bool_] | None:
    """The blocks that fit, all of one piece; None where hardly any does."""
    fits = _in_line(blocks, coherent, settings)
    fits = fits[..., 0] & fits[..., 1]
    main = main_piece(fits, settings.drift.bridge)
    both_ways = main.any(axis=0).sum() > 1 and main.any(axis=1).sum() > 1
    return main if both_ways and main.sum() >= 4 else None


def _in_line(blocks: Blocks, coherent: float, settings: GrowSettings) -> NDArray[np.bool_]:
    """Where upright and where level lines meet the lattice's, shape (rows, columns, 2)."""
    meets: NDArray[np.bool_] = blocks.coherent >= coherent
    return meets & (np.abs(blocks.shift - blocks.expected) <= EXPECTED)


def _telling(
    blocks: Blocks, fits: NDArray[np.bool_], dare: Boldness, settings: GrowSettings
) -> NDArray[np.bool_]:
    """Which blocks tell what is right and what is down: (rows, columns, 2).

    Beside blocks that fit, one direction tells something without the other: strokes of symbols
    hide the lines along them.
    """
    one_way = _in_line(blocks, dare.coherent, settings)
    told = np.repeat(fits[..., None], 2, axis=2)
    if dare.lined is not None:
        told |= lined(blocks) >= dare.lined
    one_way &= told
    pieces = pieces_of(np.asarray(one_way.any(axis=2)), settings.drift.bridge)
    main = np.isin(pieces, np.unique(pieces[fits]))
    return one_way & main[..., None]


def _weighed(blocks: Blocks, fits: NDArray[np.bool_], settings: GrowSettings) -> Blocks:
    """The same blocks, those that fit weighed by the lesser coherence, all others for little."""
    both = blocks.coherent.min(axis=2, keepdims=True)
    weight = np.where(fits[..., None], both, settings.one_way * blocks.coherent)
    return replace(blocks, coherent=weight)


def _box(blocks: Blocks, tells: NDArray[np.bool_], settings: GrowSettings) -> Extent:
    """The cells of the columns and rows of blocks of which a fair part meets lines."""
    across, down = tells[..., 0].sum(axis=0), tells[..., 1].sum(axis=1)
    columns = np.flatnonzero(across >= OF_BEST * across.max())
    rows = np.flatnonzero(down >= OF_BEST * down.max())
    region, size = blocks.region, settings.fit.block
    return Extent(
        region.left + int(columns[0]) * size,
        min(region.right, region.left + (int(columns[-1]) + 1) * size),
        region.top + int(rows[0]) * size,
        min(region.bottom, region.top + (int(rows[-1]) + 1) * size),
    )
