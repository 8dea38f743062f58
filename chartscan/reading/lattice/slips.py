"""Where a lattice slipped: lines that drift off it, column by column, until they meet the next.

Paper bends sharply in a fold, and growth may carry a lattice smoothly over it with a line too few
or too many. Beyond the fold it lies on lines again, but on its neighbours. The phase of the line
evidence tells: taken column after column it turns once around.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterator
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from chartscan.reading.filters import smoothed
from chartscan.reading.lattice.blocks import phases_of
from chartscan.reading.lattice.model import FLAT, Lattice, project
from chartscan.reading.lattice.rectified import LineEvidence
from chartscan.reading.scale import ALONG, LEAST_CELLS, NODES

Floats = NDArray[np.float64]


def unslipped(lattice: Lattice, evidence: LineEvidence) -> Iterator[Lattice]:
    """The lattice on the lines that it slipped off, of other sizes than it has.

    Args:
        lattice: where a grid was thought to lie.
        evidence: of all its lines.
    """
    ways = [list(_drifts(evidence, axis)) for axis in (0, 1)]
    for axis in (0, 1):
        for drift in ways[axis]:
            yield _carried(lattice, axis, drift)
    for right, down in itertools.product(*ways):
        yield _carried(_carried(lattice, 0, right), 1, down)


def _drifts(evidence: LineEvidence, axis: int) -> Iterator[Floats]:
    """By how many cells each column's (``axis`` 0) or row's (1) lines lie beside the lattice's.

    From one to the next that changes by less than half a cell; where it changes most, and by half
    of that at least, it may as well be the other way round. Only those are given that turn.
    """
    turned = smoothed(phases_of(evidence).turned[..., axis].sum(axis=axis), ALONG)
    drift = np.unwrap(np.angle(turned).astype(np.float64)) / (2 * np.pi)
    steps = np.diff(drift)
    ways = [drift]
    most = int(np.abs(steps).argmax())
    if abs(steps[most]) >= 0.5 / 2:
        ways.append(drift - np.sign(steps[most]) * (np.arange(len(drift)) > most))
    yield from (way for way in ways if _turns(way))


def _turns(drift: Floats) -> int:
    """Lines that the last cells lie off by, taken together, more than the first ones do."""
    first, last = drift[:LEAST_CELLS], drift[-LEAST_CELLS:]
    return round(float(np.median(last))) - round(float(np.median(first)))


def _carried(lattice: Lattice, axis: int, drift: Floats) -> Lattice:
    """The lattice moved along ``axis`` with its lines' drift, its outline where it was."""
    size = np.array([lattice.columns, lattice.rows])
    before = size[axis]
    size[axis] -= _turns(drift)
    seen = np.concatenate([[0.0], np.arange(before) + 0.5, [before]])
    start = round(float(np.median(drift[:LEAST_CELLS])))
    number = np.concatenate([[0.0], seen[1:-1] - (drift - start), [size[axis]]])
    scale = np.ones(3)
    scale[axis] = before / size[axis]
    flat = replace(
        lattice,
        columns=int(size[0]),
        rows=int(size[1]),
        homography=lattice.homography @ np.diag(scale),
        residual=FLAT,
    )
    nx, ny = np.maximum(2, np.ceil(size / NODES).astype(int) + 1)
    nodes = np.stack(np.meshgrid(np.linspace(0, size[0], nx), np.linspace(0, size[1], ny)), axis=-1)
    there = nodes.copy()
    there[..., axis] = np.interp(nodes[..., axis], np.maximum.accumulate(number), seen)
    even = project(flat.homography, nodes.reshape(-1, 2)).reshape(nodes.shape)
    return replace(flat, residual=lattice.to_pixels(there) - even)
