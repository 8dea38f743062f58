"""Grow a lattice from a seed over everything that repeats in step with it.

Around the part already known, the lattice is carried on a little way; there the page, straightened
by it, shows how far its lines lie beside the lattice's (the phase of the line evidence over a
block of cells). Blocks that fit are taken in and the map is fitted anew: a projective map for
the page as a plane, and a smooth residual for paper that isn't flat.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy.ndimage import binary_dilation, convolve, label

from chartscan.reading.lattice import FLAT, Lattice, project
from chartscan.reading.rectified import Grey, LineEvidence, Region, line_evidence
from chartscan.reading.seeds import Seed


@dataclass(frozen=True)
class GrowSettings:
    """How a lattice grows.

    Attributes:
        block: cells a side of a block.
        coherent: how much of a block's line evidence must be in step with itself, 0 to 1.
        shift: how far a block may lie off the lattice to be taken in, in cells.
        reaches: how far from the seed, in cells, an affine map is tried, one after the other.
        in_step: part of the best agreement that a wider reach must keep, for a careful and for a
            bold beginning.
        bridge: blocks that don't fit which growth may leap over.
        step: least and relative growth a round, in cells and as part of the size.
        rounds: most rounds.
        bend: reach of the smoothing of the residual, in blocks.
        plane: how much worse than a perspective an affine map must fit for it to be dropped;
            few cells tell perspective badly, and a wrong one leads growth astray.
        settled: rounds of fitting once growth has ended.
    """

    block: int = 4
    coherent: float = 0.3
    shift: float = 0.3
    reaches: tuple[int, ...] = (5, 8, 12, 20, 32, 52, 84, 136, 220)
    in_step: tuple[float, float] = (0.7, 0.35)
    bridge: int = 2
    step: tuple[int, float] = (8, 0.5)
    rounds: int = 16
    bend: float = 1.5
    plane: float = 1.3
    settled: int = 1


@dataclass(frozen=True)
class Blocks:
    """Where the page's lines lie beside the lattice's, block by block of a region.

    Attributes:
        region: the cells the blocks cover.
        shift: right and down, in cells, shape (rows, columns, 2) of blocks.
        coherent: the lesser coherence of the two directions, shape (rows, columns).
    """

    region: Region
    shift: NDArray[np.float64]
    coherent: NDArray[np.float64]


@dataclass(frozen=True)
class Grown:
    """A lattice and how far its lines stand out from the middles of cells, 0 to 1."""

    lattice: Lattice
    quality: float

    @property
    def bend(self) -> float:
        """Largest step of the residual between neighbouring nodes, in cells.

        Paper bends a little; a lattice that slipped by a line somewhere bends by a whole cell.
        """
        residual = self.lattice.residual
        if not residual.size:
            return 0.0
        steps = [np.abs(np.diff(residual, axis=axis)).max(initial=0.0) for axis in (0, 1)]
        return float(max(steps) / min(self.lattice.pitch))


def grow(
    grey: Grey, seed: Seed, settings: GrowSettings = GrowSettings(), *, boldly: bool = False
) -> Grown | None:
    """Grow the lattice of ``seed`` over ``grey``; None where it doesn't take hold.

    ``boldly`` begins with an affine map as wide as any agreement is left: right for a flat page
    on which dark areas hide the lines, wrong for perspective.
    """
    lattice = _begin(grey, seed, settings.in_step[boldly], settings)
    settled = 0
    for _ in range(settings.rounds):
        wide = _widened(grey, lattice, settings)
        blocks = measure(line_evidence(grey, lattice, wide), settings)
        fits = _taken(blocks, settings)
        if fits is None:
            return None
        box = _box(blocks, fits, settings)
        before = (lattice.columns, lattice.rows)
        try:
            lattice = refit(lattice, blocks, fits, box, settings)
        except np.linalg.LinAlgError:
            return None
        unchanged = box.left == 0 and box.top == 0 and (lattice.columns, lattice.rows) == before
        settled = settled + 1 if unchanged else 0
        if settled >= settings.settled:
            break
    whole = Region(0, lattice.columns, 0, lattice.rows)
    return Grown(lattice, quality(line_evidence(grey, lattice, whole)))


def settle(grey: Grey, lattice: Lattice, settings: GrowSettings) -> Lattice:
    """A lattice known already, moved onto the lines of ``grey`` where most of it meets some."""
    whole = Region(0, lattice.columns, 0, lattice.rows)
    for _ in range(2):
        blocks = measure(line_evidence(grey, lattice, whole), settings)
        fits = _taken(blocks, settings)
        if fits is None or fits.mean() < 0.5:
            break
        lattice = refit(lattice, blocks, fits, whole, settings)
    return lattice


def _begin(grey: Grey, seed: Seed, keep: float, settings: GrowSettings) -> Lattice:
    """An affine lattice around the seed, made as large as an affine map stays in step.

    Over the whole of a region the phases of the line evidence turn evenly where the steps are a
    little wrong; the Fourier transform of the phases shows by how much.
    """
    homography = np.eye(3)
    homography[:2, :2] = seed.steps
    homography[:2, 2] = seed.centre
    lattice = Lattice(1, 1, homography, FLAT, drawn=True)
    reach, best, before = 0, 0.0, None
    for cells in settings.reaches:
        region = _around(grey, lattice, cells)
        if region == before:
            break
        before = region
        evidence = line_evidence(grey, lattice, region, lower=0.0)
        across, sum_x = _phasors(evidence.upright, evidence.per_cell)
        down, sum_y = _phasors(evidence.level.T, evidence.per_cell)
        drift_x, in_step_x = _drift(across, sum_x)
        drift_y, in_step_y = _drift(down.T, sum_y.T)
        in_step = min(in_step_x, in_step_y)
        if in_step < keep * best:
            break
        reach, best = cells, max(best, in_step)
        turn = np.eye(3)
        turn[0, :2] += drift_x
        turn[1, :2] += drift_y
        lattice = replace(lattice, homography=lattice.homography @ turn)
    region = _around(grey, lattice, max(reach, settings.block))
    start = lattice.cut(region.left, region.top, region.columns, region.rows)
    return _in_phase(grey, start)


def _around(grey: Grey, lattice: Lattice, cells: int) -> Region:
    """The cells within ``cells`` of the lattice's (0, 0), as far as the page reaches."""
    low, high = _page_span(grey, lattice)
    low, high = np.maximum(low, -cells), np.minimum(high, cells)
    return Region(int(low[0]), int(high[0]), int(low[1]), int(high[1]))


