"""Which thread each colour gets: the nearest, one of its own, one of few, or one in its shade."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace

import numpy as np
from numpy.typing import NDArray

from chartscan.chart import Chart
from chartscan.colour import PERCEPTIBLE, ciede2000_matrix, srgb_to_lab
from chartscan.errors import MatchError
from chartscan.palette.distinct import assign, gaps
from chartscan.palette.fewer import fewest
from chartscan.palette.settings import MatchSettings
from chartscan.palette.shades import hue_groups, keep_order, keep_orders, needed_steps
from chartscan.palette.targets import Targets
from chartscan.palette.thread import Thread
from chartscan.palette.weigh import Costs, Range

Array = NDArray[np.float64]
Index = NDArray[np.intp]


@dataclass(frozen=True)
class Choice:
    """Positions of the chosen threads, and how sure each is.

    Attributes:
        threads: thread of each colour, (colours,).
        margins: by how much it beats the second best, (colours,); NaN where that has no meaning,
            infinity where there is no other.
        moved: for each colour whose thread was changed to keep shades in order, the thread before.
    """

    threads: Index
    margins: Array
    moved: Mapping[int, int] = field(default_factory=dict)


def choose(
    chart: Chart,
    targets: Targets,
    offered: Range,
    costs: Costs,
    key: Mapping[int, Thread],
    settings: MatchSettings,
) -> Choice:
    """The thread of each target.

    Raises:
        MatchError: no thread may be used for a colour, or there are too few.
    """
    if not len(costs.cost):
        return Choice(np.empty(0, dtype=np.intp), np.empty(0))
    refuse_impossible(costs.cost)
    chosen = take_nearest(costs.cost)
    if settings.at_most is not None:
        chosen = _few(targets, offered, costs, chosen, key, settings.at_most)
    if settings.distinct:
        costs = _without_keyed(chart, targets, offered, costs, key)
        chosen = _distinct(targets, costs, chosen)
    if settings.keep_shades and settings.at_most is None:
        chosen = _in_shades(targets, offered, costs, chosen, settings)
    return _sharing(chart, targets, offered, costs, chosen, key)


def take_nearest(cost: Array) -> Choice:
    """The thread of least ``cost`` (colours, threads) for each colour."""
    threads = np.argmin(cost, axis=1)
    if cost.shape[1] < 2:
        return Choice(threads, np.full(len(threads), np.inf))
    two = np.partition(cost, 1, axis=1)
    return Choice(threads, two[:, 1] - two[:, 0])


def take_distinct(cost: Array) -> Choice:
    """A thread of its own for each colour at the least total ``cost`` (colours, threads).

    Raises:
        MatchError: there are too few threads.
    """
    threads = assign(cost)
    return Choice(threads, gaps(cost, threads))


def refuse_impossible(cost: Array) -> None:
    """MatchError where a colour may have no thread at all."""
    if not np.isfinite(cost).any(axis=1).all():
        raise MatchError(
            "every thread of the palette is discontinued and not at hand in sufficient length; "
            "use another palette, or allow discontinued threads"
        )


def _few(
    targets: Targets,
    offered: Range,
    costs: Costs,
    nearest: Choice,
    key: Mapping[int, Thread],
    limit: int,
) -> Choice:
    named = {offered.index(thread) for thread in key.values()} - {-1}
    elsewhere = len({t for t in key.values() if offered.index(t) < 0})  # threads of another range
    threads = fewest(costs.cost, targets.amounts, limit - elsewhere, named)
    margins = np.where(threads == nearest.threads, nearest.margins, np.nan)
    return Choice(threads, margins)


def _without_keyed(
    chart: Chart, targets: Targets, offered: Range, costs: Costs, key: Mapping[int, Thread]
) -> Costs:
    """Costs under which no stitched class may take a thread that the key gave to another."""
    taken = {offered.index(t) for i, t in key.items() if chart.classes[i].kind == "stitch"} - {-1}
    barred = np.zeros(len(offered.threads), dtype=bool)
    barred[sorted(taken)] = True
    cost = np.where(targets.competing[:, None] & barred[None], np.inf, costs.cost)
    return replace(costs, cost=cost)


def _distinct(targets: Targets, costs: Costs, nearest: Choice) -> Choice:
    threads, margins = nearest.threads.copy(), nearest.margins.copy()
    own = take_distinct(costs.cost[targets.competing])
    threads[targets.competing], margins[targets.competing] = own.threads, own.margins
    return Choice(threads, margins)


def _in_shades(
    targets: Targets, offered: Range, costs: Costs, chosen: Choice, settings: MatchSettings
) -> Choice:
    """Choose anew within each group of shades whose steps aren't kept.

    Where every colour gets a thread of its own, groups want each other's threads: then all of them
    are chosen for together, or, where that takes too many tries, one after the other.
    """
    competing = np.flatnonzero(targets.competing)
    groups = [competing[group] for group in hue_groups(targets.lab[competing], settings.shades)]
    shades = settings.shades

    def keeps(members: Index) -> bool:
        made = np.diff(offered.lab[chosen.threads[members], 0])
        needed = needed_steps(targets.lab[members, 0], shades)
        return not ((needed > 0) & (made < needed)).any()

    losing = [members for members in groups if not keeps(members)]
    if not losing:
        return chosen
    alone = np.setdiff1d(competing, np.concatenate(groups))
    every = [*groups, *alone.reshape(-1, 1)]
    found = None
    if settings.distinct:
        found = keep_orders(
            [costs.cost[members] for members in every],
            [targets.lab[members, 0] for members in every],
            offered.lab[:, 0],
            shades,
        )
    if found is None:
        every, found = (
            losing,
            _one_by_one(losing, competing, targets, offered, costs, chosen, settings),
        )
    threads, margins = chosen.threads.copy(), chosen.margins.copy()
    for members, taken in zip(every, found, strict=True):
        margins[members] = np.where(taken == threads[members], margins[members], np.nan)
        threads[members] = taken
    changed = np.flatnonzero(threads != chosen.threads).tolist()
    return Choice(threads, margins, {at: int(chosen.threads[at]) for at in changed})


def _one_by_one(
    groups: Sequence[Index],
    competing: Index,
    targets: Targets,
    offered: Range,
    costs: Costs,
    chosen: Choice,
    settings: MatchSettings,
) -> tuple[Index, ...]:
    """Threads for one group after the other; a group for which there is no way stays as it is."""
    threads = chosen.threads.copy()
    for members in groups:
        cost = costs.cost[members].copy()
        if settings.distinct:
            cost[:, threads[np.setdiff1d(competing, members)]] = np.inf
        lightness = targets.lab[members, 0]
        found = keep_order(
            cost, lightness, offered.lab[:, 0], settings.shades, distinct=settings.distinct
        )
        threads[members] = threads[members] if found is None else found
    return tuple(threads[members] for members in groups)


def _sharing(
    chart: Chart,
    targets: Targets,
    offered: Range,
    costs: Costs,
    chosen: Choice,
    key: Mapping[int, Thread],
) -> Choice:
    """Let backstitch and knots use the thread of a stitched class that has the same colour."""
    marks = np.flatnonzero(~targets.competing)
    keyed = [c for c in chart.classes if c.kind == "stitch" and c.rgb and c.index in key]
    keyed_lab = srgb_to_lab(np.array([c.rgb for c in keyed], dtype=np.float64).reshape(-1, 3))
    stitched = np.concatenate([targets.lab[targets.competing], keyed_lab])
    used = chosen.threads[targets.competing].tolist()
    used += [offered.index(key[c.index]) for c in keyed]
    if not len(marks) or not used:
        return chosen
    threads, margins = chosen.threads.copy(), chosen.margins.copy()
    delta_e = ciede2000_matrix(targets.lab[marks], stitched)
    for mark, row in zip(marks.tolist(), delta_e, strict=True):
        same = int(np.argmin(row))
        thread = used[same]
        allowed = thread >= 0 and np.isfinite(costs.cost[mark, thread])
        if row[same] < PERCEPTIBLE and allowed and threads[mark] != thread:
            threads[mark], margins[mark] = thread, np.nan
    return replace(chosen, threads=threads, margins=margins)
