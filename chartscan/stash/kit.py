"""The kit: chart, threads and needs joined per thread, ready for paper."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

from chartscan.chart import Chart
from chartscan.palette.ownership import Owned
from chartscan.palette.thread import Match, Matches, Thread
from chartscan.yardage.requirement import (
    Fabric,
    LengthRange,
    Requirement,
    Requirements,
    Term,
    Work,
)


@dataclass(frozen=True)
class Use:
    """One class of the chart worked with a thread.

    Attributes:
        match: the thread chosen for the class.
        requirement: what the class takes of this thread; of a blend, this thread's share.
    """

    match: Match
    requirement: Requirement


@dataclass(frozen=True)
class KitThread:
    """One line of a kit: a thread, what is worked with it, what it takes and what is at hand.

    Attributes:
        match: the thread chosen for the first class that is worked with it.
        requirement: what all those classes take together; ``class_index`` is the first one's.
        owned: skeins at hand and free, part skeins as fractions; None where no stash was given.
        to_buy: whole skeins to buy.
        uses: every class that is worked with it, in the chart's order.
    """

    match: Match
    requirement: Requirement
    owned: float | None
    to_buy: int
    uses: tuple[Use, ...] = ()

    @property
    def thread(self) -> Thread:
        """The thread chosen."""
        return self.match.chosen.thread

    @property
    def length_mm(self) -> LengthRange:
        """Length of single strand."""
        return self.requirement.length_mm

    @property
    def put_up_mm(self) -> float | None:
        """Single strand that one put-up holds, in mm; None where the range doesn't say."""
        return put_up_mm(self.thread)

    @property
    def price(self) -> float | None:
        """What the skeins to buy cost; None where the price isn't known."""
        return None if self.thread.price is None else self.thread.price * self.to_buy


@dataclass(frozen=True)
class Kit:
    """Everything one project takes, as the kit sheet shows it."""

    title: str
    chart: Chart
    requirements: Requirements
    threads: tuple[KitThread, ...]
    warnings: tuple[str, ...] = ()

    @property
    def fabric(self) -> Fabric:
        """The ground it is worked on."""
        return self.requirements.fabric

    @property
    def stitches(self) -> int:
        """Stitches of all kinds in one copy."""
        return sum(r.stitches for r in self.requirements.threads)

    @property
    def length_mm(self) -> LengthRange:
        """Single strand of all threads; the range is that of every thread added up."""
        return _sum_lengths([r.length_mm for r in self.requirements.threads])

    @property
    def skeins(self) -> int:
        """Skeins to have, all threads together."""
        return sum(t.requirement.skeins for t in self.threads)

    @property
    def to_buy(self) -> int:
        """Skeins to buy, all threads together."""
        return sum(t.to_buy for t in self.threads)


def put_up_mm(thread: Thread) -> float | None:
    """Single strand in one put-up of ``thread``, in mm; None where its range doesn't say."""
    if thread.metres is None:
        return None
    return thread.metres * 1000 * (thread.strands or 1)


def assemble(
    chart: Chart,
    matches: Matches,
    requirements: Requirements,
    owned: Owned | None = None,
    title: str = "",
) -> Kit:
    """Join what a chart needs with the threads that were chosen for it.

    Classes that are worked with one thread become one line of the kit, so that skeins are counted
    once; the two threads of a blend are a line each.

    Args:
        chart: the chart.
        matches: the thread of each class; a class that isn't worked may be left out.
        requirements: what each class takes.
        owned: what is at hand and free; None where no stash was given.
        title: what the project is called.
    """
    by_class = {match.class_index: match for match in matches.matches}
    lines: dict[tuple[str, str], list[Use]] = {}
    unmatched = 0
    for requirement in requirements.threads:
        match = by_class.get(requirement.class_index)
        if match is None:
            unmatched += 1
            continue
        for use in _uses(match, requirement):
            thread = use.match.chosen.thread
            lines.setdefault((thread.line, thread.code), []).append(use)
    threads = tuple(_kit_thread(uses, owned) for uses in lines.values())
    warnings = [*_reading_warnings(chart), *matches.warnings, *requirements.warnings]
    if unmatched:
        warnings.append(
            f"{unmatched} of the chart's classes have no thread yet and are not in this kit; "
            "name their threads in a key"
        )
    return Kit(title, chart, requirements, threads, tuple(dict.fromkeys(warnings)))