def _page_span(grey: Grey, lattice: Lattice) -> tuple[NDArray[np.intp], NDArray[np.intp]]:
    """The least and greatest (column, row) that the page's corners have in the lattice."""
    height, width = grey.shape
    corners = lattice.to_cells(np.array([[0.0, 0], [width, 0], [width, height], [0, height]]))
    low, high = np.floor(corners.min(axis=0)), np.ceil(corners.max(axis=0))
    return low.astype(np.intp), high.astype(np.intp)


def _drift(
    phasors: NDArray[np.complex128], amounts: NDArray[np.float64], most: float = 0.06
) -> tuple[NDArray[np.float64], float]:
    """By how many cells the lines drift a column and a row, and the part that drifts alike."""
    rows, columns = phasors.shape
    size = (4 * rows, 4 * columns)
    spectrum = np.abs(np.fft.fft2(phasors, size))
    far = (np.abs(np.fft.fftfreq(size[0])) > most)[:, None]
    far = far | (np.abs(np.fft.fftfreq(size[1])) > most)[None, :]
    spectrum[far] = 0
    k, j = np.unravel_index(int(spectrum.argmax()), size)
    place = [_vertex(spectrum[:, j], int(k)), _vertex(spectrum[k], int(j))]
    row, column = ((p - n if p > n / 2 else p) / n for p, n in zip(place, size, strict=True))
    return np.array([column, row]), float(spectrum[k, j] / (amounts.sum() + 1e-9))


