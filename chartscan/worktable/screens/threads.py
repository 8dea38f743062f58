"""Threads: a thread for each class, swatch beside swatch on the fabric's colour."""

from __future__ import annotations

import base64
import json
from collections.abc import Collection, Mapping, Sequence
from dataclasses import asdict, replace
from typing import TYPE_CHECKING, Any

from chartscan.csvtable import TableText, decoded
from chartscan.report import units
from chartscan.tasks import charts, drawer, picks, threads
from chartscan.worktable.kitting import (
    KitChoices,
    Prepared,
    choices_of,
    keep_pick,
    prepare,
    stash_of,
    told_choices,
    with_choices,
)
from chartscan.worktable.linked import settle
from chartscan.worktable.screen import Asked, Screen, Shown

if TYPE_CHECKING:
    from chartscan.chart import ChartClass
    from chartscan.palette import Candidate, Match, Thread
    from chartscan.worktable.kept import Kept
    from chartscan.worktable.table import Table

MOST_IN_NEEDLE = 2  # threads of a blend, one strand each
NEAREST = 8  # threads offered before anything is typed: what fits on a phone without scrolling
WARNINGS = 5  # told at once; more are a page nobody reads
JSON = "application/json"


def _show(table: Table, asked: Asked) -> Mapping[str, Any]:
    kept = table.shelf.get(asked.chart)
    made = prepare(table, kept.id)
    counted = charts.count_chart(made.chart)
    matches = {m.class_index: m for m in made.matches.matches}
    promised = _promised(table, made)
    rows = [
        _row(made, c.entry, c.number, matches.get(c.entry.index), promised)
        for c in counted
        if c.entry.kind != "empty"
    ]
    trouble = [made.linked.trouble] if made.linked and made.linked.trouble else []
    warnings = (*trouble, *made.matches.warnings)
    return {
        "kept": kept,
        "project": made.linked.told.project if made.linked else "",
        "choices": made.choices,
        "ranges": table.ranges.all(),
        "knows_stash": made.owned is not None,
        "rows": sorted(rows, key=lambda row: row["chosen"] is not None),
        "open": len(made.open),
        "lost": len(made.lost),
        "warnings": warnings[:WARNINGS],
        "more_warnings": warnings[WARNINGS:],
        "notes": made.matches.notes,
    }


def _row(
    made: Prepared,
    entry: ChartClass,
    number: float,
    match: Match | None,
    promised: Mapping[tuple[str, str], Sequence[Any]],
) -> dict[str, Any]:
    """What the template shows of one class."""
    pick = made.picks.get(entry.index)
    row: dict[str, Any] = {
        "entry": entry,
        "number": number,
        "called": entry.name or entry.symbol,
        "picked": pick is not None,
        "keyed": pick is not None and pick.keyed,
        "chosen": None,
    }
    if match is None or not match.chosen.thread.told:
        return row
    thread = match.chosen.thread
    return row | {
        "chosen": match.chosen,
        "judged": match.rgb is not None,
        "wanted": match.corrected or match.rgb,
        "have": units.at_hand(match.chosen.owned) if match.chosen.owned else "",
        "second": match.blended,
        "elsewhere": promised.get((thread.line, thread.code), ()),
        "gone": thread.status == "discontinued",
    }


def _promised(table: Table, made: Prepared) -> Mapping[tuple[str, str], Sequence[Any]]:
    """What is promised to other projects than the chart's own."""
    place, own = stash_of(table), made.linked.told.project if made.linked else ""
    every = drawer.promised(place) if place.exists() else {}
    return {key: [one for one in some if one.project != own] for key, some in every.items()}


# ---------------------------------------------------------------------------- acts


def _choose(table: Table, asked: Asked) -> Mapping[str, Any]:
    """Other settings; refused before they are kept where no threads can be chosen by them."""

    def change(kept: Kept) -> Kept:
        before, choices = choices_of(kept), told_choices(choices_of(kept), asked.told)
        same_range = before.range == choices.range
        _settle(table, kept, choices, prepare(table, kept.id).elsewhere if same_range else {})
        return with_choices(kept, choices)

    return {"version": table.shelf.change(asked.chart, asked.version, change).version}


def _pick(table: Table, asked: Asked) -> Mapping[str, Any]:
    """A thread, or two joined by a plus, for a class; none of them takes the pick away."""
    index, text = asked.told.whole("class"), asked.text("code").strip()
    keyed = bool(asked.told.data.get("keyed"))

    def change(kept: Kept) -> Kept:
        choices = choices_of(kept)
        palette = table.ranges.get(choices.range)
        line = asked.told.text_or_none("line") or ""
        codes = [code.strip() for code in text.split("+")] if text else []
        named = tuple(threads.find_thread(palette, code, line) for code in codes)
        if len(named) > MOST_IN_NEEDLE:
            raise ValueError("no more than two threads go into one needle here")
        pick = picks.Pick(named, keyed) if named else None
        choices = keep_pick(choices, table.shelf.chart(kept.id), index, pick)
        _settle(table, kept, choices, _others(table, kept, {index}))
        return with_choices(kept, choices)

    return {"version": table.shelf.change(asked.chart, asked.version, change).version}


