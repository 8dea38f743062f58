"""What the stitcher should know about the threads chosen, a line each."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence

import numpy as np

from chartscan.chart import Chart, ChartClass
from chartscan.colour import (
    ACCEPTABLE,
    DIFFERENT,
    ciede2000_matrix,
    format_hex,
    srgb_to_lab,
)
from chartscan.palette.choose import Choice
from chartscan.palette.ownership import Owned
from chartscan.palette.settings import MatchSettings
from chartscan.palette.shades import hue_groups, lost_steps
from chartscan.palette.targets import Targets, needs_mm
from chartscan.palette.thread import Match, Thread
from chartscan.palette.weigh import Costs, Range

TIES_TOLD = 8  # a line each; of more only the number is told, --json has every margin
WORST_TOLD = 10  # of each kind; more are counted, since a page of warnings warns of nothing


def on_other_colours(
    matches: Sequence[Match], offered: Range, settings: MatchSettings
) -> list[str]:
    """Classes whose thread is another colour, the worst first, and whether the range has a better.

    ``DIFFERENT`` is the ΔE00 above which nobody takes two threads for one. A thread that can
    neither be bought nor is at hand is none of the better ones, unless ``settings`` allows it.
    """
    far = [m for m in matches if m.rgb and m.chosen.delta_e > DIFFERENT]
    may = offered.current | (offered.owned_mm > 0) | settings.discontinued
    if not may.any():  # all of them named by the key, in a range that is no longer made
        may = ~may
    far.sort(key=lambda m: -m.chosen.delta_e)
    lines = []
    for match in far:
        lab = srgb_to_lab(np.array([match.corrected or match.rgb], dtype=np.float64))
        each = np.where(may, ciede2000_matrix(lab, offered.lab)[0], np.inf)
        nearest = int(np.argmin(each))
        way = f", {match.chosen.direction}" if match.chosen.direction else ""
        told = (
            f"class {match.class_index}: {label(match.chosen.thread)} is another colour"
            f" (ΔE {match.chosen.delta_e:.1f}{way})"
        )
        if each[nearest] > DIFFERENT:
            lines.append(f"{told}; no thread of the range comes nearer than {each[nearest]:.1f}")
        else:
            near = f"{label(offered.threads[nearest])} comes within {each[nearest]:.1f}"
            lines.append(f"{told}; {near}")
    return _worst(lines, "classes get a thread of another colour")


def _worst(lines: list[str], what: str) -> list[str]:
    """The first of ``lines``, and how many more there are."""
    more = len(lines) - WORST_TOLD
    return lines if more <= 0 else [*lines[:WORST_TOLD], f"{more} more {what}"]


def on_merges(
    targets: Targets, offered: Range, costs: Costs, chosen: Choice, settings: MatchSettings
) -> list[str]:
    """What ``at_most`` made of each class that doesn't get its nearest thread."""
    if settings.at_most is None:
        return []
    lines = []
    for at, (entry, thread) in enumerate(
        zip(targets.classes, chosen.threads.tolist(), strict=True)
    ):
        nearest = int(np.argmin(costs.cost[at]))
        if thread != nearest:
            others = [
                str(other.index)
                for other, its in zip(targets.classes, chosen.threads.tolist(), strict=True)
                if its == thread and other.index != entry.index
            ]
            shares = f", shared with class {listed(others)}" if others else ""
            lines.append(
                f"{_named(entry)} takes {label(offered.threads[thread])}{shares} instead of "
                f"{label(offered.threads[nearest])}: "
                f"ΔE {costs.delta_e[at, nearest]:.1f} becomes {costs.delta_e[at, thread]:.1f} "
                f"on {targets.amounts[at]:.4g} {_unit(entry)}"
            )
    return lines


def on_ties(
    targets: Targets, offered: Range, costs: Costs, chosen: Choice, settings: MatchSettings
) -> list[str]:
    """Where two threads, or two ways to share them out, are equally near."""
    lines: list[str] = []
    for at, entry in enumerate(targets.classes):
        margin = float(chosen.margins[at])
        if not margin <= settings.tie:
            continue
        mine = int(chosen.threads[at])
        rival = int(
            np.argmin(np.where(np.arange(len(offered.threads)) == mine, np.inf, costs.cost[at]))
        )
        if settings.distinct and targets.competing[at]:
            lines.append(
                f"{_named(entry)}: the threads can be shared out another way that is as near, "
                f"without {label(offered.threads[mine])} here (ΔE {margin:.2f} more in all)"
            )
        else:
            lines.append(
                f"{_named(entry)}: {label(offered.threads[mine])} and "
                f"{label(offered.threads[rival])} are equally near (ΔE {margin:.2f} apart)"
            )
    more = len(lines) - TIES_TOLD
    if more > 0:
        lines[TIES_TOLD:] = [f"{more} more classes have two threads that are equally near"]
    return lines


def on_untold(matches: Sequence[Match]) -> list[str]:
    """Classes that have no colour on the page and that nobody has named a thread for."""
    untold = [str(m.class_index) for m in matches if not m.chosen.thread.told]
    if not untold:
        return []
    of = f"class {untold[0]}" if len(untold) == 1 else f"classes {listed(untold)}"
    return [
        f"no thread is told for {of}: the page prints a symbol in ink and no colour; "
        "name the thread in a key"
    ]


