"""The kit: chart, threads and needs joined per thread, ready for paper."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from chartscan.chart import Chart
from chartscan.palette.ownership import Owned
from chartscan.palette.thread import Match, Matches, Thread
from chartscan.yardage.handling import SHORTER, Handling, thickness
from chartscan.yardage.requirement import (
    Drawn,
    Fabric,
    LengthRange,
    Requirement,
    Requirements,
    RunsOut,
    Term,
    Work,
)
from chartscan.yardage.risk import chance_enough, combine, drawn_of, length_of_all
from chartscan.yardage.settings import Supply
from chartscan.yardage.together import enough_for_all, runs_out

WHOLE_KINDS = {"pearl": 1}  # kinds that nobody divides, where the range says nothing
NAMED = 5  # threads named in a warning; of more "…" says so


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
        """Stitches of all kinds, all copies together."""
        return sum(r.stitches for r in self.requirements.threads)

    @property
    def length_mm(self) -> LengthRange:
        """Single strand of all threads."""
        return length_of_all([t.requirement for t in self.threads])

    @property
    def runs_out(self) -> RunsOut:
        """How likely it is that some thread doesn't last, with the skeins to have."""
        return runs_out([t.requirement for t in self.threads])

    @property
    def skeins(self) -> int:
        """Skeins to have, all threads together."""
        return sum(t.requirement.skeins for t in self.threads)

    @property
    def to_buy(self) -> int:
        """Skeins to buy, all threads together."""
        return sum(t.to_buy for t in self.threads)

    @property
    def price(self) -> float | None:
        """What everything to buy costs; None where a price isn't known."""
        prices = [t.price for t in self.threads if t.to_buy]
        return None if None in prices else math.fsum(p for p in prices if p is not None)


def supply(thread: Thread) -> Supply:
    """How ``thread`` is sold; a usual skein of stranded cotton where its range doesn't say."""
    usual = Supply()
    handling = Handling(
        working_mm=thread.working_mm,
        longest_mm=SHORTER.get(thread.kind),
        needle_mm=thread.tail_mm,
        strands=thread.in_needle,
        hand=thread.hand,
        cross_by_cross=bool(thread.colours),
    )
    whole = WHOLE_KINDS.get(thread.kind, usual.strands)
    return Supply(thread.metres or usual.metres, thread.strands or whole, handling=handling)


def supplies(matches: Matches) -> Mapping[int, Supply]:
    """How the thread of each matched class is sold, for the estimate."""
    return {
        match.class_index: replace(supply(match.chosen.thread), blended=match.blended is not None)
        for match in matches.matches
    }


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
    risk = requirements.risk
    together = [_together_of(uses, risk) for uses in lines.values()]
    enough = enough_for_all(together, risk, requirements.risk_of)
    threads = tuple(
        _kit_thread(uses, needs, owned, risk)
        for uses, needs in zip(lines.values(), enough, strict=True)
    )
    warnings = [
        *_reading_warnings(chart),
        *matches.warnings,
        *_supply_warnings(threads),
        *_lot_warnings(threads, owned),
        *_thickness_warnings(threads, requirements.fabric),
        *requirements.warnings,
    ]
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
    half = _share(requirement, 0.5)
    return (Use(match, half), Use(partner, half))


def _share(requirement: Requirement, part: float) -> Requirement:
    """``part`` of what a class takes, for a thread that is only some of the needle's strands."""
    length, drawn = requirement.length_mm, drawn_of(requirement)
    return replace(
        requirement,
        strands=max(1, round(requirement.strands * part)),
        length_mm=LengthRange(length.low * part, length.likely * part, length.high * part),
        least_mm=requirement.least_mm * part,
        drawn=Drawn(drawn.used_mm * part, drawn.put_up_mm * part),
        terms=tuple(replace(term, mm=term.mm * part) for term in requirement.terms),
    )


def _together_of(uses: Sequence[Use], risk: float) -> Requirement:
    """What all uses of one thread take of it."""
    sold, first = supply(uses[0].match.chosen.thread), uses[0]
    whole = first.match.blended is None and first.requirement.put_up_mm == sold.strand_mm
    if len(uses) == 1 and whole:
        return first.requirement  # it was worked out for this thread
    return _together([use.requirement for use in uses], sold, risk)


