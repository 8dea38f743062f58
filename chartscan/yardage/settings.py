"""What a stitcher may say about the way she works, and what is taken where she says nothing.

Every figure marked "common practice, no source" is what instruction sheets and stitchers commonly
go by; none of them is measured. Each can be set.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal

from chartscan.cloth import MOST_MARGIN_MM
from chartscan.errors import YardageError
from chartscan.yardage.handling import USUAL, Handling
from chartscan.yardage.requirement import Factor, RiskOf, Work

MOST_COPIES = 10_000
MOST_MM = 100_000.0  # a length longer than any put-up or piece

LEAST_HAND, MOST_HAND = 0.2, 5.0  # beyond these it is a slip of the finger

Order = Literal["shortest", "rows", "columns", "crosses"]


@dataclass(frozen=True)
class Supply:
    """How a thread is sold.

    Attributes:
        metres: length of one put-up (skein, ball, spool). Stranded cotton: 8 m, common practice.
        strands: strands it divides into; 1 for pearl cotton, metallics and others used whole.
        blended: whether it is one strand each of two threads, which no loop can begin.
        handling: how it is worked, where that isn't as usual.
    """

    metres: float = 8.0
    strands: int = 6
    blended: bool = False
    handling: Handling = USUAL

    def __post_init__(self) -> None:
        if not (self.metres > 0 and math.isfinite(self.metres)):
            raise YardageError(f"a put-up of {self.metres:g} m holds no thread; give its metres")
        if self.strands < 1:
            raise YardageError("a thread has at least 1 strand; give the number it divides into")
        check_hand(self.handling.hand)

    @property
    def strand_mm(self) -> float:
        """Single strand in one put-up, in mm."""
        return self.metres * 1000.0 * self.strands


@dataclass(frozen=True)
class EstimateSettings:
    """How the work is done. Lengths in mm; shares of 1.

    Attributes:
        strands: strands in the needle for crosses; None for the table of :mod:`fabric`.
        line_strands: strands for lines; 1 is common practice, no source.
        knot_strands: strands for French knots. Common practice, no source.
        class_strands: strands by class index; goes before all others.
        work_strands: strands by kind of stitch.
        class_working_mm: length of thread cut, by class index; goes before all others.
        class_needle_mm: thread left in the needle, by class index; goes before all others.
        class_hand: what a class takes as a share of the usual; goes before what the range says.
        works: stitch that a class's whole cells are worked in where it isn't a full cross, or
            ``bead`` where its knots are beads.
        triangle: stitch for a triangle alone in its cell.
        lines: how lines are worked.
        wraps: turns of thread round the needle in a French knot.
        without: kinds of mark left out: ``parts``, ``lines``, ``knots``.
        order: working order of crosses; ``shortest`` is rows, or columns where they are shorter.
        carry_mm: longest carry along the back; 0 for none. About half an inch, common practice.
        working_mm: length of thread cut for the needle, once folded for a loop start. 18 in, common
            practice, no source.
        start_mm: thread under stitches at a start without a loop. Common practice, no source.
        end_mm: thread under stitches at an end. Common practice, no source.
        needle_mm: thread left in the needle, too short to go on; 60-100 is common practice.
        loop_start: begin a folded strand with a loop where the number of strands is even.
        take_up: thread lost in the thickness of cloth and thread, as a share of the road. An
            allowance, common practice, no source.
        unpicked: stitches taken out and worked again with new thread, as a share of the road.
            An allowance, common practice, no source.
        tension_sd: spread of the road with the stitcher's tension, as a share.
        working_sd: spread of the working length, as a share.
        needle_sd: spread of what is left in the needle, as a share.
        ends_sd: spread of starts and ends, as a share.
        unpicked_sd: spread of what is unpicked, as a share of the road.
        put_up_sd: spread of the length of a put-up, as a share.
        risk: chance of running out that is accepted.
        risk_of: whether that is the risk of each thread, or that any thread of the project runs
            out.
        margin_mm: cloth round the design on each side; 3 in, or 75 mm, common practice.
        copies: how many times the chart is worked.
        factor: the stitcher's own factor.

    The spreads are standard deviations; that of tails and ends follows from the ranges given as
    common practice (60-100 mm and 25-40 mm, taken as two standard deviations each way); the others
    are assumptions, no source.
    """

    strands: int | None = None
    line_strands: int = 1
    knot_strands: int = 1
    class_strands: Mapping[int, int] = field(default_factory=dict)
    work_strands: Mapping[Work, int] = field(default_factory=dict)
    class_working_mm: Mapping[int, float] = field(default_factory=dict)
    class_needle_mm: Mapping[int, float] = field(default_factory=dict)
    class_hand: Mapping[int, float] = field(default_factory=dict)
    works: Mapping[int, Work] = field(default_factory=dict)
    triangle: Work = "three-quarter"
    lines: Literal["backstitch", "double-running"] = "backstitch"
    wraps: int = 1
    without: frozenset[str] = frozenset()
    order: Order = "shortest"
    carry_mm: float = 12.0
    working_mm: float = 450.0
    start_mm: float = 30.0
    end_mm: float = 30.0
    needle_mm: float = 80.0
    loop_start: bool = True
    take_up: float = 0.015
    unpicked: float = 0.01
    tension_sd: float = 0.03
    working_sd: float = 0.10
    needle_sd: float = 0.125
    ends_sd: float = 0.125
    unpicked_sd: float = 0.01
    put_up_sd: float = 0.01
    risk: float = 0.05
    risk_of: RiskOf = "thread"
    margin_mm: float = 75.0
    copies: int = 1
    factor: Factor = Factor()

    def __post_init__(self) -> None:
        for name in ("carry_mm", "start_mm", "end_mm", "needle_mm"):
            _check_length(name, getattr(self, name))
        _check_length("margin_mm", self.margin_mm, MOST_MARGIN_MM)
        _check_length("working_mm", self.working_mm)
        if self.fresh_mm(loop=False) <= 0:
            raise YardageError(
                f"a working length of {self.working_mm:g} mm leaves nothing to stitch with after"
                f" {self.start_mm + self.end_mm:g} mm of ends and {self.needle_mm:g} mm in the"
                " needle; cut it longer"
            )
        for share in self.class_hand.values():
            check_hand(share)
        if not 0 < self.risk <= 0.5:
            raise YardageError(f"a risk of {self.risk:g} makes no sense; give 0.001 to 0.5")
        if min(self.line_strands, self.knot_strands) < 1:
            raise YardageError("lines and knots are worked in 1 strand or more")
        if not 1 <= self.copies <= MOST_COPIES:
            raise YardageError(f"{self.copies} copies make no sense; give 1 to {MOST_COPIES:,}")
        if not 1 <= self.wraps <= 20:
            raise YardageError(f"{self.wraps} wraps make no knot; give 1 to 20")

    def fresh_mm(self, *, loop: bool) -> float:
        """The road that one new needleful can cover, in mm."""
        start = 0.0 if loop else self.start_mm
        return self.working_mm - self.needle_mm - start - self.end_mm


def check_hand(share: float) -> None:
    """YardageError where no thread takes that share of what is usual."""
    if not LEAST_HAND <= share <= MOST_HAND:
        raise YardageError(
            f"a thread that takes {share:g} of the usual makes no sense; give 1.1 for a tenth more"
        )


def _check_length(name: str, value: float, most: float = MOST_MM) -> None:
    if not (math.isfinite(value) and 0 <= value <= most):
        what = name.removesuffix("_mm").replace("_", " ")
        raise YardageError(
            f"{what} of {value:g} mm makes no sense; give 0 or more, {most:g} mm at most"
        )
