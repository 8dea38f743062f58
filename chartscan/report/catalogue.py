"""Charts of a catalogue, listed: as lines for the terminal and as JSON."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from chartscan.archive.looking import Entry

PER_CENT = 100


def catalogue_lines(entries: Sequence[Entry]) -> list[str]:
    """A line for each chart, and one that sums them up."""
    from chartscan.report.listing import Column, list_lines
    from chartscan.report.terminal import console
    from chartscan.report.units import counted

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
    listed = list_lines(columns, rows, console().width) if rows else []
    return [*listed, f"{counted(len(entries), 'chart')}."]


def catalogue_object(entries: Sequence[Entry]) -> dict[str, Any]:
    """The charts as one JSON object."""
    return {"charts": [_entry(entry) for entry in entries]}


def _entry(entry: Entry) -> dict[str, Any]:
    return {
        "number": entry.number,
        "file": entry.path,
        "page": entry.page,
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
