"""The step that keeps beside a need which colours of the chart it is for, and how far off it is."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from chartscan.stash.schema_changes import Kept, triggers
from chartscan.stash.schema_threads import KEPT as KEPT_BEFORE

_BEFORE = KEPT_BEFORE["thread_needs"]
_NEW: Mapping[str, Kept] = {
    "thread_needs": replace(_BEFORE, columns=(*_BEFORE.columns, "wanted", "delta_e")),
}
KEPT: Mapping[str, Kept] = {**KEPT_BEFORE, **_NEW}
"""How the changes of every table are kept, from this step on."""

COLOURS_WANTED = """
ALTER TABLE thread_needs ADD COLUMN wanted TEXT NOT NULL DEFAULT '';
ALTER TABLE thread_needs ADD COLUMN delta_e REAL CHECK (delta_e >= 0);
DROP TRIGGER thread_needs_insert_kept;
DROP TRIGGER thread_needs_update_kept;
DROP TRIGGER thread_needs_delete_kept;
""" + triggers(_NEW)
