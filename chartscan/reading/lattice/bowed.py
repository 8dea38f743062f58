"""A lattice of few cells laid on lines that aren't straight: a lens bends them, or a curled page.

Blocks of cells tell where many cells lie; a board of 7 × 8 has too few of them. There each cell
tells how far its own lines lie beside the lattice's, and one smooth surface is fitted to all.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from chartscan.reading.filters import median
from chartscan.reading.lattice.blocks import phases_of
from chartscan.reading.lattice.extent import Extent
from chartscan.reading.lattice.fit import SIGMA
from chartscan.reading.lattice.model import Lattice
from chartscan.reading.lattice.rectified import Grey, LineEvidence, line_evidence
from chartscan.reading.scale import NODES

FAINT = 1e-6  # cells and evidence; keeps what a blank page shows from being divided by nought

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class BowSettings:
    """How a lattice is bent.

    Attributes:
        degrees: of the surfaces that are tried. A lens moves points by the third power of how far
            off they are (D. C. Brown, Close-range camera calibration, 1971, the first radial term).
        rounds: times that lines are looked at anew where the lattice lies then, and of reweighting.
        tight: how strongly a surface is held flat, beside the evidence of one cell.
        off: how far beside the others' surface a cell's lines may lie to count half, in standard
            deviations.
        finer: times by which the page they are seen on may be less reduced than for many cells: few
            cells tell less, and cost little.
        per_cell: places per cell that lines are looked for at.
    """

    degrees: tuple[int, ...] = (1, 2, 3)
    rounds: int = 3
    tight: float = 0.1
    off: float = 3.0
    finer: int = 2
    per_cell: int = 16


def bowed(grey: Grey, lattice: Lattice, settings: BowSettings = BowSettings()) -> Lattice:
    """The lattice bent onto its lines.

    Args:
        grey: luma of the page, 0..255.
        lattice: in px of that.
        settings: how it is bent.
    """
    whole = Extent(0, lattice.columns, 0, lattice.rows)
    for _ in range(settings.rounds):
        evidence = line_evidence(grey, lattice, whole, settings.per_cell)
        lattice = _bent(lattice, evidence, settings)
    return lattice


def _bent(lattice: Lattice, evidence: LineEvidence, settings: BowSettings) -> Lattice:
    """The lattice moved by the surfaces that its cells' lines ask for, right and down."""
    phases = phases_of(evidence)
    size = np.array([lattice.columns, lattice.rows])
    cells = np.stack(np.meshgrid(*(np.arange(n) + 0.5 for n in size)), axis=-1)
    nodes = lattice.nodes(NODES)
    shift = np.zeros_like(nodes)
    for k in (0, 1):
        turned, amount = phases.turned[..., k].ravel(), phases.amount[..., k].ravel()
        beside = np.angle(turned).astype(np.float64) / (2 * np.pi)
        weight = np.abs(turned).astype(np.float64) / (float(amount.mean()) + FAINT)
        degree, surface = _surface(_about(cells, size).reshape(-1, 2), beside, weight, settings)
        shift[..., k] = _powers(_about(nodes, size), degree) @ surface
    return lattice.moved(nodes, shift)


def _about(places: Floats, size: NDArray[np.intp]) -> Floats:
    """Places counted from the middle of a grid, 1 at its ends each way."""
    return np.asarray(2 * places / size - 1, dtype=np.float64)


def _powers(places: Floats, degree: int) -> Floats:
    """All products of powers of x and y up to a degree in all: (…, products)."""
    x, y = places[..., 0], places[..., 1]
    ways = [(i, j) for i in range(degree + 1) for j in range(degree + 1 - i)]
    return np.stack([x**i * y**j for i, j in ways], axis=-1)


def _surface(
    places: Floats, beside: Floats, weight: Floats, settings: BowSettings
) -> tuple[int, Floats]:
    """Degree and coefficients of the surface that lies nearest to ``beside`` at (n, 2) ``places``.

    The degree is that of the least Bayesian information (G. Schwarz, Estimating the dimension of a
    model, 1978).
    """
    best = (np.inf, 0, np.zeros(1))
    for degree in settings.degrees:
        basis = _powers(places, degree)
        found, left = _fitted(basis, beside, weight, settings)
        n = float(weight.sum() ** 2 / (np.square(weight).sum() + FAINT))  # cells that tell
        information = n * np.log(left + FAINT) + basis.shape[1] * np.log(max(n, 1.0))
        if information < best[0]:
            best = (float(information), degree, found)
    return best[1], best[2]


def _fitted(
    basis: Floats, beside: Floats, weight: Floats, settings: BowSettings
) -> tuple[Floats, float]:
    """What makes ``basis`` times it lie nearest to ``beside``, and the mean square left over.

    Cells whose lines lie far beside the others' count little.
    """
    held = settings.tight * np.eye(basis.shape[1])
    robust, found = np.ones_like(weight), np.zeros(basis.shape[1])
    off = np.abs(beside)
    for _ in range(settings.rounds):
        pull = basis.T * (weight * robust)
        found = np.asarray(np.linalg.solve(pull @ basis + held, pull @ beside), dtype=np.float64)
        off = np.abs(basis @ found - beside)
        scale = SIGMA * float(median(off)) + FAINT
        robust = 1 / (1 + (off / (settings.off * scale)) ** 2)
    return found, float((weight * robust) @ off**2 / (weight.sum() + FAINT))
