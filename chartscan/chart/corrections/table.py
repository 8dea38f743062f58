"""Corrections as a CSV file, to keep, to mend and to apply to another reading.

The header is ``correction``; each row is a line (:mod:`chartscan.chart.corrections.parse`)::

    correction
    "set 13-15,31-33 4"
    "one 3 5"

A file with the header ``row,column,class`` and, where needed, ``into`` is taken too; there rows and
columns count from 0::

    row,column,class,into
    12,30,4,            the cell with 12 rows above it and 30 columns before it is of class 4
    12-14,31-33,4,      a block of cells
    12,34,empty,        the cell isn't stitched
    ,,5,3               all of class 5 is class 3 (the two are one)
    ,,6,empty           class 6 is the ground
    20,7,new rust,      a class of its own (split off); the same word makes the same class

Classes are those of the reading before any correction. Rows apply from top to bottom.
"""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Callable, Sequence
from pathlib import Path

from chartscan.chart.corrections.acts import Act, Block, ClassRef, Made, One, SetCells
from chartscan.chart.corrections.apply import apply
from chartscan.chart.corrections.bench import Bench, Idle
from chartscan.chart.corrections.lines import line_of
from chartscan.chart.corrections.parse import class_ref, parse
from chartscan.chart.corrections.standing import Standing
from chartscan.chart.corrections.tell import needs_picture
from chartscan.chart.model import Chart
from chartscan.csvtable import Row, read_rows, read_text, refuse

COLUMN = "correction"
OLD_COLUMNS = ("row", "column", "class")


def load_corrections(path: Path, chart: Chart) -> tuple[Act, ...]:
    """The corrections in a CSV file, for a reading of ``chart``.

    Raises:
        TableError: the file can't be read, or rows name no cell or class of the reading; all of
            them are named.
    """
    header = read_text(path).partition("\n")[0].lower()
    cells = re.split(r"[,;\t]", header)
    names: Sequence[str] = OLD_COLUMNS if COLUMN not in map(str.strip, cells) else (COLUMN,)
    rows = read_rows(path, names)
    read = chart.as_read or chart
    return _followed(path, rows, read, _told if names == (COLUMN,) else _old)


def corrections_table(chart: Chart) -> str:
    """All corrections of a chart as a CSV file that can be read back."""
    stream = io.StringIO()
    writer = csv.writer(stream, lineterminator="\n")
    writer.writerow([COLUMN])
    writer.writerows([line_of(act)] for act in chart.corrections)
    return stream.getvalue()


def _followed(
    path: Path, rows: Sequence[Row], read: Chart, act_of: Callable[[Row, Standing], Act]
) -> tuple[Act, ...]:
    """The act of every row, tried one after another; TableError names every bad row."""
    standing, bench = Standing(read), Bench(read)
    acts: list[Act] = []
    bad: list[str] = []
    for row in rows:
        try:
            act = act_of(row, standing)
            apply(bench, act)
        except Idle:
            continue  # it is so already
        except ValueError as error:
            bad.append(f"line {row.line}: {error}")
        else:
            acts.append(act)
    refuse(path, bad)
    return tuple(acts)


def _told(row: Row, standing: Standing) -> Act:
    act = parse(row.need(COLUMN), standing)
    if needs_picture(act):
        raise ValueError("which cells are the other class must be told")
    return act


# ----------------------------------------------------------- rows that count from 0


def _old(row: Row, standing: Standing) -> Act:
    place = (row.text("row"), row.text("column"))
    into = row.text("into")
    if into and any(place):
        raise ValueError("a row either sets cells (row, column, class) or merges (class, into)")
    if into:
        return One((_class(into, standing), _class(row.need("class"), standing)))
    if not all(place):
        raise ValueError("no row and column, and no class to merge into")
    top, bottom = _span(place[0], "row", standing.chart.rows)
    left, right = _span(place[1], "column", standing.chart.columns)
    block: Block = (top, left, bottom, right)
    name = row.need("class")
    return SetCells((block,), _class(name, standing))


def _class(name: str, standing: Standing) -> ClassRef:
    ref = class_ref(name, standing)
    return Made(name) if isinstance(ref, Made) else ref


def _span(text: str, what: str, count: int) -> tuple[int, int]:
    """``7`` or ``7-9`` as the first and the last row or column."""
    match = re.fullmatch(r"(\d{1,6})(?:\s*-\s*(\d{1,6}))?", text)
    if not match:
        raise ValueError(f"{what} {text!r} isn't like 7 or 7-9")
    first, last = int(match[1]), int(match[2] or match[1])
    if not first <= last < count:
        raise ValueError(f"{what} {text} isn't in the chart, which has 0 to {count - 1}")
    return first, last
