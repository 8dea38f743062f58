"""What grew from one seed after another, and which size most of it speaks for."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from chartscan.reading.lattice.contest import Judge
from chartscan.reading.lattice.grow import Grown
from chartscan.reading.lattice.model import Lattice
from chartscan.reading.lattice.seeds import Seed
from chartscan.reading.lattice.views import Views


@dataclass(frozen=True)
class Found:
    """A lattice that grew, in pixels of the whole page.

    Attributes:
        views: the page as it was looked at.
        factor: how many times smaller it was looked at.
        seed: from where.
        grown: what grew there.
        lattice: cut to the gridded rectangle.
        score: how much of the page it covers, and how well.
        whole: whether it ends where its cells end.
        sure: whether it covers much of the page, too, and ends there however one looks at it.
    """

    views: Views
    factor: int
    seed: Seed
    grown: Grown
    lattice: Lattice
    score: float
    whole: bool
    sure: bool

    @property
    def size(self) -> tuple[int, int]:
        """Columns and rows."""
        return self.lattice.columns, self.lattice.rows

    def agrees(self, other: Found) -> bool:
        """Whether the other is of the same size, or far from as good."""
        return self.size == other.size or other.score < 0.5 * self.score


def others(first: Found, seen: Sequence[Found]) -> list[Found]:
    """The best of each other size, best first."""
    best: dict[tuple[int, int], Found] = {}
    for found in sorted(seen, key=lambda found: -found.score):
        best.setdefault(found.size, found)
    return [found for found in best.values() if found.size != first.size]


def outweighs(found: Found, seen: Sequence[Found], part: float) -> bool:
    """Whether whole lattices of that size have ``part`` of the scores of all."""
    alike = sum(other.score for other in seen if other.whole and other.size == found.size)
    return alike >= part * sum(other.score for other in seen)


def decided(seen: Sequence[Found], votes: int) -> bool:
    """Whether the size of the lattice found last needs no more proof.

    It is sure and none as good differs; or lattices of that size grew from as many seeds as
    ``votes`` says, and have half of the scores of all.
    """
    last = seen[-1]
    if last.sure and all(last.agrees(other) for other in seen):
        return True
    seeds = {id(found.seed) for found in seen if found.whole and found.size == last.size}
    return len(seeds) >= votes and outweighs(last, seen, 0.5)


def stands_out(most: Found, seen: Sequence[Found], judge: Judge, least: float) -> bool:
    """Whether a lattice is a grid by ``least`` nats, and all of other sizes are likelier none.

    Print around a small grid may repeat over more of the page, and outweigh it.
    """

    def odds(found: Found) -> float:
        return max(one.log_odds for one in judge(found.lattice) if one.size == found.size)

    return odds(most) >= least and all(odds(other) < 0 for other in others(most, seen))


def agreed(seen: Sequence[Found]) -> Found | None:
    """The best whole lattice of the size that most speaks for; None where nothing is sure.

    A size was found more than once, or by a lattice that covers much of the page.
    """
    alike: dict[tuple[int, int], list[Found]] = {}
    for found in seen:
        if found.whole:
            alike.setdefault(found.size, []).append(found)
    told = [group for group in alike.values() if len(group) > 1 or group[0].sure]
    if not told:
        return None
    most = max(told, key=lambda group: sum(found.score for found in group))
    return max(most, key=lambda found: found.score)
