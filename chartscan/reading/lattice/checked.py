"""A lattice that seems to lie straight on a scan or photograph, checked.

A flatbed scan may lie straight and yet bend near a fold; and what lies straight may be anything: a
rug, every second line, a table. So it is laid on its lines, judged, and where that leaves doubt
held against what grows on the page.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from chartscan.progress import Progress, silent
from chartscan.reading.lattice.contest import Verdict, contest, odds_of
from chartscan.reading.lattice.extent import Extent
from chartscan.reading.lattice.fine import fine
from chartscan.reading.lattice.grown import GrownSettings, locate_grown
from chartscan.reading.lattice.located import Located
from chartscan.reading.lattice.model import Lattice
from chartscan.reading.lattice.rectified import line_evidence, sides_of
from chartscan.reading.lattice.refine import refined, strays
from chartscan.reading.lattice.views import Views
from chartscan.reading.page.page import Page
from chartscan.reading.scale import LEAST_CELLS


@dataclass(frozen=True)
class CheckSettings:
    """When a lattice that lies straight is not believed.

    Attributes:
        lies: how far beside its lines, in cells, a row of a lattice that lies on them may lie.
        nearer: the part of that that may be left once it is moved, for it to be moved: what lies
            along rows of pixels is most likely an export. Two drawn scans (seeds 141003, 1340042)
            came to 0.3 and 0.4 of it, and their cells from 0.15 to 0.03 and 0.05; ten exports
            (seeds 1340007 to 1340042) came to 0.5 and more, or weren't brought to lie, and would
            have been moved off by 0.02 to 0.1. What comes into step doesn't tell the two apart.
        bent: part of the line evidence by which more must come into step where it doesn't lie on
            its lines even then, and for the page to be anything but straight.
        all_over: part of the page's width and height that a lattice over all of it spans.
        sure: nats from which on it needs no rival; right ones of drawn and of real pages had 2 to
            17.
        behind: nats by which another end or pitch, or what grows, may be likelier.
        overruled: the same where nothing grows: from there on that is taken. Small exports (9 × 9
            cells of 8 to 14 px, JPEG) that were read at half their pitch were behind by 16 to 26.
    """

    lies: float = 0.08
    nearer: float = 0.45
    bent: tuple[float, float] = (0.02, 0.1)
    all_over: float = 0.9
    sure: float = 5.0
    behind: float = 3.0
    overruled: float = 10.0


def checked(
    page: Page,
    straight: Lattice,
    growth: GrownSettings = GrownSettings(),
    progress: Progress = silent,
    settings: CheckSettings = CheckSettings(),
    *,
    tight: bool = False,
) -> Located:
    """A straight lattice as it really lies, or what grows in its stead where that is likelier.

    Args:
        page: the page.
        straight: what was found on it.
        growth: how another is grown, which takes long and is only done in doubt.
        progress: hears of that.
        settings: when it is in doubt.
        tight: whether it is known to lie on its lines to the pixel.
    """
    views = Views.at(page, "luma")
    lies, doubted = (straight, False) if tight else _laid(views, straight, settings)
    judge = views.judge(growth.contest)
    alone = contest(judge, [lies], growth.contest)
    if alone is None:  # too few cells to be judged
        other = None if tight else locate_grown(page, growth, progress)
        return other if isinstance(other, Located) else Located(lies)
    size = (lies.columns, lies.rows)
    lead = alone.lead_over(size)
    own = alone.winner.log_odds - lead
    if doubted or own < settings.sure or lead > settings.behind:
        other = locate_grown(page, growth, progress)
        if isinstance(other, Located):
            if (other.lattice.columns, other.lattice.rows) == size:  # only its size was in doubt
                return Located(lies, other.odds)
            both = contest(judge, [lies, other.lattice], growth.contest)
            if both is not None and both.lead_over(size) > settings.behind:
                return other
    return _likeliest(lies, alone, settings)


def _likeliest(lies: Lattice, alone: Verdict, settings: CheckSettings) -> Located:
    """The lattice, or another end or pitch of it that is likelier by far."""
    size, best = (lies.columns, lies.rows), alone.winner
    if alone.lead_over(size) > settings.overruled and best.log_odds >= settings.sure:
        return Located(replace(best.lattice, drawn=True), odds_of(alone, best.size))
    return Located(lies, odds_of(alone, size))


def _laid(views: Views, lattice: Lattice, settings: CheckSettings) -> tuple[Lattice, bool]:
    """The lattice laid on its lines, and whether it may not be the chart's at all.

    It isn't where cells are few or no lines are drawn, or where it spans the whole page and ends
    in no line, as a rug does; nor where it had to be moved so much that the page hardly lies
    straight.
    """
    if min(lattice.columns, lattice.rows) < LEAST_CELLS or not lattice.drawn:
        return lattice, True
    doubted = _all_over(views, lattice, settings)
    before = strays(views.grey, lattice)
    if before <= settings.lies:
        return lattice, doubted
    moved = refined(views.grey, lattice, whatever_it_brings=True)
    after = strays(views.grey, moved.lattice)
    told = after <= settings.lies or moved.gain >= settings.bent[0]
    better = told and after <= settings.nearer * before
    return moved.lattice if better else lattice, doubted or moved.gain >= settings.bent[1]


def _all_over(views: Views, lattice: Lattice, settings: CheckSettings) -> bool:
    """Whether the lattice spans the whole page, and its outer lines are not clearly drawn.

    Of a chart that is cut close, and no page on a rug, half of the sides of its outer cells are.
    """
    factor = fine(lattice)
    grey, lattice = views.grey(factor), lattice.scaled(1 / factor)
    spans = np.multiply((lattice.columns, lattice.rows), lattice.pitch) / grey.shape[::-1]
    if spans.min() < settings.all_over:
        return False
    whole = Extent(0, lattice.columns, 0, lattice.rows)
    sides = sides_of(line_evidence(grey, lattice, whole), rug=True)
    outer = [side[[0, 1, -2, -1], 1:-1].mean() for side in (sides.upright, sides.level.T)]
    return bool(np.mean(outer) < 0.5)