def _vertex(values: NDArray[np.float64], k: int) -> float:
    """The top of the parabola through a peak and its two neighbours, as a place."""
    before, top, after = values[k - 1], values[k], values[(k + 1) % len(values)]
    bend = before - 2 * top + after
    return k + (0.5 * (before - after) / bend if bend < 0 else 0.0)


def _in_phase(grey: Grey, lattice: Lattice) -> Lattice:
    """The lattice moved so that unbroken lines, taken all together, lie on its own.

    Only strokes that run along a whole side count here: symbols repeat in step with the cells too,
    but don't touch.
    """
    whole = Region(0, lattice.columns, 0, lattice.rows)
    evidence = line_evidence(grey, lattice, whole, lower=0.0)
    across, _ = _phasors(evidence.upright, evidence.per_cell)
    down, _ = _phasors(evidence.level.T, evidence.per_cell)
    shift = np.array([np.angle(across.sum()), np.angle(down.sum())]) / (2 * np.pi)
    homography = lattice.homography.copy()
    homography[:2, 2] += homography[:2, :2] @ shift
    return replace(lattice, homography=homography)


def _widened(grey: Grey, lattice: Lattice, settings: GrowSettings) -> Region:
    """The lattice's cells and some more all round, whole blocks, as far as the page reaches."""
    least, part = settings.step
    grow_x = int(np.ceil(max(least, part * lattice.columns) / settings.block)) * settings.block
    grow_y = int(np.ceil(max(least, part * lattice.rows) / settings.block)) * settings.block
    low, high = _page_span(grey, lattice)
    size = (lattice.columns, lattice.rows)
    low = np.minimum(np.maximum(low, (-grow_x, -grow_y)), 0)
    high = np.maximum(np.minimum(high, np.add(size, (grow_x, grow_y))), size)
    return Region(int(low[0]), int(high[0]), int(low[1]), int(high[1]))


# ------------------------------------------------------------------------------- measuring


def measure(evidence: LineEvidence, settings: GrowSettings) -> Blocks:
    """How far lines lie beside the lattice's in every block, from the phase of the evidence."""
    across, sum_x = _phasors(evidence.upright, evidence.per_cell)
    down, sum_y = _phasors(evidence.level.T, evidence.per_cell)
    size = settings.block
    z = [_blocks(part, size) for part in (across, down.T)]
    total = [_blocks(part, size) for part in (sum_x, sum_y.T)]
    kernel = np.outer([1, 2, 1], [1, 2, 1])
    z = [_smooth(part, kernel) for part in z]
    total = [_smooth(part, kernel) for part in total]
    coherent = np.minimum(*(np.abs(p) / (t + 1e-6) for p, t in zip(z, total, strict=True)))
    inside = _blocks(evidence.inside, size) / size**2
    shift = np.stack([np.angle(part) / (2 * np.pi) for part in z], axis=-1)
    return Blocks(evidence.region, shift, np.where(inside >= 0.9, coherent, 0.0))


def _phasors(lines: Grey, per_cell: int) -> tuple[NDArray[np.complex128], NDArray[np.float64]]:
    """Phase and amount of the evidence in each cell; what is even across the cell is left out."""
    cells = lines.reshape(lines.shape[0], -1, per_cell)
    clear = np.sqrt(np.maximum(cells - np.median(cells, axis=2, keepdims=True), 0))
    turn = np.exp(2j * np.pi * np.arange(per_cell) / per_cell)
    return clear @ turn, clear.sum(axis=2, dtype=np.float64)


def _blocks(cells: NDArray[np.generic], size: int) -> NDArray[Any]:
    """Sums over blocks of ``size`` × ``size`` cells; the last ones may be cut short."""
    rows = np.add.reduceat(cells, np.arange(0, cells.shape[0], size), axis=0)
    return np.add.reduceat(rows, np.arange(0, cells.shape[1], size), axis=1)