def _uses(match: Match, requirement: Requirement) -> tuple[Use, ...]:
    """A class as uses of its thread: one, or half the length each of the two in a blend."""
    if match.blended is None:
        return (Use(match, requirement),)
    chosen = match.chosen
    partner = replace(
        match, chosen=replace(chosen, thread=match.blended, owned=None), blended=chosen.thread
    )
    return tuple(Use(m, _share(requirement, 0.5, m.chosen.thread)) for m in (match, partner))


def _share(requirement: Requirement, part: float, thread: Thread) -> Requirement:
    """``part`` of what a class takes, where ``thread`` is only some of the needle's strands."""
    length = requirement.length_mm
    put_up = put_up_mm(thread)
    enough = math.ceil(length.high * part / put_up) if put_up else requirement.skeins
    return replace(
        requirement,
        strands=max(1, round(requirement.strands * part)),
        length_mm=LengthRange(length.low * part, length.likely * part, length.high * part),
        least_mm=requirement.least_mm * part,
        skeins=min(enough, requirement.skeins),
        enough=(),
        terms=tuple(replace(term, mm=term.mm * part) for term in requirement.terms),
    )


def _kit_thread(uses: Sequence[Use], owned: Owned | None) -> KitThread:
    """One line of the kit: ``uses`` of one thread together, against what is at hand of it."""
    thread = uses[0].match.chosen.thread
    requirement = _together(uses)
    at_hand = None if owned is None else owned.of(thread)
    return KitThread(
        match=uses[0].match,
        requirement=requirement,
        owned=at_hand,
        to_buy=_to_buy(requirement, thread, at_hand or 0.0),
        uses=tuple(uses),
    )


def _to_buy(requirement: Requirement, thread: Thread, owned: float) -> int:
    """Whole skeins to buy: none where even the high estimate is at hand, part skeins counted."""
    put_up = put_up_mm(thread)
    if put_up and owned * put_up >= requirement.length_mm.high:
        return 0
    return max(0, math.ceil(requirement.skeins - owned - 1e-9))


def _together(uses: Sequence[Use]) -> Requirement:
    """What several classes take of one thread."""
    parts = [use.requirement for use in uses]
    if len(parts) == 1:
        return parts[0]
    work: dict[Work, int] = {}
    terms: dict[str, Term] = {}
    for part in parts:
        for kind, number in part.work:
            work[kind] = work.get(kind, 0) + number
        for term in part.terms:
            seen = terms.get(term.name)
            terms[term.name] = replace(term, mm=term.mm + (seen.mm if seen else 0.0))
    return replace(
        parts[0],
        stitches=sum(p.stitches for p in parts),
        work=tuple(work.items()),
        length_mm=_sum_lengths([p.length_mm for p in parts]),
        least_mm=math.fsum(p.least_mm for p in parts),
        pieces=sum(p.pieces for p in parts),
        skeins=_joint_skeins(parts, uses[0].match.chosen.thread),
        enough=(),
        terms=tuple(terms.values()),
    )


def _joint_skeins(parts: Sequence[Requirement], thread: Thread) -> int:
    """Skeins for several classes of one thread; what one leaves over, the next begins with.

    Their errors go the same way (one hand, one tension), so the ends of the ranges add up. Never
    more than the classes would take apart, nor fewer than the largest of them.
    """
    apart = sum(p.skeins for p in parts)
    put_up = put_up_mm(thread)
    if not put_up:
        return apart
    joint = math.ceil(math.fsum(p.length_mm.high for p in parts) / put_up)
    return max(min(joint, apart), *(p.skeins for p in parts))


def _sum_lengths(lengths: Sequence[LengthRange]) -> LengthRange:
    return LengthRange(
        low=math.fsum(length.low for length in lengths),
        likely=math.fsum(length.likely for length in lengths),
        high=math.fsum(length.high for length in lengths),
    )


def _reading_warnings(chart: Chart) -> list[str]:
    """What the reader wasn't sure of, in words."""
    doubts = len(chart.doubtful)
    if not doubts:
        return []
    cells = "1 cell was" if doubts == 1 else f"{doubts} cells were"
    return [f"{cells} read with doubt; compare them on the review picture before you buy"]
