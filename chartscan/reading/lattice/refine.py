"""Lay a lattice that is known roughly on the lines of the page, coarse to fine.

Whoever proposed it, it is laid here: what lies straight, what grew, what the whole page repeats by,
what the stitcher told.

1. Whole rows, then whole columns: paper bends most near a fold, along all of a row at once, and
   all the lines of one taken together outweigh whatever is printed between them.
2. Blocks of cells, a few rounds; where cells are too few for blocks, one surface (``bowed``).

It stays as it was where that brings fewer of the lines into step.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from chartscan.reading.filters import smoothed
from chartscan.reading.lattice.blocks import Blocks, in_step, measure, phases_of
from chartscan.reading.lattice.bowed import BowSettings, bowed
from chartscan.reading.lattice.extent import Extent
from chartscan.reading.lattice.fine import fine
from chartscan.reading.lattice.fit import FitSettings, refit
from chartscan.reading.lattice.grow import CAREFUL, GrowSettings, taken
from chartscan.reading.lattice.model import Lattice
from chartscan.reading.lattice.rectified import PER_CELL, Grey, LineEvidence, line_evidence
from chartscan.reading.scale import ALONG, NODES

QUARTERS = (0.25, 0.75)


@dataclass(frozen=True)
class RefineSettings:
    """How a lattice comes to lie on its lines.

    Attributes:
        strip: cells across of the strips that tell how far rows lie beside their lines.
        coherent: part of a row's line evidence that must be in step with itself.
        rounds: rounds of fitting blocks. From the second on each moves the lattice by another
            hundredth of a cell or three, back and forth; their mean lay no nearer (80 drawn pages).
        known: part of the blocks that must meet lines for the lattice to be moved.
        grow: what counts as a block that fits, and how the lattice is fitted to them.
        stays: weight of the others, beside the coherence of those that do.
        bow: how a lattice of too few cells for blocks is bent.
        in_step: part of the line evidence that may get out of step when a lattice is moved, and
            when one of few cells is; it is as much as chance makes. Of 15 small grids (drawn, seeds
            1220101 to 1220116) three lost 0.02 to 0.08 and lay at a third of the error for it.
        far: cells that it moves by from which on so much more of the evidence must come into step:
            symbols are in step with the cells, too.
    """

    strip: int = 12
    coherent: float = 0.15
    rounds: int = 3
    known: float = 0.25
    grow: GrowSettings = GrowSettings(fit=FitSettings(block=3, bend=0.7))
    stays: float = 0.1
    bow: BowSettings = BowSettings()
    in_step: tuple[float, float] = (0.01, 0.1)
    far: tuple[float, float] = (0.3, 0.04)


@dataclass(frozen=True, eq=False)
class Refined:
    """A lattice laid on its lines.

    Attributes:
        lattice: where it lies now, in px of the whole page.
        evidence: of its lines there.
        before: of its lines where it lay at first; the same one where it stayed.
        gain: part of the line evidence that came into step for moving it, even if it stayed.
    """

    lattice: Lattice
    evidence: LineEvidence
    before: LineEvidence
    gain: float


def refined(
    grey: Callable[[int], Grey],
    lattice: Lattice,
    settings: RefineSettings = RefineSettings(),
    *,
    whatever_it_brings: bool = False,
) -> Refined:
    """The lattice laid on the lines of the page, as far as it meets some.

    Args:
        grey: the page in one channel, made smaller by a whole factor.
        lattice: in px of the whole page.
        settings: how it comes to lie there.
        whatever_it_brings: whether it is moved however much gets out of step, as its rows tell.
    """
    small = _is_small(lattice, settings)
    factor, per_cell = fine(lattice), PER_CELL
    if small:
        factor, per_cell = max(1, factor // settings.bow.finer), settings.bow.per_cell
    seen, start = grey(factor), lattice.scaled(1 / factor)
    before = _seen(seen, start, per_cell)
    if small:
        lies = bowed(seen, start, settings.bow)
        after = _seen(seen, lies, per_cell)
    else:
        lies, after = _by_rows(seen, start, before, settings)
        lies, after = _by_blocks(seen, lies, after, settings)
    gain = in_step(after) - in_step(before)
    if not whatever_it_brings and gain < _needed(start, lies, settings):
        return Refined(lattice, before, before, gain)
    return Refined(lies.scaled(factor), after, before, gain)


def strays(
    grey: Callable[[int], Grey], lattice: Lattice, settings: RefineSettings = RefineSettings()
) -> float:
    """How far beside its lines a row or column of the lattice lies at most, in cells.

    Only a few strips of the grid are looked at, each as wide as tells a row from chance.
    """
    factor = fine(lattice)
    seen, lattice = grey(factor), lattice.scaled(1 / factor)
    columns, rows, wide = lattice.columns, lattice.rows, settings.strip
    most = 0.0
    for part in QUARTERS:
        left = int(part * max(0, columns - wide))
        top = int(part * max(0, rows - wide))
        down = line_evidence(seen, lattice, Extent(left, min(columns, left + wide), 0, rows))
        across = line_evidence(seen, lattice, Extent(0, columns, top, min(rows, top + wide)))
        for evidence, along in ((down, 1), (across, 0)):
            for moved in _shifts(evidence, along, settings):
                most = max(most, float(np.abs(moved).max()))
    return most


def _is_small(lattice: Lattice, settings: RefineSettings) -> bool:
    """Whether blocks of its cells are too few to tell how it bends."""
    return min(lattice.columns, lattice.rows) < settings.grow.fit.least_bent


def _seen(grey: Grey, lattice: Lattice, per_cell: int = PER_CELL) -> LineEvidence:
    """The evidence of all lines of a lattice."""
    return line_evidence(grey, lattice, Extent(0, lattice.columns, 0, lattice.rows), per_cell)


def _needed(start: Lattice, lies: Lattice, settings: RefineSettings) -> float:
    """Part of the line evidence that must come into step for a lattice to be moved so."""
    nodes = start.nodes(1.0)
    moved = np.linalg.norm(lies.to_pixels(nodes) - start.to_pixels(nodes), axis=-1).max()
    if moved > settings.far[0] * min(start.pitch):
        return settings.far[1]
    return -settings.in_step[_is_small(start, settings)]


# ---------------------------------------------------------------------------- rows and columns


def _by_rows(
    grey: Grey, lattice: Lattice, evidence: LineEvidence, settings: RefineSettings
) -> tuple[Lattice, LineEvidence]:
    """The lattice with whole rows moved, then whole columns, and the evidence of its lines."""
    for along in (1, 0):
        lattice = _swayed(lattice, evidence, along, settings)
        evidence = _seen(grey, lattice)
    return lattice, evidence


def _swayed(
    lattice: Lattice, evidence: LineEvidence, along: int, settings: RefineSettings
) -> Lattice:
    """The lattice with whole rows moved (``along`` 1) or whole columns (0), right and down."""
    nodes = lattice.nodes(NODES)
    shift = np.zeros_like(nodes)
    at = nodes[..., along] - 0.5
    for k, moved in enumerate(_shifts(evidence, along, settings)):
        shift[..., k] = np.interp(at, np.arange(len(moved)), moved)
    return lattice.moved(nodes, shift)


def _shifts(
    evidence: LineEvidence, along: int, settings: RefineSettings
) -> list[NDArray[np.float64]]:
    """By how many cells rows (``along`` 1) or columns (0) lie beside their lines: right, down."""
    phases = phases_of(evidence)
    turned, amount = phases.turned.sum(axis=along), phases.amount.sum(axis=along)
    return [_shift(turned[:, k], amount[:, k], settings) for k in (0, 1)]


def _shift(
    turn: NDArray[np.complex64], amount: NDArray[np.float32], settings: RefineSettings
) -> NDArray[np.float64]:
    """By how many cells each row (or column) lies beside its lines; between those that tell."""
    turn = smoothed(turn, ALONG)
    whole = smoothed(amount, ALONG) + 1e-9
    shift = np.angle(turn) / (2 * np.pi)
    tells = np.abs(turn) >= settings.coherent * whole
    if not tells.any():
        return np.zeros(len(shift))
    where = np.arange(len(shift))
    return np.asarray(np.interp(where, where[tells], shift[tells]))


# ---------------------------------------------------------------------------- blocks


def _by_blocks(
    grey: Grey, lattice: Lattice, evidence: LineEvidence, settings: RefineSettings
) -> tuple[Lattice, LineEvidence]:
    """The lattice fitted to its blocks, round by round, and the evidence of its lines."""
    whole = evidence.region
    for _ in range(settings.rounds):
        blocks = measure(evidence, settings.grow.fit.block)
        fits = taken(blocks, CAREFUL.coherent, settings.grow)
        if fits is None or fits.mean() < settings.known:
            break
        every = np.ones_like(blocks.shift, dtype=bool)
        lattice = refit(lattice, _kept(blocks, fits, settings), every, whole, settings.grow.fit)
        evidence = _seen(grey, lattice)
    return lattice, evidence


def _kept(blocks: Blocks, fits: NDArray[np.bool_], settings: RefineSettings) -> Blocks:
    """The blocks that fit; the others stay where they are, and count for little."""
    fits = fits[..., None]
    shift = np.where(fits, blocks.shift, 0.0)
    coherent = np.where(fits, blocks.coherent.min(axis=2, keepdims=True), settings.stays)
    return replace(blocks, shift=shift, coherent=np.repeat(coherent, 2, axis=2))
