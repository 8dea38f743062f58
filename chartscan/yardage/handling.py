"""How a thread is worked by what it is: cut shorter, not folded, cross by cross, too thick or thin.

What a thread range says of a thread goes before this; this goes before what is usual for all.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from chartscan.yardage.fabric import stitches_per_inch
from chartscan.yardage.requirement import Fabric

DELICATE_MM = 300.0
"""12 in for wool, silk and metallics, of the 12 to 18 in that are usual: common practice, no
source. They fray, or wear, where they go through the cloth."""

SHORTER: Mapping[str, float] = {"metallic": DELICATE_MM, "silk": DELICATE_MM, "wool": DELICATE_MM}
"""Longest working length by kind of thread, in mm."""

SUITS: Mapping[int, tuple[float, float]] = {5: (8, 11), 8: (14, 16), 12: (18, 22)}
"""Stitches per inch that one thread of a pearl cotton's size covers well: common practice, no
source. Between two of them either does."""


@dataclass(frozen=True)
class Handling:
    """How one thread is worked, where that isn't as usual.

    Attributes:
        working_mm: thread cut for the needle; None for the usual.
        longest_mm: no more than this is cut, whatever is usual; None where any length will do.
        needle_mm: thread left in the needle; None for the usual.
        strands: strands in the needle for crosses; None for the usual.
        hand: what it takes, as a share of the usual: 1.1 is a tenth more.
        cross_by_cross: each cross is finished before the next, so that the colours of a variegated
            thread follow each other; and it isn't folded, which would mix them.
    """

    working_mm: float | None = None
    longest_mm: float | None = None
    needle_mm: float | None = None
    strands: int | None = None
    hand: float = 1.0
    cross_by_cross: bool = False

    def cut_from(self, usual_mm: float) -> float:
        """The working length where ``usual_mm`` is the usual one."""
        if self.working_mm is not None:
            return self.working_mm
        return min(usual_mm, usual_mm if self.longest_mm is None else self.longest_mm)


USUAL = Handling()


def thickness(size: float, strands: int, fabric: Fabric) -> str:
    """What to mind about a pearl cotton of that size on a fabric, in words; "" for nothing."""
    across = sum(stitches_per_inch(fabric)) / 2
    if size not in SUITS:
        return ""
    sizes = sorted(SUITS)  # the greater the number, the thinner the thread
    thinner = [s for s in sizes if s > size]
    thicker = [s for s in sizes if s < size]
    most = SUITS[thinner[0]][0] if thinner else SUITS[sizes[-1]][1]
    least = SUITS[thicker[-1]][1] if thicker else SUITS[sizes[0]][0]
    if (thinner and across >= most) or across > SUITS[sizes[-1]][1]:
        better = f"; size {_suiting(across)} suits it" if thinner else ""
        return f"too thick for {across:.3g} stitches per inch{better}"
    if strands == 1 and ((thicker and across <= least) or across < SUITS[sizes[0]][0]):
        better = f"size {_suiting(across)} suits it, or two in the needle"
        return f"thin for {across:.3g} stitches per inch; {better if thicker else 'two cover it'}"
    return ""


def _suiting(across: float) -> int:
    """The size whose range lies nearest."""
    return min(SUITS, key=lambda s: max(SUITS[s][0] - across, across - SUITS[s][1], 0.0))
