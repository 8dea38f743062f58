"""The step that makes every change an entry: what was known before, and what is known since.

*Changes* are written by triggers, so that none can be forgotten: a row that is told, altered or
dropped leaves the columns that changed, before and after, under the act that is being booked
(``open_act``). Without an open act nothing can be changed.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

PART = "\x1f"  # ends each column of a row that is written down; no text of the ledger holds it

PROJECT_COLUMNS = (
    *("name", "copies", "fabric_count", "fabric_count_down", "fabric_over", "fabric_colour"),
    *("fabric_hex", "margin_mm", "strands", "palette", "key_file", "place", "wished_start"),
    *("deadline", "note"),
)


@dataclass(frozen=True)
class Kept:
    """How the changes of one table are kept.

    Attributes:
        keys: columns that name a row.
        columns: the other columns whose changes are kept.
        comes: rows that come and go are kept too; of the others only alterations: what was once
            known of a thread does no harm when what it came with is taken back.
        where: a condition on the row ({row} is OLD or NEW).
    """

    keys: tuple[str, ...]
    columns: tuple[str, ...]
    comes: bool = True
    where: str = "1"


KEPT: Mapping[str, Kept] = {
    "threads": Kept(
        ("id",),
        (
            *("line", "code", "code_key", "line_key", "name", "putup_mm", "strands", "hex"),
            *("lab_l", "lab_a", "lab_b", "price", "discontinued", "gone"),
        ),
        comes=False,
    ),
    "stock": Kept(("id",), ("thread", "place"), comes=False),
    "pieces": Kept(
        ("stock",), ("label", "colour", "hex", "fibre", "note", "meant_for"), comes=False
    ),
    "notions": Kept(("stock",), ("name", "name_key", "unit", "note", "price", "gone"), comes=False),
    "charts": Kept(
        ("stock",),
        ("title", "title_key", "file", "book", "issue", "page", "place", "note", "gone"),
        comes=False,
    ),
    "projects": Kept(("id",), PROJECT_COLUMNS, comes=False),
    "project_charts": Kept(("project", "part"), ("chart",)),
    "choices": Kept(("project", "called"), ("used",)),
    "thread_needs": Kept(
        ("id",),
        (
            *("project", "source", "thread", "called", "class_index", "stitches", "strands"),
            *("factor", "low_mm", "likely_mm", "high_mm", "skeins", "putup_length_mm", "note"),
        ),
    ),
    "notion_needs": Kept(("id",), ("project", "notion", "amount", "note")),
    "fabric_needs": Kept(
        ("id",), ("project", "source", "count", "colour", "width_mm", "height_mm", "pieces")
    ),
    "fabric_prices": Kept(("count", "colour"), ("price_per_m2",)),
    "wishes": Kept(("id",), ("thread", "words", "amount", "note")),
    "settings": Kept(("key",), ("value",), where="{row}.key LIKE 'rule.%'"),
}

COLUMNS = """
ALTER TABLE threads ADD COLUMN code_key TEXT NOT NULL DEFAULT '';
ALTER TABLE threads ADD COLUMN line_key TEXT NOT NULL DEFAULT '';
ALTER TABLE threads ADD COLUMN gone INTEGER NOT NULL DEFAULT 0 CHECK (gone IN (0, 1));
ALTER TABLE notions ADD COLUMN gone INTEGER NOT NULL DEFAULT 0 CHECK (gone IN (0, 1));
ALTER TABLE charts ADD COLUMN gone INTEGER NOT NULL DEFAULT 0 CHECK (gone IN (0, 1));
ALTER TABLE stock ADD COLUMN place TEXT NOT NULL DEFAULT '';
ALTER TABLE notions ADD COLUMN name_key TEXT NOT NULL DEFAULT '';
ALTER TABLE charts ADD COLUMN title_key TEXT NOT NULL DEFAULT '';
UPDATE notions SET name_key = text_key(name);
UPDATE charts SET title_key = text_key(title);
CREATE INDEX notions_key ON notions (name_key);
CREATE INDEX charts_key ON charts (title_key);
UPDATE threads SET code_key = code_key(code), line_key = text_key(line);
CREATE INDEX threads_key ON threads (code_key, line_key);

DROP INDEX stock_skeins;
CREATE INDEX stock_shelf ON stock (thread, dye_lot) WHERE kind = 'skein';
CREATE TRIGGER stock_moves AFTER UPDATE OF thread ON stock BEGIN
    UPDATE balances SET thread = NEW.thread WHERE stock = NEW.id;
END;

