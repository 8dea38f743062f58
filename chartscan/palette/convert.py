"""A thread list of one range turned into another range."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from chartscan.palette.choose import refuse_impossible, take_distinct, take_nearest
from chartscan.palette.ownership import Owned
from chartscan.palette.remarks import label, listed, variegated
from chartscan.palette.settings import MatchSettings
from chartscan.palette.substitutes import Remembered, Substitute
from chartscan.palette.thread import Candidate, Palette, Thread
from chartscan.palette.weigh import thread_range, weigh, with_alternatives

NOTHING = Remembered({})


@dataclass(frozen=True)
class Conversion:
    """What a called-for thread becomes.

    Attributes:
        called_for: the thread of the first range.
        chosen: the thread of the second.
        alternatives: the next best, nearest first.
        margin: ΔE00 by which the chosen one beats the second best; None where there is no other,
            or her own table says so.
        remembered: the row of her table that says so; None where it is the nearest.
    """

    called_for: Thread
    chosen: Candidate
    alternatives: tuple[Candidate, ...]
    margin: float | None
    remembered: Substitute | None = None


@dataclass(frozen=True)
class Conversions:
    """Every thread of a list in its order, and what the stitcher should know."""

    threads: tuple[Conversion, ...]
    warnings: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()


def convert_threads(
    called_for: Sequence[Thread],
    palette: Palette,
    settings: MatchSettings,
    owned: Owned | None = None,
    remembered: Remembered = NOTHING,
) -> Conversions:
    """The thread of ``palette`` for each thread called for; repeats are taken once.

    What her own table of substitutes says (``remembered``) is taken, else the nearest. Of
    ``settings`` these count: distinct, own_within, discontinued, alternatives and tie.

    Raises:
        MatchError: no thread may be used, or there are too few for one each.
    """
    wanted = tuple(dict.fromkeys(called_for))
    offered = thread_range(palette, owned)
    costs = weigh(
        Palette(wanted).lab,
        offered,
        own_within=settings.own_within,
        discontinued=settings.discontinued,
    )
    fixed = {
        at: offered.index(remembered.taken[thread][0])
        for at, thread in enumerate(wanted)
        if thread in remembered.taken
    }
    threads, margins = _choose(costs.cost, fixed, distinct=settings.distinct)
    rows = with_alternatives(costs, offered, threads, settings.alternatives)
    made = tuple(
        Conversion(
            thread,
            row[0],
            row[1:],
            margin if math.isfinite(margin) else None,
            remembered.taken[thread][1] if thread in remembered.taken else None,
        )
        for thread, row, margin in zip(wanted, rows, margins.tolist(), strict=True)
    )
    notes = (*remembered.notes, *_notes(made))
    return Conversions(made, tuple(_warnings(made, settings)), notes)


def _choose(
    cost: NDArray[np.float64], fixed: Mapping[int, int], *, distinct: bool
) -> tuple[NDArray[np.intp], NDArray[np.float64]]:
    """Threads and margins of all colours; those that are fixed have no margin."""
    threads = np.array([fixed.get(at, 0) for at in range(len(cost))], dtype=np.intp)
    margins = np.full(len(cost), np.inf)
    open_ = np.array([at not in fixed for at in range(len(cost))], dtype=bool)
    offered = cost[open_].copy()
    if distinct:
        offered[:, list(fixed.values())] = np.inf
    refuse_impossible(offered)
    chosen = take_distinct(offered) if distinct else take_nearest(offered)
    threads[open_], margins[open_] = chosen.threads, chosen.margins
    return threads, margins


def _warnings(made: Sequence[Conversion], settings: MatchSettings) -> list[str]:
    onto: dict[Thread, list[str]] = defaultdict(list)
    for conversion in made:
        onto[conversion.chosen.thread].append(label(conversion.called_for))
    warnings = [
        f"{listed(called_for)} fall on one thread, {label(thread)}"
        for thread, called_for in onto.items()
        if len(called_for) > 1
    ]
    if settings.distinct:
        return warnings
    return warnings + [
        f"{label(c.called_for)}: {label(c.chosen.thread)} and {label(c.alternatives[0].thread)} "
        f"are equally near (ΔE {c.margin:.2f} apart)"
        for c in made
        if c.margin is not None and c.margin <= settings.tie and c.alternatives
    ]


def _notes(made: Sequence[Conversion]) -> list[str]:
    threads = dict.fromkeys(t for c in made for t in (c.called_for, c.chosen.thread) if t.colours)
    taken = [
        f"{label(c.called_for)} becomes {label(c.chosen.thread)}: {c.remembered.words}"
        for c in made
        if c.remembered
    ]
    return taken + [variegated(thread) for thread in threads]
