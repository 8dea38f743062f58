"""How far the page's lines lie beside a lattice's, block of cells by block."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from chartscan.reading.filters import blurred, dilated, pieces
from chartscan.reading.lattice.extent import Extent
from chartscan.reading.lattice.rectified import LineEvidence, middle
from chartscan.reading.scale import EXPECTED

EIGHTH = 8  # parts of a cell, of which lines take up the first and the last
WHOLE = 0.9  # part of a block that must lie on the page for it to count


@dataclass(frozen=True)
class LinedSettings:
    """What tells a line each for itself.

    Attributes:
        coherent: how much of its evidence must be in step with itself; a line is as long as three
            blocks, of which chance alone brings half as much.
    """

    coherent: float = 0.2


@dataclass(frozen=True, eq=False)
class Phases:
    """Where in its cells the line evidence lies.

    Attributes:
        turned: the evidence of each cell turned by where it lies, a whole turn a cell; of upright
            lines and of level ones, shape (rows, columns, 2).
        amount: the same, not turned.
    """

    turned: NDArray[np.complex64]
    amount: NDArray[np.float32]


@dataclass(frozen=True, eq=False)
class Blocks:
    """Where the page's lines lie beside the lattice's, block by block of a region.

    Attributes:
        region: the cells the blocks cover.
        size: cells a side of a block.
        phases: what each cell tells.
        shift: right and down, in cells, shape (rows, columns, 2) of blocks.
        coherent: how much of the evidence is in step with itself, 0 to 1, of upright lines (which
            tell what is right) and of level ones (down), shape (rows, columns, 2).
        expected: what shift goes on evenly from blocks known, in the same shape.
    """

    region: Extent
    size: int
    phases: Phases
    shift: NDArray[np.float64]
    coherent: NDArray[np.float64]
    expected: NDArray[np.float64]


def measure(evidence: LineEvidence, size: int) -> Blocks:
    """How far lines lie beside the lattice's, from the phase of the evidence.

    Args:
        evidence: what the page shows over a region.
        size: cells a side of a block.
    """
    phases = phases_of(evidence)
    turned, amount = (blurred(_blocks(part, size)) for part in (phases.turned, phases.amount))
    inside = _blocks(evidence.inside, size) / size**2
    coherent = np.where(inside[..., None] >= WHOLE, np.abs(turned) / (amount + 1e-6), 0.0)
    shift = np.angle(turned) / (2 * np.pi)
    return Blocks(evidence.region, size, phases, shift, coherent, np.zeros_like(shift))


def phases_of(evidence: LineEvidence) -> Phases:
    """Phase and amount of the evidence in each cell; what is even across the cell is left out."""
    per_cell = evidence.per_cell
    turn = 2 * np.pi * np.arange(per_cell) / per_cell
    waves = np.stack([np.cos(turn), np.sin(turn), np.ones(per_cell)], axis=1).astype(np.float32)
    sums = []
    for lines in (evidence.upright, evidence.level):
        cells = lines.reshape(*lines.shape[:-1], -1, per_cell)
        sums.append(np.sqrt(np.maximum(cells - middle(cells)[..., None], 0)) @ waves)
    both = np.stack([sums[0], sums[1].swapaxes(0, 1)], axis=2)
    return Phases(both[..., 0] + np.complex64(1j) * both[..., 1], both[..., 2])


def lined(blocks: Blocks, settings: LinedSettings = LinedSettings()) -> NDArray[np.float64]:
    """Part of each block's columns and rows of cells that meet a line each for itself.

    One bold line alone, as the edge of the paper, is no grid. Shape (rows, columns, 2) of blocks.
    """
    turned, amount = blocks.phases.turned, blocks.phases.amount
    upright = _lined(turned[..., 0], amount[..., 0], blocks.size, settings)
    level = _lined(turned[..., 1].T, amount[..., 1].T, blocks.size, settings)
    return np.stack([upright, level.T], axis=-1)


def _lined(
    turned: NDArray[np.complex64],
    amount: NDArray[np.float32],
    size: int,
    settings: LinedSettings,
) -> NDArray[np.float64]:
    """Part of the columns of cells in each block whose own line is in step: shape of the blocks.

    A column is seen as high as three blocks.
    """
    starts = np.arange(0, turned.shape[0], size)
    line, total = (np.add.reduceat(part, starts, axis=0) for part in (turned, amount))
    line, total = (blurred(part, axes=(0,)) for part in (line, total))
    meets = np.abs(line) >= settings.coherent * total + 1e-6
    meets &= np.abs(np.angle(line)) <= EXPECTED * 2 * np.pi
    starts = np.arange(0, turned.shape[1], size)
    width = np.diff(np.append(starts, turned.shape[1]))
    return np.asarray(np.add.reduceat(meets.astype(np.float64), starts, axis=1) / width)


def _blocks(cells: NDArray[np.generic], size: int) -> NDArray[Any]:
    """Sums over blocks of ``size`` × ``size`` cells; the last ones may be cut short."""
    rows = np.add.reduceat(cells, np.arange(0, cells.shape[0], size), axis=0)
    return np.add.reduceat(rows, np.arange(0, cells.shape[1], size), axis=1)


def pieces_of(fits: NDArray[np.bool_], bridge: int) -> NDArray[np.intp]:
    """A number for each piece of blocks that hang together, nought for blocks that don't fit.

    A fold, or a dark area that hides the lines, may lie between blocks that fit: up to ``bridge``
    blocks on either side are leapt over.
    """
    found = pieces(dilated(fits, bridge))
    found[~fits] = 0
    return found


def main_piece(fits: NDArray[np.bool_], bridge: int) -> NDArray[np.bool_]:
    """The largest piece of blocks that hang together; none where none fits."""
    found = pieces_of(fits, bridge)
    sizes = np.bincount(found.ravel())
    sizes[0] = 0
    return np.asarray(fits & (found == sizes.argmax()))


def quality(evidence: LineEvidence) -> float:
    """How far lines stand out from the middles of cells in the line evidence, −1 to 1."""
    strengths = []
    for lines in (evidence.upright, evidence.level):
        cells = lines.reshape(lines.shape[0], -1, evidence.per_cell)
        folded = cells.mean(axis=(0, 1))
        eighth = evidence.per_cell // EIGHTH
        line = max(folded[0], folded[eighth], folded[-eighth])
        middle = folded[2 * eighth + 1 : -2 * eighth].mean()
        strengths.append((line - middle) / (line + middle + 1e-6))
    return float(min(strengths))


def in_step(evidence: LineEvidence) -> float:
    """How much of the line evidence lies on the lattice's lines, −1 to 1: what is even is left out.

    Unlike ``quality`` it falls steadily as lines move away from the lattice's.
    """
    phases = phases_of(evidence)
    parts = phases.turned.real.sum(axis=(0, 1)) / (phases.amount.sum(axis=(0, 1)) + 1e-9)
    return float(parts.mean())
