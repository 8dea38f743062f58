"""Cutting the road into needlefuls: starts, ends, and what stays in the needle."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

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
        rests_mm: rests of needlefuls, too short for what came next.
    """

    needlefuls: int
    starts: int
    ends_mm: float
    needle_mm: float
    rests_mm: float

    @property
    def waste_mm(self) -> float:
        """All of it."""
        return self.ends_mm + self.needle_mm + self.rests_mm


@dataclass
class _Needle:
    """The needle while it is at work; ``room`` is the thread in it that can still be used."""

    settings: EstimateSettings
    loop: bool
    room: float = 0.0
    needlefuls: int = 0
    starts: int = 0
    rests: float = 0.0

    @property
    def ends(self) -> float:
        """A start and an end that are no loop."""
        return self.settings.start_mm + self.settings.end_mm

    def thread(self, needlefuls: int = 1) -> None:
        """Take new thread; the rest of the old is put by, so are those of all but the last."""
        self.rests += self.room
        self.needlefuls += needlefuls
        first = 0.0 if self.loop else self.settings.start_mm
        # The first start of a needleful is put in its place here, as if it were like the others.
        self.room = self.settings.working_mm - self.settings.needle_mm - first
        self.room += self.settings.start_mm

    def work_long(self, road: float) -> None:
        """A stretch that may be shared between needlefuls, and uses up the rest of the last."""
        usable = self.room - self.ends
        if usable >= min(road, self.settings.useful_mm):
            taken = min(road, usable)
            self.room -= taken + self.ends
            self.starts += 1
            road -= taken
        if road <= 0:
            return
        fresh = self.settings.fresh_mm(loop=self.loop)
        needlefuls = math.ceil(road / fresh - 1e-9)
        self.thread(needlefuls)
        self.starts += needlefuls
        self.room -= road - (needlefuls - 1) * fresh + self.ends

    def work_short(self, road: float, number: int) -> None:
        """``number`` stretches that are each worked with one needleful."""
        need = road + self.ends
        at_once = min(number, int((self.room + 1e-9) // need))
        self.room -= at_once * need
        self.starts += number
        number -= at_once
        if not number:
            return
        self.thread()
        each = max(1, int((self.room + 1e-9) // need))
        full, last = divmod(number, each)
        if last == 0:
            full, last = full - 1, each
        self.rests += full * (self.room - each * need)
        self.needlefuls += full
        self.room -= last * need


def cut_road(groups: Floats, strands: int, settings: EstimateSettings) -> Cut:
    """Cut stretches of road, longest first, into working lengths.

    A stretch longer than ``useful_mm`` is begun with what the last needleful has left and goes on
    with new ones; a shorter one is worked where it fits whole.

    Args:
        groups: road of each stretch in mm, shape (g,).
        strands: strands in the needle; an even number can begin with a loop.
        settings: working length, tails and copies.
    """
    loop = settings.loop_start and strands % 2 == 0
    needle = _Needle(settings, loop)
    useful = min(settings.useful_mm, settings.fresh_mm(loop=loop))
    sizes, numbers = np.unique(np.round(groups, 6), return_counts=True)
    for size, number in zip(sizes[::-1].tolist(), numbers[::-1].tolist(), strict=True):
        if size > useful:
            for _ in range(number * settings.copies):
                needle.work_long(size)
        else:
            needle.work_short(size, number * settings.copies)
    first = 0.0 if loop else settings.start_mm
    ends = needle.starts * needle.ends - needle.needlefuls * (settings.start_mm - first)
    left = needle.needlefuls * settings.needle_mm
    return Cut(needle.needlefuls, needle.starts, ends, left, max(0.0, needle.rests))