def _smooth(values: NDArray[Any], kernel: NDArray[np.int_]) -> NDArray[Any]:
    if np.iscomplexobj(values):
        return _smooth(values.real, kernel) + 1j * _smooth(values.imag, kernel)
    smooth: NDArray[Any] = convolve(values.astype(np.float64), kernel, mode="constant")
    return smooth


def _taken(blocks: Blocks, settings: GrowSettings) -> NDArray[np.bool_] | None:
    """The blocks that fit, all of one piece; None where hardly any does."""
    fits = blocks.coherent >= settings.coherent
    fits &= np.abs(blocks.shift).max(axis=2) <= settings.shift
    # A fold, or a dark area that hides the lines, may lie between blocks that fit.
    reach = np.ones((2 * settings.bridge + 1,) * 2, bool)
    pieces, _ = label(binary_dilation(fits, reach))
    pieces[~fits] = 0
    if not pieces.any():
        return None
    sizes = np.bincount(pieces.ravel())[1:]
    main = pieces == 1 + int(sizes.argmax())
    both_ways = main.any(axis=0).sum() > 1 and main.any(axis=1).sum() > 1
    return main if both_ways and sizes.max() >= 4 else None


def _box(blocks: Blocks, fits: NDArray[np.bool_], settings: GrowSettings) -> Region:
    """The cells of the rows and columns of blocks of which a fair part fits."""
    across, down = fits.sum(axis=0), fits.sum(axis=1)
    columns = np.flatnonzero(across >= 0.25 * across.max())
    rows = np.flatnonzero(down >= 0.25 * down.max())
    region, size = blocks.region, settings.block
    return Region(
        region.left + int(columns[0]) * size,
        min(region.right, region.left + (int(columns[-1]) + 1) * size),
        region.top + int(rows[0]) * size,
        min(region.bottom, region.top + (int(rows[-1]) + 1) * size),
    )


def quality(evidence: LineEvidence) -> float:
    """How far lines stand out from the middles of cells in the line evidence, −1 to 1."""
    strengths = []
    for lines in (evidence.upright, evidence.level.T):
        cells = lines.reshape(lines.shape[0], -1, evidence.per_cell)
        folded = cells.mean(axis=(0, 1))
        eighth = evidence.per_cell // 8
        line = max(folded[0], folded[eighth], folded[-eighth])
        middle = folded[2 * eighth + 1 : -2 * eighth].mean()
        strengths.append((line - middle) / (line + middle + 1e-6))
    return float(min(strengths))


# ------------------------------------------------------------------------------- fitting


def refit(
    lattice: Lattice,
    blocks: Blocks,
    fits: NDArray[np.bool_],
    box: Region,
    settings: GrowSettings,
) -> Lattice:
    """The lattice over ``box`` that the fitting blocks ask for; its cell (0, 0) is the box's."""
    rows, columns = fits.shape
    x = blocks.region.left + (np.arange(columns) + 0.5) * settings.block
    y = blocks.region.top + (np.arange(rows) + 0.5) * settings.block
    middles = np.stack(np.meshgrid(x, y), axis=-1)
    seen = lattice.to_pixels(middles + blocks.shift)
    grid = middles - (box.left, box.top)
    weight = np.where(fits, blocks.coherent, 0.0)
    size = (box.right - box.left, box.bottom - box.top)
    plane = _fit_plane(grid[fits], seen[fits], weight[fits], settings)
    flat = Lattice(*size, plane, FLAT, lattice.drawn)
    if min(size) < 16:
        return flat
    off = seen - project(plane, grid.reshape(-1, 2)).reshape(seen.shape)
    return replace(flat, residual=_residual(off, weight, grid, size, settings))


