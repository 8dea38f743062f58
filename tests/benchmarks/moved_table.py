"""The table of what moving each number changed (``moved``), and its totals."""

from __future__ import annotations

import csv
import io
import json
from collections import Counter
from dataclasses import dataclass, field
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from tests.benchmarks.numbers import Number

HEAD = ("number", "value", "looked_at", "tried", "otherwise", "lattice_only", "better", "worse")
ALL = "all"


@dataclass
class Row:
    """What came of one number.

    Attributes:
        looked_at: pages that look at it. tried: those it was moved on.
        otherwise: pages of these that are then read otherwise, or asked about otherwise.
        lattice_only: pages on which nothing but parts of a pixel changed.
        better, worse: pages on which more, or less, is right then.
    """

    looked_at: int = 0
    tried: set[str] = field(default_factory=set)
    otherwise: set[str] = field(default_factory=set)
    lattice_only: set[str] = field(default_factory=set)
    better: set[str] = field(default_factory=set)
    worse: set[str] = field(default_factory=set)


def rows_of(work: Path, numbers: list[Number]) -> dict[str, Row]:
    """A row a number, by its name."""
    rows = {number.name: Row() for number in numbers}
    for path in sorted(work.glob("*.jsonl")):
        lines = [json.loads(line) for line in path.read_text(encoding="utf-8").splitlines()]
        for name in lines[0]["looked_at"]:
            if name in rows:
                rows[name].looked_at += 1
        for line in lines[1:]:
            if line["number"] in rows:
                _add(rows[line["number"]], line, path.stem, lines[0]["score"])
    return rows


def _add(row: Row, line: dict[str, Any], page: str, usual: list[float] | None) -> None:
    row.tried.add(page)
    if not line["differs"]:
        return
    if line["differs"] == ["lattice"]:
        row.lattice_only.add(page)
        return
    row.otherwise.add(page)
    right, before = sum(line["score"] or ()), sum(usual or ())
    if right != before:
        (row.better if right > before else row.worse).add(page)


def totals(rows: dict[str, Row], numbers: list[Number]) -> list[str]:
    """A line a room: how many numbers, how many change a reading, how many nobody looks at."""
    lines = []
    for room in [*sorted({number.room for number in numbers}), ALL]:
        ours = [rows[n.name] for n in numbers if room in (n.room, ALL)]
        kinds = Counter(_kind(row) for row in ours)
        told = ", ".join(f"{kinds[kind]} {kind}" for kind in KINDS)
        lines.append(f"{room}: {len(ours)} numbers, {told}")
    return lines


KINDS = (
    "change a reading",
    "move a lattice a little",
    "change nothing",
    "looked at but not moved yet",
    "not looked at",
)


def _kind(row: Row) -> str:
    if row.otherwise:
        return KINDS[0]
    if row.lattice_only:
        return KINDS[1]
    if row.tried:
        return KINDS[2]
    return KINDS[3] if row.looked_at else KINDS[4]


def table(work: Path, numbers: list[Number]) -> str:
    """Comma-separated, a line a number, under what it was made with and its totals."""
    rows = rows_of(work, numbers)
    pages = sorted(path.stem for path in work.glob("*.jsonl"))
    made = io.StringIO()
    made.write("# python -m tests.benchmarks.moved --work DIR --table tests/benchmarks/moved.csv\n")
    made.write(f"# {datetime.now(UTC):%Y-%m-%d}; looked at on {len(pages)} pages, ")
    moved_on = sorted(set().union(*(row.tried for row in rows.values())))
    made.write(f"moved on {len(moved_on)} of them: {' '.join(moved_on)}\n")
    made.writelines(f"# {line}\n" for line in totals(rows, numbers))
    out = csv.writer(made, lineterminator="\n")
    out.writerow(HEAD)
    for number in numbers:
        row = rows[number.name]
        sets = (row.tried, row.otherwise, row.lattice_only, row.better, row.worse)
        out.writerow([number.name, number.value, row.looked_at, *map(len, sets)])
    return made.getvalue()
