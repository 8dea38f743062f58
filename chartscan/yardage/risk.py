"""From a likely length and its spreads to a range, a chance of running out, and skeins."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, replace
from statistics import NormalDist

from chartscan.errors import YardageError
from chartscan.yardage.pieces import Cut
from chartscan.yardage.requirement import LengthRange, Requirement, Requirements, Term, Work
from chartscan.yardage.settings import EstimateSettings, Supply

RANGE = 0.90  # nine projects of ten lie between low and high
NUMBERS = ("one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten")
SLIM = 0.005  # a chance below that rounds to 0 in 100
MOST_TOLD = 4  # chances in one sentence that can still be read
MOST_CHANCES = 1000  # put-ups whose chance is told one by one


@dataclass(frozen=True)
class Spread:
    """Standard deviations of a length: from the stitcher's ways, and from chance."""

    habit: float
    chance: float


def spread(length: float, road: float, cut: Cut, fresh: float, s: EstimateSettings) -> Spread:
    """Propagate the stated spreads to the thread one needle takes, in mm.

    Habits are the same all through a project: tension acts on the road, the working length on the
    number of needlefuls and so on their starts, ends and tails, habitual tails and ends on each of
    them. Chance acts on each tail and end anew, and adds up in squares.

    Args:
        length: thread in the needle, all in all, in mm.
        road: the part of it that is stitched, in mm.
        cut: how it was cut.
        fresh: road that one needleful covers, in mm.
        s: the spreads.
    """
    per_needleful = s.needle_mm + s.start_mm + s.end_mm
    fuller = s.working_sd * s.working_mm / fresh  # needlefuls go as 1 / fresh
    needles = road / fresh * per_needleful * fuller
    ends = s.ends_sd * cut.ends_mm
    tails = s.needle_sd * cut.needle_mm
    habit = math.hypot(s.tension_sd * road, needles, ends, tails, s.put_up_sd * length)
    chance = math.hypot(
        s.unpicked_sd * road,
        ends / math.sqrt(max(1, cut.starts)),
        tails / math.sqrt(max(1, cut.needlefuls)),
    )
    return Spread(habit, chance)


def length_range(likely: float, deviation: float, least: float) -> LengthRange:
    """Nine of ten projects: 5 % take less than ``low``, 5 % more than ``high``."""
    way = NormalDist().inv_cdf((1 + RANGE) / 2) * deviation
    low = max(least, likely - way)
    return LengthRange(min(low, likely), likely, likely + way)


def skeins_needed(likely: float, deviation: float, put_up: float, risk: float) -> int:
    """The fewest put-ups with which the chance of running out is at most ``risk``.

    Args:
        likely: mean length of single strand.
        deviation: its standard deviation.
        put_up: single strand in one put-up, same unit.
        risk: chance accepted, 0 to 0.5.
    """
    return max(1, math.ceil((likely + NormalDist().inv_cdf(1 - risk) * deviation) / put_up - 1e-9))


def chances(likely: float, deviation: float, put_up: float, skeins: int) -> tuple[float, ...]:
    """Chance that 1, 2 … ``skeins`` put-ups are enough."""
    if deviation <= 0:
        return tuple(float(k * put_up >= likely) for k in range(1, min(skeins, MOST_CHANCES) + 1))
    law = NormalDist(likely, deviation)
    return tuple(law.cdf(k * put_up) for k in range(1, min(skeins, MOST_CHANCES) + 1))


def combine(
    requirements: Sequence[Requirement], supply: Supply, risk: float = EstimateSettings.risk
) -> Requirement:
    """Add up the requirements of classes that are worked with one thread.

    Lengths, terms and counts add up. Spreads from habit are the same for all and add up straight;
    those from chance add up in squares. Skeins are counted once, since what one class leaves over
    the next begins with. Class and strands are those of the first.

    Raises:
        YardageError: there is nothing to add up.
    """
    if not requirements:
        raise YardageError("there are no classes to add up for this thread")
    work: Counter[Work] = Counter()
    terms: dict[str, list[Term]] = {}
    for requirement in requirements:
        work.update(dict(requirement.work))
        for term in requirement.terms:
            terms.setdefault(term.name, []).append(term)
    likely = math.fsum(r.length_mm.likely for r in requirements)
    least = math.fsum(r.least_mm for r in requirements)
    habit = math.fsum(r.habit_mm for r in requirements)
    chance = math.hypot(*(r.chance_mm for r in requirements))
    deviation = math.hypot(habit, chance)
    skeins = skeins_needed(likely, deviation, supply.strand_mm, risk)
    return Requirement(
        class_index=requirements[0].class_index,
        stitches=sum(r.stitches for r in requirements),
        work=tuple(work.items()),
        strands=requirements[0].strands,
        length_mm=length_range(likely, deviation, least),
        least_mm=least,
        pieces=sum(r.pieces for r in requirements),
        skeins=skeins,
        enough=chances(likely, deviation, supply.strand_mm, skeins),
        terms=tuple(
            Term(name, math.fsum(t.mm for t in some), some[0].note if len(some) == 1 else "")
            for name, some in terms.items()
        ),
        habit_mm=habit,
        chance_mm=chance,
        put_up_mm=supply.strand_mm,
    )


def in_all(found: Requirements) -> Requirement:
    """All the classes of an estimate together; skeins are those of each class, added up.

    An estimate doesn't know which classes share a thread; the kit does.
    """
    total = combine(found.threads, Supply())
    return replace(total, skeins=sum(r.skeins for r in found.threads), enough=())


def words(enough: Sequence[float]) -> str:
    """What each further skein buys: "one skein is enough in 71 of 100 such projects, two in 99"."""
    if not enough:
        return ""
    likely_to_matter = [k for k, chance in enumerate(enough) if chance >= SLIM] or [0]
    first = min(likely_to_matter[0], len(enough) - 1)
    told = [(k + 1, enough[k]) for k in range(first, len(enough))]
    if len(told) > MOST_TOLD:
        told = [told[0], *told[-2:]]
    (count, chance), *more = told
    noun, verb = ("skein", "is") if count == 1 else ("skeins", "are")
    text = f"{_number(count)} {noun} {verb} enough in {_of_100(chance)} of 100 such projects"
    return text + "".join(f", {_number(k)} in {_of_100(c)}" for k, c in more)


def _of_100(chance: float) -> str:
    """A chance in plain words; never "100 of 100", since nobody can promise that."""
    return "more than 99" if chance > 1 - SLIM else str(round(100 * chance))


def _number(count: int) -> str:
    return NUMBERS[count - 1] if count <= len(NUMBERS) else str(count)
