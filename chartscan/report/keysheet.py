"""The key sheet: every class with its symbol, its colour, its count, and room for its thread."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from chartscan.chart import Chart
from chartscan.report.html import render
from chartscan.report.pictures import symbol_uri

KINDS = {"stitch": "stitches", "line": "cells of backstitch", "knot": "knots", "empty": ""}


def key_sheet(
    chart: Chart, title: str, rows: Sequence[Mapping[str, str]], *, typed: bool = True
) -> str:
    """The key as one HTML page, to print and write on or to type into and save.

    Args:
        chart: the chart.
        title: what stands at its head.
        rows: the rows of the key (:func:`chartscan.palette.keytemplate.key_rows`), filled in or
            not; what the page saves has the same columns.
        typed: whether it is to be typed into as well, which takes a script; else printed alone.
    """
    shown = [_shown(chart, row) for row in rows]
    columns = list(rows[0]) if rows else []
    return render("key.html.j2", title=title, rows=shown, columns=columns, typed=typed)


def _shown(chart: Chart, row: Mapping[str, str]) -> dict[str, object]:
    """One class: what is seen of it, and its row of the key as it stands."""
    entry = chart.classes[int(row["class"])]
    return {
        "picture": symbol_uri(entry),
        "hex": row["rgb"],
        "name": entry.name,
        "kind": KINDS[entry.kind],
        "cells": dict(row),
    }