def _kit_thread(
    uses: Sequence[Use], requirement: Requirement, owned: Owned | None, risk: float
) -> KitThread:
    """One line of the kit: ``uses`` of one thread together, against what is at hand of it."""
    at_hand = None if owned is None else owned.of(uses[0].match.chosen.thread)
    return KitThread(
        match=uses[0].match,
        requirement=requirement,
        owned=at_hand,
        to_buy=_to_buy(requirement, at_hand or 0.0, risk),
        uses=tuple(uses),
    )


def _to_buy(requirement: Requirement, owned: float, risk: float) -> int:
    """Whole skeins to buy: none where what is at hand is enough, part skeins counted."""
    called_for = drawn_of(requirement).put_up_mm
    if chance_enough(called_for, owned * requirement.put_up_mm) >= 1 - risk:
        return 0
    return max(0, math.ceil(requirement.skeins - owned - 1e-9))


def _together(parts: Sequence[Requirement], sold: Supply, risk: float) -> Requirement:
    """What several classes take of one thread; what one leaves over, the next begins with."""
    joint = combine(parts, sold, risk)
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
        stitches=sum(part.stitches for part in parts),
        work=tuple(work.items()),
        length_mm=joint.length_mm,
        least_mm=joint.least_mm,
        pieces=joint.pieces,
        skeins=joint.skeins,
        enough=joint.enough,
        terms=tuple(terms.values()),
        put_up_mm=joint.put_up_mm,
        drawn=joint.drawn,
    )


def _reading_warnings(chart: Chart) -> list[str]:
    """What the reader wasn't sure of, in words."""
    doubts = len(chart.doubtful)
    if not doubts:
        return []
    cells, them = ("1 cell was", "it") if doubts == 1 else (f"{doubts} cells were", "them")
    return [f"{cells} read with doubt; compare {them} with the page before you buy"]


def _supply_warnings(threads: Sequence[KitThread]) -> list[str]:
    """Threads whose range doesn't say how they are sold."""
    told = [t.thread for t in threads if t.thread.told]
    silent = [thread.code for thread in told if None in (thread.metres, thread.strands)]
    if not silent:
        return []
    usual = Supply()
    named = ", ".join(silent[:5]) + (" …" if len(silent) > 5 else "")
    return [
        f"the palette doesn't say how {named} is sold; {usual.metres:g} m of {usual.strands} "
        "strands is taken for a skein"
    ]


def _lot_warnings(threads: Sequence[KitThread], owned: Owned | None) -> list[str]:
    """Threads whose skeins at hand are of several dye lots, none of which is enough by itself."""
    lines = []
    for line in threads:
        lots = {} if owned is None else owned.lots.get((line.thread.line, line.thread.code), {})
        wanted = line.requirement.skeins
        if len(lots) > 1 and max(lots.values()) < wanted:
            named = ", ".join(
                f"{number:g} of {lot or 'no known lot'}" for lot, number in lots.items()
            )
            lines.append(
                f"{line.thread.code} takes {wanted} skeins, and yours are of different dye lots"
                f" ({named}): compare them in daylight, and don't mix them in one area"
            )
    return lines


def _thickness_warnings(threads: Sequence[KitThread], fabric: Fabric) -> list[str]:
    """Pearl cottons that are too thick or too thin for the fabric, a line for each way."""
    ways: dict[str, list[str]] = {}
    for line in threads:
        crosses = [use for use in line.uses if dict(use.requirement.work).get("cross")]
        if line.thread.kind != "pearl" or line.thread.size is None or not crosses:
            continue
        strands = min(use.requirement.strands for use in crosses)
        said = thickness(line.thread.size, strands, fabric)
        if said:
            ways.setdefault(f"pearl {line.thread.size:g} is {said}", []).append(line.thread.code)
    return [
        f"{said} ({', '.join(codes[:NAMED])}{' …' if len(codes) > NAMED else ''})"
        for said, codes in ways.items()
    ]
