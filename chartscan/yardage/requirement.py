"""The values of this wing: a fabric, and what a chart needs of it and of thread."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Literal

import numpy as np
from numpy.typing import NDArray

MM_PER_INCH = 25.4

Work = Literal[
    "cross", "half", "quarter", "three-quarter", "backstitch", "double-running", "knot", "bead"
]
RiskOf = Literal["thread", "project"]


@dataclass(frozen=True)
class Factor:
    """The stitcher's own factor, learnt from what finished work took.

    Attributes:
        value: what an estimate is multiplied by.
        habit: the part of the spread of hands that is left, 1 without any record.
        records: number of records behind it.
        between: nine chances of ten that the true value lies between these.
        varies: spread of her projects about her own value, as a share; as assumed without records.
    """

    value: float = 1.0
    habit: float = 1.0
    records: int = 0
    between: tuple[float, float] = (1.0, 1.0)
    varies: float = 0.04


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


@dataclass(frozen=True, eq=False)
class Drawn:
    """What a thread takes in drawn projects, in mm of single strand; arrays of shape (n,).

    Draw by draw all threads of a project are worked by the same hand, so that draws add up.

    Attributes:
        used_mm: the thread that goes off the put-ups.
        put_up_mm: the put-ups that this calls for, as their nominal length; more than is used,
            since the end of each put-up is short.
    """

    used_mm: NDArray[np.float64]
    put_up_mm: NDArray[np.float64]


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
        put_up_mm: single strand in one put-up (length × the strands it divides into).
        drawn: what it takes in drawn projects; None where only the range is known.
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
    put_up_mm: float = 0.0
    drawn: Drawn | None = field(default=None, compare=False, repr=False)

    @property
    def spread_mm(self) -> float:
        """Standard deviation of the length, single strand in mm; 0 where no projects are drawn."""
        return 0.0 if self.drawn is None else float(self.drawn.used_mm.std())


@dataclass(frozen=True)
class RunsOut:
    """The chance that some thread of a project runs out.

    Attributes:
        chance: with the skeins that are told, 0 to 1.
        mend: the thread, counted from 0, of which one more skein helps most; None where none does.
        mended: the chance with that skein.
    """

    chance: float
    mend: int | None = None
    mended: float = 0.0


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
        factor: the stitcher's own factor that is in the lengths.
        risk: chance of running out that was accepted for the skeins.
        risk_of: of each thread, or of the project.
    """

    fabric: Fabric
    copies: int
    finished_mm: tuple[float, float]
    cut_mm: tuple[float, float]
    margin_mm: float
    threads: tuple[Requirement, ...]
    warnings: tuple[str, ...] = ()
    order: str = "rows"
    factor: Factor = Factor()
    risk: float = 0.05
    risk_of: RiskOf = "thread"
