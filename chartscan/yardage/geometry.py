"""Stitches as legs: what lies in front, and the shortest way behind from leg to leg.

A thread alternates: a leg in front, a move behind. One cell is ``cell_mm`` wide and high; holes lie
at its corners, and for part stitches also in its centre.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from chartscan.yardage.requirement import Work

# Work: (full diagonals, half diagonals) in front. A three-quarter stitch is a half cross and a
# quarter, a quarter runs from a corner to the centre ("Fractional Stitches", CS-FRAC.TXT in
# XSTITCH.ZIP on cd.textfiles.com; 1990s, no author named).
LEGS: dict[Work, tuple[int, int]] = {
    "cross": (2, 0),
    "half": (1, 0),
    "three-quarter": (1, 1),
    "quarter": (0, 1),
    "bead": (1, 0),
}
BEAD_MM = 2.0  # more thread per bead than the half cross that holds it; common practice, no source
KNOT_MM = 14.0  # through the cloth, up and down, and the pull; common practice, no source
WRAP_MM = 4.0  # once round needle and thread, π × 1.3 mm; common practice, no source


@dataclass(frozen=True)
class Cell:
    """The lengths that a cell's sides give, in mm."""

    across: float
    down: float

    @property
    def diagonal(self) -> float:
        """One leg of a full cross."""
        return math.hypot(self.across, self.down)

    @property
    def shortest(self) -> float:
        """The shortest way from a corner hole to another."""
        return min(self.across, self.down)

    @property
    def shortest_to_centre(self) -> float:
        """The shortest way from a corner hole to a centre hole."""
        return self.diagonal / 2


def least_road(cell: Cell, full: int, half: int) -> float:
    """The proven lower bound for the needle's road of so many legs, in mm.

    The thread can't come up through the hole it went down by, so that between two legs lies at
    least the shortest distance of two holes; one at a centre may be half a diagonal off. Where the
    thread is cut, a move is saved, but a start and an end are longer than any such move. For n
    whole crosses on a square weave this is 2√2·n + (2n − 1) cells, which any area that is joined by
    sides attains.

    Args:
        cell: the sides of a cell.
        full: legs from corner to corner.
        half: legs from a corner to the centre.
    """
    front = full * cell.diagonal + half * cell.diagonal / 2
    moves = max(0, full + half - 1)
    to_centre = min(half, moves)
    shortest_to_centre = min(cell.shortest, cell.shortest_to_centre)
    return front + (moves - to_centre) * cell.shortest + to_centre * shortest_to_centre


def carry_length(cell: Cell, right: int, below: int) -> float:
    """The move behind from a cross to one ``right`` columns and ``below`` rows off, in mm.

    A cross whose upper legs all lie the same way begins at one end of the lower leg and ends at one
    end of the upper. From an end of the one to a beginning of the other the way is the offset less
    one cell across or one cell down, whichever leaves less; a way of no length isn't one.
    """
    ways = (
        math.hypot((right + x) * cell.across, (below + y) * cell.down)
        for x, y in ((-1, 0), (1, 0), (0, -1), (0, 1))
        if (right + x, below + y) != (0, 0)
    )
    return min(ways)
