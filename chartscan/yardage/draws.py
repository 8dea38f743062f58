"""Projects drawn with the stated spreads: what a thread takes in each of them, cut and all.

Nobody works exactly 450 mm with ends of exactly 30. So a thread is worked out many times, each
time by a hand of its own: pull, working length, tails and ends are drawn once for the project, then
each tail and each end anew. How many needlefuls a drawn project takes follows from what one covers
and from what is to be worked, further starts and ends included; a put-up yields whole working
lengths and a last short piece, which is used where it still covers something.

The hands are the same for all threads of a project, draw by draw, so that sums over threads keep
what they have in common. They are a Latin hypercube (McKay, Beckman and Conover, "A comparison of
three methods for selecting values of input variables", Technometrics 21, 1979): each of its values
keeps exactly to the law that is stated, so that few draws give a steady figure. The seed is fixed:
what was asked twice is answered alike.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from statistics import NormalDist

import numpy as np
from numpy.typing import NDArray

from chartscan.yardage.requirement import Drawn
from chartscan.yardage.settings import EstimateSettings, Supply

Floats = NDArray[np.float64]

DRAWS = 8192  # a chance of 95 in 100 comes out within 0.25 by sheer chance, in fact within less
SEED = 1979  # any other would do
LEAST_SHARE = 0.1  # nobody cuts so short that less than this share of the usual road is left


@dataclass(frozen=True, eq=False)
class Hands:
    """How the stitchers of the drawn projects work, as standard normal values, shape (n,) each.

    Attributes:
        values: the middles of :data:`DRAWS` slices of equal chance, ascending; all others are
            these in another order.
        pull: how loosely the thread is drawn.
        working: the working length cut.
        needle: what is left in the needle.
        ends: thread under stitches at starts and ends.
    """

    values: Floats
    pull: Floats
    working: Floats
    needle: Floats
    ends: Floats


@dataclass(frozen=True)
class Job:
    """What one thread in the needle has to do, in mm of the needle's thread.

    Attributes:
        road: the road all in all, take-up and unpicking left out.
        stretches: how many stretches are begun and ended.
        strands: strands in the needle.
        number: number of the job in its project; each has chances of its own.
    """

    road: float
    stretches: int
    strands: int
    number: int


def draw_hands() -> Hands:
    """The hands of all drawn projects."""
    law = NormalDist()
    values = np.array([law.inv_cdf((i + 0.5) / DRAWS) for i in range(DRAWS)])
    rng = np.random.default_rng(SEED)
    return Hands(values, *(rng.permutation(values) for _ in range(4)))


def draw_job(job: Job, hands: Hands, supply: Supply, s: EstimateSettings) -> Drawn:
    """What ``job`` takes in each drawn project, in mm of single strand.

    Args:
        job: the road and its stretches.
        hands: how the stitchers work.
        supply: how the thread is sold.
        s: the usual ways and their spreads.
    """
    rng = np.random.default_rng((SEED, job.number + 1))
    unpicked, put_up, ends, needlefuls = (rng.permutation(hands.values) for _ in range(4))
    habit = s.factor.habit
    loop = s.loop_start and job.strands % 2 == 0
    needle = _Needle(
        working=s.working_mm * _around(s.working_sd * habit * hands.working),
        tail=s.needle_mm * _around(s.needle_sd * habit * hands.needle),
        start=s.start_mm * _around(s.ends_sd * habit * hands.ends),
        end=s.end_mm * _around(s.ends_sd * habit * hands.ends),
        loop=loop,
        least=LEAST_SHARE * s.fresh_mm(loop=loop),
    )
    stretch = 1 + s.take_up + s.unpicked + s.tension_sd * habit * hands.pull
    work = job.road * np.maximum(stretch + s.unpicked_sd * unpicked, LEAST_SHARE)
    further = max(0, job.stretches - 1)
    pair_sd = s.ends_sd * math.hypot(s.start_mm, s.end_mm)
    work = work + further * (needle.start + needle.end) + math.sqrt(further) * pair_sd * ends
    # Of N needlefuls each has a tail and ends that are drawn anew; in all they vary by √N of one.
    first_sd = s.ends_sd * math.hypot(0.0 if loop else s.start_mm, s.end_mm)
    each_sd = math.hypot(s.needle_sd * s.needle_mm, first_sd)
    fewest = np.maximum(work / needle.fresh, 1.0)
    work = work + np.sqrt(fewest) * each_sd * needlefuls
    cut = np.maximum(np.ceil(work / needle.fresh), 1.0)
    length = 1000.0 * supply.metres * _around(s.put_up_sd * put_up)
    covers = needle.covered_by(length)
    factor = s.factor.value * job.strands
    return Drawn(
        used_mm=factor * (work + cut * (needle.working - needle.fresh)),
        put_up_mm=factor * work / covers * 1000.0 * supply.metres,
    )


@dataclass(frozen=True, eq=False)
class _Needle:
    """One needleful in every drawn project, in mm; arrays of shape (n,)."""

    working: Floats
    tail: Floats
    start: Floats
    end: Floats
    loop: bool
    least: float

    @property
    def fresh(self) -> Floats:
        """The road that a new needleful covers."""
        first = 0.0 if self.loop else self.start
        return np.maximum(self.working - self.tail - first - self.end, self.least)

    def covered_by(self, length: Floats) -> Floats:
        """The road that one strand as long as a put-up covers, per strand in the needle.

        A loop is a strand of twice the working length, folded; from what is then left either a
        shorter one is folded, or two such rests are threaded side by side and begun without a loop.
        """
        if not self.loop:
            return self._plain(length, self.fresh)
        folded = np.floor(length / (2 * self.working))
        rest = length - folded * 2 * self.working
        short = 2 * np.maximum(rest / 2 - self.tail - self.end, 0.0)
        unfolded = self.working - self.tail - self.start - self.end
        beside = self._plain(rest, np.maximum(unfolded, 0.0))
        covered = folded * 2 * self.fresh + np.maximum(short, beside)
        return np.asarray(np.maximum(covered, self.least))

    def _plain(self, length: Floats, each: Floats) -> Floats:
        pieces = np.floor(length / self.working)
        rest = length - pieces * self.working
        short = np.maximum(rest - self.tail - self.start - self.end, 0.0)
        return np.asarray(np.maximum(pieces * each + short, self.least))


def _around(deviation: Floats) -> Floats:
    """1 and its deviation, never near nothing."""
    return np.maximum(1 + deviation, LEAST_SHARE)