def _take_key(table: Table, asked: Asked) -> Mapping[str, Any]:
    """A key file (class, code) that was dropped: each of its rows is a pick that the key says."""
    name = asked.text("name")
    content, assumed = decoded(asked.data, name)
    text = TableText(content, name)
    named: Mapping[int, Thread] = {}

    def change(kept: Kept) -> Kept:
        nonlocal named
        choices, chart = choices_of(kept), table.shelf.chart(kept.id)
        named = threads.read_key(text, chart, table.ranges.get(choices.range))
        for index, thread in named.items():
            choices = keep_pick(choices, chart, index, picks.Pick((thread,), keyed=True))
        _settle(table, kept, choices, _others(table, kept, named.keys()))
        return with_choices(kept, choices)

    version = asked.whole_text("version")
    kept = table.shelf.change(asked.chart, version, change)
    return {"version": kept.version, "named": len(named), **_heard(assumed)}


def _take_range(table: Table, asked: Asked) -> Mapping[str, Any]:
    """A thread range that was dropped: laid on the table and chosen for this chart."""
    text, assumed = decoded(asked.data, asked.text("name"))
    card = table.ranges.add(asked.text("name"), text)

    def change(kept: Kept) -> Kept:
        choices = replace(choices_of(kept), range=card.id)
        _settle(table, kept, choices, {})
        return with_choices(kept, choices)

    kept = table.shelf.change(asked.chart, asked.whole_text("version"), change)
    return {"version": kept.version, "name": card.name, **_heard(assumed)}


def _heard(assumed: str) -> Mapping[str, str]:
    """What is said of a file that was taken, where something was assumed of it."""
    return {"assumed": assumed} if assumed else {}


def _others(table: Table, kept: Kept, told: Collection[int]) -> Mapping[int, picks.Pick]:
    """What was chosen elsewhere for the chart's project, but for the classes that are told now."""
    said = prepare(table, kept.id).elsewhere
    return {index: pick for index, pick in said.items() if index not in told}


def _settle(
    table: Table, kept: Kept, choices: KitChoices, elsewhere: Mapping[int, picks.Pick]
) -> None:
    """See that threads can be chosen by ``choices``, and keep them with the chart's project."""
    made = prepare(table, kept.id, choices)
    if made.linked is not None:
        made = prepare(table, kept.id, choices, elsewhere)
        settle(stash_of(table), made.linked, made.chart, made.matches)


# ---------------------------------------------------------------------------- looks


def _pictures(table: Table, asked: Asked) -> Shown:
    """The pictures of the symbols, as far as the chart has them: class -> PNG in base 64."""
    chart = table.shelf.chart(asked.chart)
    return _json(
        {
            str(c.index): base64.b64encode(c.picture).decode()
            for c in chart.classes
            if c.picture is not None and c.kind != "empty"
        }
    )


def _find(table: Table, asked: Asked) -> Shown:
    """Threads for what was typed so far; before anything is typed the nearest."""
    made = prepare(table, asked.chart)
    index = asked.whole_text("class")
    words = str(asked.told.data.get("words", ""))
    match = next((m for m in made.matches.matches if m.class_index == index), None)
    rgb = None if match is None else match.corrected or match.rgb
    if words.strip():
        found = threads.judge(rgb, threads.look_up(made.palette, words, made.owned), made.owned)
    elif rgb is None:
        found = ()
    else:
        found = _nearest(made, rgb)
    promised = _promised(table, made)
    return _json([_candidate(c, promised, judged=rgb is not None) for c in found])


def _nearest(made: Prepared, rgb: tuple[int, int, int]) -> tuple[Candidate, ...]:
    colour = "#{:02x}{:02x}{:02x}".format(*rgb)
    _, found = threads.nearest(colour, made.palette, NEAREST, made.owned)
    return found


def _candidate(
    candidate: Candidate, promised: Mapping[tuple[str, str], Sequence[Any]], *, judged: bool
) -> dict[str, Any]:
    thread = candidate.thread
    return {
        "line": thread.line,
        "code": thread.code,
        "name": thread.name,
        "rgb": list(thread.rgb),
        "delta_e": round(candidate.delta_e, 1) if judged else None,
        "grade": candidate.grade if judged else "",
        "direction": candidate.direction,
        "owned": units.at_hand(candidate.owned) if candidate.owned else "",
        "gone": thread.status == "discontinued",
        "elsewhere": [asdict(one) for one in promised.get((thread.line, thread.code), ())],
    }


def _blends(table: Table, asked: Asked) -> Shown:
    """Pairs for one class, one strand of each thread."""
    made = prepare(table, asked.chart)
    (one,) = threads.blends_for_chart(
        made.chart, made.palette, made.owned, classes=[asked.whole_text("class")]
    )
    return _json(
        [
            {
                "threads": [_plain(b.first), _plain(b.second)],
                "rgb": list(b.rgb),
                "delta_e": round(b.delta_e, 1),
                "grade": b.grade,
                "direction": b.direction,
                "owned": b.owned,
            }
            for b in one.found.blends
        ]
    )


def _plain(thread: Thread) -> dict[str, Any]:
    return {
        "line": thread.line,
        "code": thread.code,
        "name": thread.name,
        "rgb": list(thread.rgb),
    }


def _json(value: object) -> Shown:
    return Shown(json.dumps(value, ensure_ascii=False).encode("utf-8", "replace"), JSON)


SCREEN = Screen(
    "threads",
    _show,
    acts={"choose": _choose, "pick": _pick, "key": _take_key, "range": _take_range},
    looks={"find": _find, "blends": _blends, "pictures": _pictures},
)
