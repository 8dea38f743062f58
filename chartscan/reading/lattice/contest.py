"""Lattices held against one another, and each against its own fractions, multiples and other ends.

Whoever proposes a lattice may be a line off at its end, or at half or twice its pitch. So every
proposal is judged with these beside it, and the winner goes on with the sizes that it beat.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import TypeVar

import numpy as np
from numpy.typing import NDArray

from chartscan.reading.lattice.extent import Extent
from chartscan.reading.lattice.located import Rival, SizeOdds
from chartscan.reading.lattice.model import Lattice
from chartscan.reading.lattice.rectified import Grey
from chartscan.reading.lattice.sight import Sight, reduction, sight_of
from chartscan.reading.lattice.verify import log_odds, terms_of
from chartscan.reading.lattice.weights import VerifySettings
from chartscan.reading.scale import BOLD, LEAST_CELLS, LEAST_PITCH, SEVERAL

Made = TypeVar("Made")


@dataclass(frozen=True)
class ContestSettings:
    """Which lattices are held against one another.

    Attributes:
        verify: how each is judged.
        reach: lines by which an end may be moved; as far as is looked at, less one.
        between: mean log-odds of lines midway, or a third of the way, both ways, from which on a
            half or third of the pitch is worth looking at; on a plain grid −0.6 and −2.8, at twice
            and three times its pitch 0.8 and −0.4.
        most_finer: cells that finer lattices may have.
        most: proposals looked at, best first.
    """

    verify: VerifySettings = VerifySettings()
    reach: int = 3
    between: float = -0.5
    most_finer: int = 20_000
    most: int = 8


@dataclass(frozen=True)
class Judged:
    """A rectangle of a lattice's cells and its log-odds against "there is no grid here".

    Attributes:
        whole: the lattice that was proposed.
        extent: which of its cells, or how far beyond them.
        log_odds: in nats.
    """

    whole: Lattice
    extent: Extent
    log_odds: float

    @property
    def size(self) -> tuple[int, int]:
        """Columns and rows."""
        return self.extent.columns, self.extent.rows

    @cached_property
    def lattice(self) -> Lattice:
        """The lattice of that rectangle; made where it is asked for, which of hundreds few are."""
        here = self.extent
        return self.whole.cut(here.left, here.top, here.columns, here.rows)


@dataclass(frozen=True)
class Verdict:
    """The likeliest lattice, and the other sizes that were held against it, likeliest first."""

    winner: Judged
    rivals: tuple[Rival, ...]

    def odds(self, size: tuple[int, int]) -> float | None:
        """Log-odds of the best lattice of ``size`` (columns, rows); None where none was judged."""
        if size == self.winner.size:
            return self.winner.log_odds
        return next((r.log_odds for r in self.rivals if (r.columns, r.rows) == size), None)

    def lead_over(self, size: tuple[int, int]) -> float:
        """Nats by which the winner leads before ``size``; infinite where that wasn't judged."""
        odds = self.odds(size)
        return np.inf if odds is None else self.winner.log_odds - odds


def odds_of(
    verdict: Verdict | None, size: tuple[int, int], *, votes: float = 1.0, decided: bool = True
) -> SizeOdds:
    """How sure ``size`` is, as the verdict has it, its rivals the sizes besides."""
    if verdict is None:
        return SizeOdds(votes=votes, decided=decided)
    winner = Rival(*verdict.winner.size, verdict.winner.log_odds)
    every = (winner, *verdict.rivals)
    rivals = tuple(one for one in every if (one.columns, one.rows) != size)
    return SizeOdds(verdict.odds(size), rivals, votes, decided)


Judge = Callable[[Lattice], Sequence[Judged]]  # a proposal, and all that lies beside it


@dataclass(frozen=True, eq=False)
class Judges:
    """Who judges proposals on one page.

    Attributes:
        near: a proposal with its ends moved.
        beside: its fractions and multiples as well.
    """

    near: Judge
    beside: Judge

    def __call__(self, proposal: Lattice) -> Sequence[Judged]:
        """A proposal, and all that lies beside it."""
        return self.beside(proposal)


def judge_of(grey: Callable[[int], Grey], settings: ContestSettings = ContestSettings()) -> Judges:
    """Who judges proposals on one page, and answers at once when the same one comes again.

    What the page repeats by is proposed up to three times, what grew twice; ``grey`` gives the page
    in one channel, a whole factor smaller.
    """

    @_by_value
    def looked_at(proposal: Lattice) -> tuple[Sight, list[Judged]]:
        sight = _seen(grey, proposal, settings)
        return sight, _climbed(sight, proposal, settings)

    @_by_value
    def beside(proposal: Lattice) -> Sequence[Judged]:
        sight, near = looked_at(proposal)
        judged = near.copy()
        for other in _related(sight, max(near, key=_likely).lattice, settings):
            judged += _climbed(_seen(grey, other, settings), other, settings)
        return judged

    return Judges(lambda proposal: looked_at(proposal)[1], beside)


def _by_value(work: Callable[[Lattice], Made]) -> Callable[[Lattice], Made]:
    """The same, but worked out once for lattices that are alike."""
    known: dict[tuple[int, int, bytes, bytes], Made] = {}

    def answer(lattice: Lattice) -> Made:
        size = lattice.columns, lattice.rows
        key = (*size, lattice.homography.tobytes(), lattice.residual.tobytes())
        if key not in known:
            known[key] = work(lattice)
        return known[key]

    return answer


