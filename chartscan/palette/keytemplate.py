"""The key to fill in: a row for every class to be worked, with what was told already kept.

CSV ``class,symbol,count,rgb,cells,code`` and whatever columns the stitcher added. ``cells`` names
up to three cells of the class as ``row:column``, counted from 1: numbers of classes change when a
page is read again, places on the page don't.
"""

from __future__ import annotations

import csv
import io
import re
from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np

from chartscan.chart import Chart, ChartClass
from chartscan.colour import DIFFERENT, ciede2000, format_hex, srgb_to_lab
from chartscan.csvtable import Row, Table, read_rows, refuse

COLUMNS = ("class", "symbol", "count", "rgb", "cells", "code")


@dataclass(frozen=True)
class TemplateSettings:
    """How a class is found again.

    Attributes:
        anchors: cells named for a class; three outvote one that was corrected since.
        same_colour: ΔE (CIEDE2000) within which two readings show the ink of one line or knot.
    """

    anchors: int = 3
    same_colour: float = DIFFERENT


@dataclass(frozen=True)
class _Told:
    """What a key that exists says: its rows by class of the chart, and the columns it has."""

    rows: Mapping[int, Mapping[str, str]] = field(default_factory=dict)
    columns: tuple[str, ...] = ()


def key_rows(
    chart: Chart, told: Table | None = None, settings: TemplateSettings = TemplateSettings()
) -> list[dict[str, str]]:
    """A row for every class to be worked, by column; what the key ``told`` says is filled in.

    Raises:
        TableError: ``told`` can't be read, or rows of it that name a thread fit no class of the
            chart any more; all of them are named.
    """
    known = _read_told(told, chart, settings) if told is not None else _Told()
    extra = [name for name in known.columns if name not in COLUMNS]
    rows: list[dict[str, str]] = []
    for entry, count in zip(chart.classes, chart.counts(), strict=True):
        if entry.kind == "empty":
            continue
        said = known.rows.get(entry.index, {})
        row = {
            "class": str(entry.index),
            "symbol": entry.symbol or ("" if entry.kind == "stitch" else entry.kind),
            "count": f"{round(count, 1):.10g}",
            "rgb": "" if entry.rgb is None else format_hex(entry.rgb),
            "cells": " ".join(f"{r + 1}:{c + 1}" for r, c in _anchors(entry, chart, settings)),
            "code": said.get("code", ""),
        }
        rows.append(row | {name: said.get(name, "") for name in extra})
    return rows


def key_template(
    chart: Chart, told: Table | None = None, settings: TemplateSettings = TemplateSettings()
) -> str:
    """The text of a key to fill in: :func:`key_rows` as CSV."""
    rows = key_rows(chart, told, settings)
    stream = io.StringIO()
    writer = csv.DictWriter(stream, list(rows[0]) if rows else COLUMNS, lineterminator="\n")
    writer.writeheader()
    writer.writerows(rows)
    return stream.getvalue()


def class_at(text: str, chart: Chart) -> int | None:
    """The class that most of the cells in ``text`` (``row:column`` from 1) belong to.

    None where no cell is named, or where they are of different classes without a majority.

    Raises:
        ValueError: ``text`` isn't a list of cells.
    """
    votes: Counter[int] = Counter()
    for place in text.split():
        match = re.fullmatch(r"(\d{1,6}):(\d{1,6})", place)
        if not match:
            raise ValueError(f"cells {text!r} aren't like 12:30 44:7 (row:column, from 1)")
        row, column = int(match[1]) - 1, int(match[2]) - 1
        if 0 <= row < chart.rows and 0 <= column < chart.columns:
            votes[int(chart.cells[row, column])] += 1
    if not votes:
        return None
    (first, most), *others = votes.most_common(2)
    return first if not others or most > others[0][1] else None


def _anchors(entry: ChartClass, chart: Chart, settings: TemplateSettings) -> list[tuple[int, int]]:
    """Cells of a class, spread over it, from 0; none for lines and knots."""
    if entry.kind not in ("stitch", "empty"):
        return []
    places = np.argwhere(chart.cells == entry.index)
    if not len(places):
        return []
    chosen = np.unique(np.linspace(0, len(places) - 1, settings.anchors).round().astype(int))
    return [(int(r), int(c)) for r, c in places[chosen]]


def _read_told(path: Table, chart: Chart, settings: TemplateSettings) -> _Told:
    rows = read_rows(path, ("class", "code"))
    found: dict[int, Mapping[str, str]] = {}
    bad: list[str] = []
    for row in rows:
        try:
            index = _place(row, chart, settings)
            if index is None:
                if row.text("code"):
                    raise ValueError(
                        f"the class of thread {row.text('code')} isn't in this chart any more; "
                        "write the template to another file"
                    )
            elif index in found and row.text("code") != found[index].get("code", "").strip():
                raise ValueError(f"class {index} has a thread already, by an earlier line")
            else:
                found[index] = row.cells
        except ValueError as error:
            bad.append(f"line {row.line}: {error}")
    refuse(path, bad)
    return _Told(found, tuple(rows[0].cells) if rows else ())


def _place(row: Row, chart: Chart, settings: TemplateSettings) -> int | None:
    """The class of ``chart`` that a row of an older key speaks of."""
    if row.text("cells"):
        index = class_at(row.text("cells"), chart)
        return index if index is not None and chart.classes[index].kind == "stitch" else None
    kind = row.text("symbol")
    if kind in ("line", "knot"):
        return _of_ink(kind, row.text("rgb"), chart, settings)
    return _of_number(row, chart)


def _of_ink(kind: str, rgb: str, chart: Chart, settings: TemplateSettings) -> int | None:
    """The line or knot of that ink, if its colour tells it from the others."""
    same = [c for c in chart.classes if c.kind == kind]
    near = [c for c in same if c.rgb is not None and _difference(rgb, c.rgb) < settings.same_colour]
    return near[0].index if len(near) == 1 else None


def _difference(rgb: str, other: tuple[int, int, int]) -> float:
    if not re.fullmatch("#[0-9a-fA-F]{6}", rgb):
        return float("inf")
    levels = np.array([list(bytes.fromhex(rgb[1:])), other])
    lab = srgb_to_lab(levels)
    return float(ciede2000(lab[0], lab[1]))


def _of_number(row: Row, chart: Chart) -> int | None:
    """The class of that number, where its count and colour are still those of the row."""
    number = row.text("class")
    if not number.isdecimal() or int(number) >= len(chart.classes):
        return None
    entry, count = chart.classes[int(number)], chart.counts()[int(number)]
    rgb = "" if entry.rgb is None else format_hex(entry.rgb)
    same = row.text("count", f"{round(count, 1):.10g}") == f"{round(count, 1):.10g}"
    return entry.index if same and row.text("rgb", rgb).lower() == rgb else None