def on_sharing(chart: Chart, matches: Sequence[Match], settings: MatchSettings) -> list[str]:
    """Stitched classes that fall on one thread; with ``at_most`` the merges tell it."""
    if settings.at_most is not None:
        return []
    sharing: dict[Thread, list[str]] = defaultdict(list)
    for match in matches:
        if chart.classes[match.class_index].kind == "stitch":
            sharing[match.chosen.thread].append(str(match.class_index))
    lines = [
        f"classes {listed(classes)} fall on one thread, {label(thread)}"
        for thread, classes in sharing.items()
        if len(classes) > 1
    ]
    return _worst(lines, "threads are each given to several classes")


def on_shades(chart: Chart, matches: Sequence[Match], settings: MatchSettings) -> list[str]:
    """Steps between shades of one hue that the threads lose or turn round, the widest first.

    A step that no eye would miss in the chart is none.
    """
    stitched = [m for m in matches if m.rgb and chart.classes[m.class_index].kind == "stitch"]
    if not stitched:
        return []
    lab = srgb_to_lab(np.array([m.corrected or m.rgb for m in stitched], dtype=np.float64))
    thread_lab = np.array([m.chosen.thread.lab for m in stitched])
    lines = []
    groups = hue_groups(lab, settings.shades)
    found = lost_steps(lab, thread_lab, groups, settings.shades)
    seen = [step for step in found if step.chart_gap >= ACCEPTABLE or settings.keep_shades]
    for lost in sorted(seen, key=lambda step: -step.chart_gap):
        darker, lighter = stitched[lost.darker], stitched[lost.lighter]
        if darker.chosen.thread == lighter.chosen.thread:
            if not settings.keep_shades:
                continue  # told already: they fall on one thread
            how = f"both get {label(darker.chosen.thread)}"
        elif lost.thread_gap < 0:
            one, other = label(darker.chosen.thread), label(lighter.chosen.thread)
            how = f"its thread {one} is lighter than {other}"
        else:
            how = f"their threads {_threads(darker, lighter)} are only {lost.thread_gap:.1f} apart"
        lines.append(
            f"class {darker.class_index} is darker than class {lighter.class_index} by "
            f"{lost.chart_gap:.1f} in lightness, but {how}"
        )
    return _worst(lines, "shades aren't a clear step darker than the next")


def on_moves(targets: Targets, offered: Range, costs: Costs, chosen: Choice) -> list[str]:
    """Colours whose thread was changed to keep the shades in order."""
    return [
        f"{_named(targets.classes[at])} takes {label(offered.threads[chosen.threads[at]])} instead "
        f"of {label(offered.threads[before])} to keep the shades in order: "
        f"ΔE {costs.delta_e[at, before]:.1f} becomes {costs.delta_e[at, chosen.threads[at]]:.1f}"
        for at, before in chosen.moved.items()
    ]


def on_discontinued(
    chart: Chart, matches: Sequence[Match], offered: Range, settings: MatchSettings
) -> list[str]:
    """Discontinued threads of which less is at hand than all their classes roughly take."""
    needs = needs_mm(chart, settings)
    total: dict[Thread, float] = defaultdict(float)
    for match in matches:
        if match.chosen.thread.status == "discontinued":
            total[match.chosen.thread] += float(needs[match.class_index])
    lines = []
    for thread, need in total.items():
        at = offered.index(thread)
        at_hand = float(offered.owned_mm[at]) if at >= 0 else 0.0
        if offered.owned is None:
            lines.append(f"{label(thread)} is discontinued; it takes about {need / 1000:.1f} m")
        elif at_hand < need:
            lines.append(
                f"{label(thread)} is discontinued, and {at_hand / 1000:.1f} m of strand at hand "
                f"may not be enough for about {need / 1000:.1f} m"
            )
    return lines


def on_promised(matches: Sequence[Match], owned: Owned | None) -> list[str]:
    """Chosen threads of which all that is owned is promised to other projects."""
    if owned is None or not owned.promised:
        return []
    lines = []
    for thread in dict.fromkeys(m.chosen.thread for m in matches if not m.chosen.owned):
        others = owned.promised.get((thread.line, thread.code))
        if others:
            lines.append(f"{label(thread)} is promised to {listed(others)}; none of it is free")
    return _worst(lines, "threads are promised elsewhere")


def on_variegated(matches: Sequence[Match]) -> list[str]:
    """Variegated threads, which were matched by their mean."""
    threads = dict.fromkeys(m.chosen.thread for m in matches if m.chosen.thread.colours)
    return [variegated(thread) for thread in threads]


def variegated(thread: Thread) -> str:
    """That a thread of several colours was matched by their mean, and how far they spread."""
    lab = srgb_to_lab(np.array(thread.colours, dtype=np.float64))
    spread = float(ciede2000_matrix(lab, lab).max())
    return (
        f"{label(thread)} is variegated: matched by the mean of its {len(thread.colours)} colours, "
        f"which are up to ΔE {spread:.0f} apart"
    )


def label(thread: Thread) -> str:
    """A thread as a sentence names it: code, and name where it has one."""
    return f"{thread.code} {thread.name}" if thread.name else thread.code


def _named(entry: ChartClass) -> str:
    return f"class {entry.index} ({format_hex(entry.rgb)})" if entry.rgb else f"class {entry.index}"


def _unit(entry: ChartClass) -> str:
    return {"line": "cells of backstitch", "knot": "knots"}.get(entry.kind, "stitches")


def _threads(first: Match, second: Match) -> str:
    return f"{label(first.chosen.thread)} and {label(second.chosen.thread)}"


def listed(words: Sequence[str]) -> str:
    """Words as a sentence lists them: a, b and c."""
    return " and ".join(filter(None, [", ".join(words[:-1]), words[-1]]))
