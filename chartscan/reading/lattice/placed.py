"""What grew, laid finely on the lines of the page, and on those that it slipped off."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from chartscan.reading.lattice.contest import ContestSettings, contest
from chartscan.reading.lattice.extent import Extent
from chartscan.reading.lattice.fine import fine
from chartscan.reading.lattice.model import Lattice
from chartscan.reading.lattice.rectified import LineEvidence, line_evidence, sides_of
from chartscan.reading.lattice.settle import settled
from chartscan.reading.lattice.slips import SlipSettings, unslipped
from chartscan.reading.lattice.views import Views


@dataclass(frozen=True)
class PlacedSettings:
    """How a lattice comes to lie on the lines of a page.

    Attributes:
        in_step: part of the line evidence that may get out of step when a lattice settles, and when
            one of few cells does; it is as much as chance makes. Of 15 small grids (drawn, seeds
            1220101 to 1220116) three lost 0.02 to 0.08 and lay at a third of the error for it.
        far: cells that a lattice moves by, when it settles, from which on so much more of the
            evidence must come into step: symbols are in step with the cells, too.
        side: how much of a cell's side must be an edge for it to be seen.
        seen: part of a line's sides that are seen at least; poor photographs reach 0.2.
        lacking: part of the lines that may be seen less.
        slips: how lines that it slipped off are looked for.
        likelier: nats by which a lattice without a slip must be likelier than with it: twice as
            likely. On drawn scans those that had slipped were so by 1.2 to 4.7 (seeds 920001,
            420003 and 88011), on photographs two that hadn't by less than nothing (920107 and
            920112).
        contest: how a lattice without a slip is held against the one that has it.
    """

    in_step: tuple[float, float] = (0.01, 0.1)
    far: tuple[float, float] = (0.3, 0.04)
    side: float = 0.35
    seen: float = 0.05
    lacking: float = 0.25
    slips: SlipSettings = SlipSettings()
    likelier: float = math.log(2)
    contest: ContestSettings = ContestSettings()


def placed(
    views: Views, lattice: Lattice, luma: Views, settings: PlacedSettings = PlacedSettings()
) -> Lattice | None:
    """The lattice on the lines of the page; None where many of them are missing.

    It has another size where it slipped by a line and is likelier without that.

    Args:
        views: the page as the lattice was found on it.
        lattice: that, in px of the whole page.
        luma: the page as lattices are judged on it.
        settings: how it comes to lie on the lines.
    """
    best, evidence, lined = _settled(views, lattice, settings)
    if not lined:
        return None
    proposals = [best]
    for other in unslipped(best, evidence, settings.slips):
        anew, _, lined = _settled(views, other, settings)
        if lined:
            proposals.append(anew)
    return best if len(proposals) == 1 else _likeliest(luma, proposals, settings)


def _settled(
    views: Views, lattice: Lattice, settings: PlacedSettings
) -> tuple[Lattice, LineEvidence, bool]:
    """The lattice once settled, unless that got it out of step; what is seen of its lines.

    And whether something of nearly all is seen, there or where it grew: hairlines may fall between
    the places that are looked at.
    """
    factor = fine(lattice)
    moved = settled(views.grey, factor, lattice)
    needed = settings.far[1] if moved.moved > settings.far[0] else -settings.in_step[moved.small]
    settles = moved.gain >= needed
    if settles and _all_lined(moved.evidence, settings):
        return moved.lattice, moved.evidence, True
    whole = Extent(0, lattice.columns, 0, lattice.rows)
    before = line_evidence(views.grey(factor), lattice.scaled(1 / factor), whole)
    lined = _all_lined(before, settings)
    return (moved.lattice, moved.evidence, lined) if settles else (lattice, before, lined)


def _all_lined(evidence: LineEvidence, settings: PlacedSettings) -> bool:
    """Whether there is something of nearly every line; bricks, staves and tables lack many."""
    sides = sides_of(evidence)
    seen = [(s >= settings.side).mean(axis=1) for s in (sides.upright.T, sides.level)]
    return all((part < settings.seen).mean() <= settings.lacking for part in seen)


def _likeliest(luma: Views, proposals: list[Lattice], settings: PlacedSettings) -> Lattice:
    """Of lattices that differ in size the likeliest; the first unless another is clearly so.

    Each is judged by its own lines: another may be of the same size by ending elsewhere.
    """
    odds = []
    for each in proposals:
        verdict = contest(luma.judge(settings.contest).near, [each], settings.contest)
        own = None if verdict is None else verdict.odds((each.columns, each.rows))
        odds.append(-math.inf if own is None else own)
    best = int(np.argmax(odds))
    return proposals[best if odds[best] >= odds[0] + settings.likelier else 0]