def contest(
    judge: Judge, proposals: Sequence[Lattice], settings: ContestSettings = ContestSettings()
) -> Verdict | None:
    """The likeliest of ``proposals``, or of what lies beside them; None where there are none.

    Args:
        judge: of the page that they lie on.
        proposals: lattices in px of the whole page, the likeliest first.
        settings: which lattices are held against one another.
    """
    judged = [one for proposal in _different(proposals, settings) for one in judge(proposal)]
    if not judged:
        return None
    best: dict[tuple[int, int], Judged] = {}
    for one in sorted(judged, key=_likely, reverse=True):
        best.setdefault(one.size, one)
    winner, *others = best.values()
    return Verdict(winner, tuple(Rival(*one.size, one.log_odds) for one in others))


def _likely(judged: Judged) -> float:
    return judged.log_odds


def _different(proposals: Sequence[Lattice], settings: ContestSettings) -> list[Lattice]:
    """The first proposals whose corners differ by half a cell, and which have enough cells."""
    kept: list[Lattice] = []
    for one in proposals:
        if min(one.columns, one.rows) < LEAST_CELLS:
            continue
        ends = _corners(one)
        near = 0.5 * min(one.pitch)
        same = (np.abs(_corners(other) - ends).max() < near for other in kept if _alike(one, other))
        if not any(same):
            kept.append(one)
        if len(kept) == settings.most:
            break
    return kept


def _alike(one: Lattice, other: Lattice) -> bool:
    return (one.columns, one.rows) == (other.columns, other.rows)


def _corners(lattice: Lattice) -> NDArray[np.float64]:
    size = np.array([lattice.columns, lattice.rows], dtype=np.float64)
    return lattice.to_pixels(np.array([[0.0, 0], [1, 0], [1, 1], [0, 1]]) * size)


def _seen(grey: Callable[[int], Grey], lattice: Lattice, settings: ContestSettings) -> Sight:
    """What the page shows around a lattice, made as small as is judged on."""
    factor = reduction(lattice, settings.verify)
    return sight_of(grey(factor), lattice.scaled(1 / factor), settings.verify)


def _climbed(sight: Sight, lattice: Lattice, settings: ContestSettings) -> list[Judged]:
    """The lattice, and what comes of moving its ends a line or two as long as that is likelier."""
    here = Extent(0, lattice.columns, 0, lattice.rows)
    tried: dict[Extent, float] = {}

    def score(ends: Extent) -> float:
        if ends not in tried:
            tried[ends] = log_odds(terms_of(sight, ends), settings.verify)
        return tried[ends]

    best = score(here)
    while True:
        near = [ends for ends in _moved(here, lattice, settings) if ends not in tried]
        if not near or max(map(score, near)) <= best:
            break
        here = max(near, key=score)
        best = score(here)
    return [Judged(lattice, ends, odds) for ends, odds in tried.items()]


def _moved(ends: Extent, lattice: Lattice, settings: ContestSettings) -> Iterator[Extent]:
    """The same ends with one of them moved by a line or two, within reach of the lattice's own."""
    whole = (0, lattice.columns, 0, lattice.rows)
    for side in range(4):
        for step in (-2, -1, 1, 2):
            moved = [ends.left, ends.right, ends.top, ends.bottom]
            moved[side] += step
            other = Extent(*moved)
            near = abs(moved[side] - whole[side]) <= settings.reach
            if near and min(other.columns, other.rows) >= LEAST_CELLS:
                yield other


def _related(sight: Sight, lattice: Lattice, settings: ContestSettings) -> Iterator[Lattice]:
    """The same area in finer and in coarser cells, where what is seen lets that be."""
    cells, ways = lattice.columns * lattice.rows, (sight.upright, sight.level)
    for times in sorted({*SEVERAL, *BOLD}):  # bold lines repeat, too
        if min(lattice.pitch) / times < LEAST_PITCH:
            continue
        if cells * times**2 > settings.most_finer:
            continue
        between = {2: [w.halves for w in ways], 3: [w.thirds for w in ways]}.get(times, [])
        around = sight.around
        inner = (each[around:-around, around:-around].mean() for each in between)
        if min(inner, default=0.0) >= settings.between:
            yield lattice.in_cells(1 / times)
    for times in SEVERAL:
        yield from _multiples(sight, lattice, times, settings)


def _multiples(
    sight: Sight, lattice: Lattice, times: int, settings: ContestSettings
) -> Iterator[Lattice]:
    """Every ``times``-th line, from the first one on and from the one that is seen best."""
    ways = (sight.upright, sight.level)
    across, down = (_strongest(way.sides, sight.around, times) for way in ways)
    for left, top in sorted({(0, 0), (across, down)}):
        columns = (lattice.columns - left) // times * times
        rows = (lattice.rows - top) // times * times
        if min(columns, rows) >= times * LEAST_CELLS:
            yield lattice.cut(left, top, columns, rows).in_cells(times)


def _strongest(sides: NDArray[np.float64], around: int, times: int) -> int:
    """From which line on every ``times``-th is seen best."""
    lines = sides[around:-around, around:-around].mean(axis=0)
    return int(np.argmax([lines[k::times].mean() for k in range(times)]))
