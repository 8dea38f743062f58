"""Move a lattice that is known roughly onto the lines of the page, finely.

Paper bends most near a fold, along whole rows or columns at once. So rows are moved as a whole
first, then columns: all the lines of one taken together outweigh whatever is printed between them.
What is left is fitted block by block.
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
from chartscan.reading.lattice.fit import FitSettings, refit
from chartscan.reading.lattice.grow import CAREFUL, GrowSettings, taken
from chartscan.reading.lattice.model import Lattice
from chartscan.reading.lattice.rectified import PER_CELL, Grey, LineEvidence, line_evidence

QUARTERS = (0.25, 0.75)


@dataclass(frozen=True)
class SettleSettings:
    """How a lattice settles.

    Attributes:
        rounds: rounds of fitting blocks.
        known: part of the blocks that must meet lines for the lattice to be moved.
        grow: what counts as a block that fits, and how the lattice is fitted to them.
        stays: weight of the others, beside the coherence of those that do.
        reach: standard deviation, in cells, of the smoothing along the way rows are moved by.
        coherent: part of a row's line evidence that must be in step with itself.
        shift: cells that a row is moved by at most.
        strip: cells across of the strips that a first look is taken at.
        spacing: cells between the nodes of the residual.
        bow: how a lattice of too few cells for that is bent.
    """

    rounds: int = 3
    known: float = 0.25
    grow: GrowSettings = GrowSettings(fit=FitSettings(block=3, bend=0.7))
    stays: float = 0.1
    reach: float = 1.0
    coherent: float = 0.15
    shift: float = 0.35
    strip: int = 12
    spacing: float = 2.0
    bow: BowSettings = BowSettings()


@dataclass(frozen=True)
class Settled:
    """A lattice moved onto the lines.

    Attributes:
        lattice: where it lies now.
        evidence: of its lines, on the page made smaller.
        gain: how much more of the line evidence is in step for that.
        moved: how far it was moved at most, in cells.
        small: whether it is a lattice of few cells, bent as a whole.
    """

    lattice: Lattice
    evidence: LineEvidence
    gain: float
    moved: float
    small: bool = False


def settled(
    grey: Callable[[int], Grey],
    factor: int,
    lattice: Lattice,
    settings: SettleSettings = SettleSettings(),
) -> Settled:
    """The lattice moved onto the lines of the page.

    Args:
        grey: the page made smaller by a whole factor.
        factor: by which it may be made smaller for lines to stay well apart.
        lattice: in px of the whole page.
        settings: how it settles.
    """
    bow = settings.bow if _is_small(lattice, settings) else None
    near = factor if bow is None else max(1, factor // bow.finer)
    per_cell = PER_CELL if bow is None else bow.per_cell
    coarse = lattice.scaled(1 / near)
    before = _seen(grey(near), coarse, per_cell)
    lies, after = _settle(grey(near), coarse, before, settings)
    u, v = np.meshgrid(np.arange(lattice.columns + 1.0), np.arange(lattice.rows + 1.0))
    nodes = np.stack([u, v], axis=-1)
    moved = np.linalg.norm(lies.to_pixels(nodes) - coarse.to_pixels(nodes), axis=-1).max()
    return Settled(
        lies.scaled(near),
        after,
        in_step(after) - in_step(before),
        float(moved / min(coarse.pitch)),
        bow is not None,
    )


def settle(grey: Grey, lattice: Lattice, settings: SettleSettings = SettleSettings()) -> Lattice:
    """``lattice`` moved onto the lines of ``grey``, as far as it meets some."""
    return _settle(grey, lattice, _seen(grey, lattice), settings)[0]


def _is_small(lattice: Lattice, settings: SettleSettings) -> bool:
    """Whether blocks of its cells are too few to tell how it bends."""
    return min(lattice.columns, lattice.rows) < settings.grow.fit.least_bent


def _seen(grey: Grey, lattice: Lattice, per_cell: int = PER_CELL) -> LineEvidence:
    """The evidence of all lines of a lattice."""
    return line_evidence(grey, lattice, Extent(0, lattice.columns, 0, lattice.rows), per_cell)


def _settle(
    grey: Grey, lattice: Lattice, evidence: LineEvidence, settings: SettleSettings
) -> tuple[Lattice, LineEvidence]:
    """The lattice moved onto the lines, from the evidence of them where it lay, and that there."""
    if _is_small(lattice, settings):
        lattice = bowed(grey, lattice, settings.bow)
        return lattice, _seen(grey, lattice, evidence.per_cell)
    whole = evidence.region
    for along in (1, 0):
        lattice = _swayed(lattice, evidence, along, settings)
        evidence = _seen(grey, lattice)
    for _ in range(settings.rounds):
        blocks = measure(evidence, settings.grow.fit.block)
        fits = taken(blocks, CAREFUL.coherent, settings.grow)
        if fits is None or fits.mean() < settings.known:
            break
        every = np.ones_like(blocks.shift, dtype=bool)
        lattice = refit(lattice, _kept(blocks, fits, settings), every, whole, settings.grow.fit)
        evidence = _seen(grey, lattice)
    return lattice, evidence


def _kept(blocks: Blocks, fits: NDArray[np.bool_], settings: SettleSettings) -> Blocks:
    """The blocks that fit; the others stay where they are, and count for little."""
    fits = fits[..., None]
    shift = np.where(fits, blocks.shift, 0.0)
    coherent = np.where(fits, blocks.coherent.min(axis=2, keepdims=True), settings.stays)
    return replace(blocks, shift=shift, coherent=np.repeat(coherent, 2, axis=2))


def strays(grey: Grey, lattice: Lattice, settings: SettleSettings = SettleSettings()) -> float:
    """How far beside its lines a row or column of the lattice lies at most, in cells.

    Only a few strips of the grid are looked at, each as wide as tells a row from chance.
    """
    columns, rows, wide = lattice.columns, lattice.rows, settings.strip
    most = 0.0
    for part in QUARTERS:
        left = int(part * max(0, columns - wide))
        top = int(part * max(0, rows - wide))
        down = line_evidence(grey, lattice, Extent(left, min(columns, left + wide), 0, rows))
        across = line_evidence(grey, lattice, Extent(0, columns, top, min(rows, top + wide)))
        for evidence, along in ((down, 1), (across, 0)):
            for moved in _shifts(evidence, along, settings):
                most = max(most, float(np.abs(moved).max()))
    return most


def _shifts(
    evidence: LineEvidence, along: int, settings: SettleSettings
) -> list[NDArray[np.float64]]:
    """By how many cells rows (``along`` 1) or columns (0) lie beside their lines: right, down."""
    phases = phases_of(evidence)
    turned, amount = phases.turned.sum(axis=along), phases.amount.sum(axis=along)
    return [_moved(turned[:, k], amount[:, k], settings) for k in (0, 1)]


def _swayed(
    lattice: Lattice, evidence: LineEvidence, along: int, settings: SettleSettings
) -> Lattice:
    """The lattice with whole rows moved (``along`` 1) or whole columns (0), right and down."""
    nodes = lattice.nodes(settings.spacing)
    shift = np.zeros_like(nodes)
    at = nodes[..., along] - 0.5
    for k, moved in enumerate(_shifts(evidence, along, settings)):
        shift[..., k] = np.interp(at, np.arange(len(moved)), moved)
    return lattice.moved(nodes, shift)


def _moved(
    turn: NDArray[np.complex64], amount: NDArray[np.float32], settings: SettleSettings
) -> NDArray[np.float64]:
    """By how many cells each row (or column) lies beside its lines; between those that tell."""
    turn = smoothed(turn, settings.reach)
    whole = smoothed(amount, settings.reach) + 1e-9
    shift = np.angle(turn) / (2 * np.pi)
    tells = (np.abs(turn) >= settings.coherent * whole) & (np.abs(shift) <= settings.shift)
    if not tells.any():
        return np.zeros(len(shift))
    where = np.arange(len(shift))
    return np.asarray(np.interp(where, where[tells], shift[tells]))