def _fit_plane(
    grid: NDArray[np.float64],
    pixels: NDArray[np.float64],
    weight: NDArray[np.float64],
    settings: GrowSettings,
) -> NDArray[np.float64]:
    """An affine map where it fits nearly as well as a projective one, else that."""
    affine = fit_projective(grid, pixels, weight, affine=True)
    if np.ptp(grid, axis=0).min() < 2.5 * settings.block:
        return affine
    full = fit_projective(grid, pixels, weight, affine=False)
    off = [np.median(np.linalg.norm(project(h, grid) - pixels, axis=1)) for h in (affine, full)]
    return full if off[0] > settings.plane * off[1] else affine


def fit_projective(
    grid: NDArray[np.float64],
    pixels: NDArray[np.float64],
    weight: NDArray[np.float64],
    *,
    affine: bool,
) -> NDArray[np.float64]:
    """Least-squares 3×3 map from ``grid`` to ``pixels``, both (n, 2), outliers weighed down."""
    centre, spread = grid.mean(axis=0), np.ptp(grid, axis=0).max() + 1e-9
    near, far = pixels.mean(axis=0), np.ptp(pixels, axis=0).max() + 1e-9
    g, p = (grid - centre) / spread, (pixels - near) / far
    robust = np.ones(len(g))
    h = np.eye(3)
    for _ in range(5):
        h = _solve(g, p, weight * robust, h, affine=affine)
        off = np.linalg.norm(project(h, g) - p, axis=1)
        scale = 1.4826 * np.median(off) + 1e-9
        robust = 1 / (1 + (off / (3 * scale)) ** 2)
    into = np.array(
        [[1 / spread, 0, -centre[0] / spread], [0, 1 / spread, -centre[1] / spread], [0, 0, 1]]
    )
    back = np.array([[far, 0, near[0]], [0, far, near[1]], [0, 0, 1]])
    whole = back @ h @ into
    if abs(np.linalg.det(whole)) < 1e-9 or abs(whole[2, 2]) < 1e-9:
        raise np.linalg.LinAlgError("the blocks lie on one line")
    result: NDArray[np.float64] = whole / whole[2, 2]
    return result


def _solve(
    g: NDArray[np.float64],
    p: NDArray[np.float64],
    weight: NDArray[np.float64],
    before: NDArray[np.float64],
    *,
    affine: bool,
) -> NDArray[np.float64]:
    """One weighted least-squares step for the projective map, the denominators of ``before``."""
    u, v, one, nought = g[:, 0], g[:, 1], np.ones(len(g)), np.zeros(len(g))
    depth = g @ before[2, :2] + before[2, 2]
    root = np.sqrt(weight) / depth
    rows_x = np.stack([u, v, one, nought, nought, nought, -u * p[:, 0], -v * p[:, 0]], axis=1)
    rows_y = np.stack([nought, nought, nought, u, v, one, -u * p[:, 1], -v * p[:, 1]], axis=1)
    a = np.concatenate([rows_x * root[:, None], rows_y * root[:, None]])
    b = np.concatenate([p[:, 0] * root, p[:, 1] * root])
    if affine:
        a = a[:, :6]
    solution = np.linalg.lstsq(a, b, rcond=None)[0]
    h = np.eye(3)
    h.flat[: len(solution)] = solution
    return h


def _residual(
    off: NDArray[np.float64],
    weight: NDArray[np.float64],
    grid: NDArray[np.float64],
    size: tuple[int, int],
    settings: GrowSettings,
) -> NDArray[np.float64]:
    """What the plane leaves over, smoothed, at nodes a block apart; nought where none is known."""
    reach = settings.bend * settings.block
    pull = []
    for axis, middles in ((0, grid[0, :, 0]), (1, grid[:, 0, 1])):
        nodes = np.linspace(0, size[axis], int(np.ceil(size[axis] / settings.block)) + 1)
        pull.append(np.exp(-0.5 * ((nodes[:, None] - middles) / reach) ** 2))
    amount = pull[1] @ weight @ pull[0].T + 0.05
    sums = [pull[1] @ (weight * off[..., k]) @ pull[0].T for k in (0, 1)]
    return np.stack(sums, axis=-1) / amount[..., None]
