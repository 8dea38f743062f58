"""How far the page's lines lie beside a lattice's, block of cells by block."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy.ndimage import convolve

from chartscan.reading.extent import Extent
from chartscan.reading.rectified import Grey, LineEvidence

LINED = (0.2, 0.3)  # coherence of a line by itself, and how far beside the lattice's in cells


@dataclass(frozen=True)
class Blocks:
    """Where the page's lines lie beside the lattice's, block by block of a region.

    Attributes:
        region: the cells the blocks cover.
        shift: right and down, in cells, shape (rows, columns, 2) of blocks.
        coherent: how much of the evidence is in step with itself, 0 to 1, of upright lines (which
            tell what is right) and of level ones (down), shape (rows, columns, 2).
        lined: part of the block's columns and rows of cells that meet a line each for itself, in
            the same shape. One bold line alone, as the edge of the paper, is no grid.
    """

    region: Extent
    shift: NDArray[np.float64]
    coherent: NDArray[np.float64]
    lined: NDArray[np.float64]


def measure(evidence: LineEvidence, size: int) -> Blocks:
    """How far lines lie beside the lattice's, from the phase of the evidence.

    Args:
        evidence: what the page shows over a region.
        size: cells a side of a block.
    """
    across, sum_x = phasors(evidence.upright, evidence.per_cell)
    down, sum_y = phasors(evidence.level.T, evidence.per_cell)
    lined = np.stack(
        [_lined(across, sum_x, size), _lined(down, sum_y, size).T],
        axis=-1,
    )
    z = [_blocks(part, size) for part in (across, down.T)]
    total = [_blocks(part, size) for part in (sum_x, sum_y.T)]
    kernel = np.outer([1, 2, 1], [1, 2, 1])
    z = [_smooth(part, kernel) for part in z]
    total = [_smooth(part, kernel) for part in total]
    coherent = np.stack([np.abs(p) / (t + 1e-6) for p, t in zip(z, total, strict=True)], axis=-1)
    inside = _blocks(evidence.inside, size) / size**2
    shift = np.stack([np.angle(part) / (2 * np.pi) for part in z], axis=-1)
    coherent = np.where(inside[..., None] >= 0.9, coherent, 0.0)
    return Blocks(evidence.region, shift, coherent, lined)


def _lined(
    turned: NDArray[np.complex128], amount: NDArray[np.float64], size: int
) -> NDArray[np.float64]:
    """Part of the columns of cells in each block whose own line is in step: shape of the blocks.

    A column is seen as high as three blocks.
    """
    starts = np.arange(0, turned.shape[0], size)
    line, total = (np.add.reduceat(part, starts, axis=0) for part in (turned, amount))
    line, total = (_smooth(part, np.array([[1], [2], [1]])) for part in (line, total))
    meets = np.abs(line) >= LINED[0] * total + 1e-6
    meets &= np.abs(np.angle(line)) <= LINED[1] * 2 * np.pi
    starts = np.arange(0, turned.shape[1], size)
    width = np.diff(np.append(starts, turned.shape[1]))
    return np.asarray(np.add.reduceat(meets.astype(np.float64), starts, axis=1) / width)


def phasors(lines: Grey, per_cell: int) -> tuple[NDArray[np.complex128], NDArray[np.float64]]:
    """Phase and amount of the evidence in each cell; what is even across the cell is left out."""
    cells = lines.reshape(lines.shape[0], -1, per_cell)
    ordered = np.sort(cells, axis=2)  # of so few, sooner than to look for their median
    even = (ordered[..., (per_cell - 1) // 2] + ordered[..., per_cell // 2]) / 2
    clear = np.sqrt(np.maximum(cells - even[..., None], 0))
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


def in_step(evidence: LineEvidence) -> float:
    """How much of the line evidence lies on the lattice's lines, −1 to 1: what is even is left out.

    Unlike ``quality`` it falls steadily as lines move away from the lattice's.
    """
    parts = []
    for lines in (evidence.upright, evidence.level.T):
        turned, amount = phasors(lines, evidence.per_cell)
        parts.append(float(turned.real.sum() / (amount.sum() + 1e-9)))
    return sum(parts) / 2
