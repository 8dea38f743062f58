"""The values of this wing: a fabric, and what a chart needs of it and of thread."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

MM_PER_INCH = 25.4

Work = Literal["cross", "half", "quarter", "three-quarter", "backstitch", "knot", "bead"]


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
    """One part of a length, for ``--explain``: what it is, how many mm of needle road it takes."""

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
    """

    fabric: Fabric
    copies: int
    finished_mm: tuple[float, float]
    cut_mm: tuple[float, float]
    margin_mm: float
    threads: tuple[Requirement, ...]
    warnings: tuple[str, ...] = ()
