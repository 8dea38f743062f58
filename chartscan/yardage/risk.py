"""From drawn projects to a range, a chance of running out, and skeins."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Sequence
from dataclasses import replace
from statistics import NormalDist

import numpy as np

from chartscan.errors import YardageError
from chartscan.yardage.draws import DRAWS, Floats
from chartscan.yardage.requirement import (
    Drawn,
    Factor,
    LengthRange,
    Requirement,
    Requirements,
    Term,
    Work,
)
from chartscan.yardage.settings import EstimateSettings, Supply

RANGE = 0.90  # nine projects of ten lie between low and high
NUMBERS = ("one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten")
SLIM = 0.005  # a chance below that rounds to 0 in 100
MOST_TOLD = 4  # chances in one sentence that can still be read
MOST_CHANCES = 1000  # put-ups whose chance is told one by one


def length_range(likely: float, used: Floats, least: float) -> LengthRange:
    """Nine of ten drawn projects: 5 % use less than ``low``, 5 % more than ``high``."""
    below, above = np.quantile(used, [(1 - RANGE) / 2, (1 + RANGE) / 2]).tolist()
    low = max(least, below)
    return LengthRange(min(low, likely), likely, max(above, likely))


def skeins_needed(called_for: Floats, put_up: float, risk: float) -> int:
    """The fewest put-ups that are enough in all but the share ``risk`` of the drawn projects.

    Args:
        called_for: put-ups that each project calls for, as length of single strand, shape (n,).
        put_up: single strand in one put-up, same unit.
        risk: chance accepted, 0 to 0.5.
    """
    enough = float(np.quantile(called_for, 1 - risk))
    return max(1, math.ceil(enough / put_up - 1e-9))


def chance_enough(called_for: Floats, at_hand: float) -> float:
    """The share of drawn projects for which ``at_hand`` is enough; never quite 0 or 1."""
    enough = int(np.count_nonzero(called_for <= at_hand * (1 + 1e-12)))
    return (enough + 0.5) / (called_for.size + 1)


def chances(called_for: Floats, put_up: float, skeins: int) -> tuple[float, ...]:
    """Chance that 1, 2 … ``skeins`` put-ups are enough."""
    told = range(1, min(skeins, MOST_CHANCES) + 1)
    return tuple(chance_enough(called_for, k * put_up) for k in told)


def drawn_of(requirement: Requirement) -> Drawn:
    """The drawn projects of a requirement.

    Where it has none its range is taken for that of a normal law, and the same hand for all.
    """
    if requirement.drawn is not None:
        return requirement.drawn
    length = requirement.length_mm
    law = NormalDist()
    way = law.inv_cdf((1 + RANGE) / 2)
    standard = np.array([law.inv_cdf((i + 0.5) / DRAWS) for i in range(DRAWS)])
    used = np.maximum(length.likely + standard * (length.high - length.likely) / way, 0.0)
    return Drawn(used, used)


def combine(
    requirements: Sequence[Requirement], supply: Supply, risk: float = EstimateSettings.risk
) -> Requirement:
    """Add up the requirements of classes that are worked with one thread.

    Lengths, terms, counts and drawn projects add up. Skeins are counted once, since what one class
    leaves over the next begins with. Class and strands are those of the first.

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
    projects = [drawn_of(r) for r in requirements]
    drawn = Drawn(
        used_mm=np.sum([p.used_mm for p in projects], axis=0),
        put_up_mm=np.sum([p.put_up_mm for p in projects], axis=0),
    )
    skeins = skeins_needed(drawn.put_up_mm, supply.strand_mm, risk)
    return Requirement(
        class_index=requirements[0].class_index,
        stitches=sum(r.stitches for r in requirements),
        work=tuple(work.items()),
        strands=requirements[0].strands,
        length_mm=length_range(likely, drawn.used_mm, least),
        least_mm=least,
        pieces=sum(r.pieces for r in requirements),
        skeins=skeins,
        enough=chances(drawn.put_up_mm, supply.strand_mm, skeins),
        terms=tuple(
            Term(name, math.fsum(t.mm for t in some), some[0].note if len(some) == 1 else "")
            for name, some in terms.items()
        ),
        put_up_mm=supply.strand_mm,
        drawn=drawn,
    )


def length_of_all(requirements: Sequence[Requirement]) -> LengthRange:
    """Single strand of all ``requirements`` together; the hand is the same for all of them."""
    if not requirements:
        return LengthRange(0.0, 0.0, 0.0)
    return combine(requirements, Supply()).length_mm


def in_all(found: Requirements) -> Requirement:
    """All the classes of an estimate together; skeins are those of each class, added up.

    An estimate doesn't know which classes share a thread; the kit does.
    """
    total = combine(found.threads, Supply())
    return replace(total, skeins=sum(r.skeins for r in found.threads), enough=())


def rests_on(factor: Factor) -> str:
    """What the stated chances and ranges rest on, in a sentence or two."""
    if not factor.records:
        return (
            "Ranges and chances rest on assumed spreads of hand and thread, since there are no"
            " records of yours; to note what finished work really took makes them your own."
        )
    low, high = factor.between
    records = "1 record" if factor.records == 1 else f"{factor.records} records"
    return (
        f"Ranges and chances rest on {records} of yours and, where those say nothing, on assumed"
        f" spreads of hand and thread. Your own factor is {factor.value:.2f} ({low:.2f} to"
        f" {high:.2f}); your projects vary by {100 * factor.varies:.0f} % about it."
    )


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
