"""Whether a project of one stash is that of another: the same name, and the same to be made.

What is compared is what she would tell again on another machine: charts, fabric, copies, threads
and notions. Where its bag lies, its days and notes may differ.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from pathlib import PurePath
from typing import Any

from chartscan.plaintext import text_key
from chartscan.stash.ledger import Ledger

Content = tuple[Any, ...]

MADE_OF = (
    *("copies", "fabric_count", "fabric_count_down", "fabric_over", "fabric_colour"),
    *("fabric_hex", "margin_mm", "strands"),
)
BESIDE = ("place", "wished_start", "deadline", "note")

# The rows of a project's needs, things by their names: number, then what is told.
NEEDS: Mapping[str, str] = {
    "thread_needs": "SELECT n.id, n.source, t.line_key, t.code_key, c.line_key, c.code_key,"
    " n.class_index, n.stitches, n.strands, n.factor, n.low_mm, n.likely_mm, n.high_mm, n.skeins,"
    " n.putup_length_mm, n.note FROM thread_needs n JOIN threads t ON t.id = n.thread"
    " JOIN threads c ON c.id = n.called WHERE n.project = ? ORDER BY n.id",
    "notion_needs": "SELECT nn.id, n.name_key, text_key(n.unit), nn.amount, nn.note"
    " FROM notion_needs nn JOIN notions n ON n.stock = nn.notion WHERE nn.project = ?"
    " ORDER BY nn.id",
    "fabric_needs": "SELECT id, source, count, text_key(colour), width_mm, height_mm, pieces"
    " FROM fabric_needs WHERE project = ? ORDER BY id",
}
OTHERS: Mapping[str, str] = {
    "charts": "SELECT 0, pc.part, c.title_key FROM project_charts pc"
    " JOIN charts c ON c.stock = pc.chart WHERE pc.project = ?",
    "choices": "SELECT 0, c.line_key, c.code_key, u.line_key, u.code_key FROM choices ch"
    " JOIN threads c ON c.id = ch.called JOIN threads u ON u.id = ch.used WHERE ch.project = ?",
    "class_threads": "SELECT 0, ct.part, ct.place, ct.kind, ct.hex, ct.symbol, t.line_key,"
    " t.code_key FROM class_threads ct JOIN threads t ON t.id = ct.called WHERE ct.project = ?",
}
_WORDS = {
    "thread_needs": "threads",
    "notion_needs": "notions",
    "fabric_needs": "fabric to cut",
    "charts": "charts",
    "choices": "choice of threads",
    "class_threads": "threads of its classes",
}


def contents(ledger: Ledger, table: str, project: int) -> list[tuple[int, Content]]:
    """Number and content of every row that a project has in one of :data:`NEEDS`."""
    return [(row[0], tuple(row)[1:]) for row in ledger.rows(NEEDS[table], (project,))]


def differences(here: Ledger, mine: int, there: Ledger, theirs: int) -> list[str]:
    """In what two projects differ, in words; nothing where they are one."""
    rows = [_row(here, mine), _row(there, theirs)]
    found = [
        name.replace("_mm", "").replace("_", " ")
        for name in MADE_OF
        if _told(rows[0][name]) != _told(rows[1][name])
    ]
    found += [
        {"palette": "thread range", "key_file": "key"}[name]
        for name in ("palette", "key_file")
        if PurePath(rows[0][name]).name != PurePath(rows[1][name]).name
    ]
    for table, sql in {**NEEDS, **OTHERS}.items():
        told = [
            Counter(tuple(row)[1:] for row in ledger.rows(sql, (project,)))
            for ledger, project in ((here, mine), (there, theirs))
        ]
        if told[0] != told[1]:
            found.append(_WORDS[table])
    return found


def told_beside(here: Ledger, mine: int, there: Ledger, theirs: int) -> list[str]:
    """What was told otherwise there of a project that is one: ``place box 2 there, tin here``."""
    rows = [_row(here, mine), _row(there, theirs)]
    return [
        f"{name.replace('_', ' ')} {rows[1][name]} there, {rows[0][name] or 'none'} here"
        for name in BESIDE
        if rows[1][name] and rows[0][name] != rows[1][name]
    ]


def _row(ledger: Ledger, project: int) -> dict[str, Any]:
    row = ledger.row("SELECT * FROM projects WHERE id = ?", (project,))
    assert row is not None
    return dict(row)


def _told(value: object) -> object:
    return text_key(value) if isinstance(value, str) else value
