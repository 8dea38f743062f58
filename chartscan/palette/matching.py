"""A thread for every class of a chart: the recipe, from the chart's colours to matches."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import replace

import numpy as np

from chartscan.chart import Chart
from chartscan.colour import lab_to_srgb, round_rgb, srgb_to_lab
from chartscan.palette import remarks
from chartscan.palette.blend import blend_of
from chartscan.palette.choose import Choice, choose
from chartscan.palette.learn import Learnt, learn_colours
from chartscan.palette.ownership import Owned
from chartscan.palette.settings import MatchSettings
from chartscan.palette.targets import Targets, find_targets, needs_mm
from chartscan.palette.thread import (
    UNTOLD,
    Candidate,
    Match,
    Matches,
    Palette,
    Thread,
    no_thread,
)
from chartscan.palette.weigh import Costs, Range, candidates, thread_range, weigh, with_alternatives

TOLD = "told by the key"
"""The grade of a thread that the key named for a class without a colour."""


def match(
    chart: Chart,
    palette: Palette,
    settings: MatchSettings = MatchSettings(),
    key: Mapping[int, Thread] | None = None,
    owned: Owned | None = None,
    partners: Mapping[int, Thread] | None = None,
    picks: Mapping[int, tuple[Thread, ...]] | None = None,
) -> Matches:
    """A thread for every class of ``chart`` that is worked.

    Args:
        chart: the chart; classes of every kind but ``empty`` are matched. One that has no colour
            and that the key doesn't name gets :func:`~chartscan.palette.thread.no_thread`.
        palette: the threads to choose from.
        settings: how to choose.
        key: threads that the user names, by class index; they are taken as told.
        owned: what is at hand and not promised; None = not known.
        partners: the second thread of classes that ``key`` gives a blend; what such a class teaches
            of the chart's colours isn't used.
        picks: the thread, or the two of a blend, that the user picked in place of what is chosen,
            by class index; they teach nothing.

    Raises:
        MatchError: no thread may be used for a class.
    """
    key, partners = key or {}, partners or {}
    open_ = any(c.kind != "empty" and c.index not in key for c in chart.classes)
    plain = {index: thread for index, thread in key.items() if index not in partners}
    learnt = learn_colours(chart, plain) if open_ and not settings.as_printed else None
    targets = find_targets(chart, key, learnt)
    offered = thread_range(palette, owned)
    needs = needs_mm(chart, settings)[[c.index for c in targets.classes]]
    costs = weigh(targets.lab, offered, needs, settings.own_within, settings.discontinued)
    chosen = choose(chart, targets, offered, costs, key, settings)
    matches = _matched(targets, offered, costs, chosen, settings, learnt)
    matches += _told(chart, key, owned, partners) + _untold(chart, key)
    matches = [_picked(m, (picks or {}).get(m.class_index, ()), owned) for m in matches]
    matches = _beside_own(matches, offered)
    matches.sort(key=lambda m: m.class_index)
    warnings = [
        *remarks.on_untold(matches),
        *remarks.on_other_colours(matches, offered, settings),
        *remarks.on_sharing(chart, matches, settings),
        *remarks.on_merges(targets, offered, costs, chosen, settings),
        *remarks.on_discontinued(chart, matches, offered, settings),
        *remarks.on_promised(matches, owned),
        *remarks.on_shades(chart, matches, settings),
        *remarks.on_ties(targets, offered, costs, chosen, settings),
    ]
    notes = [learnt.note] if learnt else []
    notes += remarks.on_moves(targets, offered, costs, chosen)
    notes += remarks.on_variegated(matches)
    return Matches(tuple(matches), tuple(warnings), tuple(notes))


def _matched(
    targets: Targets,
    offered: Range,
    costs: Costs,
    chosen: Choice,
    settings: MatchSettings,
    learnt: Learnt | None,
) -> list[Match]:
    """The matches of the classes that were matched by colour."""
    rows = with_alternatives(costs, offered, chosen.threads, settings.alternatives)
    shown = np.where(np.isfinite(chosen.margins), chosen.margins, np.nan).tolist()
    return [
        Match(
            class_index=entry.index,
            rgb=entry.rgb,
            chosen=row[0],
            alternatives=row[1:],
            margin=None if math.isnan(margin) else margin,
            corrected=round_rgb(lab_to_srgb(lab)) if learnt else None,
        )
        for entry, row, margin, lab in zip(targets.classes, rows, shown, targets.lab, strict=True)
    ]


def _told(
    chart: Chart,
    key: Mapping[int, Thread],
    owned: Owned | None,
    partners: Mapping[int, Thread],
) -> list[Match]:
    """The matches of the classes that the key names; ΔE is from the chart's colour as printed."""
    return [
        Match(
            c.index,
            c.rgb,
            as_candidate(c.rgb, key[c.index], owned, partners.get(c.index)),
            keyed=True,
            blended=partners.get(c.index),
        )
        for c in chart.classes
        if c.kind != "empty" and c.index in key
    ]


def _picked(found: Match, picked: tuple[Thread, ...], owned: Owned | None) -> Match:
    """A match with what was picked in its place; what was found becomes the next best."""
    if not picked:
        return found
    first, *second = picked
    others = (found.chosen, *found.alternatives)
    return replace(
        found,
        chosen=as_candidate(found.corrected or found.rgb, first, owned, *second),
        blended=second[0] if second else None,
        alternatives=tuple(c for c in others if c.thread.told and c.thread != first),
        margin=None,
        keyed=True,
        picked=not found.keyed,
    )


def _beside_own(matches: list[Match], offered: Range) -> list[Match]:
    """The matches, each with the nearest thread at hand where its own isn't at hand."""
    some = np.flatnonzero(offered.owned > 0) if offered.owned is not None else np.zeros(0, np.intp)
    lacking = [m for m in matches if m.rgb is not None and not m.chosen.owned]
    if not (some.size and lacking):
        return matches
    lab = srgb_to_lab([m.corrected or m.rgb or (0, 0, 0) for m in lacking])
    costs = weigh(lab, offered, discontinued=True)
    nearest = some[np.argmin(costs.delta_e[:, some], axis=1)].tolist()
    own = candidates(costs, offered, list(enumerate(nearest)))
    found = {m.class_index: one for m, one in zip(lacking, own, strict=True)}
    return [replace(m, own=found.get(m.class_index)) for m in matches]


def _untold(chart: Chart, key: Mapping[int, Thread]) -> list[Match]:
    """What stands for the threads of classes that have no colour and aren't named."""
    return [
        Match(c.index, None, Candidate(no_thread(c.index), 0.0, UNTOLD))
        for c in chart.classes
        if c.kind != "empty" and c.rgb is None and c.index not in key
    ]


def as_candidate(
    rgb: tuple[int, int, int] | None,
    thread: Thread,
    owned: Owned | None = None,
    partner: Thread | None = None,
) -> Candidate:
    """A thread that was named for a colour, with how far it is off; ΔE is 0 where there is none.

    With a ``partner`` it is the blend of both that is held against the colour.
    """
    if rgb is None:
        return Candidate(thread, 0.0, TOLD, owned=None if owned is None else owned.of(thread))
    if partner is not None:
        mixed = blend_of(srgb_to_lab(rgb), thread, partner)
        at_hand = None if owned is None else owned.of(thread)
        return Candidate(thread, mixed.delta_e, mixed.grade, mixed.direction, at_hand)
    one = thread_range(Palette((thread,)), owned)
    return candidates(weigh(srgb_to_lab(rgb), one, discontinued=True), one, [(0, 0)])[0]
