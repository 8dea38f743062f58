"""The order of shades: light to dark in the chart must stay light to dark in thread.

Within a group of one hue every step of the chart should be a clear step of lightness in the
threads, since shading lives on it. A step that costs more than it is worth is given up, and said.
"""

from __future__ import annotations

import heapq
import itertools
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
Index = NDArray[np.intp]

# Of 400 random groups of 2 to 8 colours in ranges of hardly more threads, half took 3 and 13 more
# than this; in a range that has threads enough it is 1.
MOST_BRANCHES = 500


@dataclass(frozen=True)
class ShadeSettings:
    """What counts as shades of one hue and as a step between them (all practice, no source).

    Attributes:
        hue_span: widest range of hue angles in one group, degrees; about a twelfth of the circle.
        neutral: chroma C* under which colours form a group of greys, whatever their hue.
        least_gap: smallest step in the chart, in L*, that is one; about what an eye sees.
        clear: step in L* that is clear in thread; a little over the acceptable 1.8.
        share: share of the chart's own step that is enough where that step is small, 0 to 1.
        worth: ΔE00 that keeping one step may cost in all; beyond, colours stop being the chart's.
    """

    hue_span: float = 30.0
    neutral: float = 8.0
    least_gap: float = 1.0
    clear: float = 2.0
    share: float = 0.5
    worth: float = 5.0


@dataclass(frozen=True)
class LostStep:
    """Two neighbouring shades whose threads aren't a clear step apart, or stand the wrong way.

    Attributes:
        darker: position of the darker colour.
        lighter: position of the lighter one.
        chart_gap: step between the colours in L*, positive.
        thread_gap: step between their threads in L*, negative where the order is turned round.
    """

    darker: int
    lighter: int
    chart_gap: float
    thread_gap: float


def hue_groups(lab: Array, settings: ShadeSettings = ShadeSettings()) -> tuple[Index, ...]:
    """Positions of the colours ``lab`` (n, 3) by group of one hue, each dark to light.

    Greys are one group. Groups of a single colour are left out.
    """
    chroma = np.hypot(lab[:, 1], lab[:, 2])
    hue = np.degrees(np.arctan2(lab[:, 2], lab[:, 1])) % 360
    groups = [np.flatnonzero(chroma < settings.neutral).tolist()]
    coloured = np.flatnonzero(chroma >= settings.neutral)
    if len(coloured):
        groups += _split_circle(coloured[np.argsort(hue[coloured], kind="stable")], hue, settings)
    return tuple(
        np.array(sorted(group, key=lambda i: (lab[i, 0], i)), dtype=np.intp)
        for group in groups
        if len(group) > 1
    )


def _split_circle(ordered: Index, hue: Array, settings: ShadeSettings) -> list[list[int]]:
    """Split colours in order of hue, starting after the widest gap on the circle of hues."""
    gaps = np.diff(hue[ordered], append=hue[ordered[0]] + 360)
    ordered = np.roll(ordered, -(int(np.argmax(gaps)) + 1))
    groups: list[list[int]] = []
    start = np.inf
    for index in ordered.tolist():
        if not groups or (hue[index] - start) % 360 > settings.hue_span:
            groups.append([])
            start = hue[index]
        groups[-1].append(index)
    return groups


def needed_steps(lightness: Array, settings: ShadeSettings) -> Array:
    """Least step in thread for each step of ``lightness`` (n,), rising: (n - 1,); 0 = none."""
    gap = np.diff(lightness)
    needed: Array = np.where(
        gap < settings.least_gap, 0.0, np.minimum(settings.clear, settings.share * gap)
    )
    return needed


def keep_order(
    cost: Array,
    lightness: Array,
    thread_lightness: Array,
    settings: ShadeSettings = ShadeSettings(),
    *,
    distinct: bool = True,
) -> Index | None:
    """Threads for one group at the least total ``cost`` whose steps are clear, dark to light.

    By dynamic programming over threads in order of lightness; a lost step costs ``settings.worth``.
    With ``distinct`` no thread serves twice, see :func:`keep_orders`.

    Args:
        cost: of each thread for each colour of the group, (n, threads); infinity = not allowed.
        lightness: L* of the colours, rising, (n,).
        thread_lightness: L* of the threads, (threads,).
        settings: what a clear step is.
        distinct: no thread may serve twice.

    Returns:
        The thread of each colour, (n,); None where there is no way, or none within MOST_BRANCHES.
    """
    if distinct:
        found = keep_orders([cost], [lightness], thread_lightness, settings)
        return None if found is None else found[0]
    cheapest = _cheapest(cost, lightness, thread_lightness, settings, distinct=False)
    return None if cheapest is None else cheapest[1]


