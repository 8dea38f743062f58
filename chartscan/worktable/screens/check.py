"""The check: questions first, then the classes, then single doubtful cells; every act undone by Z.

What is told goes by the lines of :mod:`chartscan.chart.corrections.parse`, as on the command line,
and is kept with the chart.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import replace
from typing import TYPE_CHECKING, Any

import numpy as np

from chartscan.chart import Chart, ChartClass
from chartscan.chart.corrections.acts import (
    Bare,
    ClassRef,
    Made,
    Seen,
)
from chartscan.chart.corrections.lines import EMPTY, NEW, lasting, line_of
from chartscan.chart.corrections.replay import undo
from chartscan.chart.corrections.tell import tell
from chartscan.errors import ChartError
from chartscan.tasks.check import alike_classes, candidates, class_paints
from chartscan.tasks.corrections import needs_reading
from chartscan.worktable import laying
from chartscan.worktable.kept import Kept
from chartscan.worktable.screen import Asked, Screen, Shown
from chartscan.worktable.screens.looks import about_picture, tile

if TYPE_CHECKING:
    from chartscan.worktable.table import Table

MOST_LINES = 2000  # told at once: as many cells as nobody picks by hand
MOST_DOUBTS = 500  # sent to the page; those after them come when these are settled
MOST_CHANGED = 2000  # cells that an act's answer tells one by one; of more the page asks for all
MOST_SIGNS = 20_000  # of a line that is told: a class that is two names hundreds of cells
NOTES = "check"  # where the counts of the printed key are kept among the choices


def _show(table: Table, asked: Asked) -> Mapping[str, Any]:
    kept = table.shelf.get(asked.chart)
    return {"kept": kept, "chart": table.shelf.chart(kept.id)}


# ----------------------------------------------------------------------------- looks


def _state(table: Table, asked: Asked) -> Shown:
    """All that the page knows of the chart, but for its cells."""
    kept = table.shelf.get(asked.chart)
    return _json(_known(table, kept, table.shelf.chart(kept.id)))


def _known(table: Table, kept: Kept, chart: Chart) -> dict[str, Any]:
    return {
        "version": kept.version,
        "columns": chart.columns,
        "rows": chart.rows,
        "classes": _classes(chart, kept),
        "questions": [_question(question) for question in chart.questions],
        "alike": [[pair.first, pair.second, pair.delta_e] for pair in alike_classes(chart)],
        "doubts": _doubts(chart),
        "doubtful": len(chart.doubtful),
        "lines": [[n.class_index, [list(p) for p in n.points]] for n in chart.lines],
        "knots": [[k.class_index, k.x, k.y] for k in chart.knots],
        "parts": [[p.class_index, p.row, p.column, p.shape, p.corner] for p in chart.parts],
        "done": len(chart.corrections),
        "last": _last(chart),
        "flat": about_picture(table, kept.id, "flat"),
    }


def _classes(chart: Chart, kept: Kept) -> list[dict[str, Any]]:
    paints = class_paints(chart)
    notes = _noted(chart, kept)
    counts = chart.counts()
    return [
        {
            "index": entry.index,
            "kind": entry.kind,
            "hex": _hex(entry.rgb),
            "paint": _hex(paints[entry.index]),
            "symbol": entry.symbol,
            "name": entry.name,
            "count": round(counts[entry.index], 1),
            "key": notes.get(entry.index),
            "cells": _typical(chart, entry),
        }
        for entry in chart.classes
    ]


def _typical(chart: Chart, entry: ChartClass, most: int = 3) -> list[list[int]]:
    """A few cells of a class, spread over the chart, to show what it looks like."""
    places = np.argwhere(chart.cells == entry.index)
    spread = places[:: max(1, len(places) // (most + 1))][1 : most + 1]
    return [[int(row), int(column)] for row, column in (spread if len(spread) else places[:most])]


def _noted(chart: Chart, kept: Kept) -> dict[int, int]:
    """What the printed key says, by class: noted under a cell of it, since numbers change."""
    notes = kept.choices.get(NOTES, {})
    found = {}
    for place, count in notes.items():
        row, column = map(int, place.split(","))
        if row < chart.rows and column < chart.columns:
            found[int(chart.cells[row, column])] = count
    return found


def _question(question: Any) -> dict[str, Any]:  # noqa: ANN401 - a Question
    answers = [{"text": a.text, "tell": a.tell, "chance": a.chance} for a in question.answers]
    return {
        "kind": question.kind,
        "classes": list(question.classes),
        "cells": [list(cell) for cell in question.cells],
        "text": question.text,
        "answers": answers,
    }


def _doubts(chart: Chart) -> list[dict[str, Any]]:
    """Doubtful cells, each with what it may be."""
    reasons = {(doubt.row, doubt.column): doubt.reason for doubt in chart.doubts}
    return [
        {
            "cell": [row, column],
            "reason": reasons.get((row, column), ""),
            "candidates": list(candidates(chart, row, column)),
        }
        for row, column in chart.doubtful[:MOST_DOUBTS]
    ]


def _cells(table: Table, asked: Asked) -> Shown:
    """The class of every cell, row by row: two bytes each, the lower first."""
    cells = table.shelf.chart(asked.chart).cells
    return Shown(cells.astype("<u2").tobytes(), "application/octet-stream")


def _candidates(table: Table, asked: Asked) -> Shown:
    """What one cell may be."""
    chart = table.shelf.chart(asked.chart)
    row, column = asked.whole_text("row"), asked.whole_text("column")
    if row >= chart.rows or column >= chart.columns:
        raise ValueError("that cell isn't in the chart")
    return _json({"candidates": list(candidates(chart, row, column))})


def _last(chart: Chart) -> str:
    """The last correction as a line, classes by the numbers that they have now."""

    def called(ref: ClassRef) -> str:
        match ref:
            case Seen(cells=((row, column), *_)):
                return str(chart.cells[row, column])
            case Made(word=word):
                return f"{NEW} {word}"
            case Bare():
                return EMPTY
            case _:
                return lasting(ref)

    return line_of(chart.corrections[-1], called) if chart.corrections else ""


def _json(value: Mapping[str, Any]) -> Shown:
    return Shown(json.dumps(value).encode(), "application/json")


def _hex(rgb: tuple[int, int, int] | None) -> str | None:
    return None if rgb is None else "#{:02x}{:02x}{:02x}".format(*rgb)


# ------------------------------------------------------------------------------ acts


def _tell(table: Table, asked: Asked) -> Mapping[str, Any]:
    """Correct the chart by lines; those that need the page are left to the reader's process."""
    lines = [_line(line) for line in asked.told.list_or_empty("lines")]
    if not 0 < len(lines) <= MOST_LINES:
        raise ValueError(f"tell 1 to {MOST_LINES} lines at a time")
    kept = table.shelf.get(asked.chart)
    if kept.files and any(map(_needs_page, lines)):
        kept = laying.follow(table, kept.id, asked.version, lines)
        return {"version": kept.version, "reading": True}
    before = table.shelf.chart(kept.id)
    chart = tell(before, lines)
    kept = table.shelf.change(kept.id, asked.version, lambda k: k, chart)
    if kept.files and needs_reading(chart):
        kept = laying.follow(table, kept.id, kept.version, ())
        return {"version": kept.version, "reading": True}
    return _after(table, kept, before, chart)


