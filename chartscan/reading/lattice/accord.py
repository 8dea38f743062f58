"""Whether all that grew on a page repeats by one pitch, or by as many as there are things on it.

A chart has one pitch each way. From wherever growth begins it comes to that, or to a whole part
or multiple of it where symbols, threads or bold lines repeat. The rows of boxes of a form, its
lines of text and its captions repeat each by their own, and so do the columns of a table and the
months of a calendar. However well each grows, they speak against one grid.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from chartscan.reading.lattice.contest import Judge, contest
from chartscan.reading.lattice.votes import Found, others
from chartscan.reading.scale import BOLD


@dataclass(frozen=True)
class AccordSettings:
    """How pitches are held against one another.

    Attributes:
        alike: by how much pitches differ at most, as a natural logarithm, that are one: small
            lattices tell theirs to a hundredth, perspective makes some hundredths over a page.
        chart: of lattices that grow on a page with a chart, how many out of how many have the
            pitches of most, as the two numbers of a beta distribution: they overlap, and so don't
            tell each for itself. Fitted to 29 drawn plates, scans, photographs and small grids in
            text (seeds 88011 to 1160016) on which nothing was sure after the first sweep.
        other: the same on pages without a chart; fitted to six drawn forms, calendars and tables
            (seeds 1110001 to 1110003). Those gave −1.5 to −4.5 nats; of the charts one −0.3, one on
            which something was likelier a grid by 6.8 nats −3.9, all others 2.7 and more.
        few: seeds of which fewer tell nothing: where lines are hidden, as on plates, up to six
            grew, some of them by chance.
        hopeless: nats against one grid from which on a page is given up.
    """

    alike: float = 0.05
    chart: tuple[float, float] = (3.2, 0.17)
    other: tuple[float, float] = (6.2, 8.5)
    few: int = 8
    hopeless: float = -2.5


def no_one_grid(
    grew: Sequence[Found], judge: Judge, settings: AccordSettings = AccordSettings()
) -> bool:
    """Whether all that grew makes one grid on the page so unlikely that it is given up.

    What is likelier a grid than none counts as much as it is likelier; what isn't tells nothing: on
    old prints the first that grows isn't the chart's lattice either. A seed tells once, by what
    grew last from it.
    """
    by_seed = {id(found.seed): found.lattice.pitch for found in grew}
    spoken = accord(list(by_seed.values()), settings)
    if spoken > settings.hopeless:
        return False
    first = max(grew, key=lambda found: found.score)
    verdict = contest(judge, [found.lattice for found in (first, *others(first, grew))])
    odds = 0.0 if verdict is None else max(0.0, verdict.winner.log_odds)
    return spoken + odds <= settings.hopeless


def accord(
    pitches: Sequence[tuple[float, float]], settings: AccordSettings = AccordSettings()
) -> float:
    """Nats by which lattices of these pitches (px across and down) speak for one grid.

    Nought where there are few.
    """
    if len(pitches) < settings.few:
        return 0.0
    others = len(pitches) - 1
    agree = int(_agreeing(np.log(pitches), settings).sum(axis=1).max()) - 1
    chart, other = (_nats(agree, others, beta) for beta in (settings.chart, settings.other))
    return chart - other


def _nats(hits: int, number: int, beta: tuple[float, float]) -> float:
    """Logarithm of how likely so many of ``number`` are, where their part is spread by ``beta``.

    Less what depends on ``hits`` and ``number`` alone (beta-binomial distribution).
    """
    alpha, misses = beta
    return _log_beta(hits + alpha, number - hits + misses) - _log_beta(alpha, misses)


def _log_beta(a: float, b: float) -> float:
    return math.lgamma(a) + math.lgamma(b) - math.lgamma(a + b)


def _agreeing(pitches: NDArray[np.float64], settings: AccordSettings) -> NDArray[np.bool_]:
    """Which of some pitches, as logarithms, are one, whole parts and multiples taken for it."""
    apart = np.abs(pitches[:, None] - pitches)
    whole = np.log(np.arange(1, min(BOLD) + 1))
    beside = np.abs(apart[..., None] - whole).min(axis=-1)
    return np.asarray((beside < settings.alike).all(axis=-1))
