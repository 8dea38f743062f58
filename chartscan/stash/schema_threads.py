"""The step that keeps a project's threads, class by class, and why a stand-in was taken."""

from __future__ import annotations

from collections.abc import Mapping

from chartscan.stash.schema_changes import KEPT as KEPT_BEFORE
from chartscan.stash.schema_changes import Kept, triggers

_NEW: Mapping[str, Kept] = {
    "choices": Kept(("project", "called"), ("used", "reason")),
    "class_threads": Kept(
        ("project", "part", "place"),
        ("kind", "hex", "symbol", "cell_row", "cell_column", "called", "second", "keyed"),
    ),
}
KEPT: Mapping[str, Kept] = {**KEPT_BEFORE, **_NEW}
"""How the changes of every table are kept, from this step on."""

CHOSEN_THREADS = """
ALTER TABLE choices ADD COLUMN reason TEXT NOT NULL DEFAULT '';
DROP TRIGGER choices_insert_kept;
DROP TRIGGER choices_update_kept;
DROP TRIGGER choices_delete_kept;

CREATE TABLE class_threads (
    project INTEGER NOT NULL REFERENCES projects,
    part INTEGER NOT NULL CHECK (part > 0),
    place INTEGER NOT NULL,
    kind TEXT NOT NULL,
    hex TEXT,
    symbol TEXT,
    cell_row INTEGER,
    cell_column INTEGER,
    called INTEGER NOT NULL REFERENCES threads,
    second INTEGER REFERENCES threads,
    keyed INTEGER NOT NULL DEFAULT 0 CHECK (keyed IN (0, 1)),
    PRIMARY KEY (project, part, place)
) STRICT, WITHOUT ROWID;
""" + triggers(_NEW)
