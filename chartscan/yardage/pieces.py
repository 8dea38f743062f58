"""Cutting the road into needlefuls: starts, ends, and what stays in the needle."""

from __future__ import annotations

import math
from dataclasses import dataclass

from chartscan.yardage.areas import Floats
from chartscan.yardage.settings import EstimateSettings


@dataclass(frozen=True)
class Cut:
    """What cutting costs beyond the road, in mm of the needle's thread.

    Attributes:
        needlefuls: working lengths threaded.
        starts: times a thread is begun; each has an end.
        ends_mm: thread under stitches at starts and ends.
        needle_mm: thread left in the needle.
    """

    needlefuls: int
    starts: int
    ends_mm: float
    needle_mm: float


def cut_road(groups: Floats, strands: int, settings: EstimateSettings) -> Cut:
    """Cut stretches of road into working lengths.

    A stretch that is done is ended, and the next is begun with what is left in the needle; where a
    needleful is used up within a stretch, that is ended and goes on with a new one. So N needlefuls
    for m stretches have m + N − 1 starts and as many ends, and each of the N has its tail. N is the
    smallest number that covers the road, the m − 1 further starts and ends included::

        N · fresh ≥ road + (m − 1) · (start + end)

    where ``fresh`` is the road that a needleful covers by itself. Only the first start of a
    needleful can be a loop. A stitcher who won't begin the next small stretch with too short a rest
    throws the rest away instead of ending once more, which comes to about the same.

    Args:
        groups: road of each stretch in mm, shape (m,).
        strands: strands in the needle; an even number can begin with a loop.
        settings: working length, tails and copies.
    """
    loop = settings.loop_start and strands % 2 == 0
    first = 0.0 if loop else settings.start_mm
    stretches = groups.size * settings.copies
    further = (stretches - 1) * (settings.start_mm + settings.end_mm)
    road = float(groups.sum()) * settings.copies
    slack = 1e-9  # a road of just N needlefuls takes N, whatever the last bits say
    needlefuls = max(1, math.ceil((road + further) / settings.fresh_mm(loop=loop) - slack))
    starts = stretches + needlefuls - 1
    ends = needlefuls * first + (stretches - 1) * settings.start_mm + starts * settings.end_mm
    return Cut(needlefuls, starts, ends, needlefuls * settings.needle_mm)