CREATE TABLE wishes (
    id INTEGER PRIMARY KEY,
    thread INTEGER REFERENCES threads,
    words TEXT NOT NULL DEFAULT '',
    amount INTEGER CHECK (amount > 0),
    note TEXT NOT NULL DEFAULT '',
    CHECK (thread IS NOT NULL OR words <> '')
) STRICT;

CREATE TABLE imports (
    act INTEGER PRIMARY KEY REFERENCES acts,
    what TEXT NOT NULL,
    file TEXT NOT NULL,
    rows BLOB NOT NULL
) STRICT;

CREATE TABLE open_act (act INTEGER NOT NULL REFERENCES acts) STRICT;
CREATE TABLE changes (
    id INTEGER PRIMARY KEY,
    act INTEGER NOT NULL REFERENCES acts,
    place TEXT NOT NULL,
    row TEXT NOT NULL,
    before TEXT,
    after TEXT,
    CHECK (before IS NOT NULL OR after IS NOT NULL)
) STRICT;
CREATE INDEX changes_act ON changes (act);
CREATE TRIGGER changes_stay BEFORE UPDATE ON changes BEGIN
    SELECT RAISE(ABORT, 'changes are never altered; reverse them');
END;
CREATE TRIGGER changes_remain BEFORE DELETE ON changes BEGIN
    SELECT RAISE(ABORT, 'changes are never deleted; reverse them');
END;
"""

# A ledger of before may hold a kitted project that needs more than it has: it goes on as planned.
FOUND_SHORT = """
INSERT INTO acts (time, name, project, from_state, to_state)
SELECT strftime('%Y-%m-%dT%H:%M:%S.000000Z', 'now'), 'found short', p.id, 'kitted', 'planned'
FROM projects p WHERE p.state = 'kitted' AND EXISTS (
    SELECT 1 FROM demands n LEFT JOIN (
        SELECT h.project, b.thread, sum(h.amount * CASE b.kind WHEN 'skein'
            THEN coalesce(t.putup_mm, 8000) ELSE 1 END) AS length
        FROM holdings h JOIN balances b ON b.stock = h.stock JOIN threads t ON t.id = b.thread
        GROUP BY h.project, b.thread
    ) h ON h.project = n.project AND h.thread = n.thread
    WHERE n.project = p.id AND n.length_mm > coalesce(h.length, 0));
"""


def _written(row: str, names: tuple[str, ...]) -> str:
    """SQL that writes columns down, each as ``name=literal`` and :data:`PART` at its end.

    SQL's own ``quote`` keeps every number to its last digit; JSON's functions wouldn't, and
    aren't allowed in the triggers of a file that isn't trusted.
    """
    return " || ".join(f"'{name}=' || quote({row}.{name}) || char({ord(PART)})" for name in names)


def _altered(row: str, names: tuple[str, ...]) -> str:
    """The same of those columns of ``row`` that differ between OLD and NEW."""
    return " || ".join(
        f"CASE WHEN OLD.{name} IS NOT NEW.{name} THEN {_written(row, (name,))} ELSE '' END"
        for name in names
    )


def _trigger(table: str, kept: Kept, event: str) -> str:
    rows = {"INSERT": ("NEW",), "DELETE": ("OLD",), "UPDATE": ("OLD", "NEW")}[event]
    every = (*kept.keys, *kept.columns)
    if event == "UPDATE":
        names = every if kept.comes else kept.columns
        before, after = _altered("OLD", names), _altered("NEW", names)
        differs = " OR ".join(f"OLD.{name} IS NOT NEW.{name}" for name in names)
        of = f"UPDATE OF {', '.join(names)}"
    else:
        before = _written("OLD", every) if event == "DELETE" else "NULL"
        after = _written("NEW", every) if event == "INSERT" else "NULL"
        differs, of = "1", event
    where = kept.where.format(row=rows[-1])
    return f"""
CREATE TRIGGER {table}_{event.lower()}_kept AFTER {of} ON {table}
WHEN ({where}) AND ({differs}) BEGIN
    SELECT RAISE(ABORT, 'a change belongs to an act') WHERE NOT EXISTS (SELECT 1 FROM open_act);
    INSERT INTO changes (act, place, row, before, after)
    SELECT act, '{table}', {_written(rows[-1], kept.keys)}, {before}, {after} FROM open_act;
END;
"""


def triggers(tables: Mapping[str, Kept]) -> str:
    """The triggers that keep the changes of some tables."""
    return "".join(
        _trigger(table, kept, event)
        for table, kept in tables.items()
        for event in (("INSERT", "UPDATE", "DELETE") if kept.comes else ("UPDATE", "DELETE"))
    )


CHANGES_AND_PLACES = COLUMNS + FOUND_SHORT + triggers(KEPT)