def _after(table: Table, kept: Kept, before: Chart, chart: Chart) -> dict[str, Any]:
    """What an act is answered: how things stand, and which cells it changed (None: many)."""
    cells = None
    if before.cells.shape == chart.cells.shape:
        places = np.flatnonzero(before.cells != chart.cells)
        if len(places) <= MOST_CHANGED:
            cells = [[int(place), int(chart.cells.flat[place])] for place in places]
    return {"version": kept.version, "state": _known(table, kept, chart), "cells": cells}


def _needs_page(line: str) -> bool:
    """Whether a line is a class to be split as the page has it: it names no cells."""
    words = line.split()
    return words[:1] == ["split"] and len(words) == len(("split", "class"))


def _line(value: object) -> str:
    if not isinstance(value, str) or len(value) > MOST_SIGNS:
        raise ValueError("a line is a text, and not a long one")
    return value


def _undo(table: Table, asked: Asked) -> Mapping[str, Any]:
    """Take the last correction back."""
    chart = table.shelf.chart(asked.chart)
    if not chart.corrections:
        raise ChartError("There is nothing to undo.")
    last = _last(chart)
    undone = undo(chart)
    before = table.shelf.get(asked.chart)
    kept = table.shelf.change(asked.chart, asked.version, lambda k: k, undone)
    if kept.files and (told := laying.with_told(before, undone)) != laying.with_told(before, chart):
        kept = laying.read_again(table, kept.id, kept.version, told)
        return {"version": kept.version, "reading": True, "undone": last}
    return {**_after(table, kept, chart, undone), "undone": last}


def _note(table: Table, asked: Asked) -> Mapping[str, Any]:
    """Note how many the printed key says there are of a class; 0 takes the note away."""
    chart = table.shelf.chart(asked.chart)
    index, count = asked.told.whole("class"), asked.told.whole("count")
    if not 0 <= index < len(chart.classes) or not 0 <= count < chart.cells.size + 1:
        raise ValueError("there is no such class, or no such number of it")
    places = np.argwhere(chart.cells == index)
    if not len(places):
        raise ValueError("that class has no cell")

    def noted(kept: Kept) -> Kept:
        notes = {
            place: n
            for place, n in kept.choices.get(NOTES, {}).items()
            if _class_at(chart, place) != index
        }
        if count:
            notes["{},{}".format(*places[0])] = count
        return replace(kept, choices={**kept.choices, NOTES: notes})

    return {"version": table.shelf.change(asked.chart, asked.version, noted).version}


def _class_at(chart: Chart, place: str) -> int:
    row, column = map(int, place.split(","))
    inside = row < chart.rows and column < chart.columns
    return int(chart.cells[row, column]) if inside else -1


SCREEN = Screen(
    "check",
    _show,
    acts={"tell": _tell, "undo": _undo, "note": _note},
    looks={"state": _state, "cells": _cells, "candidates": _candidates, "tile": tile},
)
