"""Threads of one palette that few people tell apart, however large it is."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from chartscan.colour import ciede2000
from chartscan.errors import MatchError
from chartscan.palette.thread import Palette, Thread
from chartscan.remedies import Remedy

Array = NDArray[np.float64]

SAME_COLOUR = 0.005  # ΔE00 under which two entries are one colour written twice
MOST_PAIRS = 1_000_000  # more are no list to read, and would fill the memory

# Bounds on the terms of CIEDE2000 (CIE 142-2001; names as in Sharma, Wu and Dalal, 2005).
_MOST_SL = 1.75  # S_L is 1 + 0.015·50²/√(20 + 50²) = 1.747 at black and white
_SC_SLOPE = 0.045  # S_C is 1 + 0.045 C̄'; S_H is less: 1 + 0.015 C̄' T, and T is under 2
_MOST_PRIMED = 6.5  # C' is C and at most 0.5 C (1 - √(C⁷/(C⁷ + 25⁷))) more, 6.4 at C = 16.5
_LEAST_OF_FORM = 0.13  # x² + y² + R_T x y is at least (1 - |R_T|/2) of x² + y²; |R_T| is 2 sin 60°

_CLASSES = 12  # of chroma, each searched with the reach of its most colourful thread
_SAMPLED = 8  # every eighth row tells how many are within reach of it and of the next
_CANDIDATES = 200_000  # pairs looked at together, so that memory stays within some tens of MB


@dataclass(frozen=True)
class Twins:
    """Two threads of one palette that are hard to tell apart, and their ΔE00."""

    first: Thread
    second: Thread
    delta_e: float

    @property
    def same(self) -> bool:
        """Whether they are one colour written twice."""
        return self.delta_e < SAME_COLOUR


def find_twins(palette: Palette, within: float) -> tuple[Twins, ...]:
    """Pairs of plain threads at most ``within`` ΔE00 apart, the nearest first.

    Raises:
        MatchError: more than :data:`MOST_PAIRS` are that near.
        ValueError: ``within`` isn't over 0.
    """
    if not within > 0:
        raise ValueError(f"within {within:g}: a difference over 0 is needed")
    threads = [t for t in palette.threads if not t.colours]
    if not threads:
        return ()
    lab = np.array([t.lab for t in threads]).reshape(-1, 3)
    found = [(np.empty(0), *np.empty((2, 0), dtype=np.intp))]
    count = 0
    for block in _near(lab, within):
        found.append(block)
        count += len(block[0])
        if count > MOST_PAIRS:
            raise MatchError(f"over {MOST_PAIRS:,} pairs are within ΔE {within:g}", Remedy.NARROWER)
    apart, first, second = (np.concatenate(column) for column in zip(*found, strict=True))
    order = np.lexsort((second, first, apart))
    columns = (column[order].tolist() for column in (first, second, apart))
    return tuple(Twins(threads[i], threads[j], d) for i, j, d in zip(*columns, strict=True))


def _near(lab: Array, within: float) -> Iterator[tuple[Array, NDArray[np.intp], NDArray[np.intp]]]:
    """(ΔE00, place, place) of the pairs at most ``within`` apart, a block of rows at a time.

    A tree finds who is within reach; ΔE00 is at least the distance in (L*, a*, b*) with each axis
    over the most that divides it there (:func:`_reach`).
    """
    from scipy.spatial import cKDTree

    by_chroma = np.argsort(np.hypot(lab[:, 1], lab[:, 2]), kind="stable")
    for rows in np.array_split(by_chroma, min(_CLASSES, len(lab))):
        chroma = float(np.hypot(lab[rows, 1], lab[rows, 2]).max())
        across = _reach(chroma, within)
        scaled = lab * (across / (_MOST_SL * within), 1.0, 1.0)
        tree = cKDTree(scaled)
        reached = tree.query_ball_point(scaled[rows[::_SAMPLED]], across, return_length=True)
        blocks = np.cumsum(np.repeat(reached, _SAMPLED)[: len(rows)]) // _CANDIDATES
        for block in np.split(rows, np.flatnonzero(np.diff(blocks)) + 1):
            reach = cKDTree(scaled[block]).sparse_distance_matrix(
                tree, across, output_type="coo_matrix"
            )
            first, second = block[reach.row], reach.col.astype(np.intp)
            once = second > first  # each pair is found from both sides
            first, second = first[once], second[once]
            delta_e = ciede2000(lab[first], lab[second])
            twins = delta_e <= within
            yield delta_e[twins], first[twins], second[twins]


def _reach(chroma: float, within: float) -> float:
    """How far apart in (a*, b*) two threads may be whose ΔE00 is at most ``within``.

    With d the distance and C̄' at most ``chroma`` + d/2 + 6.5:
    ΔE00² is at least 0.13 (d/S_C)², so d is at most within S_C/√0.13, which is solved for d.
    """
    steep = within / np.sqrt(_LEAST_OF_FORM)
    rest = 1 - steep * _SC_SLOPE / 2
    if rest <= 0:  # so wide that no distance is out of reach
        return float(np.finfo(np.float32).max)
    return float(steep * (1 + _SC_SLOPE * (chroma + _MOST_PRIMED)) / rest)
