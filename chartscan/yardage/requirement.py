"""The values of this wing: a fabric, and what a chart needs of it and of thread."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

MM_PER_INCH = 25.4

Work = Literal[
    "cross", "half", "quarter", "three-quarter", "backstitch", "double-running", "knot", "bead"
]


@dataclass(frozen=True)
class Fabric:
    """A counted ground.

    Attributes:
        count: fabric threads per inch across (along a row).
        over: fabric threads crossed by one stitch, 1 or 2 as a rule.
        count_down: threads per inch down (along a column); None where it is the same.
        rgb: its colour; None where not told.
        name: what the stitcher calls it, or "".
    """

    count: float
    over: int = 1
    count_down: float | None = None
    rgb: tuple[int, int, int] | None = None
    name: str = ""

    @property
    def cell_mm(self) -> tuple[float, float]:
        """Width and height of one stitch in mm."""
        across = MM_PER_INCH * self.over / self.count
        down = MM_PER_INCH * self.over / (self.count_down or self.count)
        return across, down


@dataclass(frozen=True)
class Term:
    """One part of a length, for ``--explain``: what it is, and its mm of single strand."""

    name: str
    mm: float
    note: str = ""


@dataclass(frozen=True)
class LengthRange:
    """A length in mm with its honest range: ``low`` and ``high`` from stated spreads."""

    low: float
    likely: float
    high: float


@dataclass(frozen=True)
class Requirement:
    """What one class of a chart takes.

    Attributes:
        class_index: the class in the chart.
        stitches: whole stitches, part stitches, or knots worked in it; segments for lines.
        work: the stitches counted by kind, in working order.
        strands: strands in the needle.
        length_mm: single strand, that is the needle's road × strands.
        least_mm: the proven lower bound in the same unit.
        pieces: needlefuls of thread started.
        skeins: put-ups to have so that the chance of running out stays under the risk chosen.
        enough: chance that 1, 2, … ``skeins`` put-ups are enough, 0 to 1.
        terms: where the likely length comes from; they add up to ``length_mm.likely``.
        habit_mm: standard deviation from the stitcher's own ways (tension, working length, tails);
            the same for every thread of a project, so that it adds up straight.
        chance_mm: standard deviation from chance, single strand; it adds up in squares.
        put_up_mm: single strand in one put-up (length × the strands it divides into).
    """

    class_index: int
    stitches: int
    work: tuple[tuple[Work, int], ...]
    strands: int
    length_mm: LengthRange
    least_mm: float
    pieces: int
    skeins: int
    enough: tuple[float, ...] = ()
    terms: tuple[Term, ...] = ()
    habit_mm: float = 0.0
    chance_mm: float = 0.0
    put_up_mm: float = 0.0

    @property
    def spread_mm(self) -> float:
        """Standard deviation of the length, single strand in mm."""
        return math.hypot(self.habit_mm, self.chance_mm)


@dataclass(frozen=True)
class Requirements:
    """What a whole chart takes: fabric and, by class, thread.

    Attributes:
        fabric: the ground it is worked on.
        copies: how many times it is worked.
        finished_mm: width and height of one copy.
        cut_mm: width and height to cut for one copy, margins included.
        margin_mm: margin on each side.
        threads: one entry per class that is worked.
        warnings: what the stitcher should know, a line each.
        order: the working order of the whole crosses.
        factor: the stitcher's own factor that the lengths were multiplied by.
    """

    fabric: Fabric
    copies: int
    finished_mm: tuple[float, float]
    cut_mm: tuple[float, float]
    margin_mm: float
    threads: tuple[Requirement, ...]
    warnings: tuple[str, ...] = ()
    order: str = "rows"
    factor: float = 1.0
