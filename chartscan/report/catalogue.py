"""Charts of a catalogue, listed: as lines for the terminal and as JSON."""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator, Sequence
from itertools import islice
from textwrap import indent
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from chartscan.archive.looking import Entry
    from chartscan.archive.together import Whole

PER_CENT = 100
TOGETHER = 500  # charts under one head: of more, columns aren't worked out at once


def catalogue_lines(entries: Iterable[Entry], of: int) -> Iterator[str]:
    """A line for each chart, and one that sums them up: how many there are, of how many in all."""
    from chartscan.report.units import counted

    number = 0
    remaining = iter(entries)
    while some := list(islice(remaining, TOGETHER)):
        number += len(some)
        yield from _lines(some)
    yield (
        f"{counted(number, 'chart')}." if number == of else f"{number:,} of {counted(of, 'chart')}."
    )


def _lines(entries: Sequence[Entry]) -> list[str]:
    from chartscan.report.listing import Column, list_lines
    from chartscan.report.terminal import console

    columns = (
        *(Column("No.", right=True), Column("Columns × rows", right=True)),
        *(Column("Stitches", right=True), Column("Colours", right=True)),
        *(Column("Doubtful", right=True), Column("Asks", right=True), Column("Page")),
    )
    rows = [
        (
            str(e.number),
            f"{e.columns} × {e.rows}",
            f"{e.stitches:,}",
            str(len(e.colours)),
            f"{PER_CENT * e.doubtful / (e.columns * e.rows):.1f} %",
            str(len(e.questions)) if e.questions else "-",
            e.place,
        )
        for e in entries
    ]
    return list_lines(columns, rows, console().width)


def proposal_lines(wholes: Sequence[Whole]) -> Iterator[str]:
    """A sentence for each proposal: which charts seem to be one, and why."""
    for whole in wholes:
        *first, last = map(str, whole.charts)
        down, across = whole.layout
        how = "side by side" if down == 1 else "one below the other"
        if min(down, across) > 1:
            how = f"in {down} rows of {across}"
        yield f"Charts {', '.join(first)} and {last} seem to be one, {how}: {whole.why}."


def catalogue_json(
    entries: Iterable[Entry], wholes: Sequence[Whole], *, ascii_only: bool
) -> Iterator[str]:
    """The charts, and which of them seem to be one, as one JSON object, piece by piece."""

    def dumped(value: object) -> str:
        return indent(json.dumps(value, ensure_ascii=ascii_only, indent=1), "  ")

    yield '{\n "charts": ['
    for number, entry in enumerate(entries):
        yield ("," if number else "") + "\n" + dumped(_entry(entry))
    yield '\n ],\n "together": ['
    for number, whole in enumerate(wholes):
        yield ("," if number else "") + "\n" + dumped(_whole(whole))
    yield "\n ]\n}"


def _whole(whole: Whole) -> dict[str, Any]:
    return {"charts": list(whole.charts), "layout": list(whole.layout), "why": whole.why}


def _entry(entry: Entry) -> dict[str, Any]:
    return {
        "number": entry.number,
        "file": entry.path,
        "page": entry.page,
        "pages": entry.pages,
        "chart_file": str(entry.chart_file),
        "columns": entry.columns,
        "rows": entry.rows,
        "stitches": entry.stitches,
        "marks": entry.marks,
        "doubtful": entry.doubtful,
        "colours": [
            {
                "rgb": None if colour.rgb is None else list(colour.rgb),
                "symbol": colour.symbol,
                "stitches": colour.stitches,
            }
            for colour in entry.colours
        ],
        "questions": list(entry.questions),
        "seconds": round(entry.seconds, 3),
        "version": entry.version,
    }