def keep_orders(
    costs: Sequence[Array],
    lightnesses: Sequence[Array],
    thread_lightness: Array,
    settings: ShadeSettings = ShadeSettings(),
) -> tuple[Index, ...] | None:
    """Threads for several groups together as :func:`keep_order`, none of which serves twice.

    Each group is chosen for by itself. Where a thread then serves twice, it is barred for one of
    the two colours or for the other, and the cheaper way is followed on: branch and bound, so that
    what is found is the least total of all groups, unless it is given up.

    Returns:
        The threads of each group; None where there is no way, or none within MOST_BRANCHES.
    """

    def solve(group: int, cost: Array) -> tuple[float, Index] | None:
        return _cheapest(cost, lightnesses[group], thread_lightness, settings, distinct=True)

    start = [solve(group, cost) for group, cost in enumerate(costs)]
    solved = tuple(one for one in start if one is not None)
    if len(solved) < len(start):
        return None
    number = itertools.count()  # decides between equal totals, in the order they were found
    total = sum(one[0] for one in solved)
    open_ways = [(total, next(number), solved, tuple(costs))]
    for _ in range(MOST_BRANCHES):
        if not open_ways:
            return None
        total, _, solved, allowed = heapq.heappop(open_ways)
        twice = _served_twice([one[1] for one in solved])
        if twice is None:
            return tuple(one[1] for one in solved)
        for group, colour in twice:
            barred = allowed[group].copy()
            barred[colour, solved[group][1][colour]] = np.inf
            found = solve(group, barred)
            if found is not None:
                more = total - solved[group][0] + found[0]
                ways = (*solved[:group], found, *solved[group + 1 :])
                left = (*allowed[:group], barred, *allowed[group + 1 :])
                heapq.heappush(open_ways, (more, next(number), ways, left))
    return None


Place = tuple[int, int]  # group, and colour in it


def _served_twice(chosen: Sequence[Index]) -> tuple[Place, Place] | None:
    """Two colours that got one thread; None where there are none."""
    first: dict[int, Place] = {}
    for group, threads in enumerate(chosen):
        for colour, thread in enumerate(threads.tolist()):
            if thread in first:
                return first[thread], (group, colour)
            first[thread] = group, colour
    return None


def _cheapest(
    cost: Array,
    lightness: Array,
    thread_lightness: Array,
    settings: ShadeSettings,
    *,
    distinct: bool,
) -> tuple[float, Index] | None:
    """The least total and its threads; with ``distinct`` neighbours differ but for lost steps."""
    order = np.argsort(thread_lightness, kind="stable")
    sorted_l, sorted_cost = thread_lightness[order], cost[:, order]
    places = np.arange(len(order))
    total = sorted_cost[0]
    came_from: list[Index] = []
    for step, row in zip(needed_steps(lightness, settings), sorted_cost[1:], strict=True):
        reach = np.searchsorted(sorted_l, sorted_l - step, side="right")
        reach = np.minimum(reach, places + (not distinct))
        best = np.minimum.accumulate(total)
        where = np.maximum.accumulate(np.where(total == best, places, 0))
        clear = np.where(reach > 0, best[reach - 1], np.inf)
        anywhere = int(np.argmin(total))
        lost = total[anywhere] + settings.worth
        came_from.append(np.where(clear <= lost, where[reach - 1], anywhere))
        total = row + np.minimum(clear, lost)
    place = int(np.argmin(total))
    if not np.isfinite(total[place]):
        return None
    path = [place]
    for back in reversed(came_from):
        path.append(int(back[path[-1]]))
    return float(total[place]), order[path[::-1]]


def lost_steps(
    lab: Array,
    thread_lab: Array,
    groups: Sequence[Index],
    settings: ShadeSettings = ShadeSettings(),
) -> tuple[LostStep, ...]:
    """Steps of ``lab`` (n, 3) that aren't clear in the threads they got, ``thread_lab`` (n, 3)."""
    lost: list[LostStep] = []
    for group in groups:
        needed = needed_steps(lab[group, 0], settings)
        gap, made = np.diff(lab[group, 0]), np.diff(thread_lab[group, 0])
        lost += [
            LostStep(int(group[i]), int(group[i + 1]), float(gap[i]), float(made[i]))
            for i in np.flatnonzero((needed > 0) & (made < needed))
        ]
    return tuple(lost)
