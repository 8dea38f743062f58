"""What grew, laid finely on the lines of the page, and on those that it slipped off."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from chartscan.reading.lattice.contest import ContestSettings, contest
from chartscan.reading.lattice.model import Lattice
from chartscan.reading.lattice.rectified import LineEvidence, sides_of
from chartscan.reading.lattice.refine import refined
from chartscan.reading.lattice.slips import unslipped
from chartscan.reading.lattice.views import Views


@dataclass(frozen=True)
class PlacedSettings:
    """How a lattice comes to lie on the lines of a page.

    Attributes:
        side: how much of a cell's side must be an edge for it to be seen.
        lacking: part of the lines of which nothing may be seen.
        likelier: nats by which a lattice without a slip must be likelier than with it: twice as
            likely. On drawn scans those that had slipped were so by 1.2 to 4.7 (seeds 920001,
            420003 and 88011), on photographs two that hadn't by less than nothing (920107 and
            920112).
        contest: how a lattice without a slip is held against the one that has it.
    """

    side: float = 0.35
    lacking: float = 0.25
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
    best, evidence, lined = _laid(views, lattice, settings)
    if not lined:
        return None
    proposals = [best]
    for other in unslipped(best, evidence):
        anew, _, lined = _laid(views, other, settings)
        if lined:
            proposals.append(anew)
    return best if len(proposals) == 1 else _likeliest(luma, proposals, settings)


def _laid(
    views: Views, lattice: Lattice, settings: PlacedSettings
) -> tuple[Lattice, LineEvidence, bool]:
    """The lattice laid on its lines, what is seen of them, and whether nearly all are seen.

    There, or where it grew: hairlines may fall between the places that are looked at.
    """
    lies = refined(views.grey, lattice)
    lined = _all_lined(lies.evidence, settings) or _all_lined(lies.before, settings)
    return lies.lattice, lies.evidence, lined


def _all_lined(evidence: LineEvidence, settings: PlacedSettings) -> bool:
    """Whether there is something of nearly every line; bricks, staves and tables lack many."""
    sides = sides_of(evidence)
    seen = [(s >= settings.side).mean(axis=1) for s in (sides.upright.T, sides.level)]
    return all((part == 0).mean() <= settings.lacking for part in seen)


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
